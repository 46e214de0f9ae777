//! The sheet fitted to the kitchen: the clock to its burner, the hot finishes to the pot that bears them, and
//! what its machine, steamer or film would change.

use lore::{AlkaliRule, Method, StepKind};
use units::{Celsius, Minutes, trimmed};

use crate::goods::Goods;
use crate::heating::{HAND_WARM_C, Heating, not_timed};
use crate::sheet::Step;
use crate::vessel::{Chosen, Finish, FinishIn, Needs};
use crate::{Kind, Order, VesselAtHand, caution, machine};

/// The material that bears no burner.
const UNHEATED: &str = "plastic";

/// How a tub is warmed where nothing heats a pot (common practice).
const TUB_BY_KETTLE: &str = "run the bath in with hot tap water, keep it warm under a lid, and top it up from the kettle \
                             (keep back as much of its water as that brings), poured in beside the goods, never onto \
                             them.";

/// What the kitchen adds to a sheet.
#[derive(Debug, Default)]
pub(crate) struct Fitted {
    pub(crate) notes: Vec<String>,
    /// The pot is heavier than the maker lifts: in words.
    pub(crate) heavy: Option<String>,
}

/// Fits the steps to the vessels.
pub(crate) fn fitted(
    order: &Order<'_>,
    chosen: &Chosen<'_>,
    needs: &Needs<'_>,
    steps: &mut Vec<Step>,
) -> Fitted {
    let mut fitted = Fitted::default();
    let split = chosen.finish.as_ref();
    let elsewhere = move |step: &Step| split.is_some_and(|finish| done_in(finish, step));
    if let Some(at_hand) = chosen.at_hand.filter(|_| order.kind == Kind::Bulk) {
        fitted.heavy = caution::heavy(order, at_hand.name, needs.liquor, needs.dry);
        if at_hand.material == UNHEATED && needs.dye_hottest.to_degrees() > HAND_WARM_C {
            let tub = order.lore.method(Method::Tub);
            let says = match order.kitchen.burner {
                true => tub.map(|row| row.says.clone()),
                false => Some(TUB_BY_KETTLE.to_owned()),
            };
            fitted.notes.extend(says.map(|says| format!("The {}: {says}", at_hand.name)));
        }
        match Heating::of(at_hand, needs.liquor) {
            Some(heating) => {
                let missed = heating.applied(steps, |step| !elsewhere(step));
                let hot = needs.hottest().to_degrees() > HAND_WARM_C && split.is_none();
                fitted
                    .notes
                    .extend((hot || missed.is_some()).then(|| heating.says(needs.liquor, missed)));
            }
            None if split.is_none() && at_hand.material != UNHEATED => {
                fitted.notes.extend(not_timed(at_hand.name, needs.liquor, steps));
            }
            None => {}
        }
    }
    if let Some(finish) = split {
        match finish.place {
            FinishIn::Pot(pot) => in_turns(order, finish, pot, needs, steps, &mut fitted),
            FinishIn::Machine(most) => {
                cooler(finish, most, steps);
                fitted.notes.push(format!(
                    "The hot soaps are done in the washing machine at {} °C, as hot as it washes: no pot at hand holds \
                     these goods in one piece, and they are soaped whole. A pot that does would be better.",
                    trimmed(most.to_degrees(), 0)
                ));
            }
            FinishIn::Cooler(most) if order.kind == Kind::Swatch => {
                cooler(finish, most, steps);
                fitted.notes.push(format!(
                    "There is no burner: the hot soaps are done at {} °C, as those of the goods will be, so that the \
                     swatch shows what they will look like.",
                    trimmed(most.to_degrees(), 0)
                ));
            }
            FinishIn::Cooler(most) => {
                cooler(finish, most, steps);
                fitted.notes.push(format!(
                    "The hot soaps are done at {} °C, as hot as this vessel and this kitchen make it: no pot at hand \
                     holds these goods in one piece, and they are soaped whole. Loose dye leaves more slowly: expect more \
                     soaps, and wash it apart the first times. A hot wash in a machine, or a pot that holds it, would be \
                     better; in parts only where a design line cuts it anyway.",
                    trimmed(most.to_degrees(), 0)
                ));
            }
        }
    }
    if chosen.machine {
        fitted.notes.extend(order.lore.machine_notes().iter().map(|note| note.says.clone()));
    } else if machine::may_rinse(order, needs) {
        fitted.notes.extend(order.lore.machine_rinses().iter().map(|note| note.says.clone()));
    }
    fitted
}

/// Whether a step is done in the pot of the hot finishes.
fn done_in(finish: &Finish<'_>, step: &Step) -> bool {
    let bathes = !matches!(step.kind, StepKind::Prepare | StepKind::Dry | StepKind::Judge);
    step.finishing && bathes && (step.from > finish.above || step.to > finish.above)
}

/// The hot finishes no hotter than the place they are done in.
fn cooler(finish: &Finish<'_>, most: Celsius, steps: &mut [Step]) {
    for step in steps.iter_mut().filter(|step| done_in(finish, step)) {
        if matches!(finish.place, FinishIn::Machine(_)) {
            step.vessel = Some(finish.vessel.clone());
            step.text.push_str(" In the washing machine.");
        }
        let asked = step.to;
        let held = |it: Celsius| if it > most { most } else { it };
        (step.from, step.to) = (held(step.from), held(step.to));
        if asked > most {
            let words = |it: Celsius| format!("{} °C", trimmed(it.to_degrees(), 1));
            step.text = step.text.replace(&words(asked), &words(most));
            if step.kind == StepKind::Soap {
                step.text.push_str(&format!(
                    " Cooler than the usual {}: again in fresh soap water, as often as it takes.",
                    words(asked)
                ));
            }
        }
    }
}

/// The hot finishes in their own pot, in turns where it holds only a part.
fn in_turns(
    order: &Order<'_>,
    finish: &Finish<'_>,
    pot: &VesselAtHand<'_>,
    needs: &Needs<'_>,
    steps: &mut Vec<Step>,
    fitted: &mut Fitted,
) {
    let turns = f64::from(finish.turns);
    let each = needs.liquor.try_times(1.0 / turns).unwrap_or(needs.liquor);
    let name = pot.name;
    for step in steps.iter_mut().filter(|step| done_in(finish, step)) {
        step.vessel = Some(finish.vessel.clone());
        step.text.push_str(&format!(" In the {name}, not in the vessel of the dye bath."));
    }
    let mine = |step: &Step| step.vessel.is_some();
    match Heating::of(pot, each) {
        Some(heating) => {
            let missed = heating.applied(steps, mine);
            fitted.notes.push(heating.says(each, missed));
        }
        None => fitted.notes.extend(not_timed(name, each, steps)),
    }
    if finish.turns > 1 {
        for step in steps.iter_mut().filter(|step| mine(step)) {
            step.minutes = step.minutes.try_times(turns).unwrap_or(step.minutes);
            step.stretch = step.stretch.and_then(|m: Minutes| m.try_times(turns).ok());
            let share = match step.kind {
                StepKind::Prepare => "anew for each",
                _ => "each with its share of the goods and of what goes in",
            };
            step.text.push_str(&format!(
                " In {} turns of {} L, {share}; the time here is that of all turns.",
                finish.turns,
                trimmed(each.to_litres(), 1)
            ));
        }
        fitted.notes.push(format!(
            "The {name} holds the hot soaps in {} turns only: panel by panel, each until its rinse is clear. Rinsing and soaping may be done in turns, since the dye is fast by \
             then; dyeing never.",
            finish.turns
        ));
    }
    let dry = needs.dry.try_times(1.0 / turns).unwrap_or(needs.dry);
    let heavy = caution::heavy(order, name, each, dry);
    fitted.heavy = match (fitted.heavy.take(), heavy) {
        (Some(a), Some(b)) => Some(format!("{a} {b}")),
        (a, b) => a.or(b),
    };
}

/// Other methods at hand by which this could be fixed: what changes, in words, and that it is another colour.
pub(crate) fn other_methods(order: &Order<'_>, goods: &Goods<'_>) -> Vec<String> {
    let Some(limits) = goods.limits.as_ref().filter(|_| order.kind == Kind::Bulk) else {
        return Vec::new();
    };
    let bears_alkali = limits.alkali.it == AlkaliRule::Yes || !order.procedure.is_alkaline();
    let offered = order.lore.instead(order.procedure, &goods.ids(), limits, order.kitchen.methods);
    offered
        .iter()
        .filter(|_| bears_alkali && goods.parts.is_empty())
        .map(|way| {
            format!(
                "Another way you have at hand, {}: {}. It is another colour than the bath gives: no amounts are \
                 reckoned for it here, and its swatch is fixed the same way.",
                way.method, way.says
            )
        })
        .collect()
}
