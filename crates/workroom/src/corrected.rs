//! Something was dyed, recorded and read: what now? Reads the costume, its shelf and the workbook; writes nothing.

use std::path::PathBuf;

use costume::{Costume, Meant, code_meant};
use lore::Lore;
use plan::Taught;
use plan::document::Correction;
use serde::Serialize;
use units::Day;

use crate::opened::Opened;
use crate::remembered::Remembered;
use crate::{Trouble, WORKBOOK};

/// What to judge.
#[derive(Debug, Clone)]
pub struct CorrectWanted {
    /// The costume file.
    pub file: PathBuf,
    /// A piece by its id, or a swatch by its code.
    pub of: String,
    /// The swatch to judge by; none: of the piece's own the one that reads nearest to its colour.
    pub swatch: Option<String>,
    /// Whether the piece itself came out so, and not only a cutting.
    pub dyed: bool,
    /// A shelf file instead of the one the costume names.
    pub shelf: Option<PathBuf>,
    /// The workbook; none: the one beside the costume file.
    pub book: Option<PathBuf>,
    /// The day it is asked on.
    pub today: Day,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Corrected {
    /// Always "correct".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The costume's name.
    pub costume: String,
    /// The workbook.
    pub book: String,
    /// What it was judged by, in words: a swatch, or the dyeing of the piece itself.
    pub by: String,
    /// What to do.
    #[serde(flatten)]
    pub it: Correction,
    /// What has to be said of the workbook and the files read.
    pub notes: Vec<String>,
}

/// Says what to do with a piece whose swatch was read.
pub fn correct_piece(wanted: &CorrectWanted) -> Result<Corrected, Trouble> {
    let opened = Opened::of(&wanted.file, wanted.shelf.as_deref())?;
    let book = wanted.book.clone().unwrap_or_else(|| wanted.file.with_file_name(WORKBOOK));
    let remembered = Remembered::read(&book)?;
    let Some(taught) = remembered.taught(&opened.shelf, Lore::shipped())? else {
        return Err(Trouble::refused("no workbook was read", "name it with --book"));
    };
    let codes = remembered.codes(&taught);
    let mut meant = vec![];
    let is_piece = opened.costume.pieces.iter().any(|p| p.id == wanted.of);
    let resolved = CorrectWanted {
        of: if is_piece { wanted.of.clone() } else { code_of(&wanted.of, &codes, &mut meant)? },
        swatch: wanted.swatch.as_ref().map(|s| code_of(s, &codes, &mut meant)).transpose()?,
        ..wanted.clone()
    };
    let (piece, code) = found(&resolved, &opened.costume, &remembered, &taught)?;
    let request = opened.request(Some(&taught), wanted.today);
    let it = plan::correct(&request, piece, code.as_deref(), wanted.dyed).map_err(|why| {
        let hint = "judge it by a swatch of its own way and fibre: --swatch CODE; `swatch list` shows them";
        Trouble::refused(why.to_string(), hint)
    })?;
    let mut notes = meant;
    notes.extend(opened.folder.notes());
    notes.extend(remembered.notes(Some(&taught)));
    let by = match remembered.whole(&it.swatch) {
        Some(one) => one
            .swatch
            .day
            .map_or_else(|| "its own dyeing".to_owned(), |day| format!("its own dyeing of {day}")),
        None => format!("swatch {}", it.swatch),
    };
    let asked = taught.doubted().into_iter().filter(|d| !d.codes.contains(&it.swatch));
    notes.extend(asked.map(|d| {
        format!(
            "Not settled either: {} lies {:.1} from what was expected; look at how it was recorded.",
            d.codes.join(", "),
            d.off
        )
    }));
    Ok(Corrected {
        dyewright: "correct",
        version: 1,
        costume: opened.costume.name.clone(),
        book: book.display().to_string(),
        by,
        it,
        notes,
    })
}

/// The code that is meant, and what is said where it is another than was typed.
fn code_of(given: &str, known: &[String], meant: &mut Vec<String>) -> Result<String, Trouble> {
    match code_meant(given, known) {
        Meant::Itself | Meant::Unknown => Ok(given.to_owned()),
        Meant::This(code) => {
            meant.push(format!("\"{given}\" was taken for swatch {code}."));
            Ok(code.to_owned())
        }
        Meant::OneOf(codes) => {
            let says = format!("\"{given}\" may be one of several: {}", codes.join(", "));
            Err(Trouble::refused(says, "write the one that is meant"))
        }
    }
}

/// The piece and the swatch it is judged by.
fn found<'a>(
    wanted: &CorrectWanted,
    costume: &'a Costume,
    remembered: &Remembered,
    taught: &'a Taught,
) -> Result<(&'a costume::Piece, Option<String>), Trouble> {
    let piece_called = |id: &str| costume.pieces.iter().find(|p| p.id == id);
    let coded = |code: &str| taught.lesson(code);
    let (piece, code) = match (piece_called(&wanted.of), coded(&wanted.of)) {
        (Some(piece), _) => (piece, wanted.swatch.clone()),
        (None, Some(lesson)) => {
            let own = lesson.piece.as_ref().filter(|(of, _)| *of == costume.name);
            let piece = own.and_then(|(_, piece)| piece_called(piece)).ok_or_else(|| {
                let says = format!("swatch {} is of no piece of this costume", lesson.code);
                let hint =
                    "name the piece it is for and the swatch: correct FILE PIECE --swatch CODE";
                Trouble::refused(says, hint)
            })?;
            (piece, Some(lesson.code.clone()))
        }
        (None, None) => return Err(nothing_called(wanted, costume, taught)),
    };
    if let Some(code) = code {
        return match coded(&code) {
            Some(_) => Ok((piece, Some(code))),
            None => Err(no_lesson(&code, remembered, taught)),
        };
    }
    // Of a piece that was dyed whole its own reading is judged, of several baths the last; no swatch stands in for it.
    if let Some(code) = remembered.last_whole(&costume.name, &piece.id).filter(|_| wanted.dyed) {
        return match coded(&code) {
            Some(_) => Ok((piece, Some(code))),
            None => Err(unjudged(piece, &code, taught)),
        };
    }
    let held_out = taught.held_out_of(&costume.name, &piece.id);
    if held_out.is_none() && taught.own_of(&costume.name, &piece.id).is_empty() {
        let passed: Vec<String> = taught
            .passed_over()
            .iter()
            .map(|p| format!("{} ({})", p.codes.join(", "), p.why.words()))
            .collect();
        let but = match passed.is_empty() {
            true => String::new(),
            false => format!("; these of the workbook teach nothing: {}", passed.join("; ")),
        };
        let says = format!("no swatch of {} in the workbook teaches{but}", piece.name);
        let hint = format!(
            "record one with costume = \"{}\" and piece = \"{}\", and its reading; or name another with \
             --swatch CODE",
            costume.name, piece.id
        );
        return Err(Trouble::refused(says, hint));
    }
    Ok((piece, None))
}

fn nothing_called(wanted: &CorrectWanted, costume: &Costume, taught: &Taught) -> Trouble {
    let pieces: Vec<&str> = costume.pieces.iter().map(|p| p.id.as_str()).collect();
    let codes: Vec<&str> = taught.lessons().iter().map(|l| l.code.as_str()).collect();
    let swatches = match codes.is_empty() {
        true => "no swatch of the workbook teaches".to_owned(),
        false => format!("swatches that teach are {}", codes.join(", ")),
    };
    Trouble::refused(
        format!("\"{}\" is no piece of this costume, and no swatch that teaches", wanted.of),
        format!("pieces are {}; {swatches}", pieces.join(", ")),
    )
}

/// Why a piece that was dyed whole cannot be judged by its own bath.
fn unjudged(piece: &costume::Piece, code: &str, taught: &Taught) -> Trouble {
    let passed = taught.passed_over().iter().find(|p| p.codes.iter().any(|c| c == code));
    let why = passed.map_or("its bath teaches nothing", |p| p.why.words());
    Trouble::refused(
        format!("{} was dyed whole ({code}), and is not judged by a swatch: {why}", piece.name),
        "read it again, washed off, dry, cool and ironed, and record that reading; or judge it by a swatch that you \
         name, with --swatch CODE",
    )
}

/// Why a swatch that was named cannot be judged by.
fn no_lesson(code: &str, remembered: &Remembered, taught: &Taught) -> Trouble {
    let passed = taught.passed_over().iter().find(|p| p.codes.iter().any(|c| c == code));
    match passed {
        Some(passed) => Trouble::refused(
            format!("swatch {code} teaches nothing: {}", passed.why.words()),
            "judge by another swatch, or put that right and record it",
        ),
        None => {
            let known: Vec<&str> =
                remembered.evidence.iter().filter_map(|e| e.swatch.code.as_deref()).collect();
            Trouble::refused(
                format!("there is no swatch {code} in the workbook"),
                format!(
                    "it has {}",
                    if known.is_empty() { "none".to_owned() } else { known.join(", ") }
                ),
            )
        }
    }
}
