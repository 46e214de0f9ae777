//! The tables of a case: `targets.csv`, `ladders.csv`, `draws.csv`.

use std::fmt::Write;

use colour::{BANDS, Bands, Lab};
use units::OnFibre;

use super::{Case, CaseJob, Step};
use crate::{Bolt, Drawn, Jar, Refusal, Shelf, What};

pub(super) const TARGETS: &str = "targets.csv";
pub(super) const LADDERS: &str = "ladders.csv";
pub(super) const DRAWS: &str = "draws.csv";

const OF_TARGETS: [&str; 6] = ["job", "house", "cloth", "l", "a", "b"];
const OF_LADDERS: [&str; 7] = ["house", "cloth", "dye", "dose_pct", "l", "a", "b"];
const OF_DRAWS: [&str; 5] = ["job", "swatch", "what", "which", "z"];

/// What names may stand in a table.
pub(super) struct Places<'a> {
    pub(super) shelf: &'a Shelf,
    pub(super) houses: usize,
}

/// One row of a table, which knows where it stands.
struct Line<'a> {
    file: &'static str,
    number: u64,
    cells: &'a csv::StringRecord,
}

pub(super) fn targets(text: &str, places: &Places) -> Result<Vec<CaseJob>, Refusal> {
    let mut jobs: Vec<CaseJob> = rows(TARGETS, text, &OF_TARGETS, 0, |line| {
        Ok(CaseJob {
            number: line.whole(0)?,
            house: line.house(1, places)?,
            bolt: line.cloth(2, places)?,
            target: line.lab(3)?,
        })
    })?;
    jobs.sort_by_key(|job| job.number);
    if let Some(twice) = jobs.windows(2).find(|w| w[0].number == w[1].number) {
        let what = format!("job {} stands there twice: number every job once", twice[0].number);
        return Err(Refusal::file(TARGETS, what));
    }
    if jobs.is_empty() {
        return Err(Refusal::file(TARGETS, "names no job"));
    }
    Ok(jobs)
}

pub(super) fn ladders(text: &str, places: &Places) -> Result<Vec<Step>, Refusal> {
    rows(LADDERS, text, &OF_LADDERS, BANDS, |line| {
        Ok(Step {
            house: line.house(0, places)?,
            bolt: line.cloth(1, places)?,
            jar: line.dye(2, places)?,
            dose: OnFibre::try_percent(line.number(3)?)
                .map_err(|e| line.wrong(3, &e.to_string()))?,
            lab: line.lab(4)?,
            spectrum: line.spectrum(OF_LADDERS.len())?,
        })
    })
}

pub(super) fn draws(text: &str, places: &Places) -> Result<Vec<(Drawn, f64)>, Refusal> {
    rows(DRAWS, text, &OF_DRAWS, 0, |line| {
        let word = line.cell(2)?;
        let what = What::ALL.into_iter().find(|w| w.name() == word);
        let what = what.ok_or_else(|| line.wrong(2, "write dose, each, common, bias or new"))?;
        let which = match what {
            What::Dose | What::Each => line.dye(3, places)?.0,
            What::Common => 0,
            What::Bias | What::New => {
                let axes = ["0", "1", "2"];
                let cell = line.cell(3)?;
                let axis = axes.iter().position(|a| *a == cell);
                axis.ok_or_else(|| line.wrong(3, "an axis of a reading is 0, 1 or 2"))?
            }
        };
        let swatch = u32::try_from(line.whole(1)?)
            .map_err(|_| line.wrong(1, "a swatch is a small whole number"))?;
        if (swatch == 0) != (what == What::Bias) {
            return Err(line.wrong(1, "swatches count from 1; a bias stands at swatch 0"));
        }
        let z = line.number(4)?;
        Ok((Drawn { what, job: line.whole(0)?, swatch, which }, z))
    })
}

/// Every row of a table whose columns are these, and then, all or none, so many bands of 10 nm.
fn rows<T>(
    file: &'static str,
    text: &str,
    columns: &[&str],
    bands: usize,
    one: impl Fn(&Line) -> Result<T, Refusal>,
) -> Result<Vec<T>, Refusal> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let header = reader.headers().map_err(|e| Refusal::file(file, e))?.clone();
    let short: Vec<String> = columns.iter().map(|c| (*c).to_owned()).collect();
    let mut long = short.clone();
    long.extend((0..bands).map(|i| format!("r{}", Bands::wavelength(i))));
    if header.iter().ne(&short) && header.iter().ne(&long) {
        let more = if bands > 0 { ", and after them all of r400 to r700 or none" } else { "" };
        let what = format!("its first line must name the columns {}{more}", short.join(","));
        return Err(Refusal::file(file, what));
    }
    let mut all = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|e| uneven(file, &e))?;
        let number = record.position().map_or(0, csv::Position::line);
        all.push(one(&Line { file, number, cells: &record })?);
    }
    Ok(all)
}

/// A row that cannot be read, in words.
fn uneven(file: &str, e: &csv::Error) -> Refusal {
    match e.kind() {
        csv::ErrorKind::UnequalLengths { pos, expected_len, len } => {
            let line = pos.as_ref().map_or(0, csv::Position::line);
            let what =
                format!("line {line}: it has {len} cells, and the first line names {expected_len}");
            Refusal::file(file, what)
        }
        _ => Refusal::file(file, e),
    }
}

impl Line<'_> {
    fn wrong(&self, column: usize, rule: &str) -> Refusal {
        let given = self.cells.get(column).unwrap_or("");
        Refusal::file(self.file, format!("line {}: '{given}': {rule}", self.number))
    }

    fn cell(&self, column: usize) -> Result<&str, Refusal> {
        self.cells.get(column).ok_or_else(|| self.wrong(column, "a cell is missing"))
    }

    fn whole(&self, column: usize) -> Result<u64, Refusal> {
        let parsed = self.cell(column)?.parse();
        parsed.map_err(|_| self.wrong(column, "it must be a whole number, from 0"))
    }

    fn number(&self, column: usize) -> Result<f64, Refusal> {
        let parsed = self.cell(column)?.parse::<f64>().ok().filter(|v| v.is_finite());
        parsed.ok_or_else(|| self.wrong(column, "it must be a number"))
    }

    fn house(&self, column: usize, places: &Places) -> Result<usize, Refusal> {
        let place = usize::try_from(self.whole(column)?).ok().filter(|p| *p < places.houses);
        place.ok_or_else(|| self.wrong(column, "there is no such house in truth.toml, from 0"))
    }

    fn cloth(&self, column: usize, places: &Places) -> Result<Bolt, Refusal> {
        let bolt = places.shelf.bolt(self.cell(column)?);
        bolt.ok_or_else(|| self.wrong(column, "there is no such cloth in estimates.toml"))
    }

    fn dye(&self, column: usize, places: &Places) -> Result<Jar, Refusal> {
        let jar = places.shelf.jar(self.cell(column)?);
        jar.ok_or_else(|| self.wrong(column, "there is no such dye in estimates.toml"))
    }

    fn lab(&self, from: usize) -> Result<Lab, Refusal> {
        let (l, a, b) = (self.number(from)?, self.number(from + 1)?, self.number(from + 2)?);
        Lab::try_typed(l, a, b)
            .map_err(|e| Refusal::file(self.file, format!("line {}: {e}", self.number)))
    }

    fn spectrum(&self, from: usize) -> Result<Option<Bands>, Refusal> {
        if self.cells.len() == from {
            return Ok(None);
        }
        let values = (0..BANDS).map(|i| self.number(from + i)).collect::<Result<Vec<_>, _>>()?;
        let values = crate::rows::thirty_one(&values, "spectrum")?;
        let bands = Bands::try_new(values).map_err(|e| self.wrong(from, &e.to_string()))?;
        Ok(Some(bands))
    }
}

pub(super) fn written_targets(case: &Case) -> String {
    let mut text = OF_TARGETS.join(",") + "\n";
    for job in &case.jobs {
        let cloth = quoted(&case.shelf.cloths()[job.bolt.0].name);
        let Lab { l, a, b } = job.target;
        // Writing to a text never fails.
        let _ = writeln!(text, "{},{},{cloth},{l},{a},{b}", job.number, job.house);
    }
    text
}

pub(super) fn written_ladders(case: &Case) -> String {
    let mut text = OF_LADDERS.join(",");
    let spectra = case.steps.iter().all(|s| s.spectrum.is_some());
    if spectra {
        (0..BANDS).for_each(|i| text += &format!(",r{}", Bands::wavelength(i)));
    }
    text += "\n";
    for step in &case.steps {
        let cloth = quoted(&case.shelf.cloths()[step.bolt.0].name);
        let dye = quoted(&case.shelf.dyes()[step.jar.0].id);
        let (Lab { l, a, b }, dose) = (step.lab, step.dose.to_percent());
        let _ = write!(text, "{},{cloth},{dye},{dose},{l},{a},{b}", step.house);
        for r in step.spectrum.iter().filter(|_| spectra).flat_map(|s| *s.values()) {
            let _ = write!(text, ",{r}");
        }
        text += "\n";
    }
    text
}

pub(super) fn written_draws(case: &Case) -> String {
    let mut text = OF_DRAWS.join(",") + "\n";
    for (drawn, z) in case.luck.given() {
        let Drawn { what, job, swatch, which } = drawn;
        let which = match what {
            What::Dose | What::Each => quoted(&case.shelf.dyes()[which].id),
            What::Common | What::Bias | What::New => which.to_string(),
        };
        let _ = writeln!(text, "{job},{swatch},{},{which},{z}", what.name());
    }
    text
}

/// A name as a cell: in quotes where a comma, a quote or a comment sign would break the row.
fn quoted(name: &str) -> String {
    if name.contains([',', '"', '\n', '#']) || name.trim() != name {
        format!("\"{}\"", name.replace('"', "\"\""))
    } else {
        name.to_owned()
    }
}
