//! The files of a folder and of the folders right under it: what doors that show a folder choose from.
//!
//! Hidden ones are passed over. Left out: what stands in them.

use std::fs;
use std::path::{Path, PathBuf};

use crate::Trouble;
use crate::disk::broken;

/// How much is looked at.
pub(crate) struct Most {
    /// Folders under the folder.
    pub(crate) folders: usize,
    /// Entries of one folder, of any kind.
    pub(crate) entries: usize,
    /// Files of one folder that are wanted.
    pub(crate) files: usize,
}

/// The wanted files, each with its name, and with its folder before that where it is in one; those of the folder itself
/// first, then folder by folder.
///
/// # Errors
/// The folder cannot be read.
pub(crate) fn files_near(
    folder: &Path,
    most: &Most,
    wanted: impl Fn(&Path) -> bool,
) -> Result<Vec<(PathBuf, String)>, Trouble> {
    let mut found = vec![];
    let mut folders = look(folder, None, most, &wanted, &mut found)
        .map_err(|e| broken("looking into", folder, &e))?;
    folders.sort();
    for (name, under) in folders.into_iter().take(most.folders) {
        // A folder that may not be looked into holds nothing that could be offered.
        let _ = look(&under, Some(&name), most, &wanted, &mut found);
    }
    Ok(found)
}

/// Adds the wanted files of one folder, and gives the folders in it.
fn look(
    folder: &Path,
    within: Option<&str>,
    most: &Most,
    wanted: &impl Fn(&Path) -> bool,
    found: &mut Vec<(PathBuf, String)>,
) -> std::io::Result<Vec<(String, PathBuf)>> {
    let (mut folders, mut files) = (vec![], 0);
    for entry in fs::read_dir(folder)?.filter_map(Result::ok).take(most.entries) {
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = entry.path();
        if name.starts_with('.') {
            continue;
        }
        if path.is_dir() {
            folders.push((name, path));
        } else if files < most.files && wanted(&path) {
            files += 1;
            let file = within.map_or_else(|| name.clone(), |under| format!("{under}/{name}"));
            found.push((path, file));
        }
    }
    Ok(folders)
}
