//! The kinds of record by name: what is done for each of them.

use rusqlite::Connection;

use crate::record::{Records, Stored, fetch};
use crate::{
    Bath, Costume, Entry, Id, Kind, Lot, Photograph, Piece, Reading, Refusal, ShelfDye, Swatch,
    Target, Verdict, undo,
};

/// Does the same for whichever kind of record it is; `$else` for an undoing.
macro_rules! for_kind {
    ($kind:expr, $does:ident ( $($given:expr),* ), $else:expr) => {
        match $kind {
            Kind::Costume => $does::<Costume>($($given),*),
            Kind::Piece => $does::<Piece>($($given),*),
            Kind::Target => $does::<Target>($($given),*),
            Kind::Dye => $does::<ShelfDye>($($given),*),
            Kind::Lot => $does::<Lot>($($given),*),
            Kind::Photograph => $does::<Photograph>($($given),*),
            Kind::Swatch => $does::<Swatch>($($given),*),
            Kind::Bath => $does::<Bath>($($given),*),
            Kind::Reading => $does::<Reading>($($given),*),
            Kind::Verdict => $does::<Verdict>($($given),*),
            Kind::Undo => $else,
        }
    };
}

/// Whether a record that is to stand again still fits beside what stands now.
pub(crate) fn check_beside_again(book: &Connection, entry: Entry) -> Result<(), Refusal> {
    fn again<T: Stored>(book: &Connection, entry: Entry) -> Result<(), Refusal> {
        fetch::<T>(book, Id::of(entry))?.it.check_beside(book)
    }
    match undo::kind_of(book, entry)? {
        None => Err(Refusal::Unknown { what: "entry", given: entry.to_string() }),
        Some(kind) => for_kind!(kind, again(book, entry), Ok(())),
    }
}

/// Reads every record of a kind, and tells what cannot be read.
pub(crate) fn unreadable(book: &Connection, kind: Kind) -> Vec<Refusal> {
    fn all<T: Stored>(book: &Connection) -> Vec<Refusal> {
        Records::<T>::of(book).filter_map(Result::err).collect()
    }
    for_kind!(kind, all(book), Vec::new())
}

/// Reads one record, and tells why it cannot be read.
pub(crate) fn readable(book: &Connection, kind: Kind, entry: Entry) -> Result<(), Refusal> {
    fn one<T: Stored>(book: &Connection, entry: Entry) -> Result<(), Refusal> {
        fetch::<T>(book, Id::of(entry)).map(|_| ())
    }
    for_kind!(kind, one(book, entry), Ok(()))
}
