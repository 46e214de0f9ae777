//! A piece as its costume file has it, field by field, for a form that changes it.

use std::path::Path;

use toml_edit::{Document, Item, TableLike, Value};

use crate::Trouble;
use crate::costume_edited::{PieceField, mark_of};
use crate::disk::text;

/// A piece's fields as a form shows them; a field that a form cannot show as it is written is empty.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PieceAsWritten {
    /// What it is called.
    pub name: String,
    /// Its cloth: a fibre, a blend, "unknown".
    pub cloth: String,
    /// Its weight with the unit; empty where it is reckoned from its size.
    pub weight: String,
    /// The colour wanted; empty where it is read from a file.
    pub target: String,
    /// The undyed cloth.
    pub undyed: String,
    /// From how near it is seen.
    pub seen_from: String,
    /// must, should or could.
    pub worth: String,
    /// Advice that is overruled: its ids, commas between.
    pub overrule: String,
    /// The same in a line.
    pub summary: String,
    /// The mark of the text it was read from.
    pub mark: String,
    /// True where these are words just typed, and not yet written.
    pub fresh: bool,
}

impl PieceAsWritten {
    /// A field's text.
    #[must_use]
    pub fn field(&self, field: PieceField) -> &str {
        match field {
            PieceField::Name => &self.name,
            PieceField::Cloth => &self.cloth,
            PieceField::Weight => &self.weight,
            PieceField::Target => &self.target,
            PieceField::Undyed => &self.undyed,
            PieceField::SeenFrom => &self.seen_from,
            PieceField::Worth => &self.worth,
            PieceField::Overrule => &self.overrule,
        }
    }

    /// The same piece with what was typed into a form, by the form's names.
    #[must_use]
    pub fn typed(&self, field: impl Fn(&str) -> String) -> Self {
        Self {
            name: field("name"),
            cloth: field("cloth"),
            weight: field("weight"),
            target: field("target"),
            undyed: field("undyed"),
            seen_from: field("seen_from"),
            worth: field("worth"),
            overrule: self.overrule.clone(),
            summary: self.summary.clone(),
            mark: self.mark.clone(),
            fresh: true,
        }
    }
}

/// A piece of a costume file, as written.
///
/// # Errors
/// No such file or piece; a text that is no TOML.
pub fn piece_as_written(file: &Path, id: &str) -> Result<PieceAsWritten, Trouble> {
    let text = text(file)?;
    let read = Document::parse(text.as_str()).map_err(|_| no_form())?;
    let pieces = read.get("piece").and_then(Item::as_array_of_tables);
    let of = |table: &&toml_edit::Table| table.get("id").and_then(Item::as_str) == Some(id);
    let found = pieces.and_then(|all| all.iter().find(of)).ok_or_else(|| {
        let says = format!("there is no piece \"{id}\" in the costume file");
        Trouble::refused(says, "it may have been taken out meanwhile: look at the costume again")
    })?;
    Ok(as_written(found, id, &text))
}

/// All pieces of a costume file with their ids, as written.
///
/// # Errors
/// No such file; a text that is no TOML.
pub fn pieces_as_written(file: &Path) -> Result<Vec<(String, PieceAsWritten)>, Trouble> {
    let text = text(file)?;
    let read = Document::parse(text.as_str()).map_err(|_| no_form())?;
    let pieces = read.get("piece").and_then(Item::as_array_of_tables);
    let each = pieces.into_iter().flatten().filter_map(|table| {
        let id = table.get("id").and_then(Item::as_str)?;
        Some((id.to_owned(), as_written(table, id, &text)))
    });
    Ok(each.collect())
}

fn as_written(found: &toml_edit::Table, id: &str, text: &str) -> PieceAsWritten {
    let mut piece = PieceAsWritten {
        name: words(found, "name"),
        cloth: found.get("cloth").map(cloth).unwrap_or_default(),
        weight: weight(found),
        target: found.get("target").map(colour).unwrap_or_default(),
        undyed: found.get("undyed").map(colour).unwrap_or_default(),
        seen_from: words(found, "seen_from"),
        worth: words(found, "worth"),
        overrule: listed(found, "overrule"),
        mark: mark_of(text),
        ..PieceAsWritten::default()
    };
    if piece.name.is_empty() {
        id.clone_into(&mut piece.name);
    }
    let said = [&piece.cloth, &piece.weight, &piece.target];
    let said: Vec<&str> = said.into_iter().map(String::as_str).filter(|s| !s.is_empty()).collect();
    piece.summary = said.join(", ");
    piece
}

/// A list of words, commas between.
fn listed(found: &toml_edit::Table, key: &str) -> String {
    let all = found.get(key).and_then(Item::as_array).into_iter().flatten();
    all.filter_map(Value::as_str).collect::<Vec<_>>().join(",")
}

/// A costume's own name, note and day as a form shows them.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct HeadAsWritten {
    /// What it is called.
    pub name: String,
    /// What is said of it.
    pub note: String,
    /// The day it must be ready, year-month-day.
    pub day: String,
    /// The shelf it names, as written; empty: the starter shelf.
    pub shelf: String,
    /// Only these of it, as written; empty: all of it.
    pub have: Vec<String>,
    /// The mark of the text it was read from.
    pub mark: String,
}

/// The head of a costume file, as written.
///
/// # Errors
/// No such file; a text that is no TOML.
pub fn head_as_written(file: &Path) -> Result<HeadAsWritten, Trouble> {
    let text = text(file)?;
    let read = Document::parse(text.as_str()).map_err(|_| no_form())?;
    let head = read.get("costume").and_then(Item::as_table_like);
    let field = |key: &str| head.map(|head| words(head, key)).unwrap_or_default();
    let day = head.and_then(|head| head.get("day")).and_then(Item::as_datetime);
    let have = head.and_then(|head| head.get("only")).and_then(Item::as_array).into_iter();
    Ok(HeadAsWritten {
        name: field("name"),
        note: field("note"),
        day: day.map_or_else(|| field("day"), ToString::to_string),
        shelf: field("shelf"),
        have: have.flatten().filter_map(|word| word.as_str().map(str::to_owned)).collect(),
        mark: mark_of(&text),
    })
}

fn no_form() -> Trouble {
    let says = "the costume file has a fault and no form can show it";
    Trouble::refused(says, "mend its text first")
}

/// The text of a costume file.
///
/// # Errors
/// It cannot be read, or is no text.
pub fn costume_text(file: &Path) -> Result<String, Trouble> {
    text(file)
}

fn words(table: &dyn TableLike, key: &str) -> String {
    table.get(key).and_then(Item::as_str).unwrap_or_default().to_owned()
}

fn number(item: &Item) -> Option<f64> {
    #[expect(clippy::cast_precision_loss, reason = "a weight or a coordinate typed by a person")]
    item.as_float().or_else(|| item.as_integer().map(|n| n as f64))
}

fn weight(piece: &toml_edit::Table) -> String {
    let units = [("weight_g", "g"), ("weight_kg", "kg"), ("weight_oz", "oz"), ("weight_lb", "lb")];
    let said = units
        .iter()
        .find_map(|(key, unit)| piece.get(key).and_then(number).map(|n| format!("{n} {unit}")));
    said.unwrap_or_default()
}

/// A blend as a form takes it: "65 cotton, 35 polyester".
fn cloth(item: &Item) -> String {
    if let Some(one) = item.as_str() {
        return one.to_owned();
    }
    let Some(parts) = item.as_table_like() else { return String::new() };
    let said: Vec<String> = parts
        .iter()
        .filter_map(|(fibre, share)| number(share).map(|share| format!("{share} {fibre}")))
        .collect();
    said.join(", ")
}

/// A colour as a form takes it: a hex, "L a b", or a word.
fn colour(item: &Item) -> String {
    if let Some(word) = item.as_str() {
        return word.to_owned();
    }
    let Some(given) = item.as_table_like() else { return String::new() };
    if let Some(hex) = given.get("hex").and_then(Item::as_str) {
        return hex.to_owned();
    }
    let lab = given.get("lab").and_then(Item::as_array);
    let each = |value: &Value| number(&Item::Value(value.clone())).map(|n| n.to_string());
    let said: Option<Vec<String>> = lab.map(|lab| lab.iter().filter_map(each).collect());
    said.filter(|three| three.len() == 3).map(|three| three.join(" ")).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_shown_as_a_form_takes_them_back() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("c.toml");
        std::fs::write(
            &file,
            "[[piece]]\nid = \"a\"\ncloth = { cotton = 65, \"nylon 66\" = 35.5 }\nweight_kg = 0.3\n\
             target = { lab = [68.0, -7.5, 17.0] }\nundyed = \"natural\"\n[[piece]]\nid = \"b\"\ncloth = \"silk\"\n\
             length_m = 2\ntarget = { file = \"x.csv\" }\n",
        )?;
        let see = |id: &str| piece_as_written(&file, id).unwrap_or_else(|e| panic!("{e}"));
        let a = see("a");
        assert_eq!(a.cloth, "65 cotton, 35.5 nylon 66");
        assert_eq!((a.weight.as_str(), a.target.as_str()), ("0.3 kg", "68 -7.5 17"));
        assert_eq!((a.undyed.as_str(), a.name.as_str()), ("natural", "a"));
        let b = see("b");
        assert_eq!((b.weight.as_str(), b.target.as_str()), ("", ""));
        assert!(piece_as_written(&file, "c").is_err());
        Ok(())
    }
}
