//! The picture that a costume's colours were read off, chosen by the maker among several, and why.

use crate::reader::Table;

/// The picture whose colours hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reference {
    /// It, as it was named when its colours were read.
    pub picture: String,
    /// Why it and no other.
    pub because: Option<String>,
    /// The others, as the maker ranked them.
    pub over: Vec<String>,
}

/// Reads `[reference]`.
pub(crate) fn reference(table: &Table) -> Option<Reference> {
    let picture = table.need_text("picture", "name the picture the colours were read off");
    let because = table.text("because").map(|t| t.it);
    let over = table.texts("over").into_iter().map(|t| t.it).collect();
    table.finish();
    Some(Reference { picture: picture?.it, because, over })
}
