//! `shelf ladder`: what one dye adds to a cloth against its amount, with the maker's own swatches of it.

use std::path::PathBuf;

use clap::Args;
use workroom::{DyeLadder, LadderOn, Trouble, ladder_of_dye};

use super::speech::{chip, say, say_wrapped};
use super::{Ended, say_json};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// The dye, by its id on the shelf
    dye: String,
    /// A shelf file [default: the starter shelf]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// A workbook whose swatches count too [default: none]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
}

/// Tells the ladders of a dye.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    let seen = ladder_of_dye(words.shelf.as_deref(), words.book.as_deref(), &words.dye)?;
    if json {
        say_json(&seen)?;
    } else {
        tell(&seen);
    }
    Ok(Ended::Answered)
}

fn tell(seen: &DyeLadder) {
    say(&format!("{} ({}), known by: {}", seen.name, seen.class_name, seen.known));
    for on in &seen.on {
        say("");
        say(&format!("On {}: what it adds to K/S at {} nm", on.cloth, on.nm));
        line(on);
        for (at, rung) in on.rungs.iter().enumerate() {
            let mark = chip(&rung.hex);
            let whose = if rung.own { "" } else { ", another's" };
            let from = if rung.by_spectrum { "" } else { ", from its colour" };
            let brought = if rung.brought { ", brought to this cloth at 20:1" } else { "" };
            let words = format!(
                "{}: {} % adds {}{from}; {}{whose}{brought}",
                rung.of, rung.owf_pct, rung.adds, rung.words
            );
            say_wrapped(&format!("  {mark}{} ", at + 1), 6, &words);
        }
        for words in &on.words {
            say_wrapped("  ", 2, words);
        }
    }
    if seen.mixes > 0 {
        let swatches =
            if seen.mixes == 1 { "swatch of a mix holds" } else { "swatches of mixes hold" };
        say("");
        say_wrapped("", 0, &format!("{} {swatches} it too, and count in the line.", seen.mixes));
    }
}

/// Some places of the line; an estimate is marked as one.
fn line(on: &LadderOn) {
    let standing = if on.own { "" } else { " (estimate)" };
    for at in [1, 3, 6, 12, 24] {
        if let Some([dose, adds, least, most]) = on.line.get(at) {
            say(&format!("  {dose:>7.3} %  {adds:>7.2}   {least:.2} to {most:.2}{standing}"));
        }
    }
}
