//! Words a form can offer: the cloths the program knows, and the shelf files of a folder.

use std::path::{Path, PathBuf};

use lore::Lore;

use crate::Trouble;
use crate::disk::{broken, text};

/// Files looked at in one folder.
const MOST_FILES: usize = 2000;

/// Names of every material a piece can be of, and "unknown".
#[must_use]
pub fn cloths_known() -> Vec<String> {
    let each = Lore::shipped().materials().iter().map(|one| one.id.replace('-', " "));
    each.chain(["unknown".to_owned()]).collect()
}

/// Starter dyes a dye of the maker's own can be like: id, name, class in words.
#[must_use]
pub fn starters_known() -> Vec<(String, String, String)> {
    let lore = Lore::shipped();
    let each = dyeing::starter().iter().map(|one| {
        let dye = &one.dye;
        (dye.id.clone(), dye.name.clone(), lore.class_name(dye.class).to_owned())
    });
    each.collect()
}

/// What a bath may take besides dye, and gear: id and name.
#[must_use]
pub fn auxiliaries_known() -> Vec<(String, String)> {
    Lore::shipped().agents().iter().map(|one| (one.id.clone(), one.name.clone())).collect()
}

/// A shelf file that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShelfFound {
    /// The file's name, with its folder where it is in one.
    pub file: String,
    /// Where it is.
    pub path: PathBuf,
}

/// The shelf files of a folder and of the folders right under it, told by what stands in them.
///
/// # Errors
/// The folder cannot be read.
pub fn shelves_in(folder: &Path) -> Result<Vec<ShelfFound>, Trouble> {
    let entries = |of: &Path| {
        std::fs::read_dir(of)
            .map(|all| all.filter_map(Result::ok).take(MOST_FILES).collect::<Vec<_>>())
    };
    let mut found = vec![];
    let all = entries(folder).map_err(|e| broken("looking into", folder, &e))?;
    for entry in all {
        let (path, name) = (entry.path(), entry.file_name().to_string_lossy().into_owned());
        if name.starts_with('.') {
            continue;
        }
        if path.is_dir() {
            for under in entries(&path).unwrap_or_default() {
                let file = format!("{name}/{}", under.file_name().to_string_lossy());
                found.extend(shelf_at(under.path(), file));
            }
        } else {
            found.extend(shelf_at(path, name));
        }
    }
    found.sort_by(|a, b| a.file.cmp(&b.file));
    Ok(found)
}

fn shelf_at(path: PathBuf, file: String) -> Option<ShelfFound> {
    if path.extension().is_none_or(|e| e != "toml") {
        return None;
    }
    let text = text(&path).ok()?;
    text.lines().any(|line| line.trim() == "[[dye]]").then_some(ShelfFound { file, path })
}
