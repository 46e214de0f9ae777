//! What the tests of this room share: the example read from disk, and planned.

#![allow(dead_code, reason = "each test file takes what it needs")]

pub(crate) mod invented;

use std::error::Error;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use colour::{Bands, Lab};
use costume::{AsGiven, Colours, Costume, Files, Shelf, read_costume, read_shelf};
use lore::Lore;
use plan::document::Plan;
use plan::{Request, plan};
use units::Day;

/// What a test gives back.
pub(crate) type Check = Result<(), Box<dyn Error>>;

/// Readings from a folder.
pub(crate) struct Folder(pub PathBuf);

impl Files for Folder {
    fn colours(&self, path: &str) -> Result<Colours, String> {
        let bytes = std::fs::read(self.0.join(path)).map_err(|e| e.to_string())?;
        let readings = colour::read_file(&bytes, path)
            .map_err(|e| e.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))?;
        Ok(readings
            .into_iter()
            .filter_map(|r| {
                let name = r.name.clone().unwrap_or_default();
                let bands: Option<Bands> = r.try_bands().and_then(Result::ok);
                let lab: Option<Lab> = r.try_lab().ok();
                let given = bands.map(AsGiven::Spectrum).or(lab.map(AsGiven::Colour))?;
                Some((name, given))
            })
            .collect())
    }
}

/// The folder of the worked example.
pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/lantern-warden")
}

/// Reads a costume text against the example's folder.
pub(crate) fn costume(text: &str) -> Result<Costume, Box<dyn Error>> {
    Ok(read_costume("costume.toml", text, Lore::shipped(), &Folder(folder()))?)
}

/// The example's shelf.
pub(crate) fn shelf() -> Result<Shelf, Box<dyn Error>> {
    let text = std::fs::read_to_string(folder().join("shelf.toml"))?;
    Ok(read_shelf("shelf.toml", &text, Lore::shipped(), &Folder(folder()))?)
}

/// Plans a costume on a fixed day.
pub(crate) fn planned(costume: &Costume, shelf: &Shelf) -> Result<Plan, Box<dyn Error>> {
    let today = Day::try_ymd(2027, 1, 11)?;
    let request =
        Request { lore: Lore::shipped(), costume, shelf, today, taught: None, threads: 1 };
    Ok(plan(&request, &mut |_| ControlFlow::Continue(()))?)
}

/// The example, planned.
pub(crate) fn example() -> Result<Plan, Box<dyn Error>> {
    let text = std::fs::read_to_string(folder().join("costume.toml"))?;
    planned(&costume(&text)?, &shelf()?)
}
