//! A costume: the whole order, as its file asks for it.

use lore::Lore;
use units::Day;

use crate::calendar::calendar;
use crate::fixed::fixed;
use crate::kit::kitchen;
use crate::matches::{Named, known, matched};
use crate::people::people;
use crate::piece::piece;
use crate::reader::{Any, At, Table, read};
use crate::reference::reference;
use crate::{Calendar, Faults, Files, Fixed, Kitchen, Match, People, Piece, Reference};

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
    /// Only these of the shelf: classes, families (reactive, acid) and dyes by their ids, as written; empty: all of it.
    pub only: Vec<String>,
    /// The picture its colours were read off; none: not said.
    pub reference: Option<Reference>,
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

/// The name of a costume and its pieces by their ids, as far as a costume file tells them, faulty or not.
#[must_use]
pub fn pieces_of(text: &str) -> Option<(String, Vec<String>)> {
    let file: toml::Table = toml::from_str(text).ok()?;
    let name = file.get("costume")?.get("name")?.as_str()?.to_owned();
    let pieces = file.get("piece")?.as_array()?.iter();
    let ids = pieces.filter_map(|p| Some(p.get("id")?.as_str()?.to_owned())).collect();
    Some((name, ids))
}

fn costume(root: &Table, lore: &Lore, files: &dyn Files) -> Option<Costume> {
    let head = root.part("costume");
    if head.is_none() {
        let hint = "begin with [costume] and name = \"…\"";
        root.fault(0..0, "the table [costume] is missing", hint);
    }
    let (mut name, mut note, mut day, mut currency, mut shelf) = (None, None, None, None, None);
    let mut together = false;
    let mut have = vec![];
    if let Some(head) = &head {
        name = head.need_text("name", "name = \"what you call the costume\"");
        note = head.text("note").map(|t| t.it);
        day = head.day("day").map(|d| d.it);
        currency = head.text("currency");
        shelf = head.text("shelf").map(|t| t.it);
        have = head.texts("only").into_iter().map(|word| word.it).collect();
        together = head.choice("colours", &[false, true], colours).unwrap_or(false);
        head.finish();
    }
    let reference = root.part("reference").and_then(|table| reference(&table));
    let kitchen = kitchen(root.part("kitchen").as_ref());
    let calendar = calendar(root.part("calendar").as_ref(), day);
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
    let stands = root.parts("fixed");
    let sets = root.parts("match");
    for (tables, what) in [(&stands, "fixed things"), (&sets, "matches")] {
        if tables.len() > MOST_PIECES {
            let hint = format!("a costume has at most {MOST_PIECES}; split it into two files");
            root.fault(0..0, format!("there are {} {what}", tables.len()), hint);
            return None;
        }
    }
    let fixed: Vec<Option<Fixed>> = stands.iter().map(|t| fixed(t, files)).collect();
    let (piece_ids, fixed_ids) = (ids(&tables), ids(&stands));
    once(root, &piece_ids, &fixed_ids);
    let sets: Vec<Named> = sets.iter().filter_map(matched).collect();
    let matches = known(root, sets, &texts(&piece_ids), &texts(&fixed_ids));
    Some(Costume {
        name: name?.it,
        note,
        day,
        currency: currency.map_or_else(|| "EUR".to_owned(), |c| c.it),
        shelf,
        only: have,
        reference,
        kitchen: kitchen?,
        people,
        pieces: pieces.into_iter().collect::<Option<_>>()?,
        fixed: fixed.into_iter().collect::<Option<_>>()?,
        matches,
        calendar,
        together,
    })
}

/// How the colours of a costume are brought to cloth, as written.
const fn colours(together: bool) -> &'static str {
    if together { "together" } else { "each" }
}

/// The ids written in some tables, with their places; also of tables that are faulty elsewhere, so that
/// what names them is not called unknown.
fn ids(tables: &[Table]) -> Vec<At<String>> {
    let text = |t: &Table| match t.any("id") {
        Some(At { it: Any::Text(id), span }) => Some(At { it: id, span }),
        _ => None,
    };
    tables.iter().filter_map(text).collect()
}

fn texts(ids: &[At<String>]) -> Vec<&str> {
    ids.iter().map(|id| id.it.as_str()).collect()
}

/// Notes every id that stands twice among pieces and fixed things.
fn once(root: &Table, pieces: &[At<String>], fixed: &[At<String>]) {
    let all: Vec<(&At<String>, bool)> =
        pieces.iter().map(|p| (p, false)).chain(fixed.iter().map(|f| (f, true))).collect();
    for (i, (one, is_fixed)) in all.iter().enumerate() {
        let Some((_, other_is_fixed)) = all[..i].iter().find(|(o, _)| o.it == one.it) else {
            continue;
        };
        let what = match (*is_fixed, *other_is_fixed) {
            (true, true) => "two fixed things are",
            (true, false) => "a piece and a fixed thing are both",
            _ => "two pieces are",
        };
        let says = format!("{what} called \"{}\"", one.it);
        root.fault(one.span.clone(), says, "give each piece and each fixed thing its own id");
    }
}
