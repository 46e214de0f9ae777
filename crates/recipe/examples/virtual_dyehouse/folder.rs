//! A case as a folder on the disk: read, and written. The form is that of `docs/cases.md`.

use std::fs;
use std::path::{Path, PathBuf};

use dyehouse::Case;

use crate::strategy::Fault;

/// Reads the case of a folder.
pub(crate) fn read(folder: &Path) -> Result<Case, Fault> {
    if !folder.is_dir() {
        let what = "there is no such folder; docs/cases.md says what a case is";
        return Err(format!("{}: {what}", folder.display()).into());
    }
    let case = Case::try_read(|name| fs::read_to_string(folder.join(name)).ok());
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
