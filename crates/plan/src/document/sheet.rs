//! One bath of a finished plan, as printed.

use serde::Serialize;

use super::GoodsSeen;

/// One bath.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheet {
    /// swatch or bulk.
    pub kind: &'static str,
    /// On a swatch sheet: the code of its card, by which the swatch is recorded and found again.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub code: Option<String>,
    /// "provisional: dye the swatch first", on a bulk sheet without a swatch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub first_line: Option<String>,
    /// Signed: no swatch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub waiver: Option<Waiver>,
    /// A swatch of this cloth at this ratio.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub swatch_recorded: Option<SwatchRecorded>,
    /// What is scoured before this bath, in a sentence or two.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scour: Option<String>,
    /// Procedure id.
    pub procedure: String,
    /// The programme's title.
    pub title: String,
    /// The goods of this bath.
    pub goods: GoodsSeen,
    /// Weight of goods: all that gets wet.
    pub dry_g: f64,
    /// What of it takes the dye: doses are reckoned on this.
    pub takes_g: f64,
    /// Both, line by line, where more than cloth was weighed; the lines add up to them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub weights: Vec<WeightLine>,
    /// Ids of the pieces that share this bath; the piece itself when it has the bath alone.
    pub pieces: Vec<String>,
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
    /// What of its dyes comes from the stock that the swatch left.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub from_swatch: Vec<StockLeft>,
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
    /// The code of the swatch in the workbook whose recipe this is; absent where the costume file says that there is
    /// one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub code: Option<String>,
    /// True for another cloth like the piece's own, whose word is weaker.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub look_alike: bool,
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
    /// What it is called, in two or three words.
    pub name: String,
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
    /// The class in words.
    pub class_name: String,
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
    /// What its pack brings besides dye; it is not dosed twice.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub brings: Vec<Brings>,
}

/// One thing that was weighed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeightLine {
    /// What it is, in words.
    pub what: String,
    /// Its weight.
    pub grams: f64,
    /// What of it takes the dye.
    pub takes_g: f64,
}

/// What a pack brings besides dye.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Brings {
    /// The agent's id.
    pub agent: String,
    /// How much of it comes with this dose, where the pack says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grams: Option<f64>,
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
    /// Days it keeps, cool and dark; 0: it is made anew every time.
    pub keeps_days: u32,
    /// The caution of its dye in one sentence, for the bottle.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
    /// How, and until when it keeps.
    pub words: String,
}

/// What a bulk bath takes of the stock made for its swatch.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StockLeft {
    /// Of which dye.
    pub dye: String,
    /// Strength.
    pub stock_pct: f64,
    /// What the swatch leaves.
    pub left_ml: f64,
    /// What this bath takes of it.
    pub used_ml: f64,
    /// How many days it keeps.
    pub keeps_days: u32,
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
    /// How to measure it out, in words.
    pub words: String,
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
    /// What it is done in, where not the vessel of the sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vessel: Option<VesselSeen>,
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
    /// The amount as it is measured.
    pub words: String,
}

/// How to judge a dyeing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judge {
    /// In words.
    pub text: String,
    /// Under these lights.
    pub lights: Vec<String>,
}
