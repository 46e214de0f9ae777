//! Photographs laid down to be read: each under a number of our own, until it is recorded or left; nothing of them is
//! in the workbook before the maker says so.
//!
//! They lie in a folder of this machine's temporary files that nobody else may open and that goes with the program.
//! Left out: what is read in them, which `read` says with the same words for every door.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use tempfile::TempDir;
use workbook::Book;

use crate::Trouble;
use crate::books::{Recording, place, trouble};
use crate::disk::{broken, write_whole};
use crate::pictures_beside::sound;

/// Photographs that lie at once; the oldest makes room.
const MOST_LAID: usize = 16;

/// Where photographs lie.
#[derive(Debug)]
pub struct PhotoTray {
    folder: TempDir,
    laid: Mutex<VecDeque<PhotoLaid>>,
}

/// A photograph that lies there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoLaid {
    /// Its number: by it a page asks for it.
    pub number: u64,
    /// By what readings of it are known to be of one go.
    pub job: String,
    /// Where it lies.
    pub path: PathBuf,
    /// Its media type.
    pub media: &'static str,
    /// Its bytes.
    pub bytes: usize,
}

impl PhotoTray {
    /// An empty tray.
    ///
    /// # Errors
    /// This machine has no place for temporary files.
    pub fn try_new() -> Result<Self, Trouble> {
        let folder = TempDir::with_prefix("dyewright-photographs-")
            .map_err(|e| broken("making a place for photographs in", &std::env::temp_dir(), &e))?;
        Ok(Self { folder, laid: Mutex::default() })
    }

    /// Lays a photograph down at a moment in universal time.
    ///
    /// # Errors
    /// What is no picture, or is broken off, or too large; a disk that refuses.
    pub fn lay(&self, bytes: &[u8], at: &str) -> Result<PhotoLaid, Trouble> {
        let (_, ending, media) = sound(bytes)?;
        let mut laid = self.laid();
        let digits: String = at.chars().filter(char::is_ascii_digit).collect();
        let first = digits.parse::<u64>().unwrap_or(0).saturating_mul(100);
        // Unlike those of an earlier day, whose addresses a browser may still know.
        let number = laid.back().map_or(first, |last| first.max(last.number + 1));
        let path = self.folder.path().join(format!("{number}.{ending}"));
        write_whole(&[(&path, bytes)])?;
        if laid.len() >= MOST_LAID
            && let Some(oldest) = laid.pop_front()
        {
            remove(&oldest.path)?;
        }
        let job = format!("photograph {number}");
        let one = PhotoLaid { number, job, path, media, bytes: bytes.len() };
        laid.push_back(one.clone());
        Ok(one)
    }

    /// The photograph of this number.
    ///
    /// # Errors
    /// There is none.
    pub fn numbered(&self, number: u64) -> Result<PhotoLaid, Trouble> {
        self.laid().iter().find(|one| one.number == number).cloned().ok_or_else(|| {
            let says = "there is no such photograph any more";
            Trouble::refused(
                says,
                "it was recorded, or the workroom was closed since: send it again",
            )
        })
    }

    /// Takes a photograph away.
    ///
    /// # Errors
    /// A disk that refuses.
    pub fn take_away(&self, number: u64) -> Result<(), Trouble> {
        let mut laid = self.laid();
        let Some(at) = laid.iter().position(|one| one.number == number) else { return Ok(()) };
        laid.remove(at).map_or(Ok(()), |one| remove(&one.path))
    }

    fn laid(&self) -> MutexGuard<'_, VecDeque<PhotoLaid>> {
        self.laid.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn remove(path: &Path) -> Result<(), Trouble> {
    std::fs::remove_file(path).map_err(|e| broken("taking away", path, &e))
}

/// Keeps a photograph in the workbook, of a piece where one of that name is in it; gives its entry.
///
/// # Errors
/// A photograph that is gone; what the workbook refuses.
pub fn keep_photo(
    photo: &PhotoLaid,
    book: Option<&Path>,
    of: Option<(&str, &str)>,
    note: &str,
    recording: &Recording,
) -> Result<i64, Trouble> {
    let path = place(book);
    let bytes = std::fs::read(&photo.path).map_err(|e| broken("reading", &photo.path, &e))?;
    let stamp = recording.stamp()?;
    let kept = (|| {
        let mut book = Book::open(&path)?;
        let costume = of.map(|(costume, _)| book.costume_named(costume)).transpose()?.flatten();
        let piece = match (costume, of) {
            (Some(costume), Some((_, piece))) => book.piece_named(costume, piece)?,
            _ => None,
        };
        book.record_photograph(&stamp, &bytes, photo.media, piece, Some(note))
    })();
    kept.map(|id| id.entry().number()).map_err(|e| trouble(&e, &path))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn photographs_lie_by_number_make_room_and_are_gone_with_the_tray() {
        let done = |it: Result<PhotoLaid, Trouble>| it.unwrap_or_else(|e| panic!("{e}"));
        let tray = PhotoTray::try_new().unwrap_or_else(|e| panic!("{e}"));
        let red: Vec<u8> = [200, 60, 60].repeat(1200);
        let png = scenes::png_of(40, 30, &red).unwrap_or_else(|e| panic!("{e}"));
        let at = "2031-05-12T10:00:00Z";
        let first = done(tray.lay(&png, at));
        assert_eq!((first.number, first.media), (2031_0512_1000_0000, "image/png"));
        assert_eq!(done(tray.numbered(first.number)), first);
        assert!(tray.lay(b"no picture", at).is_err() && tray.numbered(1).is_err());
        let none = crate::PhotoBeside::default();
        let why =
            crate::chart_in(&first, &none).map_or_else(|e| e.to_string(), |c| format!("{c:?}"));
        assert!(!why.contains("dyewright-photographs") && why.contains("chart"), "{why}");
        let said = crate::read_laid(&first, &none, "a,b", "")
            .map_or_else(|e| e.to_string(), |c| format!("{c:?}"));
        assert!(said.contains("in numbers") && !said.contains("--"), "{said}");
        for _ in 0..MOST_LAID {
            done(tray.lay(&png, at));
        }
        assert!(tray.numbered(first.number).is_err() && !first.path.exists());
        let last = done(tray.numbered(first.number + 1));
        assert!(tray.take_away(last.number).is_ok() && !last.path.exists());
        let folder = tray.folder.path().to_path_buf();
        drop(tray);
        assert!(!folder.exists());
    }
}
