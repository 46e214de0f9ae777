//! A swatch dyed long ago, as a form tells of it and a photograph reads it: written as a `[[swatch]]` with its old note
//! and recorded as one, so that both ways say the same.
//!
//! Whose scale and water it was is not known, so it teaches less than one's own; that is decided where swatches teach.

use std::path::Path;

use costume::{Fault, Faults};

use crate::asked::{cloth, colour, quoted, toml_number};
use crate::books::place;
use crate::disk::Folder;
use crate::opened::shelf_for;
use crate::predicted::undyed_line;
use crate::swatches_recorded::{TYPED, record_text};
use crate::{Recording, SwatchesRecorded, Trouble};

/// A dye and how much of it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OldDose {
    /// A dye of the shelf, by its id.
    pub dye: String,
    /// As "1.2 %" on the weight of the cloth, or "0.24 g".
    pub amount: String,
}

/// What a form says of an old swatch.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OldSwatch {
    /// What stands on it.
    pub code: String,
    /// Where the old note stands.
    pub note: String,
    /// The day it was dyed; empty: nobody knows.
    pub day: String,
    /// Its cloth.
    pub cloth: String,
    /// The cloth undyed; empty: nobody knows.
    pub undyed: String,
    /// Dry weight of the cutting, g.
    pub weight: String,
    /// Litres of liquor per kilogram; empty: nobody knows.
    pub ratio: String,
    /// What was dosed; rows without a dye do not count.
    pub doses: Vec<OldDose>,
    /// How it reads.
    pub colour: String,
    /// How far that may be off, rms ΔE00; empty: nobody knows.
    pub spread: String,
    /// By what means it was read.
    pub by: String,
    /// The light it was read in.
    pub light: String,
    /// A name for readings taken at one go.
    pub job: String,
    /// The day it was read.
    pub read_on: String,
}

/// Records an old swatch into a workbook; one is begun where there is none.
///
/// # Errors
/// What cannot be read, all of it at once; dyes that take on no such cloth; what the workbook refuses.
pub fn record_old(
    book: Option<&Path>,
    shelf: Option<&Path>,
    told: &OldSwatch,
    recording: &Recording,
) -> Result<SwatchesRecorded, Trouble> {
    let text = written(told)?;
    let path = place(book);
    let shelf = shelf_for(shelf, None, &Folder::of(&path))?;
    record_text(&path, (TYPED, &text), (&path, &shelf), recording)
}

/// The lines of the form, or all that cannot be read in it.
fn written(told: &OldSwatch) -> Result<String, Trouble> {
    let mut form = Form::default();
    form.text(
        "code",
        "what stands on it",
        &told.code,
        "write a code that no other swatch has, as old-1",
    );
    form.text("old_note", "where the note stands", &told.note, "as: blue notebook, page 12");
    form.line("the cloth", &told.cloth, cloth(told.cloth.trim()));
    if !told.undyed.trim().is_empty() {
        form.line("the cloth before dyeing", &told.undyed, undyed_line(told.undyed.trim()));
    }
    form.number("weight_g", "the weight of the cutting, g", &told.weight, true);
    form.number("liquor_ratio", "litres of liquor per kilogram", &told.ratio, false);
    form.day("day", "the day it was dyed", &told.day);
    let doses: Vec<String> = told
        .doses
        .iter()
        .filter(|dose| !dose.dye.trim().is_empty() || !dose.amount.trim().is_empty())
        .filter_map(|dose| form.dose(dose))
        .collect();
    if doses.is_empty() && form.faults.is_empty() {
        let hint = "choose a dye and say how much of it, as 1.2 % or 0.24 g".to_owned();
        form.fault("the dyes", "", ("no dye is told".to_owned(), hint));
    }
    form.lines.push(format!("dose = [{}]", doses.join(", ")));
    form.reading(told);
    if form.faults.is_empty() {
        return Ok(format!("[[swatch]]\n{}\n", form.lines.join("\n")));
    }
    let file = TYPED.to_owned();
    Err(Faults { file, text: form.typed, list: form.faults }.into())
}

/// What was typed, gathered with what is wrong in it.
#[derive(Default)]
struct Form {
    lines: Vec<String>,
    typed: String,
    faults: Vec<Fault>,
}

impl Form {
    fn fault(&mut self, what: &str, given: &str, (says, hint): (String, String)) {
        self.typed.push_str(what);
        self.typed.push_str(": ");
        let start = self.typed.len();
        self.typed.push_str(given);
        let span = start..self.typed.len();
        self.typed.push('\n');
        self.faults.push(Fault { span, says, hint });
    }

    fn line(&mut self, what: &str, given: &str, line: Result<String, (String, String)>) {
        match line {
            Ok(line) => self.lines.push(line),
            Err(why) => self.fault(what, given, why),
        }
    }

    fn text(&mut self, key: &str, what: &str, given: &str, hint: &str) {
        let given = given.split_whitespace().collect::<Vec<_>>().join(" ");
        match given.is_empty() {
            true => self.fault(what, "", (format!("{what} is not told"), hint.to_owned())),
            false => self.lines.push(format!("{key} = {}", quoted(&given))),
        }
    }

    fn number(&mut self, key: &str, what: &str, given: &str, needed: bool) {
        let given = given.trim();
        if given.is_empty() && !needed {
            return;
        }
        match positive(given) {
            Some(n) => self.lines.push(format!("{key} = {}", toml_number(&n.to_string()))),
            None => {
                let says = format!("\"{given}\" is not {what}");
                self.fault(what, given, (says, "write a number above nought, as 2.0".to_owned()));
            }
        }
    }

    fn day(&mut self, key: &str, what: &str, given: &str) {
        let given = given.trim();
        if given.is_empty() {
            return;
        }
        let day: Result<units::Day, _> = given.parse();
        match day {
            Ok(day) => self.lines.push(format!("{key} = {day}")),
            Err(_) => {
                let says = format!("\"{given}\" is not a day");
                self.fault(
                    what,
                    given,
                    (says, "write it as 2031-05-02, or leave it empty".to_owned()),
                );
            }
        }
    }

    fn dose(&mut self, dose: &OldDose) -> Option<String> {
        let (dye, amount) = (dose.dye.trim(), dose.amount.trim());
        let hint = || "choose a dye and say how much of it, as 1.2 % or 0.24 g".to_owned();
        if dye.is_empty() {
            self.fault("a dye", amount, ("no dye stands to this amount".to_owned(), hint()));
            return None;
        }
        let key = [("%", "owf_pct"), ("g", "grams")];
        let found = key.iter().find_map(|(unit, key)| {
            let number = positive(amount.strip_suffix(unit)?.trim())?;
            Some(format!(
                "{{ dye = {}, {key} = {} }}",
                quoted(dye),
                toml_number(&number.to_string())
            ))
        });
        if found.is_none() {
            let says = format!("\"{amount}\" is no amount of {dye}");
            self.fault(dye, amount, (says, hint()));
        }
        found
    }

    fn reading(&mut self, told: &OldSwatch) {
        let given = told.colour.trim();
        if given.is_empty() {
            return;
        }
        let mut parts = match colour("colour", given) {
            Ok(line) => vec![line],
            Err(why) => {
                self.fault("how it reads", given, why);
                return;
            }
        };
        if let Some(rms) = positive(told.spread.trim()) {
            parts.push(format!("spread = {}", toml_number(&rms.to_string())));
        }
        // Whoever finds an old swatch has it dry and cool before them; how it was washed nobody knows.
        parts.push("dry = true, cool = true".to_owned());
        for (key, given) in [("by", &told.by), ("light", &told.light), ("job", &told.job)] {
            if !given.trim().is_empty() {
                parts.push(format!("{key} = {}", quoted(given.trim())));
            }
        }
        if let Ok(day) = told.read_on.trim().parse::<units::Day>() {
            parts.push(format!("read_on = {day}"));
        }
        self.lines.push(format!("reading = [{{ {} }}]", parts.join(", ")));
    }
}

fn positive(given: &str) -> Option<f64> {
    given.replace(',', ".").parse::<f64>().ok().filter(|n| n.is_finite() && *n > 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{WORKBOOK, list_shelf, list_swatches};

    #[test]
    fn an_old_swatch_is_recorded_as_an_old_note_and_slips_are_told_at_once() -> Result<(), Trouble>
    {
        let folder = tempfile::tempdir().unwrap_or_else(|e| panic!("{e}"));
        let book = folder.path().join(WORKBOOK);
        let recording = Recording { who: "me".to_owned(), at: "2031-05-12T10:00:00Z".to_owned() };
        let today = units::Day::try_ymd(2031, 5, 12).unwrap_or_else(|e| panic!("{e}"));
        let dyes = list_shelf(None, None, today)?.dyes;
        let reactive = dyes.iter().find(|d| d.class.contains("reactive")).map(|d| d.id.clone());
        let dose = |amount: &str| OldDose {
            dye: reactive.clone().unwrap_or_default(),
            amount: amount.to_owned(),
        };
        let told = OldSwatch {
            code: "old-1".to_owned(),
            note: "blue notebook,\npage 12".to_owned(),
            cloth: "cotton".to_owned(),
            weight: "2,5".to_owned(),
            doses: vec![dose("1,2 %"), OldDose::default()],
            colour: "45 -12.5 8".to_owned(),
            spread: "1.4".to_owned(),
            by: "photograph".to_owned(),
            job: "photograph 1".to_owned(),
            ..OldSwatch::default()
        };
        let slips = OldSwatch {
            code: " ".to_owned(),
            weight: "little".to_owned(),
            day: "long ago".to_owned(),
            doses: vec![dose("a pinch")],
            colour: "greenish".to_owned(),
            ..told.clone()
        };
        let Err(Trouble::Faults(faults)) = record_old(Some(&book), None, &slips, &recording) else {
            panic!("taken");
        };
        assert_eq!(faults.list.len(), 5, "{faults}");
        assert!(!book.exists(), "nothing was begun for a refusal");
        let made = record_old(Some(&book), None, &told, &recording)?;
        assert_eq!((made.swatches, made.readings), (1, 1));
        let seen = list_swatches(Some(&book))?;
        let one = &seen.swatches[0];
        assert!(one.whose.contains("blue notebook, page 12"), "{}", one.whose);
        assert_eq!(one.doses[0].owf_pct, Some(1.2));
        Ok(())
    }
}
