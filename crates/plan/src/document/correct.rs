//! What to do with something that was dyed and read, as a document.

use serde::Serialize;

use super::{ColourSeen, SheetAuxiliary, SheetDye, StockToMake};

/// The answer to "it was dyed and read: what now?".
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Correction {
    /// Id of the piece.
    pub piece: String,
    /// Its name.
    pub name: String,
    /// Code of the swatch that was judged.
    pub swatch: String,
    /// True where the piece itself came out so, and not a cutting.
    pub dyed: bool,
    /// What to do.
    pub say: Say,
    /// The same with its reasons, a sentence each.
    pub words: Vec<String>,
    /// The colour wanted.
    pub target: ColourSeen,
    /// The colour as read.
    pub read: ColourSeen,
    /// ΔE00 between the two.
    pub read_difference: f64,
    /// ΔE00 that passes from where the piece is seen.
    pub passes: f64,
    /// How far two dyeings of one recipe lie apart here for no reason, rms ΔE00.
    pub dyeing_scatter: f64,
    /// The chances, when what is known is taken together.
    pub chances: ChancesSeen,
    /// The recipe that was dyed, as believed now.
    pub held: ShotSeen,
    /// The recipe to dye next; absent where it is the same.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next: Option<ShotSeen>,
    /// The next swatch as its card has it, where that is what to do and the piece is dyed by this way.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_swatch: Option<SwatchToDye>,
    /// What adding dye would do.
    pub adding: AddingSeen,
    /// What is left where adding does not help.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub otherwise: Vec<OtherwiseSeen>,
}

/// A swatch to dye, as its card and its sheet in the plan have it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwatchToDye {
    /// The code of its card.
    pub code: String,
    /// Dry cloth, g.
    pub cloth_g: f64,
    /// L/kg.
    pub liquor_ratio: f64,
    /// All of the bath, mL.
    pub liquor_ml: f64,
    /// Water to run in before stocks and solutions are added, mL.
    pub water_ml: f64,
    /// What to measure out of each dye.
    pub dyes: Vec<SheetDye>,
    /// Stock solutions to make first.
    pub stocks: Vec<StockToMake>,
    /// What else goes in.
    pub auxiliaries: Vec<SheetAuxiliary>,
}

/// What to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Say {
    /// Good enough.
    Stop,
    /// Dye the next swatch.
    NextSwatch,
    /// Read it again: what is known does not tell.
    ReadAgain,
    /// Add dye to this bath, while it stands.
    TopUp,
    /// Add dye in a bath of its own.
    FreshBath,
    /// Adding cannot save it.
    CannotBeSaved,
}

/// Chances, %.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ChancesSeen {
    /// That the recipe dyed is within what passes.
    pub within_pct: f64,
    /// That stopping is right: within what passes, or little to gain.
    pub stop_right_pct: f64,
    /// That the next recipe is worse, by more than half a unit.
    pub worse_pct: f64,
    /// What the next recipe gains, ΔE00, as expected.
    pub gain: f64,
}

/// A recipe as foretold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShotSeen {
    /// Its dyes.
    pub dyes: Vec<ShotDye>,
    /// The colour expected.
    pub colour: ColourSeen,
    /// ΔE00 from the target, as expected.
    pub difference: f64,
    /// Nine of ten such recipes lie within this ΔE00 of the colour expected.
    pub recipe_spread90: f64,
}

/// A dye of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShotDye {
    /// Shelf id.
    pub id: String,
    /// Hue words.
    pub name: String,
    /// Depth, % owf.
    pub owf_pct: f64,
    /// Grams for the piece.
    pub grams: f64,
    /// True where it is of another lot than the one on the shelf.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub other_lot: bool,
}

/// What adding dye would do.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AddingSeen {
    /// Whether this bath may be given more dye while it stands.
    pub in_this_bath: bool,
    /// The rules, a sentence each.
    pub rules: Vec<String>,
    /// What to add, on top of what is there; empty where nothing is gained.
    pub add: Vec<ShotDye>,
    /// ΔE00 from the target with it, as expected; absent where nothing is gained.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub difference: Option<f64>,
    /// The chances with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chances: Option<ChancesSeen>,
}

/// A way out where adding does not help.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OtherwiseSeen {
    /// lighten, strip, overdye, or recut.
    pub way: &'static str,
    /// What to do.
    pub words: String,
    /// Cautions.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
}
