//! A case as a folder on the disk: read, and written. The form is that of `docs/cases.md`.

use std::collections::BTreeMap;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use dyehouse::Case;

use crate::strategy::Fault;

/// A file is at most so large, bytes: a hundred thousand jobs have a truth of about a gigabyte.
const MOST_BYTES: u64 = 4_000_000_000;

/// Reads the case of a folder.
pub(crate) fn read(folder: &Path) -> Result<Case, Fault> {
    if !folder.is_dir() {
        let what = "there is no such folder; docs/cases.md says what a case is";
        return Err(format!("{}: {what}", folder.display()).into());
    }
    let mut files: BTreeMap<&str, String> = BTreeMap::new();
    for name in dyehouse::FILES {
        let path = folder.join(name);
        let refused = |what: &str| -> Fault { format!("{}: {what}", path.display()).into() };
        match fs::metadata(&path) {
            Err(e) if e.kind() == ErrorKind::NotFound => continue,
            Err(e) => return Err(refused(&e.to_string())),
            Ok(about) if !about.is_file() => return Err(refused("this is no file")),
            Ok(about) if about.len() > MOST_BYTES => {
                return Err(refused("this is larger than 4 GB: make several cases of it"));
            }
            Ok(_) => {}
        }
        let text = fs::read(&path).map_err(|e| refused(&e.to_string()))?;
        let text = String::from_utf8(text)
            .map_err(|_| refused("this is no plain text: save it as UTF-8"))?;
        files.insert(name, text);
    }
    let case = Case::try_read(|name| files.get(name).cloned());
    case.map_err(|e| format!("{}: {e}", folder.display()).into())
}

/// Writes a case into a folder, which is made if need be. Files of an older case there are taken away, so
/// that none is read with the new.
pub(crate) fn write(case: &Case, folder: &Path) -> Result<(), Fault> {
    fs::create_dir_all(folder)?;
    for name in dyehouse::FILES {
        let old = folder.join(name);
        if old.exists() {
            fs::remove_file(old)?;
        }
    }
    for (name, text) in case.try_written()? {
        fs::write(folder.join(name), text)?;
    }
    Ok(())
}

/// Where a drawn case goes unless told otherwise: a folder of its own among the system's temporary files.
pub(crate) fn usual(name: &str) -> PathBuf {
    std::env::temp_dir().join(format!("virtual-dyehouse-{name}"))
}
