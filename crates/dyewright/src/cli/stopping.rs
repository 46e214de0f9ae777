//! Ctrl-C: stops at once while planning, when nothing has been written; not while files are written, which
//! takes less than a second and leaves them whole.

use std::io::{self, Write as _};
use std::ops::ControlFlow;
use std::process;
use std::sync::atomic::{AtomicU8, Ordering};

/// Ends of a program stopped by hand: 128 and the number of the signal, as shells have it.
const STOPPED_CODE: i32 = 130;

const PLANNING: u8 = 0;
const WRITING: u8 = 1;
const WRITTEN: u8 = 2;
const STOPPED: u8 = 3;

static NOW: AtomicU8 = AtomicU8::new(PLANNING);

/// Listens for Ctrl-C from now on.
pub(crate) fn listen() {
    let stop = || {
        let was = NOW.compare_exchange(PLANNING, STOPPED, Ordering::SeqCst, Ordering::SeqCst);
        match was {
            Ok(_) => {
                let _ = writeln!(io::stderr(), "\nstopped by hand: nothing was written");
                process::exit(STOPPED_CODE);
            }
            Err(WRITTEN) => process::exit(STOPPED_CODE),
            // The files are on their way to the disk: they arrive whole.
            Err(_) => {}
        }
    };
    // Where it cannot listen, the signal ends the program as it always did.
    let _ = ctrlc::set_handler(stop);
}

/// From here on files are written: a Ctrl-C before this wins, a later one waits.
pub(crate) fn no_longer() -> ControlFlow<()> {
    let was = NOW.compare_exchange(PLANNING, WRITING, Ordering::SeqCst, Ordering::SeqCst);
    if was == Err(STOPPED) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
}

/// Everything is written, or nothing will be.
pub(crate) fn written() {
    NOW.store(WRITTEN, Ordering::SeqCst);
}
