//! Pictures and truth of somebody else.

use std::{collections::BTreeMap, fs};

use colour::Lab;
use picture::{ClothPlace, Picture};

use crate::tables::Table;

/// Judges every row of `faults.csv`.
pub(crate) fn run(folder: &str, estimator: bool) -> Result<String, String> {
    let file = format!("{folder}/faults.csv");
    let table = Table::read(&file)?;
    // Scene → fault → refused, error.
    let mut all: BTreeMap<String, BTreeMap<String, (bool, Option<f64>)>> = BTreeMap::new();
    for row in 0..table.len() {
        let number = |name: &str| table.number(row, name);
        let corner = |n: usize| -> Result<[f64; 2], String> {
            Ok([number(&format!("x{n}"))?, number(&format!("y{n}"))?])
        };
        let corners = [corner(1)?, corner(2)?, corner(3)?, corner(4)?];
        let truth = Lab::new(number("l")?, number("a")?, number("b")?);
        let path = format!("{folder}/{}", table.text(row, "picture")?);
        let bytes = fs::read(&path).map_err(|e| format!("{path}: {e}"))?;
        let picture = Picture::try_read(&bytes).map_err(|e| format!("{path}: {e}"))?;
        let region = ClothPlace::Corners(corners);
        let outcome = super::outcome(&picture, &[region], &[truth], None, estimator);
        let told = (outcome.is_refused(), outcome.cloths.first().and_then(|c| c.0));
        let (scene, fault) = (table.text(row, "scene")?, table.text(row, "fault")?);
        all.entry(scene.to_owned()).or_default().insert(fault.to_owned(), told);
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
