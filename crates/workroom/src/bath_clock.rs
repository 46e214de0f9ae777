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
#[serde(default)]
pub struct BathClock {
    /// When it began, in milliseconds since 1970 (UTC), as every instant here: none until its first mark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub begun: Option<i64>,
    /// Numbers of the steps that are done.
    pub done: BTreeSet<usize>,
    /// When each of them was done.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub done_at: BTreeMap<usize, i64>,
    /// When the clock of a step rings.
    pub rings: BTreeMap<usize, i64>,
    /// How often and by how much it was said to be late, the last one last.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub late: Vec<SaidLate>,
    /// What went in as it was really weighed or poured, by the id of the dye or auxiliary, as typed.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub really: BTreeMap<String, String>,
    /// When it was written into the workbook.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub recorded: Option<i64>,
}

/// Once said to be late.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct SaidLate {
    /// In which step.
    pub step: usize,
    /// Minutes its clock was moved by.
    pub moved_min: u32,
    /// Minutes that were asked for.
    pub asked_min: u32,
    /// When its clock rang before; none where it did not run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rang: Option<i64>,
}

/// A mark put at a bath.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BathMark {
    /// A step is done, at this instant; its clock stops.
    Done(usize, i64),
    /// It is not done after all.
    NotDone(usize),
    /// The clock of a step rings at this instant.
    RingsAt(usize, i64),
    /// The clock of a step stops.
    Silent(usize),
    /// It is late: the clock of the step rings at this instant.
    Late(SaidLate, i64),
    /// What was last said of being late does not hold.
    NotLate,
    /// This much went in, as typed, of the dye or auxiliary of this id.
    In(String, String),
    /// It did not go in after all.
    Out(String),
    /// It was written into the workbook at this instant.
    Recorded(i64),
    /// That record was taken back.
    NotRecorded,
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

/// How far all baths of a costume are that have a mark, by their names.
///
/// # Errors
/// A disk that refuses; a file that is not ours.
pub fn bath_clocks(costume: &Path) -> Result<BTreeMap<String, BathClock>, Trouble> {
    read(&place(costume))
}

/// Puts a mark at a bath; `begun` is when the bath began if this is its first mark.
///
/// # Errors
/// A disk that refuses; a file that is not ours.
pub fn mark_bath(costume: &Path, bath: &str, mark: BathMark, begun: i64) -> Result<(), Trouble> {
    let _one = MARKING.lock().unwrap_or_else(PoisonError::into_inner);
    let place = place(costume);
    let mut all = read(&place)?;
    let clock = all.entry(bath.to_owned()).or_default();
    clock.put(mark, begun);
    if *clock == BathClock::default() {
        all.remove(bath);
    }
    let text =
        serde_json::to_string_pretty(&all).map_err(|e| broken("writing", &place, &e.into()))?;
    write_whole(&[(&place, text.as_bytes())])
}

impl BathClock {
    fn put(&mut self, mark: BathMark, begun: i64) {
        match mark {
            BathMark::Done(step, at) => {
                self.begun.get_or_insert(begun);
                self.done.insert(step);
                self.done_at.insert(step, at);
                self.rings.remove(&step);
            }
            BathMark::NotDone(step) => {
                self.done.remove(&step);
                self.done_at.remove(&step);
            }
            BathMark::RingsAt(step, instant) => {
                self.begun.get_or_insert(begun);
                // Its clock begins anew: what was late of it counts no more.
                self.late.retain(|said| said.step != step);
                self.rings.insert(step, instant);
            }
            BathMark::Silent(step) => {
                self.rings.remove(&step);
            }
            BathMark::Late(said, instant) => {
                self.begun.get_or_insert(begun);
                self.late.push(said);
                self.rings.insert(said.step, instant);
            }
            BathMark::NotLate => {
                if let Some(said) = self.late.pop() {
                    match said.rang {
                        Some(rang) => self.rings.insert(said.step, rang),
                        None => self.rings.remove(&said.step),
                    };
                }
            }
            BathMark::In(of, amount) => {
                self.really.insert(of, amount);
            }
            BathMark::Out(of) => {
                self.really.remove(&of);
            }
            BathMark::Recorded(at) => self.recorded = Some(at),
            BathMark::NotRecorded => self.recorded = None,
        }
        if self.done.is_empty() && self.rings.is_empty() && self.late.is_empty() {
            self.begun = None;
        }
    }
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
        let mark = |bath: &str, mark| {
            mark_bath(&costume, bath, mark, 500).unwrap_or_else(|e| panic!("{e}"));
        };
        assert_eq!(see("coat"), BathClock::default());
        mark("coat", BathMark::RingsAt(1, 1_000));
        mark("coat", BathMark::RingsAt(2, 2_000));
        mark("coat", BathMark::Done(1, 1_100));
        mark("sash", BathMark::Done(1, 900));
        let coat = see("coat");
        assert!(coat.done.contains(&1) && coat.rings == BTreeMap::from([(2, 2_000)]));
        assert_eq!((coat.begun, coat.done_at[&1]), (Some(500), 1_100));
        let said = SaidLate { step: 2, moved_min: 5, asked_min: 9, rang: Some(2_000) };
        mark("coat", BathMark::Late(said, 302_000));
        assert_eq!(see("coat").rings[&2], 302_000);
        mark("coat", BathMark::NotLate);
        assert_eq!(see("coat").rings[&2], 2_000, "what was said can be taken back");
        mark("coat", BathMark::In("acid-navy".to_owned(), "7.6".to_owned()));
        assert_eq!(see("coat").really["acid-navy"], "7.6");
        mark("coat", BathMark::Out("acid-navy".to_owned()));
        mark("coat", BathMark::NotDone(1));
        mark("coat", BathMark::Silent(2));
        assert_eq!(see("coat"), BathClock::default(), "with no mark left it has not begun");
        std::fs::write(folder.path().join(".costume.toml.baths"), "{")?;
        assert!(bath_clock(&costume, "coat").is_err());
        Ok(())
    }

    #[test]
    fn a_file_of_ticks_written_before_is_read() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let costume = folder.path().join("costume.toml");
        let before = r#"{ "coat": { "done": [1, 2], "rings": { "3": 7000 } } }"#;
        std::fs::write(folder.path().join(".costume.toml.baths"), before)?;
        let coat = bath_clock(&costume, "coat").unwrap_or_else(|e| panic!("{e}"));
        assert_eq!((coat.done.len(), coat.begun, coat.rings[&3]), (2, None, 7_000));
        Ok(())
    }
}
