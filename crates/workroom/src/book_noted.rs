//! What is noted of a piece by itself: the colour wanted, how it was read as it is today, what was thought of it.

use std::path::{Path, PathBuf};

use colour::{Spread, Value};
use costume::AsGiven;
use serde::Serialize;
use units::Day;
use workbook::{
    Aim, Book, Call, Condition, Hand, Id, Means, Piece, Reading, Refusal, Subject, Swatch, Target,
    Told, Verdict, WithReadings,
};

use crate::Trouble;
use crate::as_noted::value;
use crate::asked::{Asked, colour};
use crate::book_asked::piece_called;
use crate::books::{Recording, place, trouble};

/// What to note of a piece.
#[derive(Debug, Clone)]
pub struct NoteWanted {
    /// The workbook; none: the usual one in this folder.
    pub book: Option<PathBuf>,
    /// The piece, by its name.
    pub piece: String,
    /// Its costume, where several have such a piece.
    pub costume: Option<String>,
    /// The colour it is to reach.
    pub wanted: Option<String>,
    /// Its colour as it is today.
    pub as_it_is: Option<String>,
    /// How far that reading may be off, rms ΔE00.
    pub spread: Option<f64>,
    /// The state it was read in, word by word.
    pub state: Vec<String>,
    /// By what means it was read.
    pub by: String,
    /// Whose eye, which camera or instrument.
    pub reader: Option<String>,
    /// The light it was read in.
    pub light: Option<String>,
    /// What is thought of it.
    pub verdict: Option<String>,
    /// The swatch that is judged, by its code.
    pub swatch: Option<String>,
    /// Why, or anything else.
    pub because: Option<String>,
    /// The day of all that.
    pub day: Day,
    /// Who and when.
    pub recording: Recording,
}

/// What was noted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Noted {
    /// Always "book-note".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The workbook.
    pub book: String,
    /// The piece.
    pub piece: String,
    /// The entries made, and of what kind each is.
    pub entries: Vec<EntryMade>,
}

/// An entry made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct EntryMade {
    /// Its number.
    pub entry: i64,
    /// target, reading or verdict.
    pub kind: &'static str,
}

/// Notes something of a piece that is in the workbook: all of what is told, or nothing.
pub fn note_of_piece(wanted: &NoteWanted) -> Result<Noted, Trouble> {
    if wanted.wanted.is_none() && wanted.as_it_is.is_none() && wanted.verdict.is_none() {
        return Err(Trouble::refused(
            "there is nothing to note",
            "tell --wanted, --as-it-is or --verdict",
        ));
    }
    let only_of_reading = wanted.spread.is_some() || !wanted.state.is_empty();
    if wanted.as_it_is.is_none() && only_of_reading {
        let says = "--spread and --state are of a reading, and none is given";
        return Err(Trouble::refused(says, "give the reading with --as-it-is"));
    }
    if wanted.swatch.is_some() && wanted.verdict.is_none() {
        let says = "--swatch tells which swatch is judged, and there is no verdict";
        return Err(Trouble::refused(says, "give the verdict too, as in --verdict accepted"));
    }
    let path = place(wanted.book.as_deref());
    let stamp = wanted.recording.stamp()?;
    let said = |e: Refusal| trouble(&e, &path);
    let aim = wanted.wanted.as_deref().map(|c| given("--wanted", c, &path)).transpose()?;
    let read = wanted.as_it_is.as_deref().map(|c| given("--as-it-is", c, &path)).transpose()?;
    let call = wanted.verdict.as_deref().map(Call::from_word).transpose().map_err(said)?;
    let condition = condition(&wanted.state)?;
    let means = Means::from_word(&wanted.by).map_err(said)?;
    let spread = match wanted.spread {
        None => Spread::Unknown,
        Some(rms) => Spread::try_rms(rms)
            .map_err(|e| Trouble::refused(e.to_string(), "write it as --spread 1.5"))?,
    };
    let mut book = Book::open(&path).map_err(said)?;
    let piece = piece_called(&book, &path, &wanted.piece, wanted.costume.as_deref())?;
    let judged = wanted.swatch.as_deref();
    let judged =
        judged.map(|code| of_piece(&book, &path, code, piece, &wanted.piece)).transpose()?;
    let note = || wanted.because.clone();
    let made = book.write(|w| {
        let mut entries = vec![];
        if let Some(aim) = aim {
            let it = Target { piece, aim: Aim::Shade(aim), note: None };
            let id = w.record_target(&stamp, &it)?;
            entries.push(EntryMade { entry: id.entry().number(), kind: "target" });
        }
        let mut reading = None;
        if let Some(value) = read {
            let it = Reading {
                of: Subject::Piece(piece),
                value,
                also: vec![],
                spread,
                condition,
                day: Some(wanted.day),
                job: None,
                lamp: wanted.light.clone(),
                means,
                device: wanted.reader.clone(),
                photograph: None,
                hand: Hand::Own,
                note: note().filter(|_| call.is_none()),
            };
            let id = w.record_reading(&stamp, &it)?;
            reading = Some(id);
            entries.push(EntryMade { entry: id.entry().number(), kind: "reading" });
        }
        if let Some(call) = call {
            let (swatch, bath, day) = (judged, None, wanted.day);
            let it = Verdict { piece, swatch, bath, reading, call, day, note: note() };
            let id = w.record_verdict(&stamp, &it)?;
            entries.push(EntryMade { entry: id.entry().number(), kind: "verdict" });
        }
        Ok(entries)
    });
    Ok(Noted {
        dyewright: "book-note",
        version: 1,
        book: path.display().to_string(),
        piece: wanted.piece.clone(),
        entries: made.map_err(said)?,
    })
}

/// The swatch of this code, one that was dyed for the piece or that its baths repeat.
fn of_piece(
    book: &Book,
    path: &Path,
    code: &str,
    piece: Id<Piece>,
    name: &str,
) -> Result<Id<Swatch>, Trouble> {
    let said = |e: Refusal| trouble(&e, path);
    let record = book.record_of(piece).map_err(said)?;
    let all = crate::known_here::codes(book).map_err(said)?;
    let code = match costume::code_meant(code, &all) {
        costume::Meant::This(meant) => meant,
        _ => code,
    };
    let own = |(s, _): &&WithReadings<Swatch>| s.it.code.as_deref() == Some(code);
    if let Some((swatch, _)) = record.swatches.iter().find(own) {
        return Ok(swatch.id);
    }
    let codes: Vec<&str> =
        record.swatches.iter().filter_map(|(s, _)| s.it.code.as_deref()).collect();
    let hint = match codes.is_empty() {
        true => "it has none with a code".to_owned(),
        false => format!("it has {}", codes.join(", ")),
    };
    Err(Trouble::refused(format!("\"{name}\" has no swatch \"{code}\""), hint))
}

/// A colour as every command takes it, kept as what it is: a screen's as a screen's.
pub(crate) fn given(argument: &str, written: &str, path: &Path) -> Result<Value, Trouble> {
    let mut asked = Asked::default();
    asked
        .line("[costume]\nname = \"q\"\n\n[[piece]]\nid = \"q\"\ncloth = \"cotton\"\nweight_g = 1");
    let line = colour("target", written);
    asked.argument(argument, written, line, "target = { lab = [50.0, 0.0, 0.0] }");
    let costume = asked.costume(lore::Lore::shipped())?;
    let found: Option<AsGiven> = costume.pieces.into_iter().next().map(|p| p.target.as_given);
    let none = || Trouble::refused(format!("\"{written}\" is no colour"), "see docs/commands.md");
    value(&found.ok_or_else(none)?).map_err(|e| trouble(&e, path))
}

/// The words of a state, and what each says.
pub(crate) const STATES: [(&str, &str); 4] =
    [("washed-off", "not-washed-off"), ("dry", "wet"), ("cool", "warm"), ("ironed", "not-ironed")];

pub(crate) fn condition(state: &[String]) -> Result<Condition, Trouble> {
    let mut told = [Told::Unsaid; 4];
    for word in state {
        let at = STATES.iter().position(|(yes, no)| word == yes || word == no);
        let Some(at) = at else {
            let known = STATES.map(|(yes, no)| format!("{yes} or {no}")).join(", ");
            let says = format!("--state \"{word}\" is no state of cloth");
            return Err(Trouble::refused(says, format!("write {known}")));
        };
        if told[at] != Told::Unsaid {
            let (yes, no) = STATES[at];
            let says = format!("--state says twice whether it was {yes} or {no}");
            return Err(Trouble::refused(says, "say it once"));
        }
        told[at] = if word == STATES[at].0 { Told::Yes } else { Told::No };
    }
    let [washed_off, dry, cool, ironed] = told;
    Ok(Condition {
        washed_off,
        dry,
        cool,
        ironed,
        nap: workbook::Nap::Unsaid,
        backing: workbook::Backing::Unsaid,
    })
}
