//! Everything besides dye: how much, rounded once to what can be measured, and in household measures.
//!
//! Weighed when the scale shows it in at least twenty steps; acetic acid always as vinegar of the
//! maker's own strength; a smaller amount as a solution made up for it; spoons only where the trade
//! allows them and there is no scale.

use dosing::{Kit, Shown, Syringe};
use lore::{AgentGroup, Household, Lore, Per, Spoons};
use units::{Mass, Volume};

use crate::portion::InSteps;
use crate::sheet::{Auxiliary, Measured};
use crate::{Order, Refusal};

/// Weighed directly from this many steps of the scale: 5 % of one digit, against the ±30 % of the
/// books' own figures (trade knowledge, note on tags).
const STEPS_ENOUGH: f64 = 20.0;
/// The least a scale may be asked for when nothing in the kit does better.
const OFF_AT_MOST: f64 = 0.25;
/// Solutions made up for small amounts, % w/v: strongest first (common practice).
const SOLUTIONS_PCT: [u8; 2] = [10, 1];
/// Batches of such a solution, mL.
const BATCHES_ML: [f64; 5] = [50.0, 100.0, 200.0, 500.0, 1000.0];
/// Vinegar a label may show, % w/v; above 10 % it is a corrosive grade.
const VINEGAR_PCT: std::ops::RangeInclusive<f64> = 3.0..=10.0;

/// One dose of the programme to be measured out.
pub(crate) struct Wanted {
    pub(crate) id: String,
    pub(crate) name: String,
    pub(crate) group: AgentGroup,
    pub(crate) bath: String,
    pub(crate) per: Per,
    pub(crate) mass: Mass,
    pub(crate) optional: bool,
}

/// An auxiliary and the steps its lots are counted in.
pub(crate) struct MeasuredOut {
    pub(crate) it: Auxiliary,
    lots: InSteps,
}

impl MeasuredOut {
    /// Its lots: grams, and words for each.
    pub(crate) fn shared(&self, shares: &[f64]) -> Vec<(Shown, String)> {
        let lots = self.lots.shared(shares);
        match &self.it.how {
            Measured::Vinegar { strength_pct, .. } => lots
                .into_iter()
                .map(|ml| {
                    (ml.grams_at(*strength_pct), format!("{ml} mL of {strength_pct} % vinegar"))
                })
                .collect(),
            Measured::Solution { strength_pct, .. } => lots
                .into_iter()
                .map(|ml| {
                    let name = &self.it.name;
                    let words = format!("{ml} mL of {strength_pct} % solution of {name}");
                    (ml.grams_at(*strength_pct), words)
                })
                .collect(),
            Measured::Weighed | Measured::Spooned => {
                let name = &self.it.name;
                lots.into_iter().map(|g| (g, format!("{g} g of {name}"))).collect()
            }
        }
    }
}

/// One auxiliary measured out; `None` for one that may be left out and cannot be measured.
pub(crate) fn try_measured(
    order: &Order<'_>,
    wanted: &Wanted,
    liquor: Volume,
) -> Result<Option<MeasuredOut>, Refusal> {
    let kit = order.kitchen.kit;
    if wanted.id == "acetic-acid" {
        return vinegar(order, wanted).map(Some);
    }
    let grams = wanted.mass.to_grams();
    if let Some(scale) = kit.scale()
        && grams >= STEPS_ENOUGH * scale.step().to_grams() * (1.0 - 1e-9)
    {
        let (shown, step) = weighed(scale, wanted);
        let lots = InSteps::of(shown, step);
        let words = format!("Weigh {shown} g.");
        return Ok(Some(out(order.lore, wanted, shown, Measured::Weighed, words, lots)));
    }
    if let Some(found) = solution(order.lore, kit, wanted, liquor) {
        return Ok(Some(found));
    }
    if let Some(scale) = kit.scale() {
        let shown = scale.shows(wanted.mass);
        if shown.value() > 0.0 && (shown.value() / grams - 1.0).abs() <= OFF_AT_MOST {
            let lots = InSteps::of(shown, scale.step().to_grams());
            let words = format!(
                "Weigh {shown} g, as near as this scale shows it; with a 1 mL or 10 mL syringe a \
                 solution would do better."
            );
            return Ok(Some(out(order.lore, wanted, shown, Measured::Weighed, words, lots)));
        }
    } else if let Some(spoons) = spooned(order.lore, wanted) {
        let shown = two_digits(grams);
        let lots = InSteps::of(shown, 0.0);
        let words = format!("There is no scale to weigh {shown} g on: {spoons}.");
        return Ok(Some(out(order.lore, wanted, shown, Measured::Spooned, words, lots)));
    } else if wanted.group == AgentGroup::Detergent {
        return liquid_detergent(order.lore, wanted).map(Some);
    }
    if wanted.optional {
        return Ok(None);
    }
    let reason = match kit.scale() {
        Some(scale) => format!("this scale shows steps of {} g", scale.shows(scale.step())),
        None => "there is no scale, and no spoon may measure it".to_owned(),
    };
    Err(Refusal::CannotMeasure {
        what: wanted.name.clone(),
        amount: units::significant(grams, 2),
        reason,
        help: "a scale that shows 0.1 g, or a 10 mL syringe for a solution of it, would do it"
            .into(),
    })
}

/// What is printed to be weighed, and its steps: no finer than a bath can tell, where the scale shows
/// finer (whole grams of salt above 20 g, tenths of alkali and acid from 2 g; our judgement).
fn weighed(scale: dosing::Scale, wanted: &Wanted) -> (Shown, f64) {
    let (grams, step) = (wanted.mass.to_grams(), scale.step().to_grams());
    let coarse = match wanted.group {
        AgentGroup::Salt if grams > 20.0 => Some((1.0, 0)),
        AgentGroup::Alkali | AgentGroup::Acid if grams >= 2.0 => Some((0.1, 1)),
        _ => None,
    };
    let whole = |coarse: f64| (coarse / step - (coarse / step).round()).abs() < 1e-6;
    coarse
        .filter(|(coarse, _)| *coarse > step && whole(*coarse))
        .and_then(|(coarse, decimals)| Some((Shown::try_round(grams, decimals).ok()?, coarse)))
        .unwrap_or_else(|| (scale.shows(wanted.mass), step))
}

fn vinegar(order: &Order<'_>, wanted: &Wanted) -> Result<MeasuredOut, Refusal> {
    let percent = order.kitchen.vinegar.to_percent();
    let strength_pct = Shown::try_round(percent, 2)?.trimmed();
    if !VINEGAR_PCT.contains(&strength_pct.value()) {
        return Err(Refusal::Vinegar(strength_pct.to_string()));
    }
    let want = wanted.mass.to_grams() * 100.0 / strength_pct.value();
    let (step, decimals) = poured(want);
    let ml = Shown::try_round(((want / step).round() * step).max(step), decimals)?;
    let lots = InSteps::of(ml, step);
    let grams = ml.grams_at(strength_pct);
    let words = format!("Measure {ml} mL of {strength_pct} % vinegar ({grams} g of acetic acid).");
    Ok(out(order.lore, wanted, grams, Measured::Vinegar { ml, strength_pct }, words, lots))
}

/// Detergent without a scale: a liquid one is poured, a gram to the millilitre (common practice; liquid
/// detergents weigh 1.0 to 1.1 g/mL, from memory).
fn liquid_detergent(lore: &Lore, wanted: &Wanted) -> Result<MeasuredOut, Refusal> {
    let (step, decimals) = poured(wanted.mass.to_grams());
    let ml =
        Shown::try_round(((wanted.mass.to_grams() / step).round() * step).max(step), decimals)?;
    let strength_pct = Shown::try_round(100.0, 0)?;
    let words = format!("There is no scale: pour {ml} mL of a liquid one, about 1 g each.");
    let how = Measured::Solution { ml, strength_pct };
    Ok(out(lore, wanted, ml.grams_at(strength_pct), how, words, InSteps::of(ml, step)))
}

/// Steps in which a jug or syringe of any kitchen pours, mL, and their decimals.
const fn poured(ml: f64) -> (f64, u8) {
    match ml {
        ml if ml < 5.0 => (0.1, 1),
        ml if ml < 20.0 => (0.5, 1),
        ml if ml < 200.0 => (1.0, 0),
        ml if ml < 1000.0 => (5.0, 0),
        _ => (10.0, 0),
    }
}

/// A solution from which this kit measures the amount, in as few fills as may be.
fn solution(lore: &Lore, kit: &Kit, wanted: &Wanted, liquor: Volume) -> Option<MeasuredOut> {
    let scale = kit.scale()?;
    SOLUTIONS_PCT.into_iter().find_map(|percent| {
        let strength_pct = Shown::try_round(f64::from(percent), 0).ok()?;
        let want =
            Volume::try_millilitres(wanted.mass.to_grams() * 100.0 / f64::from(percent)).ok()?;
        if want.to_millilitres() > liquor.to_millilitres() / 5.0 {
            return None;
        }
        let measure = kit.syringes().iter().copied().filter(|syringe| syringe.suits(want)).min_by(
            |a, b| {
                let fills = a.fills(want).cmp(&b.fills(want));
                fills.then(a.relative_scatter(want).total_cmp(&b.relative_scatter(want)))
            },
        )?;
        let ml = measure.shows(want);
        let (make, grams) = batch(ml, f64::from(percent), scale)?;
        let words = solution_words(ml, strength_pct, make, grams, measure);
        let lots = InSteps::of(ml, measure.mark().to_millilitres());
        let how = Measured::Solution { ml, strength_pct };
        Some(out(lore, wanted, ml.grams_at(strength_pct), how, words, lots))
    })
}

/// The smallest batch that holds `ml` and that the scale weighs in enough steps.
fn batch(ml: Shown, percent: f64, scale: dosing::Scale) -> Option<(f64, Shown)> {
    BATCHES_ML.into_iter().filter(|make| *make >= ml.value()).find_map(|make| {
        let grams = Mass::try_grams(make * percent / 100.0).ok()?;
        let shown = scale.shows(grams);
        let exact = (shown.value() - grams.to_grams()).abs() < 1e-9;
        let enough = grams.to_grams() >= STEPS_ENOUGH / 4.0 * scale.step().to_grams();
        (exact && enough).then_some((make, shown))
    })
}

fn solution_words(ml: Shown, strength: Shown, make: f64, grams: Shown, measure: Syringe) -> String {
    format!(
        "Too little for this scale: dissolve {grams} g in water and make up to {make} mL ({strength} %); \
         use {ml} mL of it, measured with the {}.",
        measure.words()
    )
}

fn spooned(lore: &Lore, wanted: &Wanted) -> Option<String> {
    lore.household(&wanted.id, wanted.mass, Spoons::Metric)
        .into_iter()
        .find_map(|it| it.words.map(|words| format!("{words} of {}", it.name)))
}

fn two_digits(grams: f64) -> Shown {
    let decimals = if grams >= 10.0 {
        0
    } else if grams >= 1.0 {
        1
    } else {
        2
    };
    Shown::try_round(grams, decimals).unwrap_or(Shown::ZERO)
}

fn out(
    lore: &Lore,
    wanted: &Wanted,
    grams: Shown,
    how: Measured,
    words: String,
    lots: InSteps,
) -> MeasuredOut {
    let mass = Mass::try_grams(grams.value()).unwrap_or(Mass::ZERO);
    let (household, declared) = match &how {
        Measured::Vinegar { ml, strength_pct } => (
            Some(vinegar_words(lore, *ml, *strength_pct, mass)),
            Some(format!("vinegar of {strength_pct} % acetic acid, as its label says")),
        ),
        _ => in_the_kitchen(&lore.household(&wanted.id, mass, Spoons::Metric)),
    };
    let it = Auxiliary {
        id: wanted.id.clone(),
        name: wanted.name.clone(),
        group: wanted.group,
        bath: wanted.bath.clone(),
        grams,
        per: wanted.per,
        how,
        words,
        household,
        declared,
        optional: wanted.optional,
    };
    MeasuredOut { it, lots }
}

fn vinegar_words(lore: &Lore, ml: Shown, strength: Shown, mass: Mass) -> String {
    let citric = lore
        .household("acetic-acid", mass, Spoons::Metric)
        .into_iter()
        .find_map(|it| it.mass)
        .map(|citric| units::significant(citric.to_grams(), 2));
    match citric {
        Some(grams) => {
            format!("{ml} mL of {strength} % vinegar, or {grams} g of citric acid instead")
        }
        None => format!("{ml} mL of {strength} % vinegar"),
    }
}

/// Spoons where they are allowed, the weight of a stand-in where they are not, and what they take for
/// granted.
fn in_the_kitchen(all: &[Household]) -> (Option<String>, Option<String>) {
    let several = all.len() > 1;
    let each: Vec<String> = all
        .iter()
        .filter_map(|it| match (&it.words, it.mass) {
            (Some(words), _) if several => Some(format!("{words} of {}", it.name)),
            (Some(words), _) => Some(words.clone()),
            (None, Some(mass)) if several => {
                Some(format!("{} g of {}", units::significant(mass.to_grams(), 3), it.name))
            }
            _ => None,
        })
        .collect();
    let grade = all.iter().any(|it| it.declare_grade && it.words.is_some());
    let declared =
        grade.then(|| "spoons count only when the pack says which of these it is".to_owned());
    if each.is_empty() { (None, None) } else { (Some(each.join(", or ")), declared) }
}
