//! A costume file changed by a door: a field of a piece, a piece more or less, or the whole text.
//!
//! What the maker wrote by hand stays as it is: comments, order, blanks. The changed text is read as a whole
//! before anything is written; a fault leaves the file untouched. Every state the file had is kept beside it
//! ([`crate::costume_kept`]), so that each change can be taken back.

use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::path::Path;
use std::sync::{Mutex, PoisonError};

use costume::{Fault, Faults, read_costume};
use lore::Lore;
use toml_edit::{DocumentMut, Item, Table};

use crate::asked::{cloth, colour, weight};
use crate::coloured_kept::PICKED;
use crate::costume_kept::Kept;
use crate::disk::{Folder, text, write_whole};
use crate::predicted::undyed_line;
use crate::{Recording, Trouble};

/// A change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// The whole text.
    Text(String),
    /// Fields of one piece.
    Piece {
        /// Its id.
        id: String,
        /// What each field becomes, as typed; an empty one is taken away where it may be.
        fields: Vec<(PieceField, String)>,
    },
    /// A piece more.
    NewPiece {
        /// Its name; the id is made from it.
        name: String,
        /// Its fields.
        fields: Vec<(PieceField, String)>,
    },
    /// A piece less.
    DropPiece {
        /// Its id.
        id: String,
    },
    /// The costume's own name, note and day.
    Head {
        /// What it is called.
        name: String,
        /// What is to be said of it; empty: nothing.
        note: String,
        /// The day it must be ready, year-month-day; empty: none.
        day: String,
    },
    /// What it is dyed with.
    Shelf {
        /// A path from the costume's folder; empty: the starter shelf.
        shelf: String,
        /// Only these of it: classes, families, dyes; none: all of it.
        have: Vec<String>,
    },
    /// The first day there is time for what is left to dye, year-month-day.
    From(String),
    /// Whether colours out of reach are brought to cloth together.
    Together(bool),
}

/// A field of a piece that a form offers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PieceField {
    /// What it is called.
    Name,
    /// Its fibre, a blend, or "unknown".
    Cloth,
    /// Its air-dry weight with the unit.
    Weight,
    /// The colour wanted.
    Target,
    /// The undyed cloth.
    Undyed,
    /// From how near it is seen.
    SeenFrom,
    /// must, should or could.
    Worth,
    /// Advice that was read and is overruled: its ids, commas between.
    Overrule,
}

impl PieceField {
    /// What the maker calls it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Cloth => "cloth",
            Self::Weight => "weight",
            Self::Target => "target",
            Self::Undyed => "undyed cloth",
            Self::SeenFrom => "seen from",
            Self::Worth => "worth",
            Self::Overrule => "overruled advice",
        }
    }

    /// The keys that it stands for; the one it is written with is among them.
    const fn keys(self) -> &'static [&'static str] {
        match self {
            Self::Name => &["name"],
            Self::Cloth => &["cloth"],
            Self::Weight => WEIGHTS,
            Self::Target => &["target"],
            Self::Undyed => &["undyed"],
            Self::SeenFrom => &["seen_from"],
            Self::Worth => &["worth"],
            Self::Overrule => &["overrule"],
        }
    }

    /// The line it becomes; none where it is taken away. `Err` holds what is wrong and what to do.
    fn line(self, given: &str) -> Result<Option<String>, (String, String)> {
        let quoted = |key: &str| Some(format!("{key} = {}", toml_edit::Value::from(given)));
        Ok(match self {
            Self::Undyed | Self::SeenFrom | Self::Worth | Self::Overrule if given.is_empty() => {
                None
            }
            Self::Overrule => {
                let ids = given.split(',').map(str::trim).filter(|id| !id.is_empty());
                Some(format!(
                    "overrule = {}",
                    toml_edit::Value::from(toml_edit::Array::from_iter(ids))
                ))
            }
            Self::Name => quoted("name"),
            Self::Cloth => Some(cloth(given)?),
            Self::Weight => Some(weight(given)?),
            Self::Target => Some(colour("target", given)?),
            Self::Undyed => Some(undyed_line(given)?),
            Self::SeenFrom => quoted("seen_from"),
            Self::Worth => quoted("worth"),
        })
    }
}

/// All ways to say what a piece weighs: a new one takes the place of them all.
const WEIGHTS: &[&str] = &[
    "weight_g",
    "weight_kg",
    "weight_oz",
    "weight_lb",
    "length_m",
    "length_yd",
    "width_cm",
    "width_in",
    "cloth_g_per_m2",
    "cloth_oz_per_yd2",
    "cloth_momme",
];

/// One change at a time: two pages may be saved at once.
pub(crate) static CHANGING: Mutex<()> = Mutex::new(());

/// A mark of a costume file's text, by which a page knows the text it was made of; good while the program runs.
///
/// # Errors
/// The file cannot be read.
pub fn costume_mark(file: &Path) -> Result<String, Trouble> {
    text(file).map(|text| mark_of(&text))
}

pub(crate) fn mark_of(text: &str) -> String {
    let mut hasher = DefaultHasher::new();
    text.hash(&mut hasher);
    format!("{:016x}", hasher.finish())
}

/// Changes a costume file; says what was done, in the maker's words. `since` is the mark of the text that the change was
/// made from, where it must still stand.
///
/// # Errors
/// A text that no longer stands, a field that cannot be read, a text that is no costume (all its faults, none written), no such piece, a
/// disk that refuses.
pub fn change_costume(
    file: &Path,
    change: &Change,
    since: Option<&str>,
    recording: &Recording,
) -> Result<String, Trouble> {
    let _one = CHANGING.lock().unwrap_or_else(PoisonError::into_inner);
    let before = text(file)?;
    if since.is_some_and(|mark| mark != mark_of(&before)) {
        let says = "the costume file was changed since this page was made";
        return Err(Trouble::refused(says, "look at what it says now; saving again changes it"));
    }
    let (after, what) = changed(&before, change)?;
    if after == before {
        return Ok("nothing was changed".to_owned());
    }
    let name = file.display().to_string();
    read_costume(&name, &after, Lore::shipped(), &Folder::of(file))?;
    Kept::of(file).keep(&before, &after, &what, &recording.at)?;
    write_whole(&[(file, after.as_bytes())])?;
    Ok(what)
}

pub(crate) fn changed(before: &str, change: &Change) -> Result<(String, String), Trouble> {
    if let Change::Text(after) = change {
        return Ok((after.replace("\r\n", "\n"), "the file was written anew".to_owned()));
    }
    let mut file: DocumentMut = before.parse().map_err(|_| {
        let says = "the costume file has a fault and cannot be changed by a form";
        Trouble::refused(says, "mend its text first")
    })?;
    let what = match change {
        Change::Text(_) => String::new(),
        Change::Piece { id, fields } => {
            let piece = piece_called(&mut file, id)?;
            let called = called(piece, id);
            set(piece, fields)?;
            let names: Vec<&str> = fields.iter().map(|(field, _)| field.name()).collect();
            format!("{called}: {} changed", names.join(", "))
        }
        Change::NewPiece { name, fields } => {
            let id = free_id(&file, name)?;
            let mut piece = Table::new();
            piece.insert("id", toml_edit::value(&id));
            piece.insert("name", toml_edit::value(in_one_line(name)));
            set(&mut piece, fields)?;
            let pieces = file.entry("piece").or_insert(Item::ArrayOfTables(Default::default()));
            let Some(pieces) = pieces.as_array_of_tables_mut() else {
                return Err(not_by_form("its pieces"));
            };
            pieces.push(piece);
            format!("{} added", in_one_line(name))
        }
        Change::DropPiece { id } => {
            let called = called(piece_called(&mut file, id)?, id);
            if let Some(pieces) = file.get_mut("piece").and_then(Item::as_array_of_tables_mut) {
                pieces.retain(|piece| id_of(piece) != Some(id));
            }
            format!("{called} taken out")
        }
        Change::Head { name, note, day } => {
            let head = file.entry("costume").or_insert(Item::Table(Table::new()));
            let Some(head) = head.as_table_mut() else { return Err(not_by_form("its head")) };
            let name = toml_edit::Value::from(in_one_line(name));
            put(head, &format!("name = {name}"), &["name"])?;
            let line = |key: &str, given: &str| {
                let value = toml_edit::Value::from(in_one_line(given));
                (!given.trim().is_empty()).then(|| format!("{key} = {value}"))
            };
            put_or_take(head, line("note", note).as_deref(), &["note"])?;
            put_or_take(head, line("day", day).as_deref(), &["day"])?;
            "the costume's name, note and day changed".to_owned()
        }
        Change::Shelf { shelf, have } => {
            let head = file.entry("costume").or_insert(Item::Table(Table::new()));
            let Some(head) = head.as_table_mut() else { return Err(not_by_form("its head")) };
            let line = format!("shelf = {}", toml_edit::Value::from(in_one_line(shelf)));
            put_or_take(head, (!shelf.is_empty()).then_some(line.as_str()), &["shelf"])?;
            let words = toml_edit::Array::from_iter(have.iter().map(|word| in_one_line(word)));
            let line = format!("only = {}", toml_edit::Value::from(words));
            put_or_take(head, (!have.is_empty()).then_some(line.as_str()), &["only"])?;
            "what the costume is dyed with changed".to_owned()
        }
        Change::From(day) => {
            let calendar = file.entry("calendar").or_insert(Item::Table(Table::new()));
            let Some(calendar) = calendar.as_table_mut() else {
                return Err(not_by_form("its calendar"));
            };
            let day = in_one_line(day);
            put(
                calendar,
                &format!("start = {}", toml_edit::Value::from(day.as_str())),
                &["start"],
            )?;
            format!("what is left is planned from {day} on")
        }
        Change::Together(together) => {
            let head = file.get_mut("costume").and_then(Item::as_table_mut);
            let Some(head) = head else { return Err(not_by_form("its head")) };
            let line = together.then_some("colours = \"together\"");
            put_or_take(head, line, &["colours"])?;
            match together {
                true => "colours brought to cloth together".to_owned(),
                false => "each colour brought to cloth alone".to_owned(),
            }
        }
    };
    Ok((file.to_string(), what))
}

/// What a field of one line holds: whatever else was sent, blanks for it.
pub(crate) fn in_one_line(given: &str) -> String {
    let words = given.split(|c: char| c.is_whitespace() || c.is_control());
    words.filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

pub(crate) fn not_by_form(what: &str) -> Trouble {
    let says = format!("{what} are written in a way that a form cannot change");
    Trouble::refused(says, "change the text of the file instead")
}

fn id_of(piece: &Table) -> Option<&str> {
    piece.get("id").and_then(Item::as_str)
}

/// What the maker calls a piece.
fn called(piece: &Table, id: &str) -> String {
    let name = piece.get("name").and_then(Item::as_str).map(in_one_line);
    name.filter(|name| !name.is_empty()).unwrap_or_else(|| id.to_owned())
}

fn piece_called<'f>(file: &'f mut DocumentMut, id: &str) -> Result<&'f mut Table, Trouble> {
    let pieces = file.get_mut("piece").and_then(Item::as_array_of_tables_mut);
    let found = pieces.and_then(|all| all.iter_mut().find(|piece| id_of(piece) == Some(id)));
    found.ok_or_else(|| {
        let says = format!("there is no piece \"{id}\" in the costume file");
        Trouble::refused(says, "it may have been taken out meanwhile: look at the costume again")
    })
}

/// An id made from a name, that no piece has yet.
pub(crate) fn free_id(file: &DocumentMut, name: &str) -> Result<String, Trouble> {
    let letters: String = name
        .to_lowercase()
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
        .collect();
    let words: Vec<&str> = letters.split('-').filter(|w| !w.is_empty()).collect();
    if name.trim().is_empty() {
        return Err(Trouble::refused("the piece has no name", "say what it is called"));
    }
    let stem = if words.is_empty() { "piece".to_owned() } else { words.join("-") };
    let taken = |id: &str| {
        let pieces = file.get("piece").and_then(Item::as_array_of_tables);
        pieces.is_some_and(|all| all.iter().any(|piece| id_of(piece) == Some(id)))
    };
    let ids = std::iter::once(stem.clone()).chain((2..).map(|n| format!("{stem}-{n}")));
    Ok(ids.into_iter().find(|id| !taken(id)).unwrap_or(stem))
}

/// Sets fields of a piece; all faults of what was typed at once.
fn set(piece: &mut Table, fields: &[(PieceField, String)]) -> Result<(), Trouble> {
    let mut typed = String::new();
    let mut list = vec![];
    for (field, given) in fields {
        let given = in_one_line(given);
        let given = given.as_str();
        typed.push_str(field.name());
        typed.push_str(": ");
        let start = typed.len();
        typed.push_str(given);
        let span = start..typed.len();
        typed.push('\n');
        match field.line(given) {
            Ok(line) => put_or_take(piece, line.as_deref(), field.keys())?,
            Err((says, hint)) => list.push(Fault { span, says, hint }),
        }
    }
    if list.is_empty() {
        return Ok(());
    }
    Err(Faults { file: crate::swatches_recorded::TYPED.to_owned(), text: typed, list }.into())
}

pub(crate) fn put_or_take(
    table: &mut Table,
    line: Option<&str>,
    keys: &[&str],
) -> Result<(), Trouble> {
    match line {
        Some(line) => put(table, line, keys),
        None => {
            for key in keys {
                table.remove(key);
            }
            Ok(())
        }
    }
}

/// Puts one line of TOML into a table in the place of what stands under these keys, with its comment kept.
fn put(table: &mut Table, line: &str, keys: &[&str]) -> Result<(), Trouble> {
    let read: DocumentMut = line.parse().map_err(|_| {
        Trouble::refused(format!("\"{line}\" could not be written down"), "write it more plainly")
    })?;
    let Some((key, new)) = read.iter().next() else { return Ok(()) };
    for other in keys.iter().filter(|other| **other != key) {
        table.remove(other);
    }
    let mut new = new.clone();
    match (table.get_mut(key).and_then(Item::as_value_mut), new.as_value_mut()) {
        (Some(old), Some(value)) => {
            let mut decor = old.decor().clone();
            let suffix = decor.suffix().and_then(toml_edit::RawString::as_str);
            if suffix.is_some_and(|s| s.trim_start().starts_with(PICKED)) {
                // It told where the old colour was picked.
                decor.set_suffix("");
            }
            *old = value.clone();
            *old.decor_mut() = decor;
        }
        _ => {
            table.insert(key, new);
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "# mine\n[costume]\nname = \"A\" # so called\n\n# the coat\n[[piece]]\nid = \"coat\"\n\
                        cloth = \"wool\"\nlength_m = 2.0 # measured twice\nwidth_cm = 140\ncloth_g_per_m2 = 300\n\
                        target = { hex = \"#1f4b4f\" } # dark\n";

    fn piece(fields: &[(PieceField, &str)]) -> Result<(String, String), Trouble> {
        let fields = fields.iter().map(|(f, v)| (*f, (*v).to_owned())).collect();
        changed(TEXT, &Change::Piece { id: "coat".to_owned(), fields })
    }

    #[test]
    fn a_field_changes_and_everything_else_stays() -> Result<(), Trouble> {
        let (after, what) = piece(&[(PieceField::Target, "#204060")])?;
        assert_eq!(after, TEXT.replace("#1f4b4f", "#204060"));
        assert_eq!(what, "coat: target changed");
        let (after, _) = piece(&[(PieceField::Weight, "850g")])?;
        assert!(after.contains("weight_g = 850") && !after.contains("length_m"), "{after}");
        assert!(after.contains("# mine") && after.contains("# dark"), "{after}");
        Ok(())
    }

    #[test]
    fn a_shelf_is_named_and_taken_away_and_everything_else_stays() -> Result<(), Trouble> {
        let with = |shelf: &str, have: &[&str]| Change::Shelf {
            shelf: shelf.to_owned(),
            have: have.iter().map(|word| (*word).to_owned()).collect(),
        };
        let (after, what) = changed(TEXT, &with("my shelf.toml", &["reactive", "acid-navy"]))?;
        assert_eq!(what, "what the costume is dyed with changed");
        assert!(after.contains("only = [\"reactive\", \"acid-navy\"]"), "{after}");
        assert!(
            after.contains("shelf = \"my shelf.toml\"") && after.contains("# so called"),
            "{after}"
        );
        assert_eq!(changed(&after, &with("", &[]))?.0, TEXT);
        Ok(())
    }

    #[test]
    fn what_is_left_is_planned_from_another_day_and_the_calendar_stays() -> Result<(), Trouble> {
        let (after, what) = changed(TEXT, &Change::From("2031-05-11".to_owned()))?;
        assert_eq!(
            after.trim_end(),
            format!("{TEXT}\n[calendar]\nstart = \"2031-05-11\"").trim_end()
        );
        assert_eq!(what, "what is left is planned from 2031-05-11 on");
        let own = format!("{TEXT}\n[calendar] # mine\nhours = 5\nstart = 2031-05-01 # holidays\n");
        let (after, _) = changed(&own, &Change::From("2031-05-11".to_owned()))?;
        assert!(after.contains("hours = 5") && after.contains("# mine"), "{after}");
        assert!(after.contains("start = \"2031-05-11\" # holidays"), "{after}");
        Ok(())
    }

    #[test]
    fn colours_are_brought_together_and_each_alone_again() -> Result<(), Trouble> {
        let (after, _) = changed(TEXT, &Change::Together(true))?;
        assert!(after.contains("colours = \"together\""), "{after}");
        assert_eq!(changed(&after, &Change::Together(false))?.0, TEXT);
        Ok(())
    }

    #[test]
    fn every_field_that_cannot_be_read_is_told_of_at_once() {
        let told = piece(&[(PieceField::Target, "reddish"), (PieceField::Weight, "-3g")]);
        let Err(Trouble::Faults(faults)) = told else { panic!("taken: {told:?}") };
        assert_eq!(faults.list.len(), 2, "{faults}");
        assert_eq!(&faults.text[faults.list[0].span.clone()], "reddish");
    }

    #[test]
    fn pieces_come_and_go_with_ids_of_their_own() -> Result<(), Trouble> {
        let new = |name: &str| Change::NewPiece {
            name: name.to_owned(),
            fields: vec![(PieceField::Cloth, "cotton".to_owned())],
        };
        let (after, what) = changed(TEXT, &new("Coat"))?;
        assert_eq!(what, "Coat added");
        assert!(after.contains("id = \"coat-2\"\nname = \"Coat\"\ncloth = \"cotton\""), "{after}");
        let (less, _) = changed(&after, &Change::DropPiece { id: "coat-2".to_owned() })?;
        assert_eq!(less.trim_end(), TEXT.trim_end());
        assert!(changed(TEXT, &Change::DropPiece { id: "hat".to_owned() }).is_err());
        assert!(changed(TEXT, &new(" ")).is_err());
        Ok(())
    }
}
