//! Ladders from the text of a CSV file: columns `ladder`, `step`, `R400` … `R700`, in any order
//! and among others.
//!
//! Ladders keep the order in which they first appear; steps are ordered by their number, palest
//! (lowest) first. All faults are told at once. Left out: quoted commas, which such files lack.

use std::collections::HashMap;

use colour::{BANDS, Bands};

use super::Refusal;

/// A ladder as a file names it; its steps may be too few to be a [`super::Ladder`].
#[derive(Debug, Clone, PartialEq)]
pub struct NamedLadder {
    /// The name in column `ladder`.
    pub name: String,
    /// Step numbers and reflectances, lowest number first.
    pub steps: Vec<(f64, Bands)>,
}

/// More faults than this are counted, not listed.
const LISTED: usize = 12;

/// Reads all ladders of a file's text.
pub fn ladders_from_csv(text: &str) -> Result<Vec<NamedLadder>, Refusal> {
    let mut lines = text
        .strip_prefix('\u{feff}')
        .unwrap_or(text)
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty());
    let Some((_, head)) = lines.next() else {
        return refuse("the file is empty: it needs a head line and one line a step".to_owned());
    };
    let columns = Columns::of(head)?;
    let mut faults = Vec::new();
    let mut ladders: Vec<NamedLadder> = Vec::new();
    let mut places: HashMap<String, usize> = HashMap::new();
    for (i, line) in lines {
        match columns.row(line) {
            Ok((name, step, bands)) => {
                let place = *places.entry(name.clone()).or_insert_with(|| {
                    ladders.push(NamedLadder { name: name.clone(), steps: Vec::new() });
                    ladders.len() - 1
                });
                let steps = &mut ladders[place].steps;
                if steps.iter().any(|(s, _)| (s - step).abs() < f64::EPSILON) {
                    faults.push(format!(
                        "line {}: step {step} of ladder {name} stands there twice: number each \
                         step once",
                        i + 1
                    ));
                }
                steps.push((step, bands));
            }
            Err(fault) => faults.push(format!("line {}: {fault}", i + 1)),
        }
    }
    if ladders.is_empty() && faults.is_empty() {
        return refuse("there is a head line but no step under it".to_owned());
    }
    if faults.is_empty() {
        for ladder in &mut ladders {
            ladder.steps.sort_by(|(a, _), (b, _)| a.total_cmp(b));
        }
        return Ok(ladders);
    }
    let more = faults.len().saturating_sub(LISTED);
    faults.truncate(LISTED);
    if more > 0 {
        faults.push(format!("… and {more} more"));
    }
    Err(Refusal::File(faults))
}

/// Where each column stands.
struct Columns {
    ladder: usize,
    step: usize,
    bands: [usize; BANDS],
}

impl Columns {
    fn of(head: &str) -> Result<Self, Refusal> {
        let names: Vec<&str> = fields(head).collect();
        let find = |wanted: &str| names.iter().position(|n| n.eq_ignore_ascii_case(wanted));
        let band_names: [String; BANDS] =
            std::array::from_fn(|i| format!("R{}", Bands::wavelength(i)));
        let wanted = ["ladder", "step"].into_iter().chain(band_names.iter().map(String::as_str));
        let missing: Vec<&str> = wanted.filter(|n| find(n).is_none()).collect();
        if !missing.is_empty() {
            return refuse(format!(
                "line 1: no column {}: the head line must name ladder, step and R400 to R700 by 10",
                missing.join(", ")
            ));
        }
        Ok(Self {
            ladder: find("ladder").unwrap_or_default(),
            step: find("step").unwrap_or_default(),
            bands: band_names.map(|n| find(&n).unwrap_or_default()),
        })
    }

    fn row(&self, line: &str) -> Result<(String, f64, Bands), String> {
        let cells: Vec<&str> = fields(line).collect();
        let cell = |i: usize| {
            cells.get(i).copied().ok_or_else(|| {
                format!("{} cells only: fewer than the head line names", cells.len())
            })
        };
        let name = cell(self.ladder)?;
        if name.is_empty() {
            return Err("the ladder has no name: write one in column ladder".to_owned());
        }
        let step = number("step", cell(self.step)?)?;
        let mut factors = [0.0; BANDS];
        for (i, factor) in factors.iter_mut().enumerate() {
            *factor = number(&format!("R{}", Bands::wavelength(i)), cell(self.bands[i])?)?;
        }
        let bands = Bands::try_new(factors).map_err(|refusal| refusal.to_string())?;
        Ok((name.to_owned(), step, bands))
    }
}

fn fields(line: &str) -> impl Iterator<Item = &str> {
    line.split(',').map(|cell| cell.trim().trim_matches('"').trim())
}

fn number(column: &str, written: &str) -> Result<f64, String> {
    let number: f64 = written.parse().map_err(|_| {
        format!("\"{written}\" in column {column} is no number: write one such as 0.4312")
    })?;
    if number.is_finite() {
        return Ok(number);
    }
    Err(format!("\"{written}\" in column {column}: it must be a finite number"))
}

fn refuse<T>(fault: String) -> Result<T, Refusal> {
    Err(Refusal::File(vec![fault]))
}
