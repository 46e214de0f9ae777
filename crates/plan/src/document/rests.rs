//! What a plan rests on beside the files: the swatches of a workbook.

use serde::Serialize;

use super::Say;

/// What the workbook taught.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WorkbookSeen {
    /// Swatches that taught.
    pub taught: usize,
    /// Swatches that taught nothing, reason by reason.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub passed_over: Vec<PassedOverSeen>,
    /// Readings that cannot well be believed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub asked: Vec<AskedAbout>,
}

/// Swatches that taught nothing, for one reason.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PassedOverSeen {
    /// The reason, in words.
    pub why: String,
    /// Their codes.
    pub swatches: Vec<String>,
}

/// A reading to ask the maker about.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AskedAbout {
    /// The swatch, or all of one job that are beyond belief only together.
    pub swatches: Vec<String>,
    /// ΔE00 from what was foretold, of the furthest of them.
    pub off: f64,
    /// True where it teaches nothing until a second reading of it agrees.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub held_out: bool,
    /// The question, in words.
    pub words: String,
}

/// What a piece's recipe rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RestsOn {
    /// Swatches of the piece itself that taught.
    pub own: usize,
    /// Further swatches of its dyes on its fibre.
    pub of_its_dyes: usize,
    /// Swatches of its dyes on other fibres, which teach a little.
    pub on_other_fibres: usize,
    /// Which of its own swatches its recipe goes by; absent where none was dyed this way.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub goes_by: Option<GoesBySeen>,
    /// The same in words.
    pub words: String,
}

/// The swatch a piece goes by.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct GoesBySeen {
    /// Its code.
    pub swatch: String,
    /// What `correct` says of it.
    pub say: Say,
}

/// What of a piece is on record as dyed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RecordedSeen {
    /// Codes of its swatches that wait to be read.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unread: Vec<String>,
    /// Whether the piece itself was dyed whole.
    pub whole: bool,
    /// Whether a finished reading of the piece dyed whole is recorded.
    pub read: bool,
    /// The day of that; absent where nobody noted it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub day: Option<String>,
    /// The same in words, with what comes next.
    pub words: String,
}
