//! The finished plan as a document: every number already rounded to what is printed.
//!
//! This is the shape of the JSON (docs/json.md) and all that paper and the rules auditor ever see.
//! Its numbers are print, not quantities: the unit stands in each field's name.

use serde::Serialize;

mod correct;
mod days;
mod money;
mod piece;
mod rests;
mod scour;
mod set;
mod sheet;
mod special;
mod swatches;

pub use correct::*;
pub use days::*;
pub use money::*;
pub use piece::*;
pub use rests::*;
pub use scour::*;
pub use set::*;
pub use sheet::*;
pub use special::*;
pub use swatches::*;

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
    /// What the workbook taught; absent where none was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub workbook: Option<WorkbookSeen>,
    /// What the maker must look at first.
    pub attention: Vec<String>,
    /// What to do next.
    pub next: Vec<String>,
    /// The pieces, in the order of the file.
    pub pieces: Vec<PiecePlan>,
    /// Pieces that are read and never dyed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fixed: Vec<FixedSeen>,
    /// Pieces that must match.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sets: Vec<SetSeen>,
    /// What is scoured before it is dyed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub scours: Vec<ScourSeen>,
    /// The colours brought to cloth together, when some are out of reach.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub together: Option<TogetherSeen>,
    /// Which day, which hour, which pot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub days: Option<DayPlan>,
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
    /// The picture its colours were read off, where that was said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reference: Option<ReferenceSeen>,
}

/// The picture the colours were read off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ReferenceSeen {
    /// It, as it was named when its colours were read.
    pub picture: String,
    /// Why it and no other.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub because: Option<String>,
    /// The others, as the maker ranked them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub over: Vec<String>,
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
