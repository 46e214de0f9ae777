//! What the maker, or whoever wears it, thinks of a piece.

use rusqlite::Connection;
use rusqlite::types::Value;
use units::Day;

use crate::record::{Fields, Stored, maybe_number, number, reference};
use crate::words::words as cases;
use crate::{Bath, Entry, Id, Kind, Piece, Reading, Refusal, Swatch, words};

cases! {
    /// The word of a verdict.
    Call, "verdict", {
        /// It is right.
        Accepted = "accepted",
        /// Not right, and good enough to stop.
        GoodEnough = "good enough",
        /// To be corrected.
        Again = "again",
        /// Given up: to be stripped, overdyed darker or cut anew.
        GivenUp = "given up",
    }
}

/// A verdict on a piece, by what was seen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    /// The piece.
    pub piece: Id<Piece>,
    /// The swatch that was judged.
    pub swatch: Option<Id<Swatch>>,
    /// The bath that was judged.
    pub bath: Option<Id<Bath>>,
    /// The reading that was judged by.
    pub reading: Option<Id<Reading>>,
    /// The word.
    pub call: Call,
    /// The day.
    pub day: Day,
    /// Why.
    pub note: Option<String>,
}

impl Stored for Verdict {
    const KIND: Kind = Kind::Verdict;
    const COLUMNS: &'static [&'static str] =
        &["piece", "swatch", "bath", "reading", "call", "day", "note"];

    fn check(&self) -> Result<(), Refusal> {
        words::note("the note of a verdict", self.note.as_deref())
    }

    fn rests_on(&self) -> Vec<(Kind, Entry)> {
        let judged = reference(self.swatch).into_iter().chain(reference(self.bath));
        let on = reference(Some(self.piece)).into_iter().chain(judged);
        on.chain(reference(self.reading)).collect()
    }

    fn cells(&self) -> Vec<Value> {
        vec![
            number(self.piece),
            maybe_number(self.swatch),
            maybe_number(self.bath),
            maybe_number(self.reading),
            self.call.word().to_owned().into(),
            self.day.to_string().into(),
            self.note.clone().into(),
        ]
    }

    fn read(row: &Fields<'_>, _: &Connection) -> Result<Self, Refusal> {
        Ok(Self {
            piece: row.id("piece")?,
            swatch: row.maybe_id("swatch")?,
            bath: row.maybe_id("bath")?,
            reading: row.maybe_id("reading")?,
            call: row.word("call", Call::from_word)?,
            day: row.day("day")?,
            note: row.maybe_text("note")?,
        })
    }
}
