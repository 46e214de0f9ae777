//! How far a bath is: steps done, and the instants at which its clocks ring.
//!
//! Kept beside the costume file, written whole at every mark: a page that was reloaded, or another page, sees the
//! same. It is no record of a dyeing; that is the workbook's.

use std::collections::{BTreeMap, BTreeSet};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use serde::{Deserialize, Serialize};

use crate::Trouble;
use crate::disk::{broken, write_whole};

/// Most bytes read: a costume of a hundred pieces has fewer.
const MOST_BYTES: u64 = 4 * 1024 * 1024;

/// How far one bath is.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BathClock {
    /// Numbers of the steps that are done.
    #[serde(default)]
    pub done: BTreeSet<usize>,
    /// When the clock of a step rings, in milliseconds since 1970 (UTC).
    #[serde(default)]
    pub rings: BTreeMap<usize, i64>,
}

/// A mark put at a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BathMark {
    /// It is done; its clock stops.
    Done,
    /// It is not done after all.
    NotDone,
    /// Its clock rings at this instant, in milliseconds since 1970 (UTC).
    RingsAt(i64),
    /// Its clock stops.
    Silent,
}

type All = BTreeMap<String, BathClock>;

/// One mark at a time: two pages may tick at once.
static MARKING: Mutex<()> = Mutex::new(());

/// How far a bath of a costume is, by the bath's name.
///
/// # Errors
/// A disk that refuses; a file that is not ours.
pub fn bath_clock(costume: &Path, bath: &str) -> Result<BathClock, Trouble> {
    Ok(read(&place(costume))?.remove(bath).unwrap_or_default())
}

/// Puts a mark at a step of a bath.
///
/// # Errors
/// A disk that refuses; a file that is not ours.
pub fn mark_bath(costume: &Path, bath: &str, step: usize, mark: BathMark) -> Result<(), Trouble> {
    let _one = MARKING.lock().unwrap_or_else(PoisonError::into_inner);
    let place = place(costume);
    let mut all = read(&place)?;
    let clock = all.entry(bath.to_owned()).or_default();
    match mark {
        BathMark::Done => {
            clock.done.insert(step);
            clock.rings.remove(&step);
        }
        BathMark::NotDone => {
            clock.done.remove(&step);
        }
        BathMark::RingsAt(instant) => {
            clock.rings.insert(step, instant);
        }
        BathMark::Silent => {
            clock.rings.remove(&step);
        }
    }
    let text =
        serde_json::to_string_pretty(&all).map_err(|e| broken("writing", &place, &e.into()))?;
    write_whole(&[(&place, text.as_bytes())])
}

fn place(costume: &Path) -> PathBuf {
    let name = costume.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    costume.with_file_name(format!(".{name}.baths"))
}

fn read(place: &Path) -> Result<All, Trouble> {
    match std::fs::metadata(place) {
        Ok(about) if about.len() > MOST_BYTES => {
            let says = format!("{} is too large to be the clock of baths", place.display());
            return Err(Trouble::refused(says, "move it away"));
        }
        Err(e) if e.kind() == ErrorKind::NotFound => return Ok(All::default()),
        Err(e) => return Err(broken("reading", place, &e)),
        Ok(_) => {}
    }
    let text = std::fs::read_to_string(place).map_err(|e| broken("reading", place, &e))?;
    serde_json::from_str(&text).map_err(|e| {
        let says = format!("{} is damaged: {e}", place.display());
        Trouble::refused(says, "move it away: only ticks and clocks are in it")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_kept_bath_by_bath() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let costume = folder.path().join("costume.toml");
        let see = |bath: &str| bath_clock(&costume, bath).unwrap_or_else(|e| panic!("{e}"));
        let mark = |bath: &str, step, mark| {
            mark_bath(&costume, bath, step, mark).unwrap_or_else(|e| panic!("{e}"));
        };
        assert_eq!(see("coat"), BathClock::default());
        mark("coat", 1, BathMark::RingsAt(1_000));
        mark("coat", 2, BathMark::RingsAt(2_000));
        mark("coat", 1, BathMark::Done);
        mark("sash", 1, BathMark::Done);
        let coat = see("coat");
        assert!(coat.done.contains(&1) && coat.rings == BTreeMap::from([(2, 2_000)]));
        mark("coat", 1, BathMark::NotDone);
        mark("coat", 2, BathMark::Silent);
        assert_eq!(see("coat"), BathClock::default());
        std::fs::write(folder.path().join(".costume.toml.baths"), "{")?;
        assert!(bath_clock(&costume, "coat").is_err());
        Ok(())
    }
}
