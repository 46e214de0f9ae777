//! Which swatches to dye for a whole costume, in which order, as a document.

use serde::Serialize;

use super::{ShotSeen, WorkbookSeen};

/// The fewest swatches for a costume.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwatchPlan {
    /// What a swatch is taken to be read to, rms ΔE00.
    pub read: f64,
    /// How every piece stands that has a swatch of its own to dye.
    pub pieces: Vec<SwatchStand>,
    /// Swatches that are dyed and wait to be read.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub to_read: Vec<ToRead>,
    /// The swatches to come, the most telling first.
    pub turns: Vec<SwatchTurn>,
    /// Ladders that would tell more of a dye than one more mix.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ladders: Vec<LadderSeen>,
    /// When to stop, and how to go on.
    pub words: Vec<String>,
    /// Pieces that are not in it, each with why.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<LeftOut>,
    /// What the workbook taught; absent where none was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub workbook: Option<WorkbookSeen>,
}

/// How a piece stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwatchStand {
    /// Id of the piece.
    pub piece: String,
    /// Its name.
    pub name: String,
    /// Its own swatches that taught.
    pub own: usize,
    /// Whether dyeing it now is right.
    pub settled: bool,
    /// The recipe to dye it by, as things are.
    pub dye_by: ShotSeen,
    /// The code of the card in the plan that would make its bulk sheet final; absent where that is final, signed, or
    /// waits for a swatch to be read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub card: Option<String>,
    /// The same in words.
    pub words: String,
}

/// Swatches of a piece that are dyed and wait to be read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ToRead {
    /// Id of the piece.
    pub piece: String,
    /// Its name.
    pub name: String,
    /// Their codes.
    pub codes: Vec<String>,
    /// What to do, in words.
    pub words: String,
}

/// One swatch to dye.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwatchTurn {
    /// 1, 2, 3 …
    pub n: usize,
    /// Id of the piece it is of.
    pub piece: String,
    /// Its name.
    pub name: String,
    /// The code of its card in the plan; absent for further swatches of the piece, which hang on what this one reads.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub code: Option<String>,
    /// What it is dyed by.
    pub bath: ShotSeen,
    /// Ids of the pieces it would likely settle.
    pub settles: Vec<String>,
    /// By piece not settled before it: what is in doubt of its recipe before and after.
    pub doubts: Vec<DoubtSeen>,
    /// What it is for, in words.
    pub words: String,
}

/// What is in doubt of a piece's recipe.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DoubtSeen {
    /// Id of the piece.
    pub piece: String,
    /// Before the swatch, rms ΔE00.
    pub before: f64,
    /// After it.
    pub after: f64,
}

/// A ladder of one dye.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LadderSeen {
    /// Shelf id of the dye.
    pub dye: String,
    /// Hue words.
    pub name: String,
    /// What is in doubt of it over all depths and cloths it may be wanted at, rms ΔE00.
    pub before: f64,
    /// The rungs, the most telling first.
    pub rungs: Vec<RungSeen>,
    /// The same in words.
    pub words: String,
}

/// One rung.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RungSeen {
    /// The fibre.
    pub fibre: String,
    /// Depth, % owf.
    pub owf_pct: f64,
    /// What is left in doubt of the dye after this and those before it, rms ΔE00.
    pub after: f64,
}

/// A piece without a place in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LeftOut {
    /// Id of the piece.
    pub piece: String,
    /// Its name.
    pub name: String,
    /// Why.
    pub why: String,
}
