//! What stands on a shelf as its file has it, field by field, for a form that changes it.

use std::path::Path;

use toml_edit::{ArrayOfTables, Item, Table};

use crate::Trouble;
use crate::costume_edited::mark_of;
use crate::disk::text;
use crate::shelf_edited::{ShelfField, ShelfKind, mend_first};

/// What stands on a shelf as its file has it, for a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnShelf {
    /// What it is.
    pub kind: ShelfKind,
    /// Its id.
    pub id: String,
    /// Its fields as typed, in the order of [`ShelfField::ALL`]; empty where none stands.
    pub fields: Vec<(ShelfField, String)>,
    /// Swatches of it that stand in the shelf file itself.
    pub chips: usize,
}

/// Everything on a shelf as its file has it, and the mark of the text it was read from.
///
/// # Errors
/// A file that cannot be read or is no TOML.
pub fn shelf_as_written(file: &Path) -> Result<(Vec<OnShelf>, String), Trouble> {
    let text = text(file)?;
    let read = toml_edit::Document::parse(text.as_str()).map_err(|_| mend_first())?;
    let mut all = vec![];
    for kind in [ShelfKind::Dye, ShelfKind::Auxiliary] {
        let rows = read.get(kind.key()).and_then(Item::as_array_of_tables);
        for row in rows.into_iter().flatten() {
            let Some(id) = row.get("id").and_then(Item::as_str) else { continue };
            let fields = ShelfField::ALL.iter().map(|field| (*field, words(row, field.key())));
            let chips = row.get("swatch").and_then(Item::as_array_of_tables);
            all.push(OnShelf {
                kind,
                id: id.to_owned(),
                fields: fields.collect(),
                chips: chips.map_or(0, ArrayOfTables::len),
            });
        }
    }
    Ok((all, mark_of(&text)))
}

fn words(row: &Table, key: &str) -> String {
    let Some(value) = row.get(key).and_then(Item::as_value) else { return String::new() };
    value.as_str().map_or_else(
        || {
            let mut plain = value.clone();
            plain.decor_mut().clear();
            plain.to_string()
        },
        str::to_owned,
    )
}
