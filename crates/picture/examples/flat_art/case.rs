//! A folder of pictures with their truth, made by anybody (docs/cases.md).

use std::error::Error;
use std::path::Path;

use colour::ScreenColour;
use picture::Region;

use super::True;

/// A picture of a case.
pub(crate) struct Scene {
    pub(crate) name: String,
    pub(crate) picture: Vec<u8>,
    pub(crate) region: Option<Region>,
    pub(crate) flats: Vec<True>,
}

/// Reads `flats.csv` and the pictures it names.
pub(crate) fn read(folder: &Path) -> Result<Vec<Scene>, Box<dyn Error>> {
    let table = std::fs::read_to_string(folder.join("flats.csv"))
        .map_err(|e| format!("{}: {e}", folder.join("flats.csv").display()))?;
    let mut lines = table.lines().enumerate().filter(|(_, l)| !l.trim().is_empty());
    let head = lines.next().map_or("", |(_, l)| l.trim_start_matches('\u{feff}').trim());
    let columns: Vec<&str> = head.split(',').map(str::trim).collect();
    let known = ["picture", "hex", "share", "region"];
    if let Some(odd) = columns.iter().find(|c| !known.contains(c)) {
        return Err(format!("flats.csv: there is no column {odd:?}; known are {known:?}").into());
    }
    let place = |name: &str| columns.iter().position(|c| *c == name);
    let (Some(picture), Some(hex)) = (place("picture"), place("hex")) else {
        return Err("flats.csv needs the columns picture and hex".into());
    };
    let mut scenes: Vec<Scene> = vec![];
    for (i, line) in lines {
        let at = |why: &str| format!("flats.csv, line {}: {why}", i + 1);
        let cells: Vec<&str> = line.split(',').map(str::trim).collect();
        if cells.len() != columns.len() {
            return Err(at("not as many cells as the first line has").into());
        }
        let name = cells[picture];
        if name.contains(['/', '\\']) {
            return Err(at("pictures stand in the folder of flats.csv itself").into());
        }
        let colour = ScreenColour::from_hex(cells[hex]).map_err(|e| at(&e.to_string()))?;
        let share = match place("share").map(|p| cells[p]).filter(|c| !c.is_empty()) {
            Some(cell) => cell.parse().map_err(|_| at("share is a number from 0 to 1"))?,
            None => 0.0,
        };
        let told = place("region").map(|p| cells[p]).filter(|c| !c.is_empty());
        let region = told.map(|t| region(t).ok_or_else(|| at("a region is four whole numbers")));
        let region = region.transpose()?;
        let one = True { lab: colour.to_lab2(), name: colour.to_hex(), share };
        match scenes.iter_mut().find(|s| s.name == name && s.region == region) {
            Some(scene) => scene.flats.push(one),
            None => {
                let file = folder.join(name);
                let bytes = std::fs::read(&file).map_err(|e| at(&format!("{name}: {e}")))?;
                let name = name.to_owned();
                scenes.push(Scene { name, picture: bytes, region, flats: vec![one] });
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
