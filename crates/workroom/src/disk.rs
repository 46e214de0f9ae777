//! Files in and out: read whole with a size limit, written whole or not at all.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::fs;
use std::io::{ErrorKind, Read as _, Write as _};
use std::path::{Path, PathBuf};

use colour::Lab;
use costume::{AsGiven, Colours, Files};
use workbook::{part_in, sweep};

use crate::Trouble;

/// Largest file of readings read, bytes: a chart of some thousand spectra is smaller.
const MOST_READINGS: u64 = 4 * 1024 * 1024;

/// Names of a folder looked at for a hint.
const MOST_LOOKED_AT: usize = 2000;

/// Reads a text file; in words why not.
pub(crate) fn text(path: &Path) -> Result<String, Trouble> {
    let bytes = at_most(path, costume::MOST_BYTES as u64)?;
    String::from_utf8(bytes).map_err(|e| {
        let at = e.utf8_error().valid_up_to();
        Trouble::refused(
            format!("{} is not a text file: byte {at} is not UTF-8", path.display()),
            "name a costume or shelf file written as TOML text",
        )
    })
}

/// Reads a file whole; refuses what is missing, no file, or too large to be what is wanted.
pub(crate) fn bytes(path: &Path) -> Result<Vec<u8>, Trouble> {
    at_most(path, MOST_READINGS)
}

/// The same with a limit of one's own.
pub(crate) fn at_most(path: &Path, most: u64) -> Result<Vec<u8>, Trouble> {
    let shown = path.display();
    let about = fs::metadata(path).map_err(|e| match e.kind() {
        ErrorKind::NotFound => Trouble::refused(format!("there is no file {shown}"), near(path)),
        _ => broken("reading", path, &e),
    })?;
    if about.is_dir() {
        let hint = "name the file in it, such as costume.toml";
        return Err(Trouble::refused(format!("{shown} is a folder"), hint));
    }
    if !about.is_file() {
        let hint = "name an ordinary file on the disk";
        return Err(Trouble::refused(format!("{shown} is not an ordinary file"), hint));
    }
    if about.len() > most {
        let says = format!("{shown} has {} bytes; at most {most} are read", about.len());
        return Err(Trouble::refused(says, "is it the right file?"));
    }
    fs::read(path).map_err(|e| broken("reading", path, &e))
}

/// Names in the same folder that look like the one that is missing.
fn near(path: &Path) -> String {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let Ok(entries) = fs::read_dir(folder) else {
        return format!("the folder {} is not there either", folder.display());
    };
    let wanted = path.file_name().unwrap_or_default().to_string_lossy().to_lowercase();
    let mut names: Vec<(usize, String)> = entries
        .filter_map(Result::ok)
        .take(MOST_LOOKED_AT)
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .map(|name| (strsim::levenshtein(&wanted, &name.to_lowercase()), name))
        .filter(|(far, _)| *far <= 2 + wanted.chars().count() / 3)
        .collect();
    names.sort();
    let names: Vec<String> = names.into_iter().take(3).map(|(_, name)| name).collect();
    let here = folder == Path::new(".");
    let folder = if here { "this folder".to_owned() } else { folder.display().to_string() };
    if names.is_empty() {
        format!("look at what is in {folder}")
    } else {
        format!("in {folder} there is {}", names.join(", "))
    }
}

/// Writes files whole: each first beside its place; when all of them are on the disk, each is moved
/// to its place in one step. When anything fails before that, no place has been touched.
///
/// Killed outright (power, SIGKILL), a run may leave its own temporary files, never a part of a file at
/// its place; the next run that writes into the folder takes them away.
pub(crate) fn write_whole(files: &[(&Path, &[u8])]) -> Result<(), Trouble> {
    let mut ready = vec![];
    let mut swept = BTreeSet::new();
    for (path, contents) in files {
        // A link stays a link: what it points at is replaced.
        let place = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
        let folder = place.parent().filter(|p| !p.as_os_str().is_empty());
        let folder = folder.unwrap_or(Path::new(".")).to_path_buf();
        folder_there(&folder)?;
        if swept.insert(folder.clone()) {
            sweep(&folder);
        }
        let fail = |e: &std::io::Error| broken("writing", path, e);
        let mut file = part_in(&folder).map_err(|e| fail(&e))?;
        file.write_all(contents).and_then(|()| file.as_file().sync_all()).map_err(|e| fail(&e))?;
        as_ordinary(&file, &place);
        ready.push((file, place));
    }
    for (file, place) in ready {
        file.persist(&place).map_err(|e| broken("writing", &place, &e.error))?;
    }
    Ok(())
}

/// Whether files can be made in a folder, tried before the work and not after it.
pub(crate) fn can_write_into(folder: &Path) -> Result<(), Trouble> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    folder_there(folder)?;
    tempfile::tempfile_in(folder).map(drop).map_err(|e| broken("writing into", folder, &e))
}

/// A folder that is not there is the maker's to make: a name mistyped is no folder to be begun.
pub(crate) fn folder_there(folder: &Path) -> Result<(), Trouble> {
    let shown = folder.display();
    match fs::metadata(folder) {
        Ok(about) if about.is_dir() => Ok(()),
        Ok(_) => Err(Trouble::refused(format!("{shown} is no folder"), "name a folder")),
        Err(e) if matches!(e.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => {
            Err(Trouble::refused(format!("there is no folder {shown}"), "make it, or name another"))
        }
        Err(e) => Err(broken("looking at", folder, &e)),
    }
}

/// What stands near the top of a file of ours, by which it is told from anybody else's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    /// The file holds this.
    Holds(&'static str),
    /// The file begins with this.
    Begins(&'static str),
}

/// Refuses to write over a file that did not come from here.
pub(crate) fn only_over_ours(path: &Path, mark: Mark) -> Result<(), Trouble> {
    let about = match fs::metadata(path) {
        Ok(about) => about,
        Err(e) if e.kind() == ErrorKind::NotFound => return Ok(()),
        Err(e) => return Err(broken("looking at", path, &e)),
    };
    let hint = "move it away, or name another folder with --out";
    if about.is_dir() {
        return Err(Trouble::refused(format!("{} is a folder", path.display()), hint));
    }
    if !about.is_file() {
        let says = format!("{} is not an ordinary file", path.display());
        return Err(Trouble::refused(says, hint));
    }
    let file = fs::File::open(path).map_err(|e| broken("reading", path, &e))?;
    let mut head = vec![];
    file.take(HEAD_BYTES).read_to_end(&mut head).map_err(|e| broken("reading", path, &e))?;
    let head = String::from_utf8_lossy(&head);
    let ours = match mark {
        Mark::Holds(mark) => head.contains(mark),
        // A spreadsheet may have put a byte order mark before it.
        Mark::Begins(mark) => head.trim_start_matches('\u{feff}').starts_with(mark),
    };
    if head.is_empty() || ours {
        return Ok(());
    }
    let says = format!("{} is there already and was not written by dyewright", path.display());
    Err(Trouble::refused(says, hint))
}

/// How near to the top a mark stands: after the longest title.
const HEAD_BYTES: u64 = 64 * 1024;

/// A temporary file is private; what is put in its place has the rights of the file it replaces, or
/// those of an ordinary new file.
#[cfg(unix)]
fn as_ordinary(file: &tempfile::NamedTempFile, place: &Path) {
    use std::os::unix::fs::PermissionsExt as _;
    let rights =
        fs::metadata(place).map_or_else(|_| fs::Permissions::from_mode(0o644), |m| m.permissions());
    // A failure leaves the file private, which loses nothing.
    let _ = file.as_file().set_permissions(rights);
}

#[cfg(not(unix))]
fn as_ordinary(_: &tempfile::NamedTempFile, _: &Path) {}

pub(crate) fn broken(doing: &'static str, path: &Path, why: &std::io::Error) -> Trouble {
    Trouble::Broken { doing, path: path.to_path_buf(), why: why.to_string() }
}

/// Readings named in a costume or shelf file, from the folder it stands in.
pub(crate) struct Folder {
    root: PathBuf,
    /// What has to be said about paths that were followed.
    notes: RefCell<Vec<String>>,
}

impl Folder {
    /// The folder the program was started in, where the command line's paths begin.
    pub(crate) fn here() -> Self {
        Self::at(PathBuf::new())
    }

    /// The folder of a file.
    pub(crate) fn of(file: &Path) -> Self {
        Self::at(file.parent().map_or_else(PathBuf::new, Path::to_path_buf))
    }

    /// A path written in the file, taken from its folder.
    pub(crate) fn path(&self, written: &str) -> PathBuf {
        let path = self.root.join(written);
        if Path::new(written).is_absolute() && !self.root.as_os_str().is_empty() {
            self.notes.borrow_mut().push(format!(
                "{written} is a path of this machine: elsewhere the file will not be found. Keep \
                 readings beside the costume file and name them from there."
            ));
        }
        path
    }

    /// What has to be said about paths that were followed, once each.
    pub(crate) fn notes(self) -> Vec<String> {
        let mut notes = self.notes.into_inner();
        notes.dedup();
        notes
    }

    const fn at(root: PathBuf) -> Self {
        Self { root, notes: RefCell::new(vec![]) }
    }
}

impl Files for Folder {
    fn colours(&self, written: &str) -> Result<Colours, String> {
        let bytes = bytes(&self.path(written)).map_err(|e| e.to_string())?;
        let readings = colour::read_file(&bytes, written).map_err(|faults| {
            let said: Vec<String> = faults.iter().take(5).map(ToString::to_string).collect();
            said.join("; ")
        })?;
        readings
            .iter()
            .enumerate()
            .map(|(i, reading)| {
                let name = reading.name.clone().unwrap_or_else(|| (i + 1).to_string());
                as_given(reading).map(|given| (name, given))
            })
            .collect()
    }
}

/// A reading as the costume room takes it: its spectrum, else its colour for D65/10°.
pub(crate) fn as_given(reading: &colour::Reading) -> Result<AsGiven, String> {
    match reading.try_bands() {
        Some(bands) => bands.map(AsGiven::Spectrum).map_err(|e| e.to_string()),
        None => {
            let lab: Lab = reading.try_lab().map_err(|e| e.to_string())?;
            Ok(AsGiven::Colour(lab))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_killed_run_left_is_swept_and_what_a_living_one_holds_stays() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let at = |name: &str| folder.path().join(name);
        fs::write(at(".dyewright-dead42"), "half")?;
        fs::write(at(".dyewright-live42"), "half")?;
        fs::write(at("notes.txt"), "the maker's")?;
        let held = fs::File::open(at(".dyewright-live42"))?;
        held.lock()?;
        write_whole(&[(&at("a.html"), b"whole")]).map_err(std::io::Error::other)?;
        let there = |name| at(name).exists();
        assert!(!there(".dyewright-dead42"));
        assert!(there(".dyewright-live42") && there("notes.txt") && there("a.html"));
        Ok(())
    }
}
