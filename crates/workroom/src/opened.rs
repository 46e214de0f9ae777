//! A costume file opened, with the shelf it is dyed from: what every question about a costume begins with.

use std::path::Path;

use costume::{Costume, Fault, Faults, Shelf, read_costume, read_shelf};
use lore::Lore;
use plan::{Request, Taught};
use units::Day;

use crate::Trouble;
use crate::disk::{Folder, text};
use crate::shelves::{blocked_names, keep_only};

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
        let mut shelf = shelf_for(shelf, costume.shelf.as_deref(), &folder)?;
        only_what_is_had(&mut shelf, &costume, file, text)?;
        Ok(Self { costume, shelf, folder })
    }

    /// The request, with what swatches taught.
    pub(crate) fn request<'a>(&'a self, taught: Option<&'a Taught>, today: Day) -> Request<'a> {
        let Self { costume, shelf, .. } = self;
        Request { lore: Lore::shipped(), costume, shelf, taught, today, threads: 0 }
    }
}

/// Leaves only those dyes of the shelf that the costume says it has.
fn only_what_is_had(
    shelf: &mut Shelf,
    costume: &Costume,
    file: &Path,
    text: String,
) -> Result<(), Trouble> {
    let place = |word: &str| {
        let written = format!("\"{word}\"");
        let from = text.find("only").unwrap_or(0);
        let start = text[from..].find(&written).map_or(from, |at| from + at);
        start..(start + written.len()).min(text.len())
    };
    let unknown = keep_only(shelf, &costume.only, Lore::shipped());
    let list: Vec<Fault> = unknown
        .into_iter()
        .map(|(word, says, hint)| Fault {
            span: place(costume.only.get(word).map_or("", String::as_str)),
            says,
            hint,
        })
        .collect();
    if !list.is_empty() {
        return Err(Faults { file: file.display().to_string(), text, list }.into());
    }
    if shelf.dyes.is_empty() {
        let says = format!("nothing on the shelf is of {}", costume.only.join(" or "));
        let hint =
            "take it out of `only`, or leave `only` out to dye with all of the shelf".to_owned();
        let list = vec![Fault {
            span: place(costume.only.first().map_or("", String::as_str)),
            says,
            hint,
        }];
        return Err(Faults { file: file.display().to_string(), text, list }.into());
    }
    Ok(())
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_costume_dyes_with_what_it_has_and_a_word_that_names_nothing_is_told_at_its_place()
    -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("c.toml");
        let opened = |have: &str| {
            let text = format!(
                "[costume]\nname = \"have\"\n{have}\n[[piece]]\nid = \"a\"\ncloth = \"cotton\"\nweight_g = 9\n\
                 target = {{ lab = [50, 10, 20] }}\n"
            );
            std::fs::write(&file, text).unwrap_or_else(|e| panic!("{e}"));
            Opened::of(&file, None)
        };
        let classes = |have: &str| {
            let of = opened(have).unwrap_or_else(|e| panic!("{e}"));
            let mut all: Vec<String> =
                of.shelf.dyes.iter().map(|dye| dye.dye.class.to_string()).collect();
            all.dedup();
            all
        };
        assert!(classes("").len() > 4);
        let only = classes("only = [\"direct\", \"acid-navy\"]");
        assert_eq!(only.len(), 2, "{only:?}");
        for (have, with) in [("only = [\"direkt\"]", "direkt"), ("only = [\"vat\"]", "is of vat")] {
            let Err(Trouble::Faults(faults)) = opened(have) else { panic!("{have} was taken") };
            let fault = &faults.list[0];
            assert_eq!(faults.place(fault).0, 3, "{have}: {fault:?}");
            assert!(fault.says.contains(with) && !fault.hint.is_empty(), "{fault:?}");
        }
        Ok(())
    }
}
