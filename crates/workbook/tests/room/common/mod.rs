//! Workbooks to try things on: small ones by hand, and random ones of every kind of record. Invented.

#![allow(dead_code, reason = "each test uses some of it")]

pub(crate) mod dice;
pub(crate) mod random;

use std::path::Path;

use colour::{Colour, Lab, Spread, Value};
use units::{LiquorRatio, Mass, OnFibre, Share};
use workbook::{
    Amount, Backing, Book, Condition, Costume, Dose, Dosed, Hand, Id, Lot, Means, Nap, Piece,
    Reading, ShelfDye, Stamp, Subject, Swatch, Told, Undyed,
};

/// A stamp of a moment that stands still.
pub(crate) fn stamp() -> Stamp {
    Stamp::try_new("2031-05-10T09:30:00Z".parse().unwrap(), "Ada").unwrap()
}

/// A folder that goes away with its test.
pub(crate) fn folder() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

/// A new workbook in a folder.
pub(crate) fn begun(folder: &Path) -> Book {
    Book::create(&folder.join("book.sqlite")).unwrap()
}

pub(crate) fn dye(name: &str) -> ShelfDye {
    ShelfDye {
        name: name.to_owned(),
        class: "acid-milling".to_owned(),
        generic_name: None,
        note: None,
    }
}

pub(crate) fn lot(dye: Id<ShelfDye>, mark: &str) -> Lot {
    Lot { dye, mark: mark.to_owned(), opened: None, bought: None, note: None }
}

pub(crate) fn costume(name: &str) -> Costume {
    Costume { name: name.to_owned(), note: None }
}

pub(crate) fn piece(costume: Id<Costume>, name: &str) -> Piece {
    let goods = "wool".to_owned();
    Piece { costume, name: name.to_owned(), goods, dry: None, note: None }
}

pub(crate) fn dose(dye: Id<ShelfDye>, lot: Option<Id<Lot>>, percent: f64) -> Dose {
    Dose {
        of: Dosed::Dye { dye, lot },
        amount: Amount::OnFibre(OnFibre::try_percent(percent).unwrap()),
        scatter: Some(Share::try_percent(2.0).unwrap()),
        measured: Some("stock solution by syringe".to_owned()),
    }
}

pub(crate) fn swatch(doses: Vec<Dose>) -> Swatch {
    Swatch {
        piece: None,
        over: None,
        code: None,
        day: None,
        cloth: "wool".to_owned(),
        fibre: "wool".to_owned(),
        undyed: Undyed::Natural,
        look_alike: false,
        goods: Mass::try_grams(2.0).unwrap(),
        liquor: Some(LiquorRatio::try_litres_per_kilogram(30.0).unwrap()),
        class: "acid-milling".to_owned(),
        procedure: None,
        doses,
        hand: Hand::Own,
        note: None,
    }
}

/// Finished cloth.
pub(crate) const FINISHED: Condition = Condition {
    washed_off: Told::Yes,
    dry: Told::Yes,
    cool: Told::Yes,
    ironed: Told::Yes,
    nap: Nap::None,
    backing: Backing::Itself,
};

pub(crate) fn reading(of: Subject, lab: Lab) -> Reading {
    Reading {
        of,
        value: Value::Colour(Colour::d65_10(lab)),
        also: vec![],
        spread: Spread::Rms(1.0),
        condition: FINISHED,
        day: None,
        job: Some("a Saturday".to_owned()),
        lamp: None,
        means: Means::Photograph,
        device: Some("a telephone".to_owned()),
        photograph: None,
        hand: Hand::Own,
        note: None,
    }
}
