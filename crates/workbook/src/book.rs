//! The workbook as the rest of the house sees it: begun, opened, recorded into, asked.

use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, TransactionBehavior};

use crate::record::{self, Recorded, Records, fetch, insert, select, standing_with};
use crate::{
    Bath, Costume, Entry, Id, Kind, Lot, Photograph, Piece, Reading, Refusal, ShelfDye, Stamp,
    Swatch, Target, Verdict, file, photograph, undo,
};

/// A workbook: everything a maker has recorded, in one file.
///
/// Every record is an entry of the journal; nothing is changed or deleted. A record that was
/// acknowledged is on the disk.
#[derive(Debug)]
pub struct Book {
    pub(crate) book: Connection,
}

/// A dye of the shelf with its lots.
pub type DyeWithLots = (Recorded<ShelfDye>, Vec<Recorded<Lot>>);

/// A workbook while something is recorded: all of it is kept, or nothing.
#[derive(Debug)]
pub struct Writing<'b> {
    book: &'b Connection,
}

impl Book {
    /// Begins a workbook where there is none.
    pub fn create(path: &Path) -> Result<Self, Refusal> {
        file::Beginning::at(path)?.put_in_place()?;
        Self::open(path)
    }

    /// Opens a workbook. One of an earlier form is brought up to date, and a copy of it as it was is
    /// kept beside it; one of a later form is refused.
    pub fn open(path: &Path) -> Result<Self, Refusal> {
        Ok(Self { book: file::open(path)? })
    }

    /// Opens a workbook and never writes it.
    pub fn open_to_read(path: &Path) -> Result<Self, Refusal> {
        Ok(Self { book: file::open_to_read(path)? })
    }

    /// How long another program that writes is waited for (five seconds, unless told otherwise).
    pub fn set_patience(&mut self, patience: Duration) -> Result<(), Refusal> {
        Ok(self.book.busy_timeout(patience)?)
    }

    /// Records several things at once: all of them are kept, or, when one is refused, none.
    pub fn write<R>(
        &mut self,
        what: impl FnOnce(&Writing<'_>) -> Result<R, Refusal>,
    ) -> Result<R, Refusal> {
        let step = self.book.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let made = what(&Writing { book: &step })?;
        step.commit()?;
        Ok(made)
    }

    /// Undoes an entry by a new one: a record no longer stands, or one undone stands again.
    pub fn undo(&mut self, stamp: &Stamp, entry: Entry) -> Result<Entry, Refusal> {
        self.write(|w| w.undo(stamp, entry))
    }

    /// Records a photograph with its bytes.
    pub fn record_photograph(
        &mut self,
        stamp: &Stamp,
        bytes: &[u8],
        media: &str,
        piece: Option<Id<Piece>>,
        note: Option<&str>,
    ) -> Result<Id<Photograph>, Refusal> {
        self.write(|w| w.record_photograph(stamp, bytes, media, piece, note))
    }

    /// The bytes of a photograph; refused when they are not what was kept.
    pub fn photograph_bytes(&self, id: Id<Photograph>) -> Result<Vec<u8>, Refusal> {
        photograph::bytes(&self.book, self.photograph(id)?.it.hash)
    }

    /// The number of the last entry, if there is one.
    pub fn last_entry(&self) -> Result<Option<Entry>, Refusal> {
        let sql = "SELECT max(entry) FROM journal";
        let last: Option<i64> = self.book.query_row(sql, [], |row| row.get(0))?;
        Ok(last.map(Entry::numbered))
    }

    /// The costume of this name, of those that stand.
    pub fn costume_named(&self, name: &str) -> Result<Option<Id<Costume>>, Refusal> {
        Ok(standing_with(&self.book, Kind::Costume, "name", name, None)?.map(Id::of))
    }

    /// The piece of this name in a costume, of those that stand.
    pub fn piece_named(
        &self,
        costume: Id<Costume>,
        name: &str,
    ) -> Result<Option<Id<Piece>>, Refusal> {
        let within = Some(("costume", costume.entry()));
        Ok(standing_with(&self.book, Kind::Piece, "name", name, within)?.map(Id::of))
    }

    /// The dye of this name, of those that stand.
    pub fn dye_named(&self, name: &str) -> Result<Option<Id<ShelfDye>>, Refusal> {
        Ok(standing_with(&self.book, Kind::Dye, "name", name, None)?.map(Id::of))
    }

    /// The lot of this mark of a dye, of those that stand.
    pub fn lot_marked(&self, dye: Id<ShelfDye>, mark: &str) -> Result<Option<Id<Lot>>, Refusal> {
        let within = Some(("dye", dye.entry()));
        Ok(standing_with(&self.book, Kind::Lot, "mark", mark, within)?.map(Id::of))
    }

    /// The swatch whose card bears this code, of those that stand.
    pub fn swatch_coded(&self, code: &str) -> Result<Option<Id<Swatch>>, Refusal> {
        Ok(standing_with(&self.book, Kind::Swatch, "code", code, None)?.map(Id::of))
    }

    /// The dyes that stand, with their lots that stand.
    pub fn shelf(&self) -> Result<Vec<DyeWithLots>, Refusal> {
        let mut shelf = Vec::new();
        for dye in self.dyes() {
            let dye = dye?;
            if !dye.undone {
                let lots = self.standing("WHERE r.dye = ?1 ORDER BY r.entry", dye.id.entry())?;
                shelf.push((dye, lots));
            }
        }
        Ok(shelf)
    }

    /// The readings of a swatch that stand, in order.
    pub fn readings_of(&self, swatch: Id<Swatch>) -> Result<Vec<Recorded<Reading>>, Refusal> {
        self.standing("WHERE r.swatch = ?1 ORDER BY r.entry", swatch.entry())
    }

    /// The colour a piece is to reach: its last target that stands.
    pub fn target_of(&self, piece: Id<Piece>) -> Result<Option<Recorded<Target>>, Refusal> {
        Ok(self.standing("WHERE r.piece = ?1 ORDER BY r.entry", piece.entry())?.pop())
    }

    pub(crate) fn standing<T: record::Stored>(
        &self,
        which: &str,
        of: Entry,
    ) -> Result<Vec<Recorded<T>>, Refusal> {
        let mut found = select(&self.book, which, [of.number()])?;
        found.retain(|r| !r.undone);
        Ok(found)
    }
}

impl Writing<'_> {
    /// Undoes an entry, as [`Book::undo`].
    pub fn undo(&self, stamp: &Stamp, entry: Entry) -> Result<Entry, Refusal> {
        undo::undo(self.book, stamp, entry)
    }

    /// Records a photograph with its bytes, as [`Book::record_photograph`].
    pub fn record_photograph(
        &self,
        stamp: &Stamp,
        bytes: &[u8],
        media: &str,
        piece: Option<Id<Piece>>,
        note: Option<&str>,
    ) -> Result<Id<Photograph>, Refusal> {
        let hash = photograph::keep(self.book, bytes)?;
        let (media, note) = (media.to_owned(), note.map(str::to_owned));
        insert(self.book, stamp, &Photograph { hash, media, piece, note })
    }
}

/// For each kind of record: how it is recorded, fetched by its number, and gone through.
macro_rules! nouns {
    ($($noun:ident: $record:ident, $one:ident, $all:ident, $word:literal;)+) => {
        impl Writing<'_> {
            $(
                #[doc = concat!("Records ", $word, ".")]
                pub fn $record(&self, stamp: &Stamp, it: &$noun) -> Result<Id<$noun>, Refusal> {
                    insert(self.book, stamp, it)
                }
            )+
        }

        impl Book {
            $(
                #[doc = concat!("Records ", $word, "; when this returns, it is on the disk.")]
                pub fn $record(&mut self, stamp: &Stamp, it: &$noun) -> Result<Id<$noun>, Refusal> {
                    self.write(|w| w.$record(stamp, it))
                }

                one_and_all!($noun, $one, $all, $word);
            )+

            one_and_all!(Photograph, photograph, photographs, "a photograph");
        }
    };
}

macro_rules! one_and_all {
    ($noun:ident, $one:ident, $all:ident, $word:literal) => {
        #[doc = concat!("The record of ", $word, " by its number, whether it stands or is undone.")]
        pub fn $one(&self, id: Id<$noun>) -> Result<Recorded<$noun>, Refusal> {
            fetch(&self.book, id)
        }

        #[doc = concat!("Every record of ", $word, " in order, those undone among them.")]
        pub fn $all(&self) -> impl Iterator<Item = Result<Recorded<$noun>, Refusal>> {
            Records::of(&self.book)
        }
    };
}

nouns! {
    Costume: record_costume, costume, costumes, "a costume";
    Piece: record_piece, piece, pieces, "a piece";
    Target: record_target, target, targets, "a target";
    ShelfDye: record_dye, dye, dyes, "a dye of the shelf";
    Lot: record_lot, lot, lots, "a lot";
    Swatch: record_swatch, swatch, swatches, "a swatch";
    Bath: record_bath, bath, baths, "a bath";
    Reading: record_reading, reading, readings, "a reading";
    Verdict: record_verdict, verdict, verdicts, "a verdict";
}
