//! A lining sewn into a piece: cloth of its own in the same bath.

use lore::Makeup;
use units::Mass;

/// A lining that cannot be taken out; its weight is part of the piece's.
#[derive(Debug, Clone, PartialEq)]
pub struct Lining {
    /// What the maker calls its cloth.
    pub words: String,
    /// Its fibres, or what is known of an unknown fibre.
    pub makeup: Makeup,
    /// Its air-dry weight, within the weight of the piece.
    pub dry: Mass,
}
