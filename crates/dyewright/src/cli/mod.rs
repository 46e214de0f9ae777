//! The command line: one file per command, one place where errors become words.
//!
//! Exit codes: 0 answered (a plan may still say that a piece has no bath yet); 2 refused (wrong words,
//! wrong files, impossible requests); 3 broken (disk, program).

mod plan;
mod speech;

use std::process::ExitCode;

use clap::{Parser, Subcommand};
use workroom::Trouble;

/// Dyewright brings each piece of a costume to its colour: which dye class takes on the cloth, which
/// dyes and how much, and a bath sheet to take to the pot.
#[derive(Debug, Parser)]
#[command(name = "dyewright", version, about, max_term_width = 80)]
struct Line {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Plan a costume file: swatch and bulk bath sheets for every piece, shopping, what comes first
    Plan(plan::Words),
}

/// Reads the command line, does what it asks, and says how it went.
pub(crate) fn run() -> ExitCode {
    let line = match Line::try_parse() {
        Ok(line) => line,
        Err(help) => {
            let code = if help.use_stderr() { 2 } else { 0 };
            // Nobody is left to hear that the terminal is gone.
            let _ = help.print();
            return ExitCode::from(code);
        }
    };
    let ended = match line.command {
        Command::Plan(words) => plan::run(&words),
    };
    match ended {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            speech::complain(&trouble);
            ExitCode::from(if matches!(trouble, Trouble::Broken { .. }) { 3 } else { 2 })
        }
    }
}

/// Today by the machine's clock: only the door looks at it.
fn today() -> Result<units::Day, Trouble> {
    let now = jiff::ZonedDateTime::now().date();
    units::Day::try_ymd(now.year(), now.month(), now.day()).map_err(|e| Trouble::Refused {
        says: format!("the machine's clock shows no day: {e}"),
        hint: "give the day with --today 2027-01-31".to_owned(),
    })
}

/// A finished answer as JSON.
fn json_of(answer: &impl serde::Serialize) -> Result<String, Trouble> {
    serde_json::to_string_pretty(answer).map_err(|e| Trouble::Refused {
        says: format!("the answer could not be written as JSON: {e}"),
        hint: "leave --json out, and report this".to_owned(),
    })
}
