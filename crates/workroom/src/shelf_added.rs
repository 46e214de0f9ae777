//! Add a dye or an auxiliary to a shelf file, keeping its comments and layout.

use std::path::PathBuf;

use costume::{Faults, read_shelf};
use lore::Lore;
use toml_edit::{DocumentMut, InlineTable, Item, Table, Value};

use crate::Trouble;
use crate::disk::{Folder, text, write_whole};
use crate::shelves::blocked_names;

/// What to add.
#[derive(Debug, Clone, Default)]
pub struct Addition {
    /// The shelf file; begun when it is not there yet.
    pub file: PathBuf,
    /// The id of a dye, or of an auxiliary.
    pub id: String,
    /// True for an auxiliary.
    pub auxiliary: bool,
    /// The starter dye it is nearest to.
    pub like: Option<String>,
    /// What it is called.
    pub name: Option<String>,
    /// How much there is, g.
    pub grams: Option<f64>,
    /// What a pack holds, g.
    pub pack_g: Option<f64>,
    /// What a pack costs.
    pub pack_price: Option<f64>,
    /// For a liquid: dye in 100 mL, g.
    pub liquid_pct: Option<f64>,
    /// Lot.
    pub lot: Option<String>,
    /// When it was opened, year-month-day.
    pub opened: Option<String>,
}

/// What was added.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Added {
    /// Always "shelf-add".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The file.
    pub file: String,
    /// The id.
    pub id: String,
    /// dye or auxiliary.
    pub kind: &'static str,
    /// True when the file was begun by this.
    pub begun: bool,
    /// Dyes on the shelf now.
    pub dyes: usize,
}

const HEAD: &str =
    "# A shelf: the dyes and auxiliaries at hand. `dyewright shelf check` looks it over.\n";

/// Adds to a shelf file. The text with the addition must be a sound shelf, else nothing is written.
pub fn add_to_shelf(wanted: &Addition) -> Result<Added, Trouble> {
    let lore = Lore::shipped();
    let begun = !wanted.file.exists();
    let before = if begun { HEAD.to_owned() } else { text(&wanted.file)? };
    let name = wanted.file.display().to_string();
    let folder = Folder::of(&wanted.file);
    if !begun {
        // A file with faults of its own is not touched: they are shown first.
        read_shelf(&name, &before, lore, &folder)?;
    }
    let mut document: DocumentMut = before.parse().map_err(|e: toml_edit::TomlError| {
        Trouble::refused(format!("{name}: {e}"), "mend it first")
    })?;
    append(&mut document, wanted)?;
    let after = document.to_string();
    let shelf = read_shelf(&format!("{name} with the addition"), &after, lore, &folder)?;
    let blocked = blocked_names(&after, lore);
    if !blocked.is_empty() {
        return Err(Faults {
            file: format!("{name} with the addition"),
            text: after,
            list: blocked,
        }
        .into());
    }
    write_whole(&[(&wanted.file, after.as_bytes())])?;
    Ok(Added {
        dyewright: "shelf-add",
        version: 1,
        file: name,
        id: wanted.id.clone(),
        kind: if wanted.auxiliary { "auxiliary" } else { "dye" },
        begun,
        dyes: shelf.dyes.len(),
    })
}

fn append(document: &mut DocumentMut, wanted: &Addition) -> Result<(), Trouble> {
    let key = if wanted.auxiliary { "auxiliary" } else { "dye" };
    let mut row = Table::new();
    let mut put = |key: &str, value: Option<Value>| {
        if let Some(value) = value {
            row.insert(key, Item::Value(value));
        }
    };
    let text = |t: &Option<String>| t.as_deref().map(Value::from);
    put("id", Some(Value::from(wanted.id.as_str())));
    put("like", text(&wanted.like));
    put("name", text(&wanted.name));
    put("grams", wanted.grams.map(Value::from));
    put("pack_g", wanted.pack_g.map(Value::from));
    put("pack_price", wanted.pack_price.map(Value::from));
    put("liquid_pct", wanted.liquid_pct.map(Value::from));
    put("lot", text(&wanted.lot));
    // A day is written as TOML writes days; what is no day stays a text for the reader to refuse.
    let day =
        |d: &str| d.parse::<toml_edit::Datetime>().map_or_else(|_| Value::from(d), Value::from);
    put("opened", wanted.opened.as_deref().map(day));
    match document
        .entry(key)
        .or_insert_with(|| Item::ArrayOfTables(toml_edit::ArrayOfTables::new()))
    {
        Item::ArrayOfTables(rows) => {
            row.decor_mut().set_prefix("\n");
            rows.push(row);
            Ok(())
        }
        // Written as an array of inline tables.
        Item::Value(Value::Array(rows)) => {
            let mut inline = InlineTable::new();
            for (key, item) in row {
                if let Ok(value) = item.into_value() {
                    inline.insert(key, value);
                }
            }
            rows.push(inline);
            Ok(())
        }
        _ => Err(Trouble::refused(
            format!("`{key}` in the file is not a list"),
            "begin each with [[…]]",
        )),
    }
}
