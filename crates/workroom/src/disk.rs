//! Files in and out: read whole with a size limit, written whole or not at all.

use std::fs;
use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use colour::Lab;
use costume::{AsGiven, Colours, Files};

use crate::Trouble;

/// Largest text file read, bytes: a hundred times a large costume.
const MOST_TEXT: u64 = 4 * 1024 * 1024;

/// Reads a text file; in words why not.
pub(crate) fn text(path: &Path) -> Result<String, Trouble> {
    let bytes = bytes(path)?;
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
    if about.len() > MOST_TEXT {
        let says = format!("{shown} has {} bytes; at most {MOST_TEXT} are read", about.len());
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
    let wanted = path.extension();
    let mut names: Vec<String> = entries
        .filter_map(Result::ok)
        .filter(|e| Path::new(&e.file_name()).extension() == wanted)
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names.truncate(6);
    if names.is_empty() {
        format!("look in {}", folder.display())
    } else {
        format!("in {} there is {}", folder.display(), names.join(", "))
    }
}

/// Writes a file whole: first beside its place, then moved there in one step.
pub(crate) fn write_whole(path: &Path, contents: &[u8]) -> Result<(), Trouble> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let fail = |e: &std::io::Error| broken("writing", path, e);
    let mut file = tempfile::NamedTempFile::new_in(folder).map_err(|e| fail(&e))?;
    file.write_all(contents).and_then(|()| file.as_file().sync_all()).map_err(|e| fail(&e))?;
    readable_by_all(&file);
    file.persist(path).map_err(|e| fail(&e.error))?;
    Ok(())
}

/// A temporary file is private; what is put in its place is an ordinary file.
#[cfg(unix)]
fn readable_by_all(file: &tempfile::NamedTempFile) {
    use std::os::unix::fs::PermissionsExt as _;
    // A failure leaves the file private, which loses nothing.
    let _ = file.as_file().set_permissions(fs::Permissions::from_mode(0o644));
}

#[cfg(not(unix))]
fn readable_by_all(_: &tempfile::NamedTempFile) {}

pub(crate) fn broken(doing: &'static str, path: &Path, why: &std::io::Error) -> Trouble {
    Trouble::Broken { doing, path: path.to_path_buf(), why: why.to_string() }
}

/// Readings named in a costume or shelf file, from the folder it stands in.
pub(crate) struct Folder(PathBuf);

impl Folder {
    /// The folder the program was started in, where the command line's paths begin.
    pub(crate) fn here() -> Self {
        Self(PathBuf::new())
    }

    /// The folder of a file.
    pub(crate) fn of(file: &Path) -> Self {
        Self(file.parent().map_or_else(PathBuf::new, Path::to_path_buf))
    }

    /// A path written in the file, taken from its folder.
    pub(crate) fn path(&self, written: &str) -> PathBuf {
        self.0.join(written)
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
