//! Pictures and truth of somebody else.

use picture::{ChartKind, PhotoRefusal};

use crate::tables::Table;

/// Columns of `find.csv`.
const COLUMNS: [&str; 11] =
    ["picture", "chart", "tilt_deg", "x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4"];
/// Patches whose middles are told.
const TOLD: [usize; 4] = [0, 5, 23, 18];

/// Judges every row of `find.csv`.
pub(crate) fn run(folder: &str) -> Result<String, String> {
    let table = Table::of_case(&format!("{folder}/find.csv"), &COLUMNS)?;
    let mut counts = [[0_usize; 2]; 3];
    let mut errors = vec![];
    for row in 0..table.len() {
        let truth = match table.text(row, "chart")? {
            "yes" => Some(truth(&table, row)?),
            "no" => None,
            other => return Err(format!("{}: chart is yes or no, not {other:?}", table.at(row))),
        };
        let name = table.text(row, "picture")?;
        let found = table.picture(row, "picture")?.find_chart(ChartKind::classic());
        let Some((tilt, middles)) = truth else {
            let none =
                matches!(found, Err(PhotoRefusal::NoChart | PhotoRefusal::OtherColours { .. }));
            counts[2][0] += usize::from(!none);
            counts[2][1] += 1;
            if !none {
                let claimed = found.err().map_or_else(|| "found".to_owned(), |e| e.to_string());
                println!("{name}: no chart in it, and one was claimed: {claimed}");
            }
            continue;
        };
        let mut worst = f64::MAX;
        let mut pitch = 1.0;
        if let Ok(found) = &found {
            pitch = found.pitch();
            worst = TOLD
                .iter()
                .zip(middles)
                .map(|(patch, at)| {
                    let seen = found.middle(*patch);
                    (seen[0] - at[0]).hypot(seen[1] - at[1])
                })
                .fold(0.0, f64::max);
        }
        let good = worst < 0.25 * pitch;
        let count = &mut counts[usize::from(tilt > 30.0)];
        count[0] += usize::from(good);
        count[1] += 1;
        if good {
            errors.push(worst);
        } else {
            let why =
                found.err().map_or_else(|| format!("off by {worst:.1} pixels"), |e| e.to_string());
            println!("{name}: {why}");
        }
    }
    let share = |[good, all]: [usize; 2]| super::number(good) / super::number(all.max(1));
    let error = if errors.is_empty() {
        "null".to_owned()
    } else {
        format!("{:.2}", super::quantile(&mut errors, 0.5))
    };
    Ok(format!(
        "{{\"found\":{:.4},\"tilt30_n\":{},\"tilt45_found\":{:.4},\"tilt45_n\":{},\"false_finds\":{},\"no_chart_n\":{},\"corner_error_px\":{error}}}",
        share(counts[0]),
        counts[0][1],
        share(counts[1]),
        counts[1][1],
        counts[2][0],
        counts[2][1],
    ))
}

/// Tilt in degrees, and where the four middles are.
fn truth(table: &Table, row: usize) -> Result<(f64, [[f64; 2]; 4]), String> {
    let mut middles = [[0.0; 2]; 4];
    for (k, middle) in middles.iter_mut().enumerate() {
        for (axis, value) in ["x", "y"].into_iter().zip(middle) {
            *value = table.number(row, &format!("{axis}{}", k + 1))?;
        }
    }
    Ok((table.number(row, "tilt_deg")?, middles))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_case_made_elsewhere_is_judged() {
        let json: serde_json::Value =
            serde_json::from_str(&run("tests/cases/find").unwrap()).unwrap();
        let number = |key: &str| json[key].as_f64().unwrap();
        assert_eq!([number("tilt30_n"), number("found")], [2.0, 1.0], "{json}");
        assert_eq!([number("no_chart_n"), number("false_finds")], [1.0, 0.0], "{json}");
        assert!(number("corner_error_px") < 1.5, "{json}");
    }

    #[test]
    fn a_bad_row_is_named() {
        let why = run("tests/cases/broken").unwrap_err();
        assert_eq!(why, "tests/cases/broken/find.csv, line 3, y2: \"high\" is no number");
    }
}
