//! The choice between weighing and measuring a stock, without words: cheap enough to be asked for
//! every candidate recipe.
//!
//! The rule. Weigh when one digit of the scale is at most 2 % of the amount (common practice).
//! Otherwise take the surest of: the best stock solution this kit can make and measure; the
//! powder weighed all the same, down to ten digits; whole packs made up in half a litre; a bought
//! liquid neat, diluted, or by the whole bottle. Volumes are taken by syringe or jug, by level spoons
//! or in drops, whichever the kit has that is surest.
//! Every option's scatter grows with the scale's step, so the least of them does; and nobody is
//! sent to make a stock that is less sure than weighing the powder.

use units::{Mass, StockStrength, Volume};

use crate::kit::together;
use crate::stock::{PACK_CONTENTS, diluted, from_packs, pack_batch, strengths, weighed_for_dose};
use crate::{Kit, Measure, Scale, Shown, StockBatch};

/// What a dye comes as.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Form {
    /// Powder.
    Powder,
    /// A bought liquid of this strength (grams of dye per 100 mL).
    Liquid(StockStrength),
}

/// What the dye's class allows of its stock solutions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StockRules {
    /// The strongest stock that stays dissolved.
    pub strongest: StockStrength,
    /// How many days a stock keeps; 0 is "make it and use it the same day".
    pub keeps_days: u32,
    /// What one pack on the shelf holds, where known: it lets a maker without a scale dose from a
    /// whole pack made up in half a litre. For a bottle of liquid the dye in it, at the strength of its
    /// [`Form`].
    pub pack: Option<Mass>,
    /// The powder is a mixture as sold, dye with salt or several dyes: a spoonful or a weighed part of it is not like
    /// the whole. The whole pack is dissolved and a part taken by volume.
    pub whole_pack: bool,
}

/// Scatter of the dose that [`crate::dose`] would choose: one standard deviation as a share of what is
/// wanted, about what is really dosed; infinite where it cannot be dosed, 0 where nothing is
/// wanted. Pure, and makes no words.
#[must_use]
pub fn relative_scatter(want: Mass, form: Form, kit: &Kit, rules: &StockRules) -> f64 {
    match Choice::of(want, form, kit, rules) {
        Choice::Nothing => 0.0,
        Choice::Weigh { scatter, .. } => scatter,
        Choice::Draw(draw) => draw.scatter,
        Choice::Cannot => f64::INFINITY,
    }
}

impl StockRules {
    /// Rules without a pack.
    #[must_use]
    pub const fn new(strongest: StockStrength, keeps_days: u32) -> Self {
        Self { strongest, keeps_days, pack: None, whole_pack: false }
    }

    /// The same rules, with what one pack holds.
    #[must_use]
    pub const fn with_pack(self, contents: Mass) -> Self {
        Self { pack: Some(contents), ..self }
    }

    /// The same rules for a pack that is never weighed out in part.
    #[must_use]
    pub const fn dissolved_whole(self) -> Self {
        Self { whole_pack: true, ..self }
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Choice {
    Nothing,
    Weigh { scale: Scale, scatter: f64 },
    Draw(Draw),
    Cannot,
}

/// A volume taken from a stock or a bought liquid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Draw {
    pub(crate) strength_pct: Shown,
    pub(crate) volume_ml: Shown,
    pub(crate) fills: u32,
    /// None when whole batches or bottles are poured and nothing is measured.
    pub(crate) measure: Option<Measure>,
    /// None for a bought liquid used as it is.
    pub(crate) batch: Option<StockBatch>,
    /// How many whole bottles of a bought liquid; 0 where it is measured.
    pub(crate) bottles: u32,
    pub(crate) scatter: f64,
}

/// Weighed directly at or below this scatter.
const WEIGH_WITHIN: f64 = 0.02;
/// Weighed for want of anything better down to ten digits (our limit).
const WEIGH_AT_WORST: f64 = 0.1;
/// What one more fill must gain in scatter to be worth it (our judgement).
const FILL_COSTS: f64 = 0.002;
/// Whole packs stand in for a dose this near to them.
const WHOLE_PACK_WITHIN: f64 = 0.05;
/// The least of a stock that is measured where there is a choice, mL: below it the drop that hangs on the tip counts
/// (judgement).
pub(crate) const LEAST_ML: f64 = 1.0;
/// What it adds to the scatter there, as a share (judgement: part of a drop, of which twenty make a millilitre).
const HANGING: f64 = 0.05;
/// Nobody opens more packs than this for one dose (our limit).
const MOST_PACKS: f64 = 10.0;

impl Choice {
    pub(crate) fn of(want: Mass, form: Form, kit: &Kit, rules: &StockRules) -> Self {
        if want.to_grams() <= 0.0 {
            return Self::Nothing;
        }
        if rules.whole_pack
            && form == Form::Powder
            && let Some(draw) = packs(want, kit, rules)
        {
            return Self::Draw(draw);
        }
        let weighed = match (form, kit.scale()) {
            (Form::Powder, Some(scale)) => {
                let scatter = scale.relative_scatter(want);
                (scatter <= WEIGH_AT_WORST + 1e-12).then_some((scale, scatter))
            }
            _ => None,
        };
        if let Some((scale, scatter)) = weighed.filter(|w| w.1 <= WEIGH_WITHIN + 1e-12) {
            return Self::Weigh { scale, scatter };
        }
        let drawn = match form.liquid_pct() {
            Some(liquid) => surest(
                surest(neat(want, liquid, kit), dilution(want, liquid, kit)),
                bottles(want, liquid, rules),
            ),
            None => surest(stock(want, kit, rules), packs(want, kit, rules)),
        };
        match (weighed, drawn) {
            (Some((scale, scatter)), Some(draw)) if scatter <= draw.scatter => {
                Self::Weigh { scale, scatter }
            }
            (_, Some(draw)) => Self::Draw(draw),
            (Some((scale, scatter)), None) => Self::Weigh { scale, scatter },
            (None, None) => Self::Cannot,
        }
    }
}

/// The best stock the scale can make up and the measures can dose. Only strengths that need no
/// more fills than the strongest are compared; that list does not depend on the scale.
///
/// Less than a millilitre is measured only where that is surer: the drop that hangs on the tip counts there. What is
/// compared never depends on the scale, so that a finer one is never less sure.
fn stock(want: Mass, kit: &Kit, rules: &StockRules) -> Option<Draw> {
    let scale = kit.scale()?;
    let mut fewest = None;
    strengths(rules.strongest).fold(None, |best, percent| {
        let Some(draw) = measured(want, percent, kit) else { return best };
        let enough = draw.volume_ml.value() >= LEAST_ML - 1e-9;
        if enough && draw.fills > *fewest.get_or_insert(draw.fills) {
            return best;
        }
        surest(best, draw.from(weighed_for_dose(percent, draw.volume_ml.value(), scale)))
    })
}

fn packs(want: Mass, kit: &Kit, rules: &StockRules) -> Option<Draw> {
    let pack = rules.pack?;
    let mut best = whole_packs(want, pack, rules);
    let mut fewest = None;
    for (percent, each_ml) in from_packs(pack, rules.strongest) {
        let Some(draw) = measured(want, percent, kit) else { continue };
        if draw.fills > *fewest.get_or_insert(draw.fills) {
            continue;
        }
        let packs = whole(draw.volume_ml.value() / f64::from(each_ml) - 1e-9);
        best = surest(best, draw.from(Some(pack_batch(percent, each_ml, packs))));
    }
    best
}

fn whole_packs(want: Mass, pack: Mass, rules: &StockRules) -> Option<Draw> {
    let (percent, each_ml) = from_packs(pack, rules.strongest).next()?;
    let batch = pack_batch(percent, each_ml, packs_near(want, pack)?);
    Some(Draw {
        strength_pct: percent,
        volume_ml: batch.volume_ml,
        fills: 1,
        measure: None,
        batch: Some(batch),
        bottles: 0,
        scatter: PACK_CONTENTS,
    })
}

/// Whole bottles of a bought liquid, poured out to the last drop.
fn bottles(want: Mass, liquid: Shown, rules: &StockRules) -> Option<Draw> {
    let pack = rules.pack?;
    let bottles = packs_near(want, pack)?;
    let each_ml = pack.to_grams() * 100.0 / liquid.value();
    let volume_ml = Shown::try_round(each_ml * f64::from(bottles), 3).ok()?.trimmed();
    (volume_ml.value() > 0.0).then_some(Draw {
        strength_pct: liquid,
        volume_ml,
        fills: 1,
        measure: None,
        batch: None,
        bottles,
        scatter: PACK_CONTENTS,
    })
}

/// The whole packs that come near enough to what is wanted.
fn packs_near(want: Mass, pack: Mass) -> Option<u32> {
    let packs = (want / pack).round();
    let off = (packs * pack.to_grams() / want.to_grams() - 1.0).abs();
    ((1.0..=MOST_PACKS).contains(&packs) && off <= WHOLE_PACK_WITHIN).then(|| whole(packs))
}

fn neat(want: Mass, liquid: Shown, kit: &Kit) -> Option<Draw> {
    measured(want, liquid, kit)
}

fn dilution(want: Mass, liquid: Shown, kit: &Kit) -> Option<Draw> {
    let draw = measured(want, liquid.a_tenth(), kit)?;
    kit.syringes().iter().fold(None, |best, &measure| {
        surest(best, draw.from(diluted(liquid, measure, draw.volume_ml.value())))
    })
}

/// The volume that holds `want`, by the measure that suits it best.
fn measured(want: Mass, percent: Shown, kit: &Kit) -> Option<Draw> {
    let volume = Volume::try_millilitres(want.to_grams() * 100.0 / percent.value()).ok()?;
    let cost = |draw: &Draw| draw.scatter + FILL_COSTS * f64::from(draw.fills - 1);
    kit.measures()
        .filter_map(|measure| {
            let volume_ml = measure.shows(volume);
            let shown = Volume::try_millilitres(volume_ml.value()).ok()?;
            measure.suits(volume).then(|| Draw {
                strength_pct: percent,
                volume_ml,
                fills: measure.fills(shown),
                measure: Some(measure),
                batch: None,
                bottles: 0,
                scatter: together(measure.relative_scatter(volume), hanging(measure, volume)),
            })
        })
        .min_by(|a, b| cost(a).total_cmp(&cost(b)))
}

/// What the drop on the tip of a syringe adds where less than a millilitre is measured, as a share.
fn hanging(measure: Measure, volume: Volume) -> f64 {
    let ml = volume.to_millilitres();
    let little = matches!(measure, Measure::Marked(_)) && ml < LEAST_ML - 1e-9;
    if little { HANGING } else { 0.0 }
}

fn surest(a: Option<Draw>, b: Option<Draw>) -> Option<Draw> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if b.scatter < a.scatter { b } else { a }),
        (a, b) => a.or(b),
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "not negative, and bounded by the fills of the measures"
)]
fn whole(count: f64) -> u32 {
    (count.ceil() as u32).max(1)
}

impl Draw {
    /// The same draw, taken from this batch: the two scatters together.
    fn from(self, batch: Option<StockBatch>) -> Option<Self> {
        let batch = batch?;
        let drawn = Volume::try_millilitres(self.volume_ml.value()).ok()?;
        Some(Self {
            scatter: together(self.scatter, batch.relative_scatter),
            batch: Some(batch.for_need(drawn)),
            ..self
        })
    }
}
