//! One piece of a finished plan: colour, class, recipes, expectation, care.

use serde::Serialize;

use super::{
    BlackSeen, BlendWaySeen, BrightenedSeen, FriendsSeen, OverSeen, RecordedSeen, RestsOn, Sheet,
    SpareSeen, SurfaceSeen,
};

/// One piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PiecePlan {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The goods.
    pub goods: GoodsSeen,
    /// The colour wanted.
    pub target: ColourSeen,
    /// The undyed cloth; absent for unknown fibre that was not read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cloth: Option<ColourSeen>,
    /// What the plan comes to.
    pub outcome: Outcome,
    /// Why, in one sentence.
    pub why: String,
    /// For unknown fibre: the tests to make, the most telling first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub tests: Vec<TestToMake>,
    /// The class chosen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub class: Option<ClassChosen>,
    /// The ways not chosen, and why not.
    pub others: Vec<ClassRefused>,
    /// Whether the target can be reached.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reach: Option<ReachSeen>,
    /// At most five recipes, the chosen one first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub recipes: Vec<RecipeSeen>,
    /// How the search went.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub search: Option<SearchSeen>,
    /// What the chosen recipe should give.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expected: Option<Expected>,
    /// The swatch bath, then the bulk bath.
    pub sheets: Vec<Sheet>,
    /// How to look after the finished piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub care: Option<Care>,
    /// What can go wrong.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub wrong: Vec<Failure>,
    /// Quality advice; the maker may overrule it.
    pub advice: Vec<AdviceSeen>,
    /// What only some pieces have.
    #[serde(flatten)]
    pub special: Special,
}

/// What only some pieces have.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Special {
    /// must, should or could: what is dropped first when time runs out.
    pub worth: &'static str,
    /// The scour it goes through first.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scour: Option<usize>,
    /// True when the maker says that it needs no scour.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub scoured: bool,
    /// Id of the piece in whose bath it lies.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shares_with: Option<String>,
    /// Name of the set it must match.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub set: Option<String>,
    /// A sheer over its backing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over: Option<OverSeen>,
    /// How black a black is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub black: Option<BlackSeen>,
    /// Cloth with an optical brightener.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub brightened: Option<BrightenedSeen>,
    /// The ways with a blend.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub blend_ways: Vec<BlendWaySeen>,
    /// Friends who dye the same.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub friends: Option<FriendsSeen>,
    /// What is kept for the repair.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spare: Option<SpareSeen>,
    /// What its recipe rests on; absent where no workbook was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rests_on: Option<RestsOn>,
    /// What of it is on record as dyed, and still to be read or judged.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub recorded: Option<RecordedSeen>,
    /// A surface that no flat chip can show: pile, satin, sheer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surface: Option<SurfaceSeen>,
    /// What to know of goods of this form, before anything gets wet.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub goods_notes: Vec<String>,
}

impl Default for Special {
    /// An ordinary piece that should be done.
    fn default() -> Self {
        Self {
            worth: "should",
            scour: None,
            scoured: false,
            shares_with: None,
            set: None,
            over: None,
            black: None,
            brightened: None,
            blend_ways: vec![],
            friends: None,
            spare: None,
            rests_on: None,
            recorded: None,
            surface: None,
            goods_notes: vec![],
        }
    }
}

/// What a piece's plan comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// There is a bath.
    Bath,
    /// There is none yet: tests first, or another way.
    NoBath,
    /// Nothing to do: the cloth already is the colour.
    Leave,
    /// It lies in the bath of another piece, whose sheets are its own.
    SharesBath,
}

/// Goods.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GoodsSeen {
    /// The material's id, when the cloth is of one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub material: Option<String>,
    /// The maker's words.
    pub words: String,
    /// False when the fibre is unknown.
    pub known: bool,
    /// Known fibres and their shares.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fibres: Vec<FibreShare>,
    /// Fibres that count while the cloth is unknown.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub possible: Vec<FibreOdds>,
    /// Ids of parts that go into the bath.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<String>,
    /// roll, cut panels, sewn or worn.
    pub form: &'static str,
    /// What of the weight is parts, where it was weighed apart.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub parts_weigh: Vec<PartWeight>,
    /// The lining in the maker's words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lining: Option<String>,
    /// The lining's fibres: their limits hold in the bath too.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lining_fibres: Vec<FibreShare>,
    /// Air-dry weight.
    pub dry_g: f64,
    /// How the weight was found.
    pub weight_from: String,
}

/// What one part weighs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PartWeight {
    /// Id of the part.
    pub part: String,
    /// Its weight.
    pub grams: f64,
}

/// One fibre and its share.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FibreShare {
    /// Material id.
    pub fibre: String,
    /// 0 to 1.
    pub share: f64,
}

/// One fibre and its odds.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FibreOdds {
    /// Id in the key of fibres.
    pub fibre: String,
    /// 0 to 1.
    pub odds: f64,
}

/// A colour as shown.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ColourSeen {
    /// In words: "deep green, L* 32".
    pub words: String,
    /// CIELAB, D65/10°.
    pub lab: [f64; 3],
    /// For a screen, sRGB.
    pub hex: String,
    /// How it was given.
    pub from: String,
    /// True when the spectrum behind it is assumed.
    pub assumed: bool,
    /// False when a screen cannot show it.
    pub screen_shows: bool,
}

/// A test to make on a snip.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TestToMake {
    /// The test.
    pub test: String,
    /// How.
    #[serde(rename = "do")]
    pub how: String,
    /// What can hurt.
    pub hazard: String,
    /// What it would settle.
    pub settles: String,
    /// How long it takes at the longest, min.
    pub minutes: f64,
    /// Id of the agent that goes down the sink after it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leaves: Option<String>,
}

/// The class chosen.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ClassChosen {
    /// Procedure id.
    pub procedure: String,
    /// Its words.
    pub name: String,
    /// Dye class id.
    pub dye_class: String,
    /// The dye class in words.
    pub dye_class_name: String,
    /// excellent, good or fair.
    pub verdict: String,
    /// Why this one.
    pub why: String,
}

/// A class not chosen.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ClassRefused {
    /// Procedure id.
    pub procedure: String,
    /// Its words.
    pub name: String,
    /// What it does to these goods.
    pub verdict: String,
    /// Why not.
    pub why_not: String,
}

/// The reach verdict.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReachSeen {
    /// Whether the target can be met in daylight.
    pub within: bool,
    /// ΔE00 to the nearest reachable colour.
    pub gap: f64,
    /// The nearest reachable colour.
    pub nearest: ColourSeen,
    /// Whether both are of the cloth without the glow of its brightener.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub without_glow: bool,
    /// What limits it.
    pub limits: Vec<String>,
    /// What would help, and its risk.
    pub would_help: Vec<String>,
}

/// One recipe.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecipeSeen {
    /// True for the one the sheets are made of.
    pub chosen: bool,
    /// True where it was chosen for the set the piece must match, and not for the piece alone.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub for_set: bool,
    /// Its dyes.
    pub dyes: Vec<RecipeDye>,
    /// Sum of the parts, ΔE00; lower is better.
    pub score: f64,
    /// What adds to the score.
    pub parts: Vec<ScorePart>,
    /// ΔE00 in daylight.
    pub difference: f64,
    /// The light it holds worst in, and ΔE00 there.
    pub worst_light: WorstLight,
    /// 90 % of dyed pieces within this ΔE00 of the expected colour.
    pub spread90: f64,
    /// Cost of the dyes, when every price is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
    /// Expected colour for a screen.
    pub hex: String,
}

/// A dye of a recipe.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecipeDye {
    /// Shelf id.
    pub id: String,
    /// Hue words.
    pub name: String,
    /// Depth, % owf.
    pub owf_pct: f64,
    /// How the dye is known.
    pub known: String,
}

/// A term of a score.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScorePart {
    /// What.
    pub what: String,
    /// Adds so much, ΔE00.
    pub adds: f64,
}

/// The light a recipe holds worst in.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WorstLight {
    /// The light.
    pub light: String,
    /// ΔE00 there.
    pub difference: f64,
}

/// How a search went.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SearchSeen {
    /// Sets of dyes answered.
    pub subsets: usize,
    /// Why it stopped.
    pub why_stopped: String,
}

/// What a recipe should give.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Expected {
    /// The colour, D65/10°.
    pub colour: ColourSeen,
    /// Under each light, beside the target.
    pub lights: Vec<LightSeen>,
    /// Place by place: the worst of its lights.
    pub places: Vec<PlaceSeen>,
    /// 90 % region of the recipe's own colour, ΔE00.
    pub recipe_spread90: f64,
    /// 90 % region of the dyed piece, ΔE00.
    pub piece_spread90: f64,
    /// The colours at the edge of what the piece might look like.
    pub edges: Vec<ColourSeen>,
    /// The verdict in words.
    pub verdict: String,
    /// From how near.
    pub viewing: String,
    /// How far metamerism goes, in words, for each light away from daylight.
    pub metamerism: Vec<String>,
    /// Reflectance of the expected cloth, 400–700 nm by 10 nm.
    pub spectrum: Vec<f64>,
}

/// Recipe and target in one place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlaceSeen {
    /// The place: "hall lamps".
    pub place: String,
    /// Its lights, of which the worst counts.
    pub lights: Vec<String>,
    /// The worst of them.
    pub worst: String,
    /// ΔE00 there.
    pub difference: f64,
}

/// Recipe and target under one light.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LightSeen {
    /// The light's name.
    pub light: String,
    /// What it is in words.
    pub words: String,
    /// The recipe's colour.
    pub lab: [f64; 3],
    /// The target's.
    pub target_lab: [f64; 3],
    /// ΔE00.
    pub difference: f64,
    /// How far the glow of an optical brightener moves the recipe's colour in this light, ΔE00; it is in the
    /// colour. Absent where nothing glows.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub glow: Option<f64>,
    /// The recipe for a screen, as that light's white seen as white.
    pub hex: String,
    /// The target likewise.
    pub target_hex: String,
}

/// Care of the finished piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Care {
    /// Words of the label.
    pub label: Vec<String>,
    /// Fastness to expect.
    pub fastness: Vec<FastnessSeen>,
}

/// Fastness in one test.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FastnessSeen {
    /// The test.
    pub test: String,
    /// Its grade.
    pub grade: String,
}

/// Something that can go wrong.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Failure {
    /// What is seen.
    pub sight: String,
    /// Likely why.
    pub cause: String,
    /// How to check.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub check: Option<String>,
    /// What then.
    pub remedy: String,
}

/// Quality advice.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AdviceSeen {
    /// Its id, for `overrule`.
    pub id: String,
    /// The advice.
    pub text: String,
    /// True when the maker overruled it.
    pub overruled: bool,
}
