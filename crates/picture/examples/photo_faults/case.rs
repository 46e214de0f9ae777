//! Pictures and truth of somebody else.

use std::collections::BTreeMap;

use colour::Lab;
use picture::ClothPlace;

use crate::tables::Table;

/// Columns of `faults.csv`; the last eight may be left out.
const COLUMNS: [&str; 22] = [
    "picture", "scene", "fault", "x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4", "l", "a", "b",
    "chart_x1", "chart_y1", "chart_x2", "chart_y2", "chart_x3", "chart_y3", "chart_x4", "chart_y4",
];
/// Told apart, as nothing of them need be seen on the chart.
const APART: [&str; 2] = ["glare_cloth", "shadow_between"];
/// Of this one, a question to the maker counts as seen.
const ASKED: &str = "shadow_between";

/// What was read of a picture: refused or not, and the error where one can be told.
type Told = (bool, Option<f64>);

#[derive(Default)]
struct Count {
    all: usize,
    unread: usize,
    spoilt: usize,
    caught: usize,
}

/// Judges every row of `faults.csv`.
pub(crate) fn run(folder: &str, estimator: bool) -> Result<String, String> {
    let table = Table::of_case(&format!("{folder}/faults.csv"), &COLUMNS)?;
    // Scene → fault → what was told.
    let mut all: BTreeMap<String, BTreeMap<String, Told>> = BTreeMap::new();
    for row in 0..table.len() {
        let (scene, fault) = (table.text(row, "scene")?, table.text(row, "fault")?);
        let faults = all.entry(scene.to_owned()).or_default();
        if faults.contains_key(fault) {
            return Err(format!(
                "{}: scene {scene:?} has fault {fault:?} twice; a second cloth is a scene of its own",
                table.at(row)
            ));
        }
        faults.insert(fault.to_owned(), told(&table, row, estimator)?);
    }
    if let Some((scene, _)) = all.iter().find(|(_, faults)| !faults.contains_key("none")) {
        return Err(format!("{folder}/faults.csv: scene {scene:?} has no row with fault none"));
    }
    Ok(summary(&all))
}

fn told(table: &Table, row: usize, estimator: bool) -> Result<Told, String> {
    let number = |name: &str| table.number(row, name);
    let corners = |prefix: &str| -> Result<[[f64; 2]; 4], String> {
        let mut corners = [[0.0; 2]; 4];
        for (k, corner) in corners.iter_mut().enumerate() {
            for (axis, value) in ["x", "y"].into_iter().zip(corner) {
                *value = number(&format!("{prefix}{axis}{}", k + 1))?;
            }
        }
        Ok(corners)
    };
    let region = ClothPlace::Corners(corners("")?);
    let truth = Lab::new(number("l")?, number("a")?, number("b")?);
    let chart = if table.has("chart_x1") && !table.text(row, "chart_x1")?.is_empty() {
        Some(corners("chart_")?)
    } else {
        None
    };
    let picture = table.picture(row, "picture")?;
    let outcome = super::outcome(&picture, &[region], &[truth], chart, estimator);
    if outcome.is_refused() {
        println!("{}: {}", table.text(row, "picture")?, outcome.why());
    }
    let asked = table.text(row, "fault")? == ASKED && outcome.asked.contains(&true);
    Ok((outcome.is_refused() || asked, outcome.cloths.first().and_then(|c| c.0)))
}

fn summary(all: &BTreeMap<String, BTreeMap<String, Told>>) -> String {
    let sound: Vec<&Told> = all.values().filter_map(|faults| faults.get("none")).collect();
    let refused = sound.iter().filter(|told| told.0).count();
    let mut counts: BTreeMap<&str, Count> = BTreeMap::new();
    for faults in all.values() {
        let before = faults.get("none").and_then(|told| told.1);
        for (fault, (was_refused, after)) in faults.iter().filter(|(fault, _)| *fault != "none") {
            let count = counts.entry(fault).or_default();
            count.all += 1;
            match (after, before) {
                (Some(after), Some(before)) if after - before > super::SPOILT => {
                    count.spoilt += 1;
                    count.caught += usize::from(*was_refused);
                }
                (Some(_), Some(_)) => {}
                _ => count.unread += 1,
            }
        }
    }
    let mut json = serde_json::Map::new();
    let share = |part: usize, all: usize| (1e4 * super::share(part, all)).round() / 1e4;
    let (mut spoilt, mut caught) = (0, 0);
    for (fault, count) in counts {
        if !APART.contains(&fault) {
            spoilt += count.spoilt;
            caught += count.caught;
        }
        json.insert(
            fault.to_owned(),
            serde_json::json!({
                "n": count.all,
                "unread": count.unread,
                "spoilt": count.spoilt,
                "caught": share(count.caught, count.spoilt),
            }),
        );
    }
    json.insert("spoilt".to_owned(), spoilt.into());
    json.insert("caught".to_owned(), share(caught, spoilt).into());
    json.insert("good_n".to_owned(), sound.len().into());
    json.insert("good_refused".to_owned(), share(refused, sound.len()).into());
    serde_json::Value::Object(json).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_case_made_elsewhere_is_judged() {
        let json: serde_json::Value =
            serde_json::from_str(&run("tests/cases/faults", false).unwrap()).unwrap();
        assert_eq!(json["good_n"], 1, "{json}");
        assert_eq!(json["good_refused"], 0.0, "{json}");
        let (clipped, glare) = (&json["clipped"], &json["glare"]);
        assert_eq!([&clipped["n"], &glare["n"]], [1, 1], "{json}");
        assert_eq!([&glare["spoilt"], &glare["unread"]], [1, 0], "{json}");
        assert_eq!(json["caught"], 1.0, "{json}");
    }

    #[test]
    fn a_bad_row_is_named() {
        let why = run("tests/cases/broken", false).unwrap_err();
        assert_eq!(why, "tests/cases/broken/faults.csv, line 2, l: \"\" is no number");
    }
}
