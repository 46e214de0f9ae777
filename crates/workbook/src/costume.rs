//! Costumes, their pieces, and the colours these are to reach.

use colour::Value as Shade;
use rusqlite::Connection;
use rusqlite::types::Value;
use units::Mass;

use crate::record::{Fields, Stored, free, maybe_number, number, reference};
use crate::{Entry, Id, Kind, Reading, Refusal, shade, words};

/// A costume: the whole order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Costume {
    /// Its name; no two that stand share one.
    pub name: String,
    /// Anything else.
    pub note: Option<String>,
}

/// A piece: one item of goods of a costume.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// The costume it belongs to.
    pub costume: Id<Costume>,
    /// Its name; no two that stand share one within a costume.
    pub name: String,
    /// What it is made of, in the costume file's words.
    pub goods: String,
    /// Its dry weight, when it was weighed.
    pub dry: Option<Mass>,
    /// Anything else.
    pub note: Option<String>,
}

/// What a piece is to look like. The last that stands is meant.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// The piece.
    pub piece: Id<Piece>,
    /// The colour.
    pub aim: Aim,
    /// Anything else.
    pub note: Option<String>,
}

/// The colour of a target.
#[derive(Debug, Clone, PartialEq)]
pub enum Aim {
    /// A spectrum, or a colour under one light.
    Shade(Shade),
    /// That of a reading in this workbook: in a repair, the piece as it is today.
    Reading(Id<Reading>),
}

impl Stored for Costume {
    const KIND: Kind = Kind::Costume;
    const COLUMNS: &'static [&'static str] = &["name", "note"];

    fn check(&self) -> Result<(), Refusal> {
        words::name("the name of a costume", &self.name)?;
        words::note("the note of a costume", self.note.as_deref())
    }

    fn check_beside(&self, book: &Connection) -> Result<(), Refusal> {
        free(book, Kind::Costume, "name", &self.name, None)
    }

    fn rests_on(&self) -> Vec<(Kind, Entry)> {
        Vec::new()
    }

    fn cells(&self) -> Vec<Value> {
        vec![self.name.clone().into(), self.note.clone().into()]
    }

    fn read(row: &Fields<'_>, _: &Connection) -> Result<Self, Refusal> {
        Ok(Self { name: row.text("name")?, note: row.maybe_text("note")? })
    }
}

impl Stored for Piece {
    const KIND: Kind = Kind::Piece;
    const COLUMNS: &'static [&'static str] = &["costume", "name", "goods", "dry_g", "note"];

    fn check(&self) -> Result<(), Refusal> {
        words::name("the name of a piece", &self.name)?;
        words::name("the goods of a piece", &self.goods)?;
        words::note("the note of a piece", self.note.as_deref())
    }

    fn check_beside(&self, book: &Connection) -> Result<(), Refusal> {
        let costume = Some(("costume", self.costume.entry()));
        free(book, Kind::Piece, "name", &self.name, costume)
    }

    fn rests_on(&self) -> Vec<(Kind, Entry)> {
        reference(Some(self.costume)).into_iter().collect()
    }

    fn cells(&self) -> Vec<Value> {
        vec![
            number(self.costume),
            self.name.clone().into(),
            self.goods.clone().into(),
            self.dry.map(Mass::to_grams).into(),
            self.note.clone().into(),
        ]
    }

    fn read(row: &Fields<'_>, _: &Connection) -> Result<Self, Refusal> {
        Ok(Self {
            costume: row.id("costume")?,
            name: row.text("name")?,
            goods: row.text("goods")?,
            dry: row.maybe_quantity("dry_g", Mass::try_grams)?,
            note: row.maybe_text("note")?,
        })
    }
}

impl Stored for Target {
    const KIND: Kind = Kind::Target;
    const COLUMNS: &'static [&'static str] = &[
        "piece", "reading", "start_nm", "step_nm", "factors", "l", "a", "b", "light", "observer",
        "note",
    ];

    fn check(&self) -> Result<(), Refusal> {
        if let Aim::Shade(it) = &self.aim {
            shade::check(it)?;
        }
        words::note("the note of a target", self.note.as_deref())
    }

    fn rests_on(&self) -> Vec<(Kind, Entry)> {
        let reading = match self.aim {
            Aim::Reading(id) => Some(id),
            Aim::Shade(_) => None,
        };
        reference(Some(self.piece)).into_iter().chain(reference(reading)).collect()
    }

    fn cells(&self) -> Vec<Value> {
        let (reading, it) = match &self.aim {
            Aim::Reading(id) => (Some(*id), None),
            Aim::Shade(it) => (None, Some(it)),
        };
        let mut cells = vec![number(self.piece), maybe_number(reading)];
        cells.extend(shade::cells(it));
        cells.push(self.note.clone().into());
        cells
    }

    fn read(row: &Fields<'_>, _: &Connection) -> Result<Self, Refusal> {
        let aim = match row.maybe_id("reading")? {
            Some(id) => Aim::Reading(id),
            None => Aim::Shade(shade::read(row)?),
        };
        Ok(Self { piece: row.id("piece")?, aim, note: row.maybe_text("note")? })
    }
}
