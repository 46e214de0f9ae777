//! Pictures and truth of somebody else.

use std::fs;

use picture::{ChartKind, PhotoRefusal, Picture};

use crate::tables::Table;

/// Judges every row of `find.csv`.
pub(crate) fn run(folder: &str) -> Result<String, String> {
    let file = format!("{folder}/find.csv");
    let table = Table::read(&file)?;
    let mut counts = [[0_usize; 2]; 3];
    let mut errors = vec![];
    for row in 0..table.len() {
        let name = table.text(row, "picture")?;
        let path = format!("{folder}/{}", name);
        let bytes = fs::read(&path).map_err(|e| format!("{path}: {e}"))?;
        let picture = Picture::try_read(&bytes).map_err(|e| format!("{path}: {e}"))?;
        let found = picture.find_chart(ChartKind::classic());
        let chart = table.text(row, "chart")?;
        if chart == "no" {
            let none =
                matches!(found, Err(PhotoRefusal::NoChart | PhotoRefusal::OtherColours { .. }));
            counts[2][0] += usize::from(!none);
            counts[2][1] += 1;
            continue;
        }
        if chart != "yes" {
            return Err(format!("{file}, row {}: chart is yes or no, not {chart:?}", row + 1));
        }
        let steep = usize::from(table.number(row, "tilt_deg")? > 30.0);
        let middles = [0, 5, 23, 18];
        let mut worst = f64::MAX;
        let mut pitch = 1.0;
        if let Ok(found) = &found {
            pitch = found.pitch();
            worst = 0.0;
            for (k, patch) in middles.into_iter().enumerate() {
                let at = found.middle(patch);
                let [x, y] = ["x", "y"].map(|axis| table.number(row, &format!("{axis}{}", k + 1)));
                worst = f64::max(worst, (at[0] - x?).hypot(at[1] - y?));
            }
        }
        let good = worst < 0.25 * pitch;
        counts[steep][0] += usize::from(good);
        counts[steep][1] += 1;
        if good {
            errors.push(worst);
        } else {
            let why =
                found.err().map_or_else(|| format!("off by {worst:.1} pixels"), |e| e.to_string());
            println!("{name}: {why}");
        }
    }
    let share = |[good, all]: [usize; 2]| super::number(good) / super::number(all.max(1));
    Ok(format!(
        "{{\"found\":{:.4},\"tilt30_n\":{},\"tilt45_found\":{:.4},\"tilt45_n\":{},\"false_finds\":{},\"no_chart_n\":{},\"corner_error_px\":{:.2}}}",
        share(counts[0]),
        counts[0][1],
        share(counts[1]),
        counts[1][1],
        counts[2][0],
        counts[2][1],
        super::quantile(&mut errors, 0.5)
    ))
}
