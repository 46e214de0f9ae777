//! The costume files of a folder: what a door that shows a folder can offer.
//!
//! Looked for in the folder and in the folders right under it, by what stands in them and not by their name. A
//! door names one by its key, which is only ever compared with the keys found: no path is made from it.

use std::path::{Path, PathBuf};

use crate::Trouble;
use crate::disk::text;
use crate::files_near::{Most, files_near};

/// Files looked at in one folder.
const MOST_FILES: usize = 2000;

/// Folders looked into.
const MOST_FOLDERS: usize = 200;

/// A costume file that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CostumeFound {
    /// What a door calls it: the path within the folder, in letters, digits and hyphens.
    pub key: String,
    /// What its maker calls it; the file's name where the file cannot be read.
    pub name: String,
    /// Where it is.
    pub path: PathBuf,
    /// The file's name, with its folder where it is in one.
    pub file: String,
}

/// The costume files of a folder and of the folders right under it, by name.
///
/// # Errors
/// The folder cannot be read.
pub fn costumes_in(folder: &Path) -> Result<Vec<CostumeFound>, Trouble> {
    let most = Most { folders: MOST_FOLDERS, entries: MOST_FILES, files: MOST_FILES };
    let files = files_near(folder, &most, |path| path.extension().is_some_and(|e| e == "toml"))?;
    let mut found: Vec<CostumeFound> =
        files.into_iter().filter_map(|(path, file)| costume_at(path, file)).collect();
    found.sort_by(|a, b| (a.name.to_lowercase(), &a.file).cmp(&(b.name.to_lowercase(), &b.file)));
    let mut keys = std::collections::BTreeMap::new();
    for one in &mut found {
        let times = keys.entry(one.key.clone()).or_insert(0_usize);
        *times += 1;
        if *times > 1 {
            one.key = format!("{}-{times}", one.key);
        }
    }
    Ok(found)
}

/// The costume in a file; nothing when there is none in it.
fn costume_at(path: PathBuf, file: String) -> Option<CostumeFound> {
    let text = text(&path).ok()?;
    let heads = |head: &str| text.lines().any(|line| line.trim() == head);
    if !heads("[costume]") && !heads("[[piece]]") {
        return None;
    }
    let name = name_in(&text).unwrap_or_else(|| file.clone());
    Some(CostumeFound { key: key_of(&file), name, path, file })
}

/// What a costume is called: read from its head alone, so that a folder of hundreds is found at once; from the whole text
/// where the head by itself cannot be read.
fn name_in(text: &str) -> Option<String> {
    let name_of = |text: &str| {
        let file = toml_edit::Document::parse(text).ok()?;
        let name = file.get("costume")?.get("name")?.as_str()?.trim().to_owned();
        (!name.is_empty()).then_some(name)
    };
    let mut lines = text.lines().skip_while(|line| line.trim() != "[costume]");
    let mut head: Vec<&str> = lines.next().into_iter().collect();
    head.extend(lines.take_while(|line| !line.trim_start().starts_with('[')));
    name_of(&head.join("\n")).or_else(|| name_of(text))
}

/// "lantern-warden/costume.toml" is "lantern-warden-costume".
fn key_of(file: &str) -> String {
    let stem = file.strip_suffix(".toml").unwrap_or(file);
    let letters: String = stem
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' })
        .collect();
    let words: Vec<&str> = letters.split('-').filter(|w| !w.is_empty()).collect();
    if words.is_empty() { "costume".to_owned() } else { words.join("-") }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    #[test]
    fn costumes_are_found_by_what_stands_in_them_and_keys_never_clash() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let write = |name: &str, text: &str| {
            let path = folder.path().join(name);
            fs::create_dir_all(path.parent().unwrap_or(folder.path()))?;
            fs::write(path, text)
        };
        write("Coat one.toml", "[costume]\nname = \"Zinnia\"\n")?;
        write("coat-one.toml", "[costume]\nname = \"Aster\"\n")?;
        write("shelf.toml", "[[dye]]\nid = \"x\"\n")?;
        write("broken.toml", "[costume]\nname = \n")?;
        write("list.toml", "[costume]\nnote = \"\"\"\n[x\n\"\"\"\nname = \"Teasel\"\n")?;
        write("deep/costume.toml", "[[piece]]\nid = \"x\"\n")?;
        write("deep/deeper/costume.toml", "[costume]\n")?;
        let found = costumes_in(folder.path()).unwrap_or_else(|e| panic!("{e}"));
        let seen: Vec<_> = found.iter().map(|f| (f.name.as_str(), f.key.as_str())).collect();
        assert_eq!(
            seen,
            [
                ("Aster", "coat-one"),
                ("broken.toml", "broken"),
                ("deep/costume.toml", "deep-costume"),
                ("Teasel", "list"),
                ("Zinnia", "coat-one-2")
            ]
        );
        assert!(costumes_in(&folder.path().join("nowhere")).is_err());
        Ok(())
    }
}
