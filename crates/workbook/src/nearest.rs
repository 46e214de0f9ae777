//! "Have I dyed this colour before?": the nearest readings of dyed things, by ΔE00.
//!
//! An R-tree over CIELAB (D65/10°) gives whatever can be near (see `ball`), widening until enough is
//! found; ΔE00 itself decides. Not found are readings known only under another light or for another
//! observer, and readings of a piece as it is: nobody dyed that. Passed over are readings that are
//! undone or told to be of unfinished cloth.

use std::collections::BTreeSet;

use colour::{Lab, ciede2000};
use rusqlite::{Connection, params};

use crate::ball::{Reach, reach};
use crate::record::{Fields, Recorded, fetch};
use crate::{Book, Entry, Id, Reading, Refusal, Subject, Swatch, reading, shade};

/// How far a colour may be from the one asked for: ΔE00 above 0, up to 20.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Within(f64);

/// A reading that is near, and how near.
#[derive(Debug, Clone, PartialEq)]
pub struct Near {
    /// ΔE00 from the colour asked for.
    pub de00: f64,
    /// The reading.
    pub reading: Recorded<Reading>,
}

impl Within {
    /// From a ΔE00; refuses what is not above 0 and at most 20 (beyond it, nothing is near).
    pub fn try_de00(given: f64) -> Result<Self, Refusal> {
        if given > 0.0 && given <= 20.0 {
            return Ok(Self(given));
        }
        Err(Refusal::unfit(
            format!("a search within ΔE00 {given}"),
            "it must lie above 0 and be at most 20; 2 finds what most would call the same",
        ))
    }
}

/// The first step of the widening, ΔE00.
const FIRST: f64 = 1.0;

impl Book {
    /// Up to `most` dyed things whose colour lies within a ΔE00 of this one (Lab, D65/10°), nearest
    /// first, each with its nearest reading.
    pub fn nearest(&self, to: Lab, within: Within, most: usize) -> Result<Vec<Near>, Refusal> {
        let to = Lab::try_typed(to.l, to.a, to.b)?;
        if most == 0 {
            return Ok(Vec::new());
        }
        let mut step = FIRST.min(within.0);
        loop {
            let found = self.nearest_within(to, step, most)?;
            if found.len() >= most || step >= within.0 {
                return Ok(found);
            }
            step = (step * 2.0).min(within.0);
        }
    }

    fn nearest_within(&self, to: Lab, within: f64, most: usize) -> Result<Vec<Near>, Refusal> {
        let mut near = candidates(&self.book, to, reach(to, within))?;
        near.retain(|(de00, _)| *de00 <= within);
        near.sort_by(|one, other| one.0.total_cmp(&other.0).then(one.1.cmp(&other.1)));
        let mut found: Vec<Near> = Vec::new();
        for (de00, entry) in near {
            let reading = fetch::<Reading>(&self.book, Id::of(entry))?;
            let known = |n: &Near| n.reading.it.of == reading.it.of;
            if !reading.undone && !reading.it.condition.is_unfinished() && !found.iter().any(known)
            {
                found.push(Near { de00, reading });
            }
            if found.len() == most {
                break;
            }
        }
        Ok(found)
    }
}

/// What of the index lies in a box: its six sides as `Reach::around` gives them.
const BOX: &str = "c.l_to >= ?1 AND c.l_from <= ?2 AND c.a_to >= ?3 AND c.a_from <= ?4 AND c.b_to >= ?5 AND c.b_from <= ?6";

/// A swatch that is near: how near (ΔE00), itself, and its nearest reading.
pub(crate) type SwatchNear = (f64, Id<Swatch>, Id<Reading>);

/// Every swatch with a reading within a ΔE00, nearest first, each with its nearest reading. In one question of the
/// workbook: of thousands of readings none is fetched whole.
pub(crate) fn swatches_near(
    book: &Connection,
    to: Lab,
    within: Within,
) -> Result<Vec<SwatchNear>, Refusal> {
    let to = Lab::try_typed(to.l, to.a, to.b)?;
    // What is told to be unfinished (`Condition::is_unfinished`) is not the colour of what was dyed.
    let sql = format!(
        "SELECT c.reading, c.l, c.a, c.b, r.swatch FROM colour_index c JOIN reading r ON r.entry = c.reading \
               WHERE {BOX} AND r.swatch IS NOT NULL AND r.dry <> 'no' AND r.cool <> 'no' AND r.washed_off <> 'no' \
               AND coalesce((SELECT u.undone FROM undo u WHERE u.about = r.entry ORDER BY u.entry DESC LIMIT 1), 0) = 0"
    );
    let reach = reach(to, within.0);
    let mut question = book.prepare_cached(&sql)?;
    let mut rows = question.query(reach.around(to))?;
    let mut found: Vec<SwatchNear> = vec![];
    while let Some(row) = rows.next()? {
        let de00 = ciede2000(to, Lab::new(row.get(1)?, row.get(2)?, row.get(3)?));
        if de00 <= within.0 {
            let id = |at: usize| row.get(at).map(Entry::numbered);
            found.push((de00, Id::of(id(4)?), Id::of(id(0)?)));
        }
    }
    found.sort_by(|one, other| one.0.total_cmp(&other.0).then(one.2.cmp(&other.2)));
    let mut known = BTreeSet::new();
    found.retain(|(_, swatch, _)| known.insert(*swatch));
    Ok(found)
}

/// Every reading in the box, with its ΔE00.
fn candidates(book: &Connection, to: Lab, reach: Reach) -> Result<Vec<(f64, Entry)>, Refusal> {
    let sql = format!("SELECT c.reading, c.l, c.a, c.b FROM colour_index c WHERE {BOX}");
    let mut question = book.prepare_cached(&sql)?;
    let mut rows = question.query(reach.around(to))?;
    let mut found = Vec::new();
    while let Some(row) = rows.next()? {
        let lab = Lab::new(row.get(1)?, row.get(2)?, row.get(3)?);
        found.push((ciede2000(to, lab), Entry::numbered(row.get(0)?)));
    }
    Ok(found)
}

/// Puts a new reading into the index, when it can be found there.
pub(crate) fn index(book: &Connection, entry: Entry, reading: &Reading) -> Result<(), Refusal> {
    let dyed = matches!(reading.of, Subject::Swatch(_) | Subject::Dyed { .. });
    match shade::lab(&reading.value, &reading.also).filter(|_| dyed) {
        None => Ok(()),
        Some(lab) => put(book, entry, lab),
    }
}

fn put(book: &Connection, entry: Entry, lab: Lab) -> Result<(), Refusal> {
    let sql = "INSERT INTO colour_index (reading, l_from, l_to, a_from, a_to, b_from, b_to, l, a, b) \
               VALUES (?1, ?2, ?2, ?3, ?3, ?4, ?4, ?2, ?3, ?4)";
    book.prepare_cached(sql)?.execute(params![entry.number(), lab.l, lab.a, lab.b])?;
    Ok(())
}

/// Fills the index of a workbook that has none. Reads no column that its first form did not have.
pub(crate) fn index_everything(book: &Connection) -> Result<(), Refusal> {
    for (entry, lab) in every_place(book)? {
        put(book, entry, lab)?;
    }
    Ok(())
}

/// Where each reading of a dyed thing lies, worked out from the readings.
pub(crate) fn every_place(book: &Connection) -> Result<Vec<(Entry, Lab)>, Refusal> {
    // The further lights came with a later form than the index.
    let also = book.prepare("SELECT also FROM reading LIMIT 0").is_ok();
    let also = if also { "also" } else { "NULL AS also" };
    let sql = &format!(
        "SELECT entry, start_nm, step_nm, factors, l, a, b, light, observer, {also} FROM reading \
               WHERE swatch IS NOT NULL OR bath IS NOT NULL ORDER BY entry"
    );
    let mut question = book.prepare(sql)?;
    let mut rows = question.query([])?;
    let mut places = Vec::new();
    while let Some(row) = rows.next()? {
        let entry = Entry::numbered(row.get(0)?);
        let place = format!("reading {entry}");
        let fields = Fields { row, entry, place: &place };
        let damaged = |e| Refusal::damaged(format!("{place}: {e}"));
        let it = shade::read(&fields).map_err(damaged)?;
        let also = reading::read_also(&fields).map_err(damaged)?;
        if let Some(lab) = shade::lab(&it, &also) {
            places.push((entry, lab));
        }
    }
    Ok(places)
}
