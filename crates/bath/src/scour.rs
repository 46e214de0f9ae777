//! The scour before the first dye bath: which goods need it, which may lie in one, and the bath itself.
//!
//! It is made of lore's scours for goods as they are made up, in a vessel at hand, at the trade's 20 litres to the
//! kilogram or less where no vessel takes that: a scour bath only has to cover the goods. Left out: dye, and when it
//! is done (`plan`).

use dosing::{Shown, bath_volume};
use lore::{Agitation, Programme, ScourNeed};
use units::{Celsius, LiquorRatio, Mass, Minutes, Volume, trimmed};

use crate::auxiliary::try_measured;
use crate::goods::Goods;
use crate::heating::{HAND_WARM_C, Heating};
use crate::sheet::{Auxiliary, Step, Vessel};
use crate::vessel::{FULL, bears, filled};
use crate::write::{hottest, wanted};
use crate::{Kind, Order, Refusal, VesselAtHand, caution, step};

/// Litres to the kilogram (trade knowledge, table of scours), and what is tried where no vessel holds that: the goods
/// must still be covered and turn (judgement).
const RATIOS: [f64; 4] = [20.0, 15.0, 12.0, 10.0];
/// Loads of soaked goods are turned by hand: no more than this at once, g (judgement).
const MOST_G: f64 = 2000.0;

/// A scour bath for one piece or several.
#[derive(Debug, Clone, PartialEq)]
pub struct Scour {
    /// Id of lore's programme.
    pub programme: String,
    /// What it is, in words.
    pub title: String,
    /// Everything that gets wet.
    pub dry: Mass,
    /// Litres per kilogram of it.
    pub ratio: LiquorRatio,
    /// The whole bath, mL.
    pub liquor_ml: Shown,
    /// What it is done in.
    pub vessel: Vessel,
    /// The maker's own vessel, by its name; none where nothing at hand takes it.
    pub at_hand: Option<String>,
    /// Detergent, soda, softener.
    pub auxiliaries: Vec<Auxiliary>,
    /// What to do, in order.
    pub steps: Vec<Step>,
    /// All of it together.
    pub total: Minutes,
    /// What to know.
    pub notes: Vec<String>,
}

/// Whether both may lie in one scour bath: one scour, step for step, and neither worn.
pub fn may_scour_together(
    a: &Order<'_>,
    b: &Order<'_>,
    (need_a, need_b): (ScourNeed, ScourNeed),
) -> Result<bool, Refusal> {
    let company = |need| a.lore.scour_reason(need).is_some_and(|reason| reason.with_others);
    if !company(need_a) || !company(need_b) {
        return Ok(false);
    }
    Ok(programme(a, need_a)? == programme(b, need_b)?)
}

/// The scour of these orders' goods together; refused where their fibres bear none, and for more than two hands turn.
pub fn scour(orders: &[&Order<'_>], need: ScourNeed) -> Result<Scour, Refusal> {
    let first = orders.first().ok_or(crate::NotShared::Nobody)?;
    let programme = programme(first, need)?;
    let each = orders.iter().map(|order| {
        let grams = (order.goods + order.comes.spare.unwrap_or(Mass::ZERO)).to_grams();
        Shown::try_round(grams, 1).map(Shown::value)
    });
    let dry = Mass::try_grams(each.sum::<Result<f64, _>>()?)?;
    let agents: Vec<&str> = programme.doses.iter().map(|dose| dose.agent.as_str()).collect();
    let top = programme.hottest();
    let (ratio, found) = placed(first, dry, top, &agents)?;
    let liquor = bath_volume(ratio, dry)?;
    let mut measured = Vec::new();
    for dose in wanted(&programme, dry, liquor) {
        measured.extend(try_measured(first, &dose, liquor)?);
    }
    let mut steps = step::written(&programme, &[], &measured);
    let mut notes: Vec<String> = programme.notes.clone();
    if let Some(vessel) = found {
        let hot = hottest(&steps, top).to_degrees() > HAND_WARM_C && first.kitchen.burner;
        if let Some(heating) = Heating::of(vessel, liquor).filter(|_| hot) {
            heating.applied(&mut steps, |_| true);
        }
        notes.extend(caution::heavy(first, vessel.name, liquor, dry));
    }
    for step in steps.iter_mut().filter(|step| by_kettle(first, step)) {
        step.text = format!(
            "Bring it to {} °C with hot water from tap and kettle, poured in little by little beside the goods, never \
             onto them.",
            trimmed(step.to.to_degrees(), 0)
        );
    }
    if !first.kitchen.burner && top.to_degrees() > HAND_WARM_C {
        notes.push(format!(
            "There is no burner: keep back some of the water for the kettle, bring the bath to {} °C with it, and let it \
             cool as it will.",
            trimmed(top.to_degrees(), 0)
        ));
    }
    if let Some(machine) = first.kitchen.machine
        && first.kitchen.methods.contains(&lore::Method::Machine)
        && dry <= machine.holds
        && steps.iter().all(|step| step.agitation != Agitation::None)
    {
        notes.push(format!(
            "A wash in the machine at {} °C with the same detergent and soda, and one rinse more, does as well.",
            trimmed(top.to_degrees().min(machine.hottest.to_degrees()), 0)
        ));
    }
    let total = step::on_the_clock(&mut steps);
    Ok(Scour {
        programme: programme.id,
        title: programme.title,
        dry,
        ratio,
        liquor_ml: Shown::try_round(liquor.to_millilitres(), 0)?,
        vessel: found.map_or_else(|| none_at_hand(liquor), |it| filled(it, liquor, "")),
        at_hand: found.map(|it| it.name.to_owned()),
        auxiliaries: measured.into_iter().map(|out| out.it).collect(),
        steps,
        total,
        notes,
    })
}

/// Whether a step heats where nothing but the kettle does.
fn by_kettle(order: &Order<'_>, step: &Step) -> bool {
    !order.kitchen.burner && step.kind == lore::StepKind::Heat
}

/// The scour of one order's goods, cooler where nothing heats it.
fn programme(order: &Order<'_>, need: ScourNeed) -> Result<Programme, Refusal> {
    let goods = Goods::try_of(&Order { kind: Kind::Bulk, ..order.clone() })?;
    let mut caps = goods.caps();
    if let Some(tap) = crate::no_burner::hottest(order) {
        caps.top = Some(caps.top.filter(|top| *top < tap).unwrap_or(tap));
    }
    Ok(order.lore.scour(need, &goods.ids(), &caps)?)
}

/// The most generous ratio that a vessel at hand takes, and the smallest such vessel; the first ratio and none where
/// nothing takes any.
fn placed<'a>(
    order: &Order<'a>,
    dry: Mass,
    top: Celsius,
    agents: &[&str],
) -> Result<(LiquorRatio, Option<&'a VesselAtHand<'a>>), Refusal> {
    let usual = LiquorRatio::try_litres_per_kilogram(RATIOS[0])?;
    if dry.to_grams() > MOST_G {
        return Ok((usual, None));
    }
    for ratio in RATIOS {
        let ratio = LiquorRatio::try_litres_per_kilogram(ratio)?;
        let liquor = bath_volume(ratio, dry)?;
        let fits = |vessel: &&VesselAtHand<'_>| {
            vessel.holds.to_millilitres() * FULL >= liquor.to_millilitres() - 0.5
                && bears(order.lore, vessel.material, top, agents)
        };
        let smallest = order.kitchen.vessels.iter().filter(fits).min_by(|a, b| {
            a.holds.to_millilitres().total_cmp(&b.holds.to_millilitres()).then(a.name.cmp(b.name))
        });
        if smallest.is_some() {
            return Ok((ratio, smallest));
        }
    }
    Ok((usual, None))
}

fn none_at_hand(liquor: Volume) -> Vessel {
    Vessel {
        words: format!(
            "a bath tub or a bigger vessel, {} L of bath: nothing at hand takes it",
            trimmed(liquor.to_litres(), 1)
        ),
        material: "enamel".to_owned(),
    }
}
