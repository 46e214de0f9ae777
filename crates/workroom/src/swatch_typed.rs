//! A swatch of a plan that was dyed and read, as typed into a form: written as a file of swatches and recorded as one,
//! so that both ways say the same.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use costume::{Fault, Faults};
use plan::document::{PiecePlan, Plan, Sheet};

use crate::amount_typed::amount_typed;
use crate::asked::{colour, quoted, toml_number};
use crate::opened::Opened;
use crate::piece_written::piece_as_written;
use crate::predicted::undyed_line;
use crate::swatches_recorded::{TYPED, record_text};
use crate::{Recording, SwatchesRecorded, Trouble, WORKBOOK};

/// What a form says of a swatch.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SwatchTyped {
    /// The code of its card.
    pub code: String,
    /// The day it was dyed, year-month-day.
    pub day: String,
    /// What was really dosed, by the id of the dye or auxiliary: mL of its stock, or grams, as on the sheet.
    pub doses: BTreeMap<String, String>,
    /// How it reads; empty: not read yet.
    pub colour: String,
    /// How far that reading may be off, rms ΔE00; empty: nobody knows.
    pub spread: String,
    /// The state it was read in: those of `washed_off`, `dry`, `cool`, `ironed` that hold.
    pub state: Vec<String>,
    /// By what means it was read: instrument, photograph, eye.
    pub by: String,
    /// Whose eye, which camera or instrument.
    pub reader: String,
    /// The light it was read in.
    pub light: String,
    /// Anything else.
    pub note: String,
    /// A name for readings taken at one go; empty: none.
    pub job: String,
}

/// The states a reading may be in.
const STATES: [&str; 4] = ["washed_off", "dry", "cool", "ironed"];

/// Records a swatch of a plan into the workbook, that named or the one beside the costume file.
///
/// # Errors
/// No such card in the plan; an amount, a day or a colour that cannot be read: all of them at once; what the
/// workbook refuses.
pub fn record_typed(
    file: &Path,
    plan: &Plan,
    typed: &SwatchTyped,
    book: Option<&Path>,
    recording: &Recording,
) -> Result<SwatchesRecorded, Trouble> {
    let (piece, sheet) = carded(plan, &typed.code)?;
    let mut form = Form::default();
    let mut really = sheet.clone();
    form.dosed(&mut really, &typed.doses);
    let mut lines = vec![];
    let undyed = piece_as_written(file, &piece.id).map(|it| it.undyed).unwrap_or_default();
    if !undyed.is_empty() {
        lines.extend(undyed_line(&undyed).ok());
    }
    form.kept(&typed.day, "the day it was dyed", day(&typed.day), &mut lines);
    if !typed.note.trim().is_empty() {
        lines.push(format!("note = {}", quoted(typed.note.trim())));
    }
    if !typed.colour.trim().is_empty() {
        form.reading(typed, &mut lines);
    }
    form.sound()?;
    let text =
        paper::swatch_done(plan, piece, &really, &lines).ok_or_else(|| no_card(&typed.code))?;
    let opened = Opened::of(file, None)?;
    let path: PathBuf = book.map_or_else(|| file.with_file_name(WORKBOOK), Path::to_path_buf);
    record_text(&path, (TYPED, &text), (file, &opened.shelf), recording)
}

fn carded<'p>(plan: &'p Plan, code: &str) -> Result<(&'p PiecePlan, &'p Sheet), Trouble> {
    let all = plan.pieces.iter().flat_map(|piece| piece.sheets.iter().map(move |s| (piece, s)));
    let mut found = all.filter(|(_, sheet)| sheet.code.as_deref() == Some(code));
    found.next().ok_or_else(|| no_card(code))
}

fn no_card(code: &str) -> Trouble {
    let says = format!("there is no card {code} in the plan as it is now");
    Trouble::refused(says, "look at the piece again: its recipe may have changed since")
}

pub(crate) fn day(given: &str) -> Result<String, (String, String)> {
    let day: Result<units::Day, _> = given.trim().parse();
    day.map(|day| format!("day = {day}"))
        .map_err(|_| (format!("\"{given}\" is not a day"), "write it as 2031-05-02".to_owned()))
}

/// What was typed, gathered with what is wrong in it.
#[derive(Default)]
pub(crate) struct Form {
    text: String,
    faults: Vec<Fault>,
}

impl Form {
    pub(crate) fn fault(&mut self, what: &str, given: &str, (says, hint): (String, String)) {
        self.text.push_str(what);
        self.text.push_str(": ");
        let start = self.text.len();
        self.text.push_str(given);
        let span = start..self.text.len();
        self.text.push('\n');
        self.faults.push(Fault { span, says, hint });
    }

    pub(crate) fn kept(
        &mut self,
        given: &str,
        what: &str,
        line: Result<String, (String, String)>,
        lines: &mut Vec<String>,
    ) {
        match line {
            Ok(line) => lines.push(line),
            Err(why) => self.fault(what, given, why),
        }
    }

    /// The amounts really dosed, in the way the sheet doses them; what was not touched is as planned.
    pub(crate) fn dosed(&mut self, sheet: &mut Sheet, doses: &BTreeMap<String, String>) {
        let poured = |dye: &plan::document::SheetDye| dye.how == "stock" && dye.stock_ml.is_some();
        let amount = |form: &mut Self, id: &str, name: &str, poured: bool| {
            let given = doses.get(id).map(|d| d.trim())?;
            let sound = amount_typed(given, name, poured);
            sound.map_err(|why| form.fault(name, given, why)).ok()
        };
        for dye in &mut sheet.dyes {
            let Some(really) = amount(self, &dye.id, &dye.name, poured(dye)) else { continue };
            match (dye.how, dye.stock_ml) {
                ("stock", Some(_)) => dye.stock_ml = Some(really),
                _ => dye.grams = really,
            }
        }
        for one in &mut sheet.auxiliaries {
            if let Some(really) = amount(self, &one.id, &one.name, false) {
                one.grams = really;
            }
        }
        // what was left out did not go in
        sheet
            .dyes
            .retain(|dye| if poured(dye) { dye.stock_ml != Some(0.0) } else { dye.grams > 0.0 });
        sheet.auxiliaries.retain(|one| one.grams > 0.0);
        if sheet.dyes.is_empty() && self.faults.is_empty() {
            let says = "every dye is said to be left out".to_owned();
            self.fault(
                "the dyes",
                "0",
                (says, "write what went in of one dye at least".to_owned()),
            );
        }
    }

    fn reading(&mut self, typed: &SwatchTyped, lines: &mut Vec<String>) {
        let given = typed.colour.trim();
        let mut parts = match colour("colour", given) {
            Ok(line) => vec![line],
            Err(why) => {
                self.fault("how it reads", given, why);
                return;
            }
        };
        let spread = typed.spread.trim();
        if !spread.is_empty() {
            match spread.replace(',', ".").parse::<f64>() {
                Ok(rms) if rms.is_finite() && rms > 0.0 => {
                    parts.push(format!("spread = {}", toml_number(&rms.to_string())));
                }
                _ => {
                    let says = format!("\"{spread}\" is not how far a reading may be off");
                    self.fault("how sure", spread, (says, "write it as 1.0".to_owned()));
                }
            }
        }
        for state in STATES {
            let holds = typed.state.iter().any(|s| s == state);
            parts.push(format!("{state} = {holds}"));
        }
        for (key, given) in [
            ("by", &typed.by),
            ("reader", &typed.reader),
            ("light", &typed.light),
            ("job", &typed.job),
        ] {
            if !given.trim().is_empty() {
                parts.push(format!("{key} = {}", quoted(given.trim())));
            }
        }
        if let Ok(day) = day(&typed.day) {
            // Read on the day it was dyed or later; the form asks for one day only.
            parts.push(day.replacen("day", "read_on", 1));
        }
        lines.push(format!("reading = [{{ {} }}]", parts.join(", ")));
    }

    pub(crate) fn sound(self) -> Result<(), Trouble> {
        if self.faults.is_empty() {
            return Ok(());
        }
        let file = TYPED.to_owned();
        Err(Faults { file, text: self.text, list: self.faults }.into())
    }
}

#[cfg(test)]
mod tests {
    use std::ops::ControlFlow;

    use super::*;
    use crate::{PlanWanted, Stamp, list_swatches, plan_costume};

    const TEXT: &str = "[costume]\nname = \"A\"\n[[piece]]\nid = \"scarf\"\ncloth = \"cotton\"\nweight_g = 100\n\
                        undyed = \"white\"\ntarget = { hex = \"#2f6f5a\" }\n";

    #[test]
    fn a_swatch_typed_is_recorded_as_dosed_and_teaches_and_slips_are_told_at_once()
    -> Result<(), Trouble> {
        let folder = tempfile::tempdir().unwrap_or_else(|e| panic!("{e}"));
        let file = folder.path().join("c.toml");
        std::fs::write(&file, TEXT).unwrap_or_else(|e| panic!("{e}"));
        let today = units::Day::try_ymd(2031, 5, 12).unwrap_or_else(|e| panic!("{e}"));
        let stamp = Stamp::try_utc("20310512T100000Z").unwrap_or_else(|e| panic!("{e}"));
        let plan = || {
            let wanted = PlanWanted {
                file: file.clone(),
                shelf: None,
                book: None,
                out: None,
                today,
                hand_out: vec![],
                stamp: stamp.clone(),
                write: false,
            };
            plan_costume(&wanted, &mut |_| ControlFlow::Continue(())).map(|made| made.plan)
        };
        let first = plan()?;
        let swatch = &first.pieces[0].sheets[0];
        let recording = Recording { who: "me".to_owned(), at: "2031-05-12T10:00:00Z".to_owned() };
        let mut typed = SwatchTyped {
            code: swatch.code.clone().unwrap_or_default(),
            day: "2031-05-11".to_owned(),
            colour: "40 -28 8".to_owned(),
            spread: "1,0".to_owned(),
            state: STATES.map(str::to_owned).to_vec(),
            by: "photograph".to_owned(),
            ..SwatchTyped::default()
        };
        let slip = SwatchTyped {
            day: "yesterday".to_owned(),
            colour: "green".to_owned(),
            doses: BTreeMap::from([(swatch.dyes[0].id.clone(), "-1".to_owned())]),
            ..typed.clone()
        };
        let Err(Trouble::Faults(faults)) = record_typed(&file, &first, &slip, None, &recording)
        else {
            panic!("taken");
        };
        assert_eq!(faults.list.len(), 3, "{faults}");
        assert!(!folder.path().join(WORKBOOK).exists(), "nothing was begun for a refusal");
        typed.doses = BTreeMap::from([(swatch.dyes[0].id.clone(), "3".to_owned())]);
        let made = record_typed(&file, &first, &typed, None, &recording)?;
        assert_eq!((made.swatches, made.readings, made.begun), (1, 1, true));
        let book = folder.path().join(WORKBOOK);
        let seen = list_swatches(Some(&book))?;
        // 3 mL of a stock of so many grams in 100 mL.
        let grams = 3.0 * swatch.dyes[0].stock_pct.unwrap_or_default() / 100.0;
        assert_eq!(seen.swatches[0].doses[0].amount, format!("{grams} g"));
        let rests = plan()?.pieces[0].special.rests_on.clone();
        assert_eq!(rests.map(|r| r.own), Some(1), "the next plan rests on it");
        let nobody = SwatchTyped { code: "XXX-XXX-X".to_owned(), ..typed };
        assert!(record_typed(&file, &first, &nobody, None, &recording).is_err());
        Ok(())
    }
}
