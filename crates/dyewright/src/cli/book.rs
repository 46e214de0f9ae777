//! `book`: the workbook asked, checked, packed, unpacked; an entry undone.

use std::path::PathBuf;

use clap::{Args, Subcommand};
use units::Day;
use workroom::{
    BathSeen, Found, HistorySeen, NoteWanted, Noted, PieceSeen, RepairBegun, RepairWanted, Trouble,
    begin_repair, check_book, find_colour, history, note_of_piece, pack_book, print_record,
    record_of_piece, undo_entry, unpack_book,
};

use super::speech::{chip, say, say_list, say_wrapped};
use super::swatch::{doses, read, tell_swatch};
use super::{Ended, dyed, recording, say_json, today};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Is the workbook whole? Every record, reference, seal and photograph
    Check(OnlyBook),
    /// Have I dyed this colour before? What is near it, nearest first
    Find(FindWords),
    /// How a piece was made, so that it can be made again; as a page, to keep
    Record(RecordWords),
    /// Note of a piece what was wanted, how it looks today, what is thought of it
    Note(Box<NoteWords>),
    /// Record a piece dyed whole: as really dosed, and how it came out
    Dyed(Box<dyed::Words>),
    /// Begin a repair: a costume file to match a piece as it is today
    Repair(RepairWords),
    /// What was recorded and undone: of everything, or of a piece
    History(HistoryWords),
    /// Undo an entry by a new one; nothing is deleted
    Undo(UndoWords),
    /// Pack the whole workbook into one archive
    Pack(PackWords),
    /// Make the workbook of an archive, with nothing lost
    Unpack(UnpackWords),
}

#[derive(Debug, Args)]
struct OnlyBook {
    /// The workbook [default: workbook.sqlite]
    file: Option<PathBuf>,
}

#[derive(Debug, Args)]
struct FindWords {
    /// The colour: "#2f6f5a", "45 -12.5 8" (L* a* b*), or a reading file
    #[arg(allow_hyphen_values = true)]
    colour: String,
    /// The workbook [default: workbook.sqlite]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// How far to look, as a colour difference (ΔE00)
    #[arg(long, value_name = "DE", default_value_t = 5.0, allow_hyphen_values = true)]
    within: f64,
    /// How many to show at most
    #[arg(long, value_name = "N", default_value_t = 12, value_parser = clap::value_parser!(u32).range(1..))]
    most: u32,
}

#[derive(Debug, Args)]
struct RecordWords {
    /// The piece, by its name
    piece: String,
    /// The workbook [default: workbook.sqlite]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// Its costume, where several have a piece of that name
    #[arg(long, value_name = "NAME")]
    costume: Option<String>,
    /// Write the record as a page too (HTML), to print and keep
    #[arg(long, value_name = "FILE")]
    page: Option<PathBuf>,
}

#[derive(Debug, Args)]
struct NoteWords {
    /// The piece, by its name
    piece: String,
    /// The workbook [default: workbook.sqlite]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// Its costume, where several have a piece of that name
    #[arg(long, value_name = "NAME")]
    costume: Option<String>,
    /// The colour it is to reach: "#2f6f5a", "45 -12.5 8" (L* a* b*), or a
    /// reading file
    #[arg(long, value_name = "COLOUR", allow_hyphen_values = true)]
    wanted: Option<String>,
    /// Its colour as it is today, worn and faded, in the same ways
    #[arg(long, value_name = "COLOUR", allow_hyphen_values = true)]
    as_it_is: Option<String>,
    /// How far that reading may be off (rms ΔE00)
    #[arg(long, value_name = "DE", allow_hyphen_values = true)]
    spread: Option<f64>,
    /// The state it was read in: washed-off, dry, cool, ironed, or the opposite
    #[arg(long, value_name = "WORDS", value_delimiter = ',')]
    state: Vec<String>,
    /// By what means: instrument, photograph, file, typed, eye
    #[arg(long, value_name = "MEANS", default_value = "typed")]
    by: String,
    /// Whose eye, which camera or instrument
    #[arg(long, value_name = "NAME")]
    reader: Option<String>,
    /// The light it was read in
    #[arg(long, value_name = "WORDS")]
    light: Option<String>,
    /// What is thought of it: accepted, "good enough", again, "given up"
    #[arg(long, value_name = "WORD")]
    verdict: Option<String>,
    /// The swatch that is judged, by its code: the verdict is of it
    #[arg(long, value_name = "CODE")]
    swatch: Option<String>,
    /// Why, or anything else
    #[arg(long, value_name = "WORDS")]
    because: Option<String>,
    /// The day of it (year-month-day) instead of today
    #[arg(long, value_name = "DAY")]
    today: Option<Day>,
    /// Who notes it
    #[arg(long, value_name = "NAME", default_value = "the maker")]
    who: String,
}

#[derive(Debug, Args)]
struct RepairWords {
    /// The piece, by its name
    piece: String,
    /// The costume file to write; never over a file that is there
    #[arg(long, value_name = "FILE")]
    to: PathBuf,
    /// Dry weight of the new cloth: 40g, 0.1kg, 2oz; a bare number is grams
    #[arg(long, value_name = "WEIGHT")]
    weight: String,
    /// The workbook [default: workbook.sqlite]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// Its costume, where several have a piece of that name
    #[arg(long, value_name = "NAME")]
    costume: Option<String>,
    /// The shelf file that the costume file names [default: the starter shelf]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
}

#[derive(Debug, Args)]
struct HistoryWords {
    /// The piece, by its name; left out: everything
    piece: Option<String>,
    /// The workbook [default: workbook.sqlite]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// Its costume, where several have a piece of that name
    #[arg(long, value_name = "NAME", requires = "piece")]
    costume: Option<String>,
    /// Show the last so many entries
    #[arg(long, value_name = "N", default_value_t = 50, conflicts_with = "piece", value_parser = clap::value_parser!(u32).range(1..))]
    last: u32,
}

#[derive(Debug, Args)]
struct UndoWords {
    /// The entry, by its number (`book history` shows them); left out: the last
    /// that stands
    entry: Option<i64>,
    /// The workbook [default: workbook.sqlite]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// Who undoes it
    #[arg(long, value_name = "NAME", default_value = "the maker")]
    who: String,
}

#[derive(Debug, Args)]
struct PackWords {
    /// The archive to write; never over a file that is there
    archive: PathBuf,
    /// The workbook [default: workbook.sqlite]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
}

#[derive(Debug, Args)]
struct UnpackWords {
    /// The archive
    archive: PathBuf,
    /// The workbook to make; never over a file that is there
    /// [default: workbook.sqlite]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
}

/// Does what was asked of the workbook.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    match &words.what {
        What::Check(check) => return checked(check, json),
        What::Find(find) => {
            let most = usize::try_from(find.most).unwrap_or(usize::MAX);
            let found = find_colour(find.book.as_deref(), &find.colour, find.within, most)?;
            if json { say_json(&found)? } else { tell_found(&found) }
        }
        What::Record(piece) => {
            let (book, costume) = (piece.book.as_deref(), piece.costume.as_deref());
            let (seen, page) = match &piece.page {
                None => (record_of_piece(book, &piece.piece, costume)?, None),
                Some(to) => {
                    let (seen, page) = print_record(book, &piece.piece, costume, to, today()?)?;
                    (seen, Some(page))
                }
            };
            if json {
                say_json(&seen)?;
            } else {
                tell_piece(&seen);
                if let Some(page) = page {
                    say("");
                    say_wrapped("", 2, &format!("Written as a page: {}", page.display()));
                }
            }
        }
        What::Note(words) => {
            let made = note_of_piece(&note_wanted(words)?)?;
            if json { say_json(&made)? } else { tell_noted(&made) }
        }
        What::Dyed(words) => dyed::run(words, json)?,
        What::Repair(words) => {
            let made = begin_repair(&RepairWanted {
                book: words.book.clone(),
                piece: words.piece.clone(),
                costume: words.costume.clone(),
                weight: words.weight.clone(),
                shelf: words.shelf.clone(),
                to: words.to.clone(),
            })?;
            if json { say_json(&made)? } else { tell_repair(&made) }
        }
        What::History(of) => {
            let (piece, costume) = (of.piece.as_deref(), of.costume.as_deref());
            let seen = history(of.book.as_deref(), piece, costume, of.last)?;
            if json { say_json(&seen)? } else { tell_history(&seen) }
        }
        What::Undo(undo) => {
            let made = undo_entry(undo.book.as_deref(), undo.entry, &recording(&undo.who))?;
            if json {
                say_json(&made)?;
            } else {
                let text = made.restores.map_or_else(|| format!(
                    "Undone: entry {}. Entry {} says so; undo that one to have it back.",
                    made.about, made.entry
                ), |again| format!(
                    "RESTORED: entry {} was an undoing. It is taken back, so entry {again} stands again. \
                     Entry {} says so; undo that one to be where you were.",
                    made.about, made.entry
                ));
                say_wrapped("", 0, &text);
            }
        }
        What::Pack(pack) => {
            let made = pack_book(pack.book.as_deref(), &pack.archive)?;
            if json {
                say_json(&made)?;
            } else {
                let text = format!(
                    "Packed {} into {}: {} rows, {} photographs. `dyewright book unpack {}` makes \
                     the same workbook of it elsewhere.",
                    made.book, made.archive, made.rows, made.photographs, made.archive
                );
                say_wrapped("", 0, &text);
            }
        }
        What::Unpack(unpack) => {
            let made = unpack_book(&unpack.archive, unpack.book.as_deref())?;
            if json {
                say_json(&made)?;
            } else {
                let text = format!(
                    "Made {} of {}: {} entries, {} photographs, checked.",
                    made.book, made.archive, made.entries, made.photographs
                );
                say_wrapped("", 0, &text);
            }
        }
    }
    Ok(Ended::Answered)
}

fn checked(words: &OnlyBook, json: bool) -> Result<Ended, Trouble> {
    let found = check_book(words.file.as_deref())?;
    if json {
        say_json(&found)?;
    } else if found.clean {
        let text = format!(
            "{} is whole: {} entries, {} photographs.",
            found.book, found.entries, found.photographs
        );
        say_wrapped("", 0, &text);
    } else {
        say_wrapped("", 0, &format!("{} is damaged.", found.book));
        say_list("What is wrong", &found.faults);
        let hint = "Keep the file as it is, and go back to an archive or a copy of it. What is sound \
                    in it can still be listed.";
        say("");
        say_wrapped("", 0, hint);
    }
    Ok(if found.clean { Ended::Answered } else { Ended::Faulty })
}

fn tell_found(found: &Found) {
    if found.found.is_empty() {
        let text = format!("Nothing within ΔE00 {} of it was dyed before.", found.within);
        say_wrapped("", 0, &text);
        return;
    }
    for near in &found.found {
        let mark = near.reading.hex.as_deref().map_or_else(String::new, chip);
        say("");
        say_wrapped(&format!("{mark}ΔE00 {}  ", near.de00), 2, &near.of);
        match &near.swatch {
            Some(swatch) => tell_swatch(swatch),
            None => say_wrapped("  ", 4, &read(&near.reading)),
        }
    }
}

fn tell_piece(seen: &PieceSeen) {
    let dry = seen.dry_g.map_or_else(String::new, |g| format!(", {g} g dry"));
    say_wrapped("", 2, &format!("{}, of {}: {}{dry}", seen.piece, seen.costume, seen.goods));
    if let Some([l, a, b]) = seen.target {
        say_wrapped("  ", 4, &format!("to reach L* {l}, a* {a}, b* {b} (D65, 10°)"));
    }
    say_list("To have at hand", &seen.dyes);
    for swatch in &seen.swatches {
        say("");
        let code = swatch.code.clone().unwrap_or_else(|| format!("entry {}", swatch.entry));
        say(&format!("Swatch {code}"));
        tell_swatch(swatch);
    }
    for bath in &seen.baths {
        say("");
        tell_bath(bath);
    }
    let readings: Vec<String> = seen.readings.iter().map(read).collect();
    say_list("As it was read", &readings);
    say_list("What was thought of it", &seen.verdicts);
    say_list("To make it again", &seen.again);
    say_list("Assumed", &seen.assumed);
    say_list("Not known", &seen.missing);
}

fn note_wanted(words: &NoteWords) -> Result<NoteWanted, Trouble> {
    Ok(NoteWanted {
        book: words.book.clone(),
        piece: words.piece.clone(),
        costume: words.costume.clone(),
        wanted: words.wanted.clone(),
        as_it_is: words.as_it_is.clone(),
        spread: words.spread,
        state: words.state.clone(),
        by: words.by.clone(),
        reader: words.reader.clone(),
        light: words.light.clone(),
        verdict: words.verdict.clone(),
        swatch: words.swatch.clone(),
        because: words.because.clone(),
        day: words.today.map_or_else(today, Ok)?,
        recording: recording(&words.who),
    })
}

fn tell_noted(made: &Noted) {
    let each: Vec<String> =
        made.entries.iter().map(|e| format!("{} (entry {})", e.kind, e.entry)).collect();
    let text = format!("Noted of {} in {}: {}.", made.piece, made.book, each.join(", "));
    say_wrapped("", 2, &text);
}

fn tell_repair(made: &RepairBegun) {
    let [l, a, b] = made.target;
    let on = made.day.as_ref().map_or_else(String::new, |day| format!(", read {day}"));
    let text = format!(
        "Begun in {}: {} as it is today, L* {l}, a* {a}, b* {b}{on}. Look it over, then \
         `dyewright plan {}`.",
        made.file, made.piece, made.file
    );
    say_wrapped("", 2, &text);
    say_list("Dyed then with", &made.dyes);
    say_list("To know before", &made.notes);
}

fn tell_bath(bath: &BathSeen) {
    say(&format!("Bath of {}: {}", bath.day, bath.purpose));
    let ratio = bath.liquor_ratio.map_or_else(String::new, |r| format!(", {r}:1"));
    let way = bath.programme.as_deref().unwrap_or(&bath.class);
    let mut about = vec![format!("{} g of goods{ratio}, {way}", bath.goods_g)];
    about.extend(bath.undyed.clone());
    about.extend(bath.minutes.map(|m| format!("{m} min")));
    about.extend(bath.hottest_c.map(|t| format!("{t} °C at the hottest")));
    about.extend(bath.from_swatch.as_ref().map(|s| format!("by swatch {s}")));
    say_wrapped("  ", 4, &about.join("; "));
    doses(&bath.doses);
    for one in &bath.readings {
        say_wrapped("  ", 4, &read(one));
    }
    if let Some(note) = &bath.note {
        say_wrapped("  ", 4, note);
    }
}

fn tell_history(seen: &HistorySeen) {
    if seen.events.is_empty() {
        say("Nothing is recorded yet.");
    }
    for event in &seen.events {
        let what = match (event.kind, event.about) {
            (Some(kind), _) => kind.to_owned(),
            (None, Some(about)) => format!("entry {about}"),
            (None, None) => String::new(),
        };
        let named = event.name.as_ref().map_or_else(String::new, |name| format!(" {name}"));
        let text = format!("{}  {} {what}{named}, by {}", event.at, event.did, event.who);
        say_wrapped(&format!("{:>6}  ", event.entry), 8, &text);
    }
}
