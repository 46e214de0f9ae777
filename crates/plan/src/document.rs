//! The finished plan as a document: every number already rounded to what is printed.
//!
//! This is the shape of the JSON (docs/json.md) and all that paper and the rules auditor ever see.
//! Its numbers are print, not quantities: the unit stands in each field's name.

use serde::Serialize;

mod piece;
mod sheet;

pub use piece::*;
pub use sheet::*;

/// A whole plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plan {
    /// Always "plan".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// Whose plan it is.
    pub costume: CostumeHead,
    /// Who is near the pots.
    pub people: PeopleNear,
    /// What the maker must look at first.
    pub attention: Vec<String>,
    /// What to do next.
    pub next: Vec<String>,
    /// The pieces, in the order of the file.
    pub pieces: Vec<PiecePlan>,
    /// What it takes, and what it costs.
    pub shopping: Shopping,
}

/// Head of the plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CostumeHead {
    /// The costume's name.
    pub name: String,
    /// What the maker wants said of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The day it must be ready.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub day: Option<String>,
    /// The day the plan was made.
    pub today: String,
    /// Currency of all prices.
    pub currency: String,
    /// True when the starter shelf was used: every dye is an estimate.
    pub starter_shelf: bool,
}

/// Who is near the pots.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct PeopleNear {
    /// Asthma or a dye allergy.
    pub asthma: bool,
    /// Pregnancy or breast-feeding.
    pub pregnancy: bool,
    /// Children.
    pub children: bool,
    /// Pets.
    pub pets: bool,
}

/// The shopping list.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Shopping {
    /// What it takes.
    pub rows: Vec<ShoppingRow>,
    /// Sum of the costs that are known.
    pub total: f64,
    /// What the total leaves out, in words.
    pub left_out: Vec<String>,
}

/// One thing it takes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShoppingRow {
    /// Shelf or auxiliary id.
    pub item: String,
    /// Its name.
    pub name: String,
    /// dye, auxiliary or gear.
    pub kind: &'static str,
    /// How much it takes.
    pub grams: f64,
    /// How much is on the shelf.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub on_shelf_g: Option<f64>,
    /// How much is short.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub short_g: Option<f64>,
    /// Price per gram.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price_per_g: Option<f64>,
    /// grams × price.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
}
