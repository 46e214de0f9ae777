//! Pictures and truth of somebody else.

use std::fs;

use picture::{ChartKind, PhotoRefusal, Picture};

/// Judges every row of `find.csv`.
pub(crate) fn run(folder: &str) -> Result<String, String> {
    let file = format!("{folder}/find.csv");
    let text = fs::read_to_string(&file).map_err(|e| format!("{file}: {e}"))?;
    let mut lines = text.lines().filter(|l| !l.trim().is_empty() && !l.starts_with('#'));
    let names: Vec<&str> = lines
        .next()
        .ok_or_else(|| format!("{file}: nothing in it"))?
        .split(',')
        .map(str::trim)
        .collect();
    let wanted = ["picture", "chart", "tilt_deg", "x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4"];
    if names != wanted {
        return Err(format!(
            "{file}: the columns are {}, not {}",
            wanted.join(","),
            names.join(",")
        ));
    }
    let mut counts = [[0_usize; 2]; 3];
    let mut errors = vec![];
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
        let path = format!("{folder}/{}", cells[0]);
        let bytes = fs::read(&path).map_err(|e| format!("{path}: {e}"))?;
        let picture = Picture::try_read(&bytes).map_err(|e| format!("{path}: {e}"))?;
        let found = picture.find_chart(ChartKind::classic());
        if cells[1] == "no" {
            let none =
                matches!(found, Err(PhotoRefusal::NoChart | PhotoRefusal::OtherColours { .. }));
            counts[2][0] += usize::from(!none);
            counts[2][1] += 1;
            continue;
        }
        if cells[1] != "yes" {
            return Err(format!("{file}, row {}: chart is yes or no, not {:?}", row + 1, cells[1]));
        }
        let number = |n: usize| {
            cells[n]
                .parse::<f64>()
                .map_err(|_| format!("{file}, row {}: {:?} is no number", row + 1, cells[n]))
        };
        let steep = usize::from(number(2)? > 30.0);
        let middles = [0, 5, 23, 18];
        let mut worst = f64::MAX;
        let mut pitch = 1.0;
        if let Ok(found) = &found {
            pitch = found.pitch();
            worst = 0.0;
            for (k, patch) in middles.into_iter().enumerate() {
                let at = found.middle(patch);
                worst =
                    f64::max(worst, (at[0] - number(3 + 2 * k)?).hypot(at[1] - number(4 + 2 * k)?));
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
            println!("{}: {why}", cells[0]);
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
