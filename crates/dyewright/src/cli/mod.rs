//! The command line: one file per command, one place where errors become words.
//!
//! Exit codes: 0 answered; 1 answered, but something is to be decided before dyeing, only where
//! `--strict` asks for it; 2 refused (wrong words, wrong files, impossible requests); 3 broken (disk,
//! program); 130 stopped by hand. docs/commands.md says so to the maker.

mod book;
mod card;
mod colours;
mod compare;
mod correct;
mod dyed;
mod identify;
mod ladder;
mod open;
mod paperwork;
mod plan;
mod predict;
mod progress;
mod propose;
mod read;
mod shelf;
mod speech;
mod stopping;
mod swatch;
mod swatch_plan;

use std::process::ExitCode;

use clap::{Parser, Subcommand};
use workroom::Trouble;

use crate::opening::Opening;

const AFTER: &str = "Exit codes: 0 answered; 1 answered, something is to be decided before\n\
dyeing (only with --strict); 2 refused; 3 broken (disk, program); 130 stopped\n\
by hand (Ctrl-C), nothing half written.\n\
\n\
A first try:  dyewright propose --cloth cotton --colour \"#2f6f5a\" --weight 250g";

/// Dyewright brings each piece of a costume to its colour: which dye class takes
/// on the cloth, which dyes and how much, and a bath sheet to take to the pot.
#[derive(Debug, Parser)]
#[command(name = "dyewright", version, about, max_term_width = 80, after_help = AFTER)]
struct Line {
    #[command(subcommand)]
    command: Command,
    /// Write the answer as JSON to standard output (docs/json.md)
    #[arg(long, global = true, help_heading = "For every command")]
    json: bool,
    /// End with code 1 when something is to be decided before dyeing
    #[arg(long, global = true, help_heading = "For every command")]
    strict: bool,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Plan a costume file: bath sheets, sets, days, shopping, what comes first
    Plan(plan::Words),
    /// One cloth, one colour: can it, with what, what could go wrong
    Propose(propose::Words),
    /// What a recipe gives on a cloth: colour, both spreads, every light
    Predict(predict::Words),
    /// The colours of artwork, and what cloth can do about each
    Colours(colours::Words),
    /// The colours of cloth in a photograph with a colour chart, with spread
    Read(read::Words),
    /// A colour card to print at home, and its patches read once
    Card(card::Words),
    /// Two readings: every difference, light and grade, and a plain sentence
    Compare(compare::Words),
    /// The dyes at hand: list them, add to them, check the file
    Shelf(shelf::Words),
    /// Swatches as dyed and read: record a file of them, list them
    Swatch(swatch::Words),
    /// A piece whose swatch was read: stop, add dye, or which swatch next
    Correct(correct::Words),
    /// The workbook: find a colour, a piece's record, check, undo, pack
    Book(book::Words),
    /// An unknown fibre: what was seen in tests gives its odds and the next test
    Identify(identify::Words),
    /// The workroom in the browser, with pages for beside the pot
    Open(open::Words),
    /// Completions for a shell, to standard output
    Completions(paperwork::CompletionWords),
    /// The manual page, to standard output, or every page into a folder
    Man(paperwork::ManWords),
}

/// How a command ended when nothing went wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Ended {
    /// Answered.
    Answered,
    /// Answered; something needs a decision before dyeing.
    Undecided,
    /// Answered: what was looked at is damaged.
    Faulty,
}

/// Reads the command line, does what it asks, and says how it went.
///
/// `open_workroom` is the other door: it is opened from here and never looked into.
pub(crate) fn run(open_workroom: fn(&Opening) -> Result<(), Trouble>) -> ExitCode {
    let line = match Line::try_parse() {
        Ok(line) => line,
        Err(help) => {
            let code = if help.use_stderr() { 2 } else { 0 };
            if code == 2 && std::env::args_os().any(|word| word == "--json") {
                speech::complain(&unknown(&help), true);
                return ExitCode::from(code);
            }
            // Nobody is left to hear that the terminal is gone.
            let _ = help.print();
            return ExitCode::from(code);
        }
    };
    let json = line.json;
    let ended = match line.command {
        Command::Plan(words) => plan::run(&words, json),
        Command::Propose(words) => propose::run(&words, json),
        Command::Predict(words) => predict::run(&words, json),
        Command::Colours(words) => colours::run(&words, json),
        Command::Read(words) => read::run(&words, json),
        Command::Card(words) => card::run(&words, json),
        Command::Compare(words) => compare::run(&words, json),
        Command::Shelf(words) => shelf::run(&words, json),
        Command::Swatch(words) => swatch::run(&words, json),
        Command::Correct(words) => correct::run(&words, json),
        Command::Book(words) => book::run(&words, json),
        Command::Identify(words) => identify::run(&words, json),
        Command::Open(words) => open_workroom(&words.opening()).map(|()| Ended::Answered),
        Command::Completions(words) => paperwork::completions(&words),
        Command::Man(words) => paperwork::man(&words),
    };
    match ended {
        Ok(Ended::Undecided) if line.strict => ExitCode::from(1),
        Ok(Ended::Faulty) => ExitCode::from(2),
        Ok(_) => ExitCode::SUCCESS,
        Err(trouble) => {
            speech::complain(&trouble, json);
            ExitCode::from(if matches!(trouble, Trouble::Broken { .. }) { 3 } else { 2 })
        }
    }
}

/// Words that do not go together, as a refusal.
fn unknown(why: &clap::Error) -> Trouble {
    let whole = why.to_string();
    let (says, _) = whole.split_once("\n\nUsage:").unwrap_or((&whole, ""));
    let says = says.strip_prefix("error: ").unwrap_or(says);
    let says = says.split_whitespace().collect::<Vec<_>>().join(" ");
    Trouble::Refused {
        says,
        hint: "`dyewright COMMAND --help` tells every word it takes".to_owned(),
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

/// A moment of the machine's clock in UTC, as a calendar writes it; on a day that was given, that day's
/// first, so that the same words write the same bytes.
fn stamp(given: Option<units::Day>) -> Result<workroom::Stamp, Trouble> {
    let written = match given {
        Some(day) => format!("{}T000000Z", day.to_string().replace('-', "")),
        None => jiff::Timestamp::now().strftime("%Y%m%dT%H%M%SZ").to_string(),
    };
    workroom::Stamp::try_utc(&written).map_err(|e| Trouble::Refused {
        says: e.to_string(),
        hint: "give the day with --today 2027-01-31".to_owned(),
    })
}

/// Who records, and the moment of it by the machine's clock.
fn recording(who: &str) -> workroom::Recording {
    let at = jiff::Timestamp::now().strftime("%Y-%m-%dT%H:%M:%SZ").to_string();
    workroom::Recording { who: who.to_owned(), at }
}

/// Writes an answer as JSON to standard output.
fn say_json(answer: &impl serde::Serialize) -> Result<(), Trouble> {
    let text = serde_json::to_string_pretty(answer).map_err(|e| Trouble::Broken {
        doing: "writing JSON to",
        path: "standard output".into(),
        why: e.to_string(),
    })?;
    speech::say(&text);
    Ok(())
}
