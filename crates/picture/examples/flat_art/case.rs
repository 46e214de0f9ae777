//! A folder of pictures with their truth, made by anybody (docs/cases.md).

use colour::ScreenColour;
use picture::{Picture, Region};

use super::True;
use crate::tables::Table;

/// A picture of a case.
pub(crate) struct Scene {
    pub(crate) name: String,
    pub(crate) picture: Picture,
    pub(crate) region: Option<Region>,
    pub(crate) flats: Vec<True>,
}

/// Reads `flats.csv` and the pictures it names.
pub(crate) fn read(folder: &str) -> Result<Vec<Scene>, String> {
    let table =
        Table::of_case(&format!("{folder}/flats.csv"), &["picture", "hex", "share", "region"])?;
    let optional = |row: usize, column: &str| -> Result<Option<&str>, String> {
        let cell = if table.has(column) { table.text(row, column)? } else { "" };
        Ok((!cell.is_empty()).then_some(cell))
    };
    let mut scenes: Vec<Scene> = vec![];
    for row in 0..table.len() {
        let at = |column: &str, why: &str| format!("{}, {column}: {why}", table.at(row));
        let colour = ScreenColour::from_hex(table.text(row, "hex")?)
            .map_err(|e| at("hex", &e.to_string()))?;
        let share = match optional(row, "share")? {
            Some(_) => table.number(row, "share")?,
            None => 0.0,
        };
        let told = optional(row, "region")?
            .map(|t| region(t).ok_or_else(|| at("region", "not four whole numbers")));
        let region = told.transpose()?;
        let name = table.text(row, "picture")?;
        let one = True { lab: colour.to_lab2(), name: colour.to_hex(), share };
        match scenes.iter_mut().find(|s| s.name == name && s.region == region) {
            Some(scene) => scene.flats.push(one),
            None => {
                let picture = table.picture(row, "picture")?;
                scenes.push(Scene { name: name.to_owned(), picture, region, flats: vec![one] });
            }
        }
    }
    Ok(scenes)
}

/// "x y width height", with spaces between.
fn region(told: &str) -> Option<Region> {
    let numbers: Vec<usize> =
        told.split_whitespace().map(str::parse).collect::<Result<_, _>>().ok()?;
    let [x, y, width, height] = numbers[..] else { return None };
    Some(Region { x, y, width, height })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Tally, judge};

    #[test]
    fn a_case_made_elsewhere_is_judged() {
        let mut tally = Tally::default();
        for scene in read("tests/cases/flats").unwrap() {
            judge(&scene.name, &scene.picture, scene.region, &scene.flats, None, &mut tally);
        }
        assert_eq!((tally.flats, tally.errors.len(), tally.refused), (5, 5, 0));
    }

    #[test]
    fn a_bad_row_is_named() {
        let why = read("tests/cases/broken").map(|_| ()).unwrap_err();
        assert!(why.starts_with("tests/cases/broken/flats.csv, line 2, hex: "), "{why}");
    }
}
