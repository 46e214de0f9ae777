//! A shelf file changed by a door: a dye or an auxiliary more or less, its stock, price, lot and days, or the whole text.
//!
//! As with a costume file ([`crate::costume_edited`]): comments and order stay, the changed text is read as a whole before
//! anything is written, and every state is kept beside the file, so that each change can be taken back. Left out: packs
//! whose colour is all that is known of them (`[[pack]]`), which are changed in the text.

use std::path::Path;
use std::sync::PoisonError;

use costume::{Fault, Faults, read_shelf};
use lore::Lore;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table};

use crate::costume_edited::{CHANGING, in_one_line, mark_of, not_by_form, put_or_take};
use crate::costume_kept::{Kept, take_back};
use crate::disk::{Folder, text, write_whole};
use crate::shelves::blocked_names;
use crate::{Recording, Trouble};

/// A change of a shelf.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ShelfChange {
    /// The whole text.
    Text(String),
    /// Fields of what is there.
    Fields {
        /// What it is.
        kind: ShelfKind,
        /// Its id.
        id: String,
        /// What each field becomes, as typed; an empty one is taken away.
        fields: Vec<(ShelfField, String)>,
    },
    /// One more.
    New {
        /// What it is.
        kind: ShelfKind,
        /// Its id; of a dye, made from its name where it is empty.
        id: String,
        /// Its fields.
        fields: Vec<(ShelfField, String)>,
    },
    /// One less.
    Drop {
        /// What it is.
        kind: ShelfKind,
        /// Its id.
        id: String,
    },
}

/// What stands on a shelf.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShelfKind {
    /// A dye.
    Dye,
    /// An auxiliary, or gear.
    Auxiliary,
}

impl ShelfKind {
    pub(crate) const fn key(self) -> &'static str {
        match self {
            Self::Dye => "dye",
            Self::Auxiliary => "auxiliary",
        }
    }
}

/// A field of what stands on a shelf.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShelfField {
    /// What a dye is called.
    Name,
    /// The starter dye a dye is nearest to.
    Like,
    /// What is left, g.
    Grams,
    /// What a pack holds, g.
    PackG,
    /// What a pack costs.
    PackPrice,
    /// The lot on the pack.
    Lot,
    /// The day it was bought.
    Bought,
    /// The day it was opened.
    Opened,
    /// The last day its maker vouches for it.
    Expires,
}

impl ShelfField {
    /// All, in the order of a form.
    pub const ALL: &[Self] = &[
        Self::Name,
        Self::Like,
        Self::Grams,
        Self::PackG,
        Self::PackPrice,
        Self::Lot,
        Self::Bought,
        Self::Opened,
        Self::Expires,
    ];

    /// Its key in the file, and its name in a form.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Like => "like",
            Self::Grams => "grams",
            Self::PackG => "pack_g",
            Self::PackPrice => "pack_price",
            Self::Lot => "lot",
            Self::Bought => "bought",
            Self::Opened => "opened",
            Self::Expires => "expires",
        }
    }

    /// What the maker calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Like => "nearest starter dye",
            Self::Grams => "what is left",
            Self::PackG => "what a pack holds",
            Self::PackPrice => "price of a pack",
            Self::Lot => "lot",
            Self::Bought => "day bought",
            Self::Opened => "day opened",
            Self::Expires => "last day",
        }
    }

    /// The line it becomes; none where it is taken away. `Err` holds what is wrong and what to do.
    fn line(self, given: &str) -> Result<Option<String>, (String, String)> {
        if given.is_empty() {
            return Ok(None);
        }
        let key = self.key();
        let wrong = |says: &str, hint: &str| Err((says.to_owned(), hint.to_owned()));
        Ok(Some(match self {
            Self::Name | Self::Like | Self::Lot => {
                format!("{key} = {}", toml_edit::Value::from(given))
            }
            Self::Grams | Self::PackG | Self::PackPrice => {
                let bare = given.trim_end_matches(|c: char| c.is_alphabetic()).trim();
                let unit = given[bare.len()..].trim();
                let number = bare.replace(',', ".");
                let fits = match self {
                    Self::PackPrice => unit.is_empty(),
                    _ => unit.is_empty() || unit == "g",
                };
                match number.parse::<f64>() {
                    Ok(n) if fits && n.is_finite() && n >= 0.0 => format!("{key} = {n:?}"),
                    _ if matches!(self, Self::PackPrice) => {
                        return wrong("this is no price", "a number, as 4.20");
                    }
                    _ => return wrong("this is no weight in grams", "a number of grams, as 12.5"),
                }
            }
            Self::Bought | Self::Opened | Self::Expires => {
                match given.parse::<toml_edit::Datetime>() {
                    Ok(day) if day.date.is_some() && day.time.is_none() => format!("{key} = {day}"),
                    _ => return wrong("this is no day", "year-month-day, as 2027-01-31"),
                }
            }
        }))
    }
}

pub(crate) fn mend_first() -> Trouble {
    let says = "the shelf file has a fault and cannot be changed by a form";
    Trouble::refused(says, "mend its text first")
}

/// Changes a shelf file; says what was done. `since` is the mark of the text that the change was made from, where it
/// must still stand. A file that is not there is begun by its first dye.
///
/// # Errors
/// A text that no longer stands, a field that cannot be read, a text that is no shelf (all its faults, none written), a
/// blocked dye, nothing of that id, a disk that refuses.
pub fn change_shelf(
    file: &Path,
    change: &ShelfChange,
    since: Option<&str>,
    recording: &Recording,
) -> Result<String, Trouble> {
    let _one = CHANGING.lock().unwrap_or_else(PoisonError::into_inner);
    let begun = !file.exists();
    let before = if begun { HEAD.to_owned() } else { text(file)? };
    if since.is_some_and(|mark| !begun && mark != mark_of(&before)) {
        let says = "the shelf file was changed since this page was made";
        return Err(Trouble::refused(says, "look at what it says now; saving again changes it"));
    }
    let (after, what) = changed(&before, change)?;
    if after == before {
        return Ok("nothing was changed".to_owned());
    }
    sound(file, &file.display().to_string(), &after)?;
    if !begun {
        Kept::of(file).keep(&before, &after, &what, &recording.at)?;
    }
    write_whole(&[(file, after.as_bytes())])?;
    Ok(what)
}

const HEAD: &str = "# The shelf: the dyes and auxiliaries at hand.\n";

/// A text must be a shelf, and hold nothing that must not be in a home.
fn sound(file: &Path, name: &str, text: &str) -> Result<(), Trouble> {
    let lore = Lore::shipped();
    read_shelf(name, text, lore, &Folder::of(file))?;
    let list = blocked_names(text, lore);
    match list.is_empty() {
        true => Ok(()),
        false => Err(Faults { file: name.to_owned(), text: text.to_owned(), list }.into()),
    }
}

/// Takes the last change of a shelf file back; says what was taken back.
///
/// # Errors
/// Nothing to take back; a text that is no shelf any more; a disk that refuses.
pub fn take_back_shelf_change(
    file: &Path,
    since: Option<&str>,
    recording: &Recording,
) -> Result<String, Trouble> {
    take_back(file, since, recording, &|name, text| sound(file, name, text))
}

fn changed(before: &str, change: &ShelfChange) -> Result<(String, String), Trouble> {
    if let ShelfChange::Text(after) = change {
        return Ok((after.replace("\r\n", "\n"), "the shelf was written anew".to_owned()));
    }
    let mut file: DocumentMut = before.parse().map_err(|_| mend_first())?;
    let what = match change {
        ShelfChange::Text(_) => String::new(),
        ShelfChange::Fields { kind, id, fields } => {
            let row = row(&mut file, *kind, id)?;
            set(row, fields)?;
            let names: Vec<&str> = fields.iter().map(|(field, _)| field.words()).collect();
            format!("{id}: {} changed", names.join(", "))
        }
        ShelfChange::New { kind, id, fields } => {
            let id = id_for(&file, *kind, id, fields)?;
            let mut row = Table::new();
            row.insert("id", toml_edit::value(&id));
            set(&mut row, fields)?;
            let rows =
                file.entry(kind.key()).or_insert(Item::ArrayOfTables(ArrayOfTables::default()));
            let Some(rows) = rows.as_array_of_tables_mut() else {
                return Err(not_by_form("what stands on this shelf"));
            };
            row.decor_mut().set_prefix("\n");
            rows.push(row);
            format!("{id} added")
        }
        ShelfChange::Drop { kind, id } => {
            row(&mut file, *kind, id)?;
            if let Some(rows) = file.get_mut(kind.key()).and_then(Item::as_array_of_tables_mut) {
                rows.retain(|row| id_of(row) != Some(id));
            }
            format!("{id} taken off")
        }
    };
    Ok((file.to_string(), what))
}

fn id_of(row: &Table) -> Option<&str> {
    row.get("id").and_then(Item::as_str)
}

fn row<'f>(file: &'f mut DocumentMut, kind: ShelfKind, id: &str) -> Result<&'f mut Table, Trouble> {
    let rows = file.get_mut(kind.key()).and_then(Item::as_array_of_tables_mut);
    let found = rows.and_then(|all| all.iter_mut().find(|row| id_of(row) == Some(id)));
    found.ok_or_else(|| {
        let says = format!("there is no \"{id}\" on this shelf that a form can change");
        Trouble::refused(
            says,
            "it may have been taken off meanwhile, or be a pack: see the shelf's text",
        )
    })
}

/// The id given, else one made from the name; one that is there already gets a number.
fn id_for(
    file: &DocumentMut,
    kind: ShelfKind,
    id: &str,
    fields: &[(ShelfField, String)],
) -> Result<String, Trouble> {
    if kind == ShelfKind::Auxiliary {
        let id = in_one_line(id);
        if id.is_empty() {
            return Err(Trouble::refused("nothing was chosen", "choose what there is"));
        }
        return Ok(id);
    }
    let field = |wanted| {
        let found = fields.iter().find(|(of, given)| *of == wanted && !given.trim().is_empty());
        found.map(|(_, given)| given.to_lowercase())
    };
    let Some(name) = field(ShelfField::Name).or_else(|| field(ShelfField::Like)) else {
        return Err(Trouble::refused(
            "the dye has no name",
            "say what it is called, or which starter dye it is like",
        ));
    };
    let letters: String =
        name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    let words: Vec<&str> = letters.split('-').filter(|w| !w.is_empty()).collect();
    let stem = if words.is_empty() { "dye".to_owned() } else { words.join("-") };
    let taken = |id: &str| {
        ["dye", "pack"].iter().any(|key| {
            let rows = file.get(key).and_then(Item::as_array_of_tables);
            rows.is_some_and(|all| all.iter().any(|row| id_of(row) == Some(id)))
        })
    };
    let mut ids = std::iter::once(stem.clone()).chain((2..).map(|n| format!("{stem}-{n}")));
    Ok(ids.find(|id| !taken(id)).unwrap_or(stem))
}

/// Sets fields; all faults of what was typed at once.
fn set(row: &mut Table, fields: &[(ShelfField, String)]) -> Result<(), Trouble> {
    let mut typed = String::new();
    let mut list = vec![];
    for (field, given) in fields {
        let given = in_one_line(given);
        typed.push_str(field.words());
        typed.push_str(": ");
        let start = typed.len();
        typed.push_str(&given);
        let span = start..typed.len();
        typed.push('\n');
        match field.line(&given) {
            Ok(line) => put_or_take(row, line.as_deref(), &[field.key()])?,
            Err((says, hint)) => list.push(Fault { span, says, hint }),
        }
    }
    if list.is_empty() {
        return Ok(());
    }
    Err(Faults { file: crate::swatches_recorded::TYPED.to_owned(), text: typed, list }.into())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shelf_as_written;

    const TEXT: &str = "# mine\n[[dye]]\nid = \"red\" # the good one\nlike = \"acid-scarlet\"\ngrams = 20 # weighed\n\n\
                        # for the pot\n[[auxiliary]]\nid = \"citric-acid\"\ngrams = 500\n";

    fn when() -> Recording {
        Recording { who: "me".to_owned(), at: "2031-05-12T10:00:00Z".to_owned() }
    }

    fn fields(of: &[(ShelfField, &str)]) -> Vec<(ShelfField, String)> {
        of.iter().map(|(f, v)| (*f, (*v).to_owned())).collect()
    }

    #[test]
    fn a_field_changes_comments_stay_and_it_is_taken_back() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("shelf.toml");
        std::fs::write(&file, TEXT)?;
        let now = || std::fs::read_to_string(&file);
        let (all, mark) = shelf_as_written(&file).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(all.len(), 2);
        assert!(all[0].fields.contains(&(ShelfField::Grams, "20".to_owned())), "{all:?}");
        let change = |of: &[(ShelfField, &str)]| ShelfChange::Fields {
            kind: ShelfKind::Dye,
            id: "red".to_owned(),
            fields: fields(of),
        };
        let opened = [(ShelfField::Grams, "12,5 g"), (ShelfField::Opened, "2030-02-03")];
        let done = change_shelf(&file, &change(&opened), Some(&mark), &when());
        assert!(done.is_ok_and(|what| what == "red: what is left, day opened changed"));
        let after = now()?;
        assert!(
            after.contains("grams = 12.5 # weighed") && after.contains("opened = 2030-02-03"),
            "{after}"
        );
        assert!(after.starts_with("# mine") && after.contains("# for the pot"), "{after}");
        let stale = change_shelf(&file, &change(&[(ShelfField::Lot, "7")]), Some(&mark), &when());
        assert!(stale.is_err_and(|e| e.to_string().contains("since this page was made")));
        assert_eq!(now()?, after);
        take_back_shelf_change(&file, None, &when()).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(now()?, TEXT);
        Ok(())
    }

    #[test]
    fn every_field_that_cannot_be_read_is_told_of_and_nothing_is_written() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("shelf.toml");
        std::fs::write(&file, TEXT)?;
        for bad in [
            fields(&[
                (ShelfField::Grams, "-3"),
                (ShelfField::PackPrice, "dear"),
                (ShelfField::Opened, "soon"),
            ]),
            fields(&[(ShelfField::Like, "acid-rod")]),
            fields(&[(ShelfField::PackPrice, "4")]),
            fields(&[(ShelfField::Opened, "2020-01-01"), (ShelfField::Bought, "2021-01-01")]),
        ] {
            let change =
                ShelfChange::Fields { kind: ShelfKind::Dye, id: "red".to_owned(), fields: bad };
            let told = change_shelf(&file, &change, None, &when());
            assert!(matches!(told, Err(Trouble::Faults(_))), "{told:?}");
        }
        let three = fields(&[
            (ShelfField::Grams, "-3"),
            (ShelfField::PackPrice, "dear"),
            (ShelfField::Opened, "soon"),
        ]);
        let change =
            ShelfChange::Fields { kind: ShelfKind::Dye, id: "red".to_owned(), fields: three };
        let Err(Trouble::Faults(faults)) = change_shelf(&file, &change, None, &when()) else {
            panic!("taken")
        };
        assert_eq!(faults.list.len(), 3, "{faults}");
        let none = ShelfChange::Drop { kind: ShelfKind::Dye, id: "blue".to_owned() };
        assert!(change_shelf(&file, &none, None, &when()).is_err());
        assert_eq!(std::fs::read_to_string(&file)?, TEXT);
        Ok(())
    }

    #[test]
    fn dyes_come_and_go_and_a_shelf_is_begun_by_its_first() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("shelf.toml");
        let new = ShelfChange::New {
            kind: ShelfKind::Dye,
            id: String::new(),
            fields: fields(&[
                (ShelfField::Name, "Brick red"),
                (ShelfField::Like, "acid-scarlet"),
                (ShelfField::Grams, "10"),
            ]),
        };
        for (wanted, change) in [("brick-red added", new.clone()), ("brick-red-2 added", new)] {
            let done =
                change_shelf(&file, &change, None, &when()).unwrap_or_else(|e| panic!("{e}"));
            assert_eq!(done, wanted);
        }
        let salt = ShelfChange::New {
            kind: ShelfKind::Auxiliary,
            id: "citric-acid".to_owned(),
            fields: fields(&[(ShelfField::Grams, "250")]),
        };
        change_shelf(&file, &salt, None, &when()).unwrap_or_else(|e| panic!("{e}"));
        let drop = ShelfChange::Drop { kind: ShelfKind::Dye, id: "brick-red".to_owned() };
        change_shelf(&file, &drop, None, &when()).unwrap_or_else(|e| panic!("{e}"));
        let (all, _) = shelf_as_written(&file).unwrap_or_else(|e| panic!("{e}"));
        let ids: Vec<&str> = all.iter().map(|one| one.id.as_str()).collect();
        assert_eq!(ids, ["brick-red-2", "citric-acid"]);
        Ok(())
    }
}
