//! Photographs laid down to be read: each under a number of our own, until it is recorded or left; nothing of them is
//! in the workbook before the maker says so.
//!
//! They lie in a folder of this machine's temporary files that nobody else may open and that goes with the program.
//! Left out: what is read in them, which `read` says with the same words for every door.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use picture::{Asked, ChartKind};
use tempfile::TempDir;
use workbook::Book;

use crate::books::{Recording, place, trouble};
use crate::disk::{broken, write_whole};
use crate::photo_asked::{open, parted};
use crate::photo_read::chart_seen;
use crate::pictures_beside::sound;
use crate::{ChartSeen, PhotoRead, ReadWanted, Trouble, read_photo};

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

/// What a refusal calls the photograph: its maker never saw our name for it.
fn plainly<T>(of: Result<T, Trouble>, photo: &PhotoLaid) -> Result<T, Trouble> {
    of.map_err(|why| match why {
        Trouble::Refused { says, hint } => {
            let own = photo.path.display().to_string();
            let says = says.replace(&format!("{own}, "), "").replace(&format!("{own}: "), "");
            let hint = in_plain_words(&hint);
            let hint = if hint.is_empty() { "photograph it again".to_owned() } else { hint };
            Trouble::Refused { says: says.replace(&own, "the photograph"), hint }
        }
        // Their words are those of the command line.
        Trouble::Faults(_) => Trouble::refused(
            "where the cloth or the chart lies was not told in numbers of this photograph",
            "draw on it, or write pixels from its upper left",
        ),
        other @ Trouble::Broken { .. } => other,
    })
}

/// What is said without the words of the command line: a bracket that names one goes, else the part that does.
fn in_plain_words(said: &str) -> String {
    let mut plain = said.to_owned();
    while let Some(from) = plain.find(" (--") {
        let Some(to) = plain[from..].find(')') else { break };
        plain.replace_range(from..=from + to, "");
    }
    let parts = plain.split("; ").filter(|part| !part.contains("--"));
    parts.collect::<Vec<_>>().join("; ")
}

/// Where the chart lies in a photograph: so that one without is refused before a place is asked for.
///
/// # Errors
/// No chart, or a photograph that cannot be trusted, with what to do.
pub fn chart_in(photo: &PhotoLaid, corners: &str) -> Result<ChartSeen, Trouble> {
    let looked = || {
        let words = crate::photo_asked::Words::of(&asked(photo, vec![], corners, ""))?;
        let picture = open(&photo.path)?;
        let chart = ChartKind::classic();
        let asked = Asked { chart, corners: words.corners, cloths: &[], paper: None };
        let taken = picture.take(&asked).map_err(|e| {
            let (says, hint) = parted(&e);
            Trouble::refused(says, hint)
        })?;
        Ok(chart_seen(&taken.chart, chart.patches().len()))
    };
    plainly(looked(), photo)
}

/// Reads a cloth in a photograph that lies in the tray: `cloth` and `corners` as `read` takes them.
///
/// # Errors
/// As [`read_photo`].
pub fn read_laid(
    photo: &PhotoLaid,
    cloth: &str,
    corners: &str,
    light: &str,
) -> Result<PhotoRead, Trouble> {
    let mut read =
        plainly(read_photo(&asked(photo, vec![cloth.to_owned()], corners, light)), photo)?;
    read.photograph.clone_from(&photo.job);
    for said in read.limits.iter_mut().chain(&mut read.notes) {
        *said = in_plain_words(said);
    }
    read.notes.retain(|note| !note.is_empty());
    read.limits.retain(|limit| !limit.is_empty());
    Ok(read)
}

fn asked(photo: &PhotoLaid, cloths: Vec<String>, corners: &str, light: &str) -> ReadWanted {
    let said = |given: &str| Some(given.trim().to_owned()).filter(|g| !g.is_empty());
    ReadWanted {
        photo: photo.path.clone(),
        cloths,
        corners: said(corners),
        light: said(light),
        from: "camera".to_owned(),
        ..ReadWanted::default()
    }
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
    fn no_word_of_the_command_line_is_said() {
        for (said, plain) in [
            ("white paper (--white) shows it", "white paper shows it"),
            ("photograph again; or write --card FILE", "photograph again"),
            ("give --cloth", ""),
            ("as it is", "as it is"),
        ] {
            assert_eq!(in_plain_words(said), plain);
        }
    }

    #[test]
    fn photographs_lie_by_number_make_room_and_are_gone_with_the_tray() {
        let done = |it: Result<PhotoLaid, Trouble>| it.unwrap_or_else(|e| panic!("{e}"));
        let tray = PhotoTray::try_new().unwrap_or_else(|e| panic!("{e}"));
        let png = scenes::png_of(40, 30, &[90; 3600]).unwrap_or_else(|e| panic!("{e}"));
        let at = "2031-05-12T10:00:00Z";
        let first = done(tray.lay(&png, at));
        assert_eq!((first.number, first.media), (2031_0512_1000_0000, "image/png"));
        assert_eq!(done(tray.numbered(first.number)), first);
        assert!(tray.lay(b"no picture", at).is_err() && tray.numbered(1).is_err());
        let why = chart_in(&first, "").map_or_else(|e| e.to_string(), |c| format!("{c:?}"));
        assert!(!why.contains("dyewright-photographs") && why.contains("chart"), "{why}");
        let said =
            read_laid(&first, "a,b", "", "").map_or_else(|e| e.to_string(), |c| format!("{c:?}"));
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
