//! What happened to a piece, entry by entry; and what is needed to make it again.

use std::collections::BTreeSet;

use crate::record::{Recorded, select};
use crate::{
    Aim, Bath, Book, Costume, Dose, Dosed, Entry, Id, Kind, Lot, Moment, Photograph, Piece,
    Reading, Refusal, ShelfDye, Stamp, Swatch, Target, Verdict, undo,
};

/// One entry of the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// Its number.
    pub entry: Entry,
    /// Who and when.
    pub stamp: Stamp,
    /// What it did.
    pub what: Happened,
}

/// What an entry did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Happened {
    /// Recorded something of this kind.
    Recorded(Kind),
    /// Undid an entry.
    Undid(Entry),
    /// Took the undoing of an entry back.
    Restored(Entry),
}

/// A record with its readings.
pub type WithReadings<T> = (Recorded<T>, Vec<Recorded<Reading>>);

/// Everything that stands about a piece: what is needed to make it again.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceRecord {
    /// Its costume.
    pub costume: Recorded<Costume>,
    /// The piece.
    pub piece: Recorded<Piece>,
    /// Its targets, the last of which is meant.
    pub targets: Vec<Recorded<Target>>,
    /// Swatches dyed for it, repeated by its baths, or dyed over, each with its readings.
    pub swatches: Vec<WithReadings<Swatch>>,
    /// Baths it was in, in order, each with the readings of this piece out of it.
    pub baths: Vec<WithReadings<Bath>>,
    /// Readings of the piece as it is, and readings its targets name.
    pub readings: Vec<Recorded<Reading>>,
    /// Verdicts.
    pub verdicts: Vec<Recorded<Verdict>>,
    /// Photographs of it, or that its readings were taken from.
    pub photographs: Vec<Recorded<Photograph>>,
    /// The dyes that were dosed.
    pub dyes: Vec<Recorded<ShelfDye>>,
    /// Their lots that were dosed.
    pub lots: Vec<Recorded<Lot>>,
}

/// The entries about a piece: itself, and what names it or a swatch of it.
const ABOUT: &str = "WITH own (entry) AS (
    SELECT entry FROM piece WHERE entry = ?1
    UNION SELECT entry FROM target WHERE piece = ?1
    UNION SELECT entry FROM swatch WHERE piece = ?1
    UNION SELECT entry FROM bath_piece WHERE piece = ?1
    UNION SELECT entry FROM reading WHERE piece = ?1
    UNION SELECT r.entry FROM reading r JOIN swatch s ON s.entry = r.swatch WHERE s.piece = ?1
    UNION SELECT entry FROM verdict WHERE piece = ?1
    UNION SELECT entry FROM photograph WHERE piece = ?1
)
SELECT j.entry, j.kind, j.at, j.who FROM journal j WHERE j.entry IN own
UNION SELECT j.entry, j.kind, j.at, j.who FROM journal j JOIN undo u ON u.entry = j.entry
    WHERE u.about IN own
ORDER BY 1";

impl Book {
    /// What happened to a piece, in order, whatever was undone among it.
    pub fn history(&self, piece: Id<Piece>) -> Result<Vec<Event>, Refusal> {
        self.piece(piece)?;
        self.events(ABOUT, [piece.entry().number()])
    }

    /// What happened at all, the last so many entries, in order.
    pub fn journal(&self, last: u32) -> Result<Vec<Event>, Refusal> {
        let sql = "SELECT entry, kind, at, who FROM (SELECT * FROM journal ORDER BY entry DESC \
                   LIMIT ?1) ORDER BY entry";
        self.events(sql, [i64::from(last)])
    }

    fn events(&self, sql: &str, given: [i64; 1]) -> Result<Vec<Event>, Refusal> {
        let mut question = self.book.prepare_cached(sql)?;
        let mut rows = question.query(given)?;
        let mut events = Vec::new();
        while let Some(row) = rows.next()? {
            let entry = Entry::numbered(row.get(0)?);
            let (kind, at, who): (String, String, String) = (row.get(1)?, row.get(2)?, row.get(3)?);
            let damaged = |e: Refusal| Refusal::damaged(format!("entry {entry}: {e}"));
            let at: Moment = at.parse().map_err(damaged)?;
            let what = match Kind::from_word(&kind).map_err(damaged)? {
                Kind::Undo => {
                    let none = || Refusal::damaged(format!("entry {entry}: an undoing of nothing"));
                    let undoing = undo::undoing(&self.book, entry)?.ok_or_else(none)?;
                    if undoing.undone {
                        Happened::Undid(undoing.about)
                    } else {
                        Happened::Restored(undoing.about)
                    }
                }
                kind => Happened::Recorded(kind),
            };
            events.push(Event { entry, stamp: Stamp { at, who }, what });
        }
        Ok(events)
    }

    /// Everything that stands about a piece. What was undone is in its [`Book::history`].
    pub fn record_of(&self, piece: Id<Piece>) -> Result<PieceRecord, Refusal> {
        let own = piece.entry();
        let piece = self.piece(piece)?;
        let targets: Vec<Recorded<Target>> =
            self.standing("WHERE r.piece = ?1 ORDER BY r.entry", own)?;
        let mut readings: Vec<Recorded<Reading>> =
            self.standing("WHERE r.piece = ?1 AND r.bath IS NULL ORDER BY r.entry", own)?;
        for target in &targets {
            if let Aim::Reading(id) = target.it.aim
                && readings.iter().all(|r| r.id != id)
            {
                readings.push(self.reading(id)?);
            }
        }
        let baths = self.baths_with(own)?;
        let swatches = self.swatches_for(own, &baths)?;
        let mut record = PieceRecord {
            costume: self.costume(piece.it.costume)?,
            piece,
            targets,
            swatches,
            baths,
            readings,
            verdicts: self.standing("WHERE r.piece = ?1 ORDER BY r.entry", own)?,
            photographs: self.standing("WHERE r.piece = ?1 ORDER BY r.entry", own)?,
            dyes: Vec::new(),
            lots: Vec::new(),
        };
        self.add_what_is_named(&mut record)?;
        Ok(record)
    }

    fn baths_with(&self, piece: Entry) -> Result<Vec<WithReadings<Bath>>, Refusal> {
        let which = "WHERE r.entry IN (SELECT entry FROM bath_piece WHERE piece = ?1) \
                     ORDER BY r.entry";
        let mut baths = Vec::new();
        for bath in self.standing::<Bath>(which, piece)? {
            let both = [piece.number(), bath.id.entry().number()];
            let of = "WHERE r.piece = ?1 AND r.bath = ?2 ORDER BY r.entry";
            let mut readings: Vec<Recorded<Reading>> = select(&self.book, of, both)?;
            readings.retain(|r| !r.undone);
            baths.push((bath, readings));
        }
        Ok(baths)
    }

    fn swatches_for(
        &self,
        piece: Entry,
        baths: &[WithReadings<Bath>],
    ) -> Result<Vec<WithReadings<Swatch>>, Refusal> {
        let own: Vec<Recorded<Swatch>> =
            self.standing("WHERE r.piece = ?1 ORDER BY r.entry", piece)?;
        let mut wanted: Vec<Id<Swatch>> = own.iter().map(|s| s.id).collect();
        wanted.extend(baths.iter().filter_map(|(bath, _)| bath.it.from_swatch));
        let mut found: BTreeSet<Id<Swatch>> = BTreeSet::new();
        while let Some(id) = wanted.pop() {
            if found.insert(id) {
                wanted.extend(self.swatch(id)?.it.over);
            }
        }
        let with = |id| Ok((self.swatch(id)?, self.readings_of(id)?));
        found.into_iter().map(with).collect()
    }

    /// Adds the photographs, dyes and lots that the record names.
    fn add_what_is_named(&self, record: &mut PieceRecord) -> Result<(), Refusal> {
        let of_swatches = record.swatches.iter().flat_map(|(_, r)| r);
        let of_baths = record.baths.iter().flat_map(|(_, r)| r);
        let readings = of_swatches.chain(of_baths).chain(&record.readings);
        let mut photographs: BTreeSet<_> = readings.filter_map(|r| r.it.photograph).collect();
        photographs.extend(record.photographs.iter().map(|p| p.id));
        record.photographs =
            photographs.into_iter().map(|id| self.photograph(id)).collect::<Result<_, _>>()?;

        let of_swatches = record.swatches.iter().flat_map(|(s, _)| &s.it.doses);
        let of_baths = record.baths.iter().flat_map(|(b, _)| &b.it.doses);
        let doses: Vec<&Dose> = of_swatches.chain(of_baths).collect();
        let (mut dyes, mut lots) = (BTreeSet::new(), BTreeSet::new());
        for dose in doses {
            if let Dosed::Dye { dye, lot } = dose.of {
                dyes.insert(dye);
                lots.extend(lot);
            }
        }
        record.dyes = dyes.into_iter().map(|id| self.dye(id)).collect::<Result<_, _>>()?;
        record.lots = lots.into_iter().map(|id| self.lot(id)).collect::<Result<_, _>>()?;
        Ok(())
    }
}
