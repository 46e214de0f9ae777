//! What must match: pieces, and fixed things, that are judged against each other.

use colour::{Place, Viewing};

/// A set whose members must match each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Match {
    /// What the maker calls it.
    pub name: String,
    /// Ids of pieces and fixed things, in the order of the file.
    pub members: Vec<String>,
    /// Where they must match; none: wherever any of its pieces is seen.
    pub places: Option<Vec<Place>>,
    /// From how near they are compared; none: as each of its pieces is judged.
    pub viewing: Option<Viewing>,
}
