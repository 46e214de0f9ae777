//! Text files with values of charts and of dyed cloths that a folder holds: found by what stands in them, and taken in from
//! a door that has the text and no folder.
//!
//! A door names one by its name, which is only ever compared with the names found. Left out: what is read by them.

use std::path::{Path, PathBuf};

use crate::Trouble;
use crate::card_read::HEAD;
use crate::disk::{broken, bytes, write_whole};
use crate::files_near::{Most, files_near};
use crate::photo_beside::values_sound;

/// Files of one folder whose text is looked at.
const MOST_FILES: usize = 60;

/// Largest file looked at, bytes: a chart of a thousand patches with spectra is smaller.
const LARGEST: u64 = 1024 * 1024;

/// Fewest patches of which a photograph is read, as `picture` has it.
const FEWEST: usize = 8;

/// A file of values that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ValuesFound {
    /// Its name, with its folder where it is in one.
    pub file: String,
    /// Where it is.
    pub path: PathBuf,
    /// Patches, or cloths.
    pub patches: usize,
    /// In a row, where the file says so.
    pub across: Option<usize>,
    /// True for a card printed at home and read here.
    pub printed: bool,
}

/// The files of values in a folder and in the folders right under it, by name.
///
/// # Errors
/// The folder cannot be read.
pub fn values_in(folder: &Path) -> Result<Vec<ValuesFound>, Trouble> {
    let most = Most { folders: MOST_FILES, entries: usize::MAX, files: MOST_FILES };
    let files = files_near(folder, &most, |path| {
        path.extension().is_some_and(|e| e == "txt" || e == "csv" || e == "cgats")
            && path.metadata().is_ok_and(|held| held.len() <= LARGEST)
    })?;
    let mut found: Vec<ValuesFound> =
        files.into_iter().filter_map(|(path, file)| values_at(path, file)).collect();
    found.sort_by(|a, b| a.file.cmp(&b.file));
    Ok(found)
}

/// The values in a file; nothing when there are none in it.
fn values_at(path: PathBuf, file: String) -> Option<ValuesFound> {
    let (patches, across) = values_sound(&path).ok()?;
    let printed = bytes(&path).is_ok_and(|held| held.starts_with(HEAD.as_bytes()));
    (patches >= FEWEST).then_some(ValuesFound { file, path, patches, across, printed })
}

/// Takes values into the folder under a name of letters, digits and hyphens; gives the name of their file.
///
/// # Errors
/// A text that holds no values, or too few; a name that says nothing or is there already; a disk that refuses.
pub fn take_in_values(folder: &Path, called: &str, text: &[u8]) -> Result<String, Trouble> {
    if text.is_empty() {
        let hint = "choose the text file that came with the chart, or write one as the page shows";
        return Err(Trouble::refused("no file was chosen, or it is empty", hint));
    }
    let letters: String = called
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' })
        .collect();
    let words: Vec<&str> = letters.split('-').filter(|w| !w.is_empty()).collect();
    let stem: String = words.join("-").chars().take(MOST_LETTERS).collect();
    if stem.is_empty() {
        return Err(Trouble::refused(
            "the chart has no name",
            "say what it is called, as: my chart",
        ));
    }
    let name = format!("{stem}.txt");
    let path = folder.join(&name);
    if path.symlink_metadata().is_ok() {
        let says = format!("{name} is there already");
        return Err(Trouble::refused(says, "give it another name"));
    }
    // Read as any other before it is kept: beside its place, where nobody takes it for one.
    let try_out = tempfile::TempDir::with_prefix("dyewright-values-")
        .map_err(|e| broken("making a place for the text in", &std::env::temp_dir(), &e))?;
    let there = try_out.path().join(&name);
    write_whole(&[(&there, text)])?;
    let plain = |of: Trouble| match of {
        Trouble::Refused { says, hint } => {
            let says = says.replace(&there.display().to_string(), "the file");
            Trouble::Refused { says, hint }
        }
        other => other,
    };
    let (patches, _) = values_sound(&there).map_err(plain)?;
    if patches < FEWEST {
        let says = format!("the file has {patches} patches, and at least {FEWEST} are needed");
        return Err(Trouble::refused(says, "take a chart, or a card, of more"));
    }
    write_whole(&[(&path, text)])?;
    Ok(name)
}

/// Longest name.
const MOST_LETTERS: usize = 40;

#[cfg(test)]
mod tests {
    use std::fmt::Write as _;

    use super::*;

    fn cgats(patches: usize, head: &str) -> String {
        let mut text = format!(
            "{head}NUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n\
             WEIGHTING_FUNCTION \"ILLUMINANT, D65\"\nWEIGHTING_FUNCTION \"OBSERVER, 10 degree\"\nBEGIN_DATA\n"
        );
        for n in 0..patches {
            writeln!(text, "P{n} {} 5 5", 20 + n).unwrap_or_default();
        }
        text + "END_DATA\n"
    }

    #[test]
    fn values_are_taken_in_under_our_own_name_and_found_by_what_stands_in_them()
    -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let at = folder.path();
        std::fs::write(at.join("notes.txt"), "milk, bread")?;
        std::fs::create_dir(at.join("deep"))?;
        std::fs::write(at.join("deep/home.txt"), cgats(12, HEAD))?;
        let kept = take_in_values(at, "../My chart!", cgats(10, "CGATS.17\n").as_bytes());
        assert_eq!(kept.unwrap_or_else(|e| panic!("{e}")), "my-chart.txt");
        let found = values_in(at).unwrap_or_else(|e| panic!("{e}"));
        let seen: Vec<_> = found.iter().map(|f| (f.file.as_str(), f.patches, f.printed)).collect();
        assert_eq!(seen, [("deep/home.txt", 12, true), ("my-chart.txt", 10, false)]);
        for (called, text, with) in [
            ("my chart", cgats(10, "CGATS.17\n"), "there already"),
            ("…", cgats(10, "CGATS.17\n"), "no name"),
            ("few", cgats(3, "CGATS.17\n"), "3 patches"),
            ("none", String::new(), "no file was chosen"),
            ("prose", "milk, bread".to_owned(), "the file"),
        ] {
            let said = take_in_values(at, called, text.as_bytes());
            let said = said.unwrap_or_else(|e| e.to_string());
            assert!(said.contains(with) && !said.contains("dyewright-values"), "{called}: {said}");
        }
        assert_eq!(std::fs::read_dir(at)?.count(), 3, "nothing refused is kept");
        Ok(())
    }
}
