//! `swatch`: what was dyed to learn from, recorded and listed.

use std::path::PathBuf;

use clap::{Args, Subcommand};
use workroom::{
    DosedSeen, ReadSeen, SwatchSeen, SwatchesRecorded, SwatchesWanted, Trouble, list_swatches,
    record_swatches,
};

use super::speech::{chip, say, say_list, say_wrapped};
use super::{Ended, recording, say_json, swatch_plan};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Record a file of swatches into a workbook; what is there is passed over
    Record(RecordWords),
    /// List the swatches of a workbook with their readings
    List(ListWords),
    /// The fewest swatches for a costume: which first, what each would settle,
    /// when to stop
    Plan(swatch_plan::Words),
}

#[derive(Debug, Args)]
struct RecordWords {
    /// The file of swatches
    file: PathBuf,
    /// The workbook; begun when it is not there yet [default: workbook.sqlite]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// A shelf file instead of the one the file names
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// Who records
    #[arg(long, value_name = "NAME", default_value = "the maker")]
    who: String,
}

#[derive(Debug, Args)]
struct ListWords {
    /// The workbook [default: workbook.sqlite]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
}

/// Does what was asked of the swatches.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    match &words.what {
        What::Plan(plan) => return swatch_plan::run(plan, json),
        What::Record(record) => {
            let made = record_swatches(&SwatchesWanted {
                file: record.file.clone(),
                book: record.book.clone(),
                shelf: record.shelf.clone(),
                recording: recording(&record.who),
            })?;
            if json { say_json(&made)? } else { tell_recorded(&made) }
        }
        What::List(list) => {
            let seen = list_swatches(list.book.as_deref())?;
            if json {
                say_json(&seen)?;
            } else {
                say_wrapped("", 0, &format!("{}: {} swatches", seen.book, seen.swatches.len()));
                for swatch in &seen.swatches {
                    say("");
                    say(&swatch.code.clone().unwrap_or_else(|| format!("entry {}", swatch.entry)));
                    tell_swatch(swatch);
                }
            }
        }
    }
    Ok(Ended::Answered)
}

/// What was recorded.
pub(crate) fn tell_recorded(made: &SwatchesRecorded) {
    let begun = if made.begun { " (begun now)" } else { "" };
    let whole = match made.baths {
        0 => String::new(),
        n => format!(", {}", many(n, "bath of pieces dyed whole", "baths of pieces dyed whole")),
    };
    let mut text = format!(
        "Recorded into {}{begun}: {}{whole}, {}.",
        made.book,
        many(made.swatches, "swatch", "swatches"),
        many(made.readings, "reading", "readings")
    );
    if made.already > 0 {
        text += &format!(" {} were there already.", made.already);
    }
    if made.unfinished > 0 {
        text += &format!(
            " Of wet, warm or unsoaped cloth: {}; kept, and nothing is learnt from that.",
            many(made.unfinished, "reading", "readings")
        );
    }
    say_wrapped("", 0, &text);
    say_list("Taken as meant", &made.meant);
    say_list("Look at these readings again", &made.doubts);
}

/// A number of things.
fn many<N: PartialEq + From<u8> + std::fmt::Display>(n: N, one: &str, more: &str) -> String {
    let word = if n == N::from(1) { one } else { more };
    format!("{n} {word}")
}

/// A swatch, all of it.
pub(crate) fn tell_swatch(swatch: &SwatchSeen) {
    let undyed = swatch.undyed.as_ref().map_or_else(String::new, |u| format!(", {u}"));
    let ratio = swatch.liquor_ratio.map_or_else(String::new, |r| format!(", {r}:1"));
    let way = swatch.programme.as_deref().unwrap_or(&swatch.class);
    let mut about = vec![format!("{}{undyed}, {} g{ratio}, {way}", swatch.cloth, swatch.goods_g)];
    about.extend(swatch.day.clone());
    about.extend(swatch.piece.as_ref().map(|p| format!("for {p}")));
    if swatch.look_alike {
        about.push("on a look-alike cloth".to_owned());
    }
    about.extend(swatch.over.map(|o| format!("dyed over entry {o}")));
    if swatch.whose != "own" {
        about.push(swatch.whose.clone());
    }
    say_wrapped("  ", 4, &about.join("; "));
    doses(&swatch.doses);
    for one in &swatch.readings {
        let mark = one.hex.as_deref().map_or_else(String::new, chip);
        say_wrapped(&format!("  {mark}"), 4, &read(one));
    }
    if swatch.readings.is_empty() {
        say("  not read yet");
    }
    if let Some(note) = &swatch.note {
        say_wrapped("  ", 4, note);
    }
}

/// What was dosed.
pub(crate) fn doses(doses: &[DosedSeen]) {
    for dose in doses {
        let mut about = vec![dose.amount.clone()];
        if let Some(owf) = dose.owf_pct.filter(|_| !dose.amount.ends_with("% owf")) {
            about.push(format!("{owf} % owf"));
        }
        about.extend(dose.lot.as_ref().map(|l| format!("lot {l}")));
        about.extend(dose.measured.clone());
        about.extend(dose.scatter_pct.map(|s| format!("± {s} %")));
        say_wrapped(&format!("  {}: ", dose.of), 4, &about.join("; "));
    }
}

/// A reading in a line.
pub(crate) fn read(one: &ReadSeen) -> String {
    let [l, a, b] = one.lab;
    let mut about = vec![match &one.words {
        Some(words) => format!("{words}; a* {a}, b* {b}"),
        None => format!("L* {l}, a* {a}, b* {b} under {}, {}", one.under, one.observer),
    }];
    about.extend(one.hex.clone());
    about.push(one.spread.map_or_else(|| "spread not known".to_owned(), |s| format!("± {s}")));
    if !one.finished {
        about.push("not finished cloth: kept, and nothing is learnt from it".to_owned());
    }
    about.extend(one.condition.iter().cloned());
    about.extend(one.day.clone());
    about.push(one.by.to_owned());
    about.extend(one.reader.clone());
    about.extend(one.light.clone());
    about.join("; ")
}
