//! Pictures and truth of somebody else.

use std::{collections::BTreeMap, fs};

use colour::Lab;
use picture::{ClothPlace, Picture};

/// Judges every row of `faults.csv`.
pub(crate) fn run(folder: &str, estimator: bool) -> Result<String, String> {
    let file = format!("{folder}/faults.csv");
    let text = fs::read_to_string(&file).map_err(|e| format!("{file}: {e}"))?;
    let mut lines = text.lines().filter(|l| !l.trim().is_empty() && !l.starts_with('#'));
    let names: Vec<&str> = lines
        .next()
        .ok_or_else(|| format!("{file}: nothing in it"))?
        .split(',')
        .map(str::trim)
        .collect();
    let wanted = [
        "picture", "scene", "fault", "x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4", "l", "a", "b",
    ];
    if names != wanted {
        return Err(format!(
            "{file}: the columns are {}, not {}",
            wanted.join(","),
            names.join(",")
        ));
    }
    // Scene → fault → refused, error.
    let mut all: BTreeMap<String, BTreeMap<String, (bool, Option<f64>)>> = BTreeMap::new();
    for (row, line) in lines.enumerate() {
        let cells: Vec<&str> = line.split(',').map(str::trim).collect();
        if cells.len() != wanted.len() {
            return Err(format!(
                "{file}, row {}: {} cells, not {}",
                row + 1,
                cells.len(),
                wanted.len()
            ));
        }
        let mut numbers = [0.0; 11];
        for (number, cell) in numbers.iter_mut().zip(&cells[3..]) {
            *number = cell
                .parse::<f64>()
                .ok()
                .filter(|v| v.is_finite())
                .ok_or_else(|| format!("{file}, row {}: {cell:?} is no number", row + 1))?;
        }
        let [x1, y1, x2, y2, x3, y3, x4, y4, l, a, b] = numbers;
        let path = format!("{folder}/{}", cells[0]);
        let bytes = fs::read(&path).map_err(|e| format!("{path}: {e}"))?;
        let picture = Picture::try_read(&bytes).map_err(|e| format!("{path}: {e}"))?;
        let region = ClothPlace::Corners([[x1, y1], [x2, y2], [x3, y3], [x4, y4]]);
        let outcome = super::outcome(&picture, &[region], &[Lab::new(l, a, b)], None, estimator);
        let told = (outcome.is_refused(), outcome.cloths.first().and_then(|c| c.0));
        all.entry(cells[1].to_owned()).or_default().insert(cells[2].to_owned(), told);
    }
    let (mut good, mut refused) = (0, 0);
    let mut counts: BTreeMap<&str, [usize; 4]> = BTreeMap::new();
    for faults in all.values() {
        let sound = faults.get("none");
        if let Some((was_refused, _)) = sound {
            good += 1;
            refused += usize::from(*was_refused);
        }
        for (fault, (was_refused, error)) in faults.iter().filter(|(f, _)| *f != "none") {
            let count = counts.entry(fault).or_default();
            count[0] += 1;
            match (error, sound.and_then(|s| s.1)) {
                (Some(after), Some(before)) if after - before > super::SPOILT => {
                    count[2] += 1;
                    count[3] += usize::from(*was_refused);
                }
                (Some(_), Some(_)) => {}
                _ => count[1] += 1,
            }
        }
    }
    let mut json = String::new();
    for (fault, [n, unread, spoilt, caught]) in counts {
        json += &format!(
            "{:?}:{{\"n\":{n},\"unread\":{unread},\"spoilt\":{spoilt},\"caught\":{:.4}}},",
            fault,
            super::share(caught, spoilt)
        );
    }
    Ok(format!("{{{json}\"good_n\":{good},\"good_refused\":{:.4}}}", super::share(refused, good)))
}
