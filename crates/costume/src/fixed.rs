//! What is read and never dyed: a wig, shoes, painted foam, bought cloth.

use crate::reader::Table;
use crate::target::given;
use crate::{Files, Given};

/// A part of the costume whose colour stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Fixed {
    /// Short name used in files.
    pub id: String,
    /// What the maker calls it.
    pub name: String,
    /// Its colour.
    pub colour: Given,
    /// What the maker wants said of it.
    pub note: Option<String>,
}

/// Reads one `[[fixed]]`.
pub(crate) fn fixed(table: &Table, files: &dyn Files) -> Option<Fixed> {
    let id = table.need_text("id", "a short name, such as \"wig\"");
    let name = table.text("name");
    let colour = match table.part("colour") {
        Some(colour) => given(&colour, files),
        None => {
            let hint =
                "write colour = { lab = [L, a, b] }, { hex = \"#rrggbb\" } or { file = \"…\" }";
            if table.any("colour").is_none() {
                table.fault(table.span.clone(), "`colour` is missing", hint);
            }
            None
        }
    };
    let note = table.text("note").map(|t| t.it);
    table.finish();
    let id = id?.it;
    Some(Fixed { name: name.map_or_else(|| id.clone(), |n| n.it), id, colour: colour?, note })
}
