//! What is read and never dyed: a wig, shoes, painted foam, bought cloth.

use crate::Given;

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
