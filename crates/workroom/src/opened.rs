//! A costume file opened, with the shelf it is dyed from: what every question about a costume begins with.

use std::path::Path;

use costume::{Costume, Faults, Shelf, read_costume, read_shelf};
use lore::Lore;
use plan::{Request, Taught};
use units::Day;

use crate::Trouble;
use crate::disk::{Folder, text};
use crate::shelves::blocked_names;

/// A costume, its shelf, and the folder its files are read from.
pub(crate) struct Opened {
    pub(crate) costume: Costume,
    pub(crate) shelf: Shelf,
    pub(crate) folder: Folder,
}

impl Opened {
    /// Reads a costume file, and the shelf that is named, else the one the file names, else the starter shelf.
    pub(crate) fn of(file: &Path, shelf: Option<&Path>) -> Result<Self, Trouble> {
        let lore = Lore::shipped();
        let folder = Folder::of(file);
        let text = text(file)?;
        let costume = read_costume(&file.display().to_string(), &text, lore, &folder)?;
        let shelf = shelf_for(shelf, costume.shelf.as_deref(), &folder)?;
        Ok(Self { costume, shelf, folder })
    }

    /// The request, with what swatches taught.
    pub(crate) fn request<'a>(&'a self, taught: Option<&'a Taught>, today: Day) -> Request<'a> {
        let Self { costume, shelf, .. } = self;
        Request { lore: Lore::shipped(), costume, shelf, taught, today, threads: 0 }
    }
}

/// Reads a costume file, and the shelf it is dyed from, to find what is wrong with them.
///
/// # Errors
/// All faults of the first of the two that has any; a file that cannot be opened.
pub fn look_for_faults(file: &Path) -> Result<(), Trouble> {
    Opened::of(file, None).map(drop)
}

/// The shelf that is named, else the one a file in this folder names, else the starter shelf.
pub(crate) fn shelf_for(
    named: Option<&Path>,
    written: Option<&str>,
    folder: &Folder,
) -> Result<Shelf, Trouble> {
    let lore = Lore::shipped();
    match (named, written) {
        (Some(path), _) => shelf_of(path, lore),
        (None, Some(written)) => shelf_of(&folder.path(written), lore),
        (None, None) => Ok(Shelf::of_starters()),
    }
}

/// A shelf file, read; an empty one is refused.
pub(crate) fn shelf_of(path: &Path, lore: &Lore) -> Result<Shelf, Trouble> {
    let text = text(path)?;
    let name = path.display().to_string();
    let shelf = read_shelf(&name, &text, lore, &Folder::of(path))?;
    // What is blocked harms people: it is refused wherever a shelf is read, not only when checked.
    let blocked = blocked_names(&text, lore);
    if !blocked.is_empty() {
        return Err(Faults { file: name, text, list: blocked }.into());
    }
    if shelf.dyes.is_empty() {
        return Err(Trouble::refused(
            format!("{} holds no dye", path.display()),
            "add a [[dye]], or leave `shelf` out to use the starter shelf",
        ));
    }
    Ok(shelf)
}
