//! A bath of a plan in which pieces were dyed whole, as typed into a form; and how a piece came out of its last bath.
//!
//! Written as a `[[bath]]` of a file of swatches and recorded as one, so that file, command line and form say the same.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use colour::Spread;
use plan::document::{PiecePlan, Plan, Sheet};
use units::Day;
use workbook::{Book, Hand, Means, Reading, Refusal, Subject};

use crate::asked::{quoted, toml_number};
use crate::book_asked::piece_called;
use crate::book_noted::{condition, given};
use crate::books::trouble;
use crate::opened::Opened;
use crate::piece_written::piece_as_written;
use crate::predicted::undyed_line;
use crate::swatch_typed::{Form, day};
use crate::swatches_recorded::{TYPED, record_text};
use crate::{Recording, SwatchesRecorded, Trouble, WORKBOOK};

/// Longest in a dye bath, min: a vat stands for days, none for a month.
const MOST_MIN: f64 = 43_200.0;
/// Hottest, °C: a pressure cooker's.
const MOST_C: f64 = 130.0;

/// A number of minutes or degrees as typed, none where nothing was; from 0 to the most there is.
fn measured(given: &str, most: f64) -> Result<Option<f64>, (String, String)> {
    let given = given.trim();
    if given.is_empty() {
        return Ok(None);
    }
    let read = given.replace(',', ".").parse::<f64>().ok();
    read.filter(|n| (0.0..=most).contains(n)).map(Some).ok_or_else(|| {
        let says = format!("\"{given}\" is not a number from 0 to {most}");
        (says, "write it as 65, or leave it empty".to_owned())
    })
}

/// Minutes in a bath and its heat at the hottest (°C) as typed, in words for a note; nothing of what is empty.
///
/// # Errors
/// What is no number, below 0, longer than a month or hotter than 130 °C: both at once.
pub fn time_and_heat(minutes: &str, hottest: &str) -> Result<Vec<String>, Trouble> {
    let mut form = Form::default();
    let mut told = vec![];
    let all = [
        ("how long it was in the bath", minutes, MOST_MIN, "min in the dye bath"),
        ("how hot it was", hottest, MOST_C, "°C at the hottest"),
    ];
    for (what, given, most, words) in all {
        match measured(given, most) {
            Ok(read) => told.extend(read.map(|n| format!("{n} {words}"))),
            Err(why) => form.fault(what, given.trim(), why),
        }
    }
    form.sound()?;
    Ok(told)
}

/// What a form says of pieces dyed whole.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct DyedTyped {
    /// The day, year-month-day.
    pub day: String,
    /// dye, top up or overdye.
    pub purpose: String,
    /// What was really dosed, by the id of the dye or auxiliary; what is missing is as planned.
    pub doses: BTreeMap<String, String>,
    /// What took the dye, g, by the id of the piece.
    pub weights: BTreeMap<String, String>,
    /// How long the goods were in the bath; empty: nobody knows.
    pub minutes: String,
    /// How hot it was at the hottest, °C; empty: nobody knows.
    pub hottest: String,
    /// Anything else.
    pub note: String,
}

/// Records a bath of a plan in which pieces were dyed whole, into the workbook named or the one beside the file.
///
/// # Errors
/// What cannot be read: all of it at once; what the workbook refuses.
pub fn record_dyed_typed(
    file: &Path,
    plan: &Plan,
    (piece, sheet): (&PiecePlan, &Sheet),
    typed: &DyedTyped,
    book: Option<&Path>,
    recording: &Recording,
) -> Result<SwatchesRecorded, Trouble> {
    let mut form = Form::default();
    let mut really = sheet.clone();
    form.dosed(&mut really, &typed.doses);
    let mut lines = vec![];
    form.kept(&typed.day, "the day it was dyed", day(&typed.day), &mut lines);
    let number = |form: &mut Form, what: &str, key: &str, given: &str| {
        let most = if key == "minutes" { MOST_MIN } else { MOST_C };
        match measured(given, most) {
            Ok(read) => read.map(|n| format!("{key} = {}", toml_number(&n.to_string()))),
            Err(why) => {
                form.fault(what, given.trim(), why);
                None
            }
        }
    };
    lines.extend(number(&mut form, "how long it was in the bath", "minutes", &typed.minutes));
    lines.extend(number(&mut form, "how hot it was", "hottest_c", &typed.hottest));
    let pieces = weights(&mut form, plan, sheet, &typed.weights);
    if !typed.purpose.is_empty() {
        lines.push(format!("purpose = {}", quoted(&typed.purpose)));
    }
    if let Some(code) = sheet.swatch_recorded.as_ref().and_then(|swatch| swatch.code.as_ref()) {
        lines.push(format!("from_swatch = {}", quoted(code)));
    }
    let undyed = piece_as_written(file, &piece.id).map(|it| it.undyed).unwrap_or_default();
    if !undyed.is_empty() {
        lines.extend(undyed_line(&undyed).ok());
    }
    if !typed.note.trim().is_empty() {
        lines.push(format!("note = {}", quoted(typed.note.trim())));
    }
    form.sound()?;
    let of: Vec<(&str, f64)> = pieces.iter().map(|(id, grams)| (id.as_str(), *grams)).collect();
    let text = paper::bath_done(plan, piece, &really, &of, &lines).ok_or_else(|| {
        let says = format!("nobody knows yet what {} is made of", piece.name);
        Trouble::refused(says, "say its cloth on its page first")
    })?;
    let opened = Opened::of(file, None)?;
    let path: PathBuf = book.map_or_else(|| file.with_file_name(WORKBOOK), Path::to_path_buf);
    record_text(&path, (TYPED, &text), (file, &opened.shelf), recording)
}

/// The pieces of a bath with what of each takes dye, g: as planned where nothing else was typed.
#[must_use]
pub fn taking_dye(plan: &Plan, sheet: &Sheet) -> Vec<(String, f64)> {
    if let [one] = &sheet.pieces[..] {
        return vec![(one.clone(), sheet.takes_g)];
    }
    let share = sheet.takes_g / sheet.dry_g.max(1e-9);
    let of = |id: &String| {
        let dry = plan.pieces.iter().find(|p| p.id == *id).map_or(0.0, |p| p.goods.dry_g);
        (id.clone(), (dry * share * 10.0).round() / 10.0)
    };
    sheet.pieces.iter().map(of).collect()
}

fn weights(
    form: &mut Form,
    plan: &Plan,
    sheet: &Sheet,
    typed: &BTreeMap<String, String>,
) -> Vec<(String, f64)> {
    let mut all = taking_dye(plan, sheet);
    for (id, grams) in &mut all {
        let Some(given) = typed.get(id).map(|w| w.trim()).filter(|w| !w.is_empty()) else {
            continue;
        };
        match crate::amount_typed::amount_typed(given, "cloth", false) {
            Ok(really) => *grams = really,
            Err((says, _)) => {
                let hint = "write what took the dye in grams, as 250 g".to_owned();
                form.fault(&format!("weight of {id}"), given, (says, hint));
            }
        }
    }
    all
}

/// How a piece reads, as typed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ReadingTyped {
    /// How it reads.
    pub colour: String,
    /// How far that reading may be off, rms ΔE00; empty: nobody knows.
    pub spread: String,
    /// The day it was read, year-month-day.
    pub day: String,
    /// The state it was read in: those of `washed_off`, `dry`, `cool`, `ironed` that hold.
    pub state: Vec<String>,
    /// By what means it was read: instrument, photograph, eye.
    pub by: String,
    /// Whose eye, which camera or instrument.
    pub reader: String,
    /// The light it was read in.
    pub light: String,
    /// By what readings of one go are known, as a photograph; empty: none.
    pub job: String,
}

/// Records how a piece came out of the last bath it was dyed whole in; gives back the entry made.
///
/// # Errors
/// A colour, a spread or a day that cannot be read; no bath of the piece on record; what the workbook refuses.
pub fn record_dyed_reading(
    file: &Path,
    (costume, piece): (&str, &str),
    typed: &ReadingTyped,
    book: Option<&Path>,
    recording: &Recording,
) -> Result<i64, Trouble> {
    let path: PathBuf = book.map_or_else(|| file.with_file_name(WORKBOOK), Path::to_path_buf);
    let said = |e: Refusal| trouble(&e, &path);
    let value = given("how it came out", typed.colour.trim(), &path)?;
    let spread = typed.spread.trim().replace(',', ".");
    let spread = match (spread.is_empty(), spread.parse::<f64>()) {
        (true, _) => Spread::Unknown,
        (false, Ok(rms)) => Spread::try_rms(rms)
            .map_err(|e| Trouble::refused(e.to_string(), "write how far it may be off as 1.0"))?,
        (false, Err(_)) => {
            let says = format!("\"{spread}\" is not how far a reading may be off");
            return Err(Trouble::refused(says, "write it as 1.0"));
        }
    };
    let day: Day = typed.day.trim().parse().map_err(|_| {
        Trouble::refused(format!("\"{}\" is not a day", typed.day), "write it as 2031-05-02")
    })?;
    let keys = ["washed_off", "dry", "cool", "ironed"];
    let state: Vec<String> = keys
        .iter()
        .zip(crate::book_noted::STATES)
        .map(|(key, (yes, no))| match typed.state.iter().any(|s| s == key) {
            true => yes.to_owned(),
            false => no.to_owned(),
        })
        .collect();
    let condition = condition(&state)?;
    let means = Means::from_word(&typed.by).map_err(said)?;
    let stamp = recording.stamp()?;
    let mut book = Book::open(&path).map_err(said)?;
    let id = piece_called(&book, &path, piece, Some(costume))?;
    let record = book.record_of(id).map_err(said)?;
    let bath = record.baths.iter().rev().map(|(bath, _)| bath.id).next().ok_or_else(|| {
        let says = format!("no bath is on record in which {piece} was dyed whole");
        Trouble::refused(says, "record what was really done first, on the page of its bath")
    })?;
    let text = |given: &str| Some(given.trim().to_owned()).filter(|given| !given.is_empty());
    let it = Reading {
        of: Subject::Dyed { bath, piece: id },
        value,
        also: vec![],
        spread,
        condition,
        day: Some(day),
        job: text(&typed.job),
        lamp: text(&typed.light),
        means,
        device: text(&typed.reader),
        photograph: None,
        hand: Hand::Own,
        note: None,
    };
    let made = book.write(|w| w.record_reading(&stamp, &it)).map_err(said)?;
    Ok(made.entry().number())
}

#[cfg(test)]
mod tests {
    use std::ops::ControlFlow;

    use super::*;
    use crate::{
        CorrectWanted, PlanWanted, Stamp, correct_piece, plan_costume, record_of_piece, undo_entry,
    };

    const TEXT: &str = "[costume]\nname = \"A\"\n[[piece]]\nid = \"scarf\"\ncloth = \"cotton\"\nweight_g = 100\n\
                        undyed = \"white\"\ntarget = { hex = \"#2f6f5a\" }\n";

    #[test]
    fn a_piece_dyed_whole_is_recorded_as_dosed_read_judged_and_taken_back() -> Result<(), Trouble> {
        let folder = tempfile::tempdir().unwrap_or_else(|e| panic!("{e}"));
        let file = folder.path().join("c.toml");
        std::fs::write(&file, TEXT).unwrap_or_else(|e| panic!("{e}"));
        let today = Day::try_ymd(2031, 5, 12).unwrap_or_else(|e| panic!("{e}"));
        let wanted = PlanWanted {
            file: file.clone(),
            shelf: None,
            book: None,
            out: None,
            today,
            hand_out: vec![],
            stamp: Stamp::try_utc("20310512T100000Z").unwrap_or_else(|e| panic!("{e}")),
            write: false,
        };
        let plan = plan_costume(&wanted, &mut |_| ControlFlow::Continue(()))?.plan;
        let piece = &plan.pieces[0];
        let sheet = piece.sheets.iter().find(|s| s.kind == "bulk").unwrap();
        let recording = Recording { who: "me".to_owned(), at: "2031-05-12T10:00:00Z".to_owned() };
        let mut typed = DyedTyped {
            day: "2031-05-12".to_owned(),
            purpose: "dye".to_owned(),
            minutes: "lots".to_owned(),
            hottest: "38".to_owned(),
            weights: BTreeMap::from([("scarf".to_owned(), "heavy".to_owned())]),
            ..DyedTyped::default()
        };
        let record = |typed: &DyedTyped| {
            record_dyed_typed(&file, &plan, (piece, sheet), typed, None, &recording)
        };
        let Err(Trouble::Faults(faults)) = record(&typed) else { panic!("taken") };
        assert_eq!(faults.list.len(), 2, "{faults}");
        assert!(!folder.path().join(WORKBOOK).exists(), "nothing was begun for a refusal");
        typed.minutes = "72".to_owned();
        typed.weights = BTreeMap::from([("scarf".to_owned(), "104 g".to_owned())]);
        typed.doses = BTreeMap::from([(sheet.dyes[0].id.clone(), "3".to_owned())]);
        assert_eq!(record(&typed)?.baths, 1);
        assert_eq!(record(&typed)?.already, 1, "the same again is no second bath");
        let book = folder.path().join(WORKBOOK);
        let seen = record_of_piece(Some(&book), "scarf", Some("A"))?;
        let bath = &seen.baths[0];
        assert_eq!((bath.minutes, bath.hottest_c, bath.goods_g), (Some(72.0), Some(38.0), 104.0));
        let reading = ReadingTyped {
            colour: "44 -26 6".to_owned(),
            spread: "1,0".to_owned(),
            day: "2031-05-13".to_owned(),
            state: ["washed_off", "dry", "cool", "ironed"].map(str::to_owned).to_vec(),
            by: "photograph".to_owned(),
            ..ReadingTyped::default()
        };
        let read =
            |it: &ReadingTyped| record_dyed_reading(&file, ("A", "scarf"), it, None, &recording);
        assert!(read(&ReadingTyped { colour: "greenish".to_owned(), ..reading.clone() }).is_err());
        let entry = read(&reading)?;
        let asked = CorrectWanted {
            file: file.clone(),
            of: "scarf".to_owned(),
            swatch: None,
            dyed: true,
            shelf: None,
            book: None,
            today,
        };
        let judged = correct_piece(&asked)?;
        assert!(judged.by.contains("its own dyeing"), "{}", judged.by);
        undo_entry(Some(&book), Some(entry), &recording)?;
        undo_entry(Some(&book), Some(bath.entry), &recording)?;
        assert!(record_of_piece(Some(&book), "scarf", Some("A"))?.baths.is_empty());
        assert!(read(&reading).is_err(), "there is no bath any more");
        Ok(())
    }
}
