//! Numbers of entries: one journal counts everything, and each kind of record has a number type of
//! its own, so that a swatch is never taken for a bath.

use std::fmt;
use std::hash::{Hash, Hasher};
use std::marker::PhantomData;

use crate::words::words;

/// The number of an entry of the journal, from 1, without gaps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Entry(i64);

impl Entry {
    /// The entry of this number; that there is one is seen when it is used.
    #[must_use]
    pub const fn numbered(number: i64) -> Self {
        Self(number)
    }

    /// The number.
    #[must_use]
    pub const fn number(self) -> i64 {
        self.0
    }
}

impl fmt::Display for Entry {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// The number of a record of one kind: the number of the entry that made it.
pub struct Id<T> {
    entry: Entry,
    kind: PhantomData<fn() -> T>,
}

impl<T> Id<T> {
    /// The record of this entry; that the entry is of this kind is seen when it is used.
    #[must_use]
    pub const fn of(entry: Entry) -> Self {
        Self { entry, kind: PhantomData }
    }

    /// The entry that made it.
    #[must_use]
    pub const fn entry(self) -> Entry {
        self.entry
    }
}

impl<T> Clone for Id<T> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<T> Copy for Id<T> {}
impl<T> PartialEq for Id<T> {
    fn eq(&self, other: &Self) -> bool {
        self.entry == other.entry
    }
}
impl<T> Eq for Id<T> {}
impl<T> PartialOrd for Id<T> {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl<T> Ord for Id<T> {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.entry.cmp(&other.entry)
    }
}
impl<T> Hash for Id<T> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.entry.hash(state);
    }
}
impl<T> fmt::Debug for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Id({})", self.entry)
    }
}
impl<T> fmt::Display for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.entry.fmt(f)
    }
}

words! {
    /// What an entry of the journal records; the word is also the name of its table.
    Kind, "kind of entry", {
        /// A costume.
        Costume = "costume",
        /// A piece of a costume.
        Piece = "piece",
        /// A colour a piece is to reach.
        Target = "target",
        /// A dye of the shelf.
        Dye = "dye",
        /// A lot of a dye.
        Lot = "lot",
        /// A photograph.
        Photograph = "photograph",
        /// A swatch as really dyed.
        Swatch = "swatch",
        /// A bath as really dyed.
        Bath = "bath",
        /// A reading of a swatch or piece.
        Reading = "reading",
        /// What the maker thinks of a piece.
        Verdict = "verdict",
        /// An undoing, or the undoing of one.
        Undo = "undo",
    }
}
