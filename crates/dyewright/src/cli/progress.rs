//! Shows progress: a bar on a terminal, plain lines elsewhere, on standard error.

use std::io::{self, IsTerminal as _, Write as _};
use std::ops::ControlFlow;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};
use workroom::{Progress, WRITING};

use super::stopping;

/// Whoever tells how far it is.
pub(crate) struct Teller {
    bar: Option<ProgressBar>,
    /// Whether plain lines are written where there is no bar.
    plain: bool,
}

impl Teller {
    /// A bar on a terminal, else plain lines.
    pub(crate) fn of_many() -> Self {
        Self::new(true)
    }

    /// A bar on a terminal, else nothing: for an answer that comes at once.
    pub(crate) fn of_one() -> Self {
        Self::new(false)
    }

    fn new(plain: bool) -> Self {
        let bar = io::stderr().is_terminal().then(|| {
            let bar = ProgressBar::new(0);
            if let Ok(style) = ProgressStyle::with_template("{spinner} {pos}/{len} {wide_msg}") {
                bar.set_style(style);
            }
            bar.enable_steady_tick(Duration::from_millis(200));
            bar
        });
        Self { bar, plain }
    }

    /// Tells one step. The command line is stopped by its signal at any moment but one: while files are
    /// written.
    pub(crate) fn tell(&self, progress: Progress<'_>) -> ControlFlow<()> {
        let line = format!("{}: {}", progress.piece, progress.doing);
        // After the last piece there is work on the whole costume.
        let at = (progress.done + 1).min(progress.of);
        match &self.bar {
            Some(bar) => {
                bar.set_length(progress.of as u64);
                bar.set_position(progress.done as u64);
                bar.set_message(line);
            }
            None if self.plain => {
                let _ = writeln!(io::stderr(), "{at}/{} {line}", progress.of);
            }
            None => {}
        }
        if progress.doing == WRITING { stopping::no_longer() } else { ControlFlow::Continue(()) }
    }

    /// Takes the bar away.
    pub(crate) fn finish(&self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}
