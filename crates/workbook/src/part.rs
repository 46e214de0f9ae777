//! A file that is not whole yet: beside its place, under another name, held by a lock while its run lives; and what
//! runs that were killed left under such names, taken away by the next.
//!
//! Left out: disks that know no locks. There nobody can tell what is left over from what is being written, and
//! everything stays.

use std::fs::{self, File};
use std::io::{self, ErrorKind};
use std::path::Path;

use tempfile::NamedTempFile;

/// How the name of such a file begins, and how many letters and digits follow.
const BESIDE: &str = ".dyewright-";
const RANDOM: usize = 6;

/// How often a new one is made when another run took it away before it was held.
const TRIES: usize = 8;

/// A new file in a folder, of another name, that goes away unless it is given its own.
///
/// # Errors
/// The disk's.
pub fn part_in(folder: &Path) -> io::Result<NamedTempFile> {
    for _ in 0..TRIES {
        let made =
            tempfile::Builder::new().prefix(BESIDE).rand_bytes(RANDOM).tempfile_in(folder)?;
        // Held while this run lives, so that nobody takes it for left over; some disks know no locks.
        let _ = made.as_file().lock();
        if made.path().exists() {
            return Ok(made);
        }
    }
    Err(io::Error::new(ErrorKind::NotFound, "what was begun was taken away again and again"))
}

/// Takes away what killed runs left in a folder: nobody holds its lock any more.
pub fn sweep(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.filter_map(Result::ok) {
        let left = ours(&entry.file_name().to_string_lossy())
            && entry.file_type().is_ok_and(|kind| kind.is_file());
        let open = || fs::OpenOptions::new().write(true).open(entry.path());
        // What cannot be opened or removed stays: it is in nobody's way.
        if left && open().is_ok_and(|file| file.try_lock().is_ok()) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// A name as [`part_in`] gives it, and no other that begins so.
fn ours(name: &str) -> bool {
    name.strip_prefix(BESIDE).is_some_and(|random| {
        random.len() == RANDOM && random.bytes().all(|b| b.is_ascii_alphanumeric())
    })
}

/// The folder of a file.
pub(crate) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Lets the names in a folder outlast a loss of power. Not every system lets a folder be opened for it.
pub(crate) fn names_to_disk(path: &Path) {
    let _ = File::open(folder_of(path)).and_then(|folder| folder.sync_all());
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What nobody holds goes; what somebody holds stays, and what is not of such a name.
    #[test]
    fn only_what_a_killed_run_left_is_taken_away() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        for name in
            [".dyewright-aB3xyz", ".dyewright-notes-2", ".dyewright-abc", ".dyewrightabcdef"]
        {
            fs::write(at(name), "x").unwrap();
        }
        fs::create_dir(at(".dyewright-folder")).unwrap();
        let alive = part_in(folder.path()).unwrap();
        sweep(folder.path());
        assert!(!at(".dyewright-aB3xyz").exists());
        assert!(alive.path().exists() && at(".dyewright-folder").exists());
        for name in [".dyewright-notes-2", ".dyewright-abc", ".dyewrightabcdef"] {
            assert!(at(name).exists(), "{name}");
        }
        let left = alive.path().to_path_buf();
        drop(alive);
        assert!(!left.exists());
    }
}
