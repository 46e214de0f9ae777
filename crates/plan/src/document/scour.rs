//! The scours before dyeing, as printed: a few lines each.

use serde::Serialize;

use super::{SheetAuxiliary, SheetStep, VesselSeen};

/// One scour bath, for one piece or several.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScourSeen {
    /// 1, 2, 3 …: the number the bath sheets and the day plan call it by.
    pub n: usize,
    /// Ids of the pieces in it.
    pub pieces: Vec<String>,
    /// Their names, in the same order.
    pub names: Vec<String>,
    /// loomstate, new or worn.
    pub need: String,
    /// Why these goods are scoured.
    pub why: String,
    /// Programme id.
    pub programme: String,
    /// The programme's title.
    pub title: String,
    /// Weight of everything in it.
    pub dry_g: f64,
    /// L/kg.
    pub liquor_ratio: f64,
    /// Bath volume.
    pub liquor_ml: f64,
    /// Its hottest.
    pub top_c: f64,
    /// The vessel.
    pub vessel: VesselSeen,
    /// Detergent, soda, softener.
    pub auxiliaries: Vec<SheetAuxiliary>,
    /// Steps in order.
    pub steps: Vec<SheetStep>,
    /// Whole time, minutes.
    pub total_min: f64,
    /// When it is done.
    pub accept: String,
    /// What to know.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
}
