//! Kills a program while it records swatches, at random points, and looks whether anything that was
//! acknowledged is lost, whether the workbook opens, and whether its check is clean.
//!
//!     cargo run --release --example kill_book -- --rounds 300 --seed 1
//!
//! A kill ends the program and not the machine: that what is acknowledged outlasts a loss of power
//! rests on SQLite's rollback journal with `synchronous = EXTRA` and on the disk, and is not tried here.

mod recorder;

use std::path::{Path, PathBuf};
use std::process::Command;

use recorder::{Round, SWATCHES, mixed, piped, record, round};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let after = |word: &str| {
        let at = words.iter().position(|w| w == word)?;
        words.get(at + 1).cloned()
    };
    let seed: u64 = after("--seed").map_or(Ok(1), |s| s.parse())?;
    if let Some(path) = after("--record") {
        return record(Path::new(&path), seed);
    }
    let rounds: u64 = after("--rounds").map_or(Ok(300), |s| s.parse())?;
    let program = std::env::current_exe()?;
    let mut all = Round::default();
    let mut whole = 0;
    for i in 0..rounds {
        let folder = tempfile::tempdir()?;
        let path: PathBuf = folder.path().join("book.sqlite");
        let seed = mixed(seed ^ mixed(i));
        let it = round(&path, seed, || {
            let mut command = Command::new(&program);
            piped(command.arg("--record").arg(&path).arg("--seed").arg(seed.to_string()))
        })?;
        all.acknowledged += it.acknowledged;
        all.lost += it.lost;
        all.cut += it.cut;
        all.unopened += it.unopened;
        all.unclean += it.unclean;
        whole += u64::from(it.acknowledged == SWATCHES);
    }
    #[expect(clippy::print_stdout, reason = "an example")]
    {
        println!(
            "{{\"rounds\":{rounds},\"swatches\":{SWATCHES},\"acknowledged\":{},\"lost\":{},\"unopened\":{},\"unclean\":{},\"cut_in_a_write\":{},\"came_too_late\":{whole}}}",
            all.acknowledged, all.lost, all.unopened, all.unclean, all.cut
        );
    }
    Ok(())
}
