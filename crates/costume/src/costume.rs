//! A costume: the whole order, as its file asks for it.

use lore::Lore;
use units::Day;

use crate::kit::kitchen;
use crate::people::people;
use crate::piece::piece;
use crate::reader::{Table, read};
use crate::{Calendar, Faults, Files, Fixed, Kitchen, Match, People, Piece};

/// A whole order.
#[derive(Debug, Clone, PartialEq)]
pub struct Costume {
    /// Its name.
    pub name: String,
    /// What the maker wants said of it.
    pub note: Option<String>,
    /// The day it must be ready.
    pub day: Option<Day>,
    /// Three-letter code of the currency prices are in.
    pub currency: String,
    /// The shelf file, from the folder of the costume file; none: the starter shelf.
    pub shelf: Option<String>,
    /// Measures, vessels, water.
    pub kitchen: Kitchen,
    /// Who is near the pots.
    pub people: People,
    /// The pieces, in the order of the file.
    pub pieces: Vec<Piece>,
    /// What is read and never dyed.
    pub fixed: Vec<Fixed>,
    /// What must match.
    pub matches: Vec<Match>,
    /// When there is time to dye.
    pub calendar: Calendar,
    /// Colours out of reach are brought to cloth together, keeping who is darker, warmer, louder;
    /// false: each alone.
    pub together: bool,
}

/// Most pieces in one costume.
const MOST_PIECES: usize = 200;

/// Reads a costume file; gives all its faults at once.
pub fn read_costume(
    file: &str,
    text: &str,
    lore: &Lore,
    files: &dyn Files,
) -> Result<Costume, Faults> {
    read(file, text, |root| costume(root, lore, files))
}

fn costume(root: &Table, lore: &Lore, files: &dyn Files) -> Option<Costume> {
    let head = root.part("costume");
    if head.is_none() {
        let hint = "begin with [costume] and name = \"…\"";
        root.fault(0..0, "the table [costume] is missing", hint);
    }
    let (mut name, mut note, mut day, mut currency, mut shelf) = (None, None, None, None, None);
    if let Some(head) = &head {
        name = head.need_text("name", "name = \"what you call the costume\"");
        note = head.text("note").map(|t| t.it);
        day = head.day("day").map(|d| d.it);
        currency = head.text("currency");
        shelf = head.text("shelf").map(|t| t.it);
        head.finish();
    }
    let kitchen = kitchen(root.part("kitchen").as_ref());
    let people = people(root.part("people").as_ref());
    let tables = root.parts("piece");
    if tables.is_empty() {
        root.fault(0..0, "there is no piece", "write at least one [[piece]]");
    }
    if tables.len() > MOST_PIECES {
        let hint = format!("a costume has at most {MOST_PIECES}; split it into two files");
        root.fault(0..0, format!("there are {} pieces", tables.len()), hint);
        return None;
    }
    let pieces: Vec<Option<Piece>> = tables.iter().map(|t| piece(t, lore, files)).collect();
    for (i, one) in pieces.iter().enumerate() {
        let same = |o: &Option<Piece>| matches!((o, one), (Some(a), Some(b)) if a.id == b.id);
        if pieces[..i].iter().any(same) {
            let id = one.as_ref().map_or("", |p| p.id.as_str());
            let hint = "give each piece its own id";
            root.fault(tables[i].span.clone(), format!("two pieces are called \"{id}\""), hint);
        }
    }
    Some(Costume {
        name: name?.it,
        note,
        day,
        currency: currency.map_or_else(|| "EUR".to_owned(), |c| c.it),
        shelf,
        kitchen: kitchen?,
        people,
        pieces: pieces.into_iter().collect::<Option<_>>()?,
        fixed: vec![],
        matches: vec![],
        calendar: Calendar::default(),
        together: false,
    })
}
