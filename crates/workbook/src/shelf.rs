//! The dyes of the shelf and their lots. A new lot is a new record: it may dye otherwise than the old.

use rusqlite::Connection;
use rusqlite::types::Value;
use units::{Day, Mass};

use crate::record::{Fields, Stored, free, number, reference};
use crate::{Entry, Id, Kind, Refusal, words};

/// A dye of the shelf.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShelfDye {
    /// Its name as in the shelf file; no two that stand share one.
    pub name: String,
    /// The class it is dyed by.
    pub class: String,
    /// Its C.I. Generic Name, when it is known.
    pub generic_name: Option<String>,
    /// Anything else.
    pub note: Option<String>,
}

/// A lot: one delivery of one dye.
#[derive(Debug, Clone, PartialEq)]
pub struct Lot {
    /// The dye.
    pub dye: Id<ShelfDye>,
    /// The mark on it, or the maker's own; no two that stand share one within a dye.
    pub mark: String,
    /// The day it was opened.
    pub opened: Option<Day>,
    /// How much was bought.
    pub bought: Option<Mass>,
    /// Anything else.
    pub note: Option<String>,
}

impl Stored for ShelfDye {
    const KIND: Kind = Kind::Dye;
    const COLUMNS: &'static [&'static str] = &["name", "class", "generic_name", "note"];

    fn check(&self) -> Result<(), Refusal> {
        words::name("the name of a dye", &self.name)?;
        words::name("the class of a dye", &self.class)?;
        words::maybe_name("the generic name of a dye", self.generic_name.as_deref())?;
        words::note("the note of a dye", self.note.as_deref())
    }

    fn check_beside(&self, book: &Connection) -> Result<(), Refusal> {
        free(book, Kind::Dye, "name", &self.name, None)
    }

    fn rests_on(&self) -> Vec<(Kind, Entry)> {
        Vec::new()
    }

    fn cells(&self) -> Vec<Value> {
        vec![
            self.name.clone().into(),
            self.class.clone().into(),
            self.generic_name.clone().into(),
            self.note.clone().into(),
        ]
    }

    fn read(row: &Fields<'_>, _: &Connection) -> Result<Self, Refusal> {
        Ok(Self {
            name: row.text("name")?,
            class: row.text("class")?,
            generic_name: row.maybe_text("generic_name")?,
            note: row.maybe_text("note")?,
        })
    }
}

impl Stored for Lot {
    const KIND: Kind = Kind::Lot;
    const COLUMNS: &'static [&'static str] = &["dye", "mark", "opened", "bought_g", "note"];

    fn check(&self) -> Result<(), Refusal> {
        words::name("the mark of a lot", &self.mark)?;
        words::note("the note of a lot", self.note.as_deref())
    }

    fn check_beside(&self, book: &Connection) -> Result<(), Refusal> {
        free(book, Kind::Lot, "mark", &self.mark, Some(("dye", self.dye.entry())))
    }

    fn rests_on(&self) -> Vec<(Kind, Entry)> {
        reference(Some(self.dye)).into_iter().collect()
    }

    fn cells(&self) -> Vec<Value> {
        vec![
            number(self.dye),
            self.mark.clone().into(),
            self.opened.map(|d| d.to_string()).into(),
            self.bought.map(Mass::to_grams).into(),
            self.note.clone().into(),
        ]
    }

    fn read(row: &Fields<'_>, _: &Connection) -> Result<Self, Refusal> {
        Ok(Self {
            dye: row.id("dye")?,
            mark: row.text("mark")?,
            opened: row.maybe_day("opened")?,
            bought: row.maybe_quantity("bought_g", Mass::try_grams)?,
            note: row.maybe_text("note")?,
        })
    }
}
