//! The finished plan as a document: every number already rounded to what is printed.
//!
//! This is the shape of the JSON (docs/json.md) and all that paper and the rules auditor ever see.
//! Its numbers are print, not quantities: the unit stands in each field's name.

use serde::Serialize;

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
    /// The class chosen and the others.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub class: Option<ClassChosen>,
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
    /// Air-dry weight.
    pub dry_g: f64,
    /// How the weight was found.
    pub weight_from: String,
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
    /// excellent, good or fair.
    pub verdict: String,
    /// Why this one.
    pub why: String,
    /// The others, and why not.
    pub others: Vec<ClassRefused>,
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
    /// The recipe for a screen, as that light's white seen as white.
    pub hex: String,
    /// The target likewise.
    pub target_hex: String,
}

/// One bath.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheet {
    /// swatch or bulk.
    pub kind: &'static str,
    /// "provisional: dye the swatch first", on a bulk sheet without a swatch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub first_line: Option<String>,
    /// Signed: no swatch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub waiver: Option<Waiver>,
    /// A swatch of this cloth at this ratio.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub swatch_recorded: Option<SwatchRecorded>,
    /// Procedure id.
    pub procedure: String,
    /// The programme's title.
    pub title: String,
    /// The goods of this bath.
    pub goods: GoodsSeen,
    /// Weight of goods.
    pub dry_g: f64,
    /// L/kg.
    pub liquor_ratio: f64,
    /// Bath volume.
    pub liquor_ml: f64,
    /// Water to run in before stocks and solutions are added.
    pub water_ml: f64,
    /// The vessel.
    pub vessel: VesselSeen,
    /// Cautions, before anything else.
    pub cautions: Vec<Caution>,
    /// Dyes.
    pub dyes: Vec<SheetDye>,
    /// Stock solutions to make first.
    pub stocks: Vec<StockToMake>,
    /// Auxiliaries.
    pub auxiliaries: Vec<SheetAuxiliary>,
    /// Steps in order.
    pub steps: Vec<SheetStep>,
    /// Whole time of the bath, minutes.
    pub total_min: f64,
    /// No dye may be added after this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_top_up_after: Option<String>,
    /// How to judge it.
    pub judge: Judge,
    /// True when the care promises anything about washing.
    pub fastness_claimed: bool,
    /// What to know of this programme.
    pub notes: Vec<String>,
}

/// Signed: there will be no swatch.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Waiver {
    /// By whom.
    pub signed_by: String,
    /// When.
    pub day: String,
}

/// A swatch that was dyed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwatchRecorded {
    /// When.
    pub day: String,
    /// At which ratio.
    pub liquor_ratio: f64,
}

/// A vessel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VesselSeen {
    /// What it is called, and how full.
    pub words: String,
    /// stainless, enamel, plastic or glass.
    pub material: String,
}

/// A caution.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Caution {
    /// Its id.
    pub id: String,
    /// Its text.
    pub text: String,
}

/// A dye on a sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetDye {
    /// Shelf id.
    pub id: String,
    /// Hue words.
    pub name: String,
    /// Class id.
    pub class: String,
    /// Colour Index Generic Name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ci: Option<String>,
    /// Depth as really dosed, % owf.
    pub owf_pct: f64,
    /// powder or liquid.
    pub form: &'static str,
    /// weigh, stock or volume.
    pub how: &'static str,
    /// Dye dosed.
    pub grams: f64,
    /// Strength of the stock.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stock_pct: Option<f64>,
    /// Stock measured out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stock_ml: Option<f64>,
    /// Price per gram.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price_per_g: Option<f64>,
    /// grams × price.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
    /// How to measure it out, in words.
    pub words: String,
    /// Relative scatter of this dose, 1 σ.
    pub scatter_pct: f64,
}

/// A stock solution to make.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StockToMake {
    /// Of which dye.
    pub dye: String,
    /// Strength.
    pub stock_pct: f64,
    /// Dye to weigh.
    pub grams: f64,
    /// Made up to.
    pub make_ml: f64,
    /// Used here.
    pub used_ml: f64,
    /// How, and until when it keeps.
    pub words: String,
}

/// An auxiliary on a sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetAuxiliary {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Mass.
    pub grams: f64,
    /// Per litre, where it is reckoned so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub g_per_l: Option<f64>,
    /// On weight of fibre, where it is reckoned so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub owf_pct: Option<f64>,
    /// In household measures, where that is allowed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub household: Option<String>,
    /// What the household measure takes for granted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub declared: Option<String>,
    /// Price per gram.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price_per_g: Option<f64>,
    /// grams × price.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
}

/// A step.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetStep {
    /// 1, 2, 3 …
    pub n: usize,
    /// Minutes from the start.
    pub at_min: f64,
    /// As a clock counted from the start: "1:05".
    pub clock: String,
    /// What kind of step.
    #[serde(rename = "do")]
    pub kind: String,
    /// What to do.
    pub text: String,
    /// Bath temperature before.
    pub from_c: f64,
    /// Bath temperature after.
    pub to_c: f64,
    /// Heating or cooling rate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rate_c_per_min: Option<f64>,
    /// How long.
    pub minutes: f64,
    /// pH aimed at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ph: Option<f64>,
    /// What goes in.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub adds: Vec<Addition>,
    /// none, gentle or stir.
    pub agitation: String,
    /// Minutes it may take longer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stretch_min: Option<f64>,
    /// What ends it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub until: Option<String>,
    /// What shows that it goes right.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub look_for: Option<String>,
}

/// Something added in a step.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Addition {
    /// dye, or an auxiliary's id.
    pub id: String,
    /// Its group.
    pub group: String,
    /// How much.
    pub grams: f64,
    /// Share of the whole dose.
    pub portion: f64,
    /// Always dissolved or diluted first.
    pub dissolved: bool,
}

/// How to judge a dyeing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judge {
    /// In words.
    pub text: String,
    /// Under these lights.
    pub lights: Vec<String>,
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
    pub check: String,
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
