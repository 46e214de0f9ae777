//! The programme's steps as the sheet prints them: whole minutes, a clock, and amounts in lots.

use dosing::Shown;
use lore::{AgentGroup, Programme, StepKind};
use units::{Celsius, Minutes, Ph, Share, trimmed};

use crate::auxiliary::MeasuredOut;
use crate::dye::spoken;
use crate::portion::{InSteps, sum};
use crate::sheet::{Add, Dye, Step};

/// Where cloth is dried and judged, °C.
const ROOM_C: f64 = 20.0;

/// The steps before they are numbered and timed.
pub(crate) fn written(
    programme: &Programme,
    dyes: &[Dye],
    auxiliaries: &[MeasuredOut],
) -> Vec<Step> {
    let room = Celsius::try_degrees(ROOM_C).unwrap_or(programme.top);
    let first = programme.steps.iter().find_map(|step| step.temperature);
    let mut at = first.map_or(room, |(from, _)| from);
    let mut lots = Lots::of(programme, dyes, auxiliaries);
    let mut steps = Vec::new();
    for (i, step) in programme.steps.iter().enumerate() {
        let adds: Vec<Add> = lots.take(i).into_iter().collect();
        if step.kind == StepKind::Add && adds.is_empty() {
            continue;
        }
        let (from, to) = match (step.temperature, step.kind) {
            (Some(temperature), _) => temperature,
            (None, StepKind::Dry | StepKind::Judge) => (room, room),
            (None, _) => (at, at),
        };
        at = to;
        steps.push(Step {
            n: 0,
            at: Minutes::ZERO,
            clock: String::new(),
            kind: step.kind,
            finishing: step.finishing,
            text: said(step, dyes, &adds),
            from,
            to,
            ramp: step.ramp,
            minutes: whole(step.minutes),
            ph: step.ph.and_then(middle),
            adds,
            vessel: None,
            agitation: step.agitation,
            stretch: Some(step.stretch).filter(|stretch| stretch.to_minutes() > 0.0),
            until: step.until.clone(),
            look_for: step.look_for.clone().filter(|_| !measures_only(step, dyes)),
        });
    }
    steps
}

/// From this lot on, the water it takes to dissolve it is told, g.
const LOT_TOLD_G: f64 = 50.0;
/// Salt to the litre when it is dissolved beforehand, g (common practice; cold water holds over 300 g).
const DISSOLVED_G_PER_L: f64 = 250.0;

/// What a step says, fitted to how the dyes are measured and to how much goes in.
fn said(step: &lore::Step, dyes: &[Dye], adds: &[Add]) -> String {
    if measures_only(step, dyes) {
        return "Put on gloves (and the mask while a stock is made from powder). Measure the stock solutions and liquid dyes into one jug (shake a \
                dispersion first), each with its own clean measure."
            .to_owned();
    }
    let mut text = step.text.clone();
    let lot: f64 = adds.iter().map(|add| add.grams.value()).sum();
    if lot > LOT_TOLD_G {
        let litres = units::significant(lot / DISSOLVED_G_PER_L, 2);
        let told = format!("dissolved in about {litres} L of the bath water");
        text = text.replace("dissolved in a little bath liquor", &told);
    }
    text
}

/// The step would dissolve dye, and every dye is measured as a stock or a bought liquid.
fn measures_only(step: &lore::Step, dyes: &[Dye]) -> bool {
    step.kind == StepKind::Prepare
        && step.text.contains("Paste the dye")
        && !dyes.is_empty()
        && dyes.iter().all(|dye| dye.stock_ml.is_some())
}

/// Numbers the steps and puts them on the clock; gives back how long all of it takes.
pub(crate) fn on_the_clock(steps: &mut [Step]) -> Minutes {
    let mut at = Minutes::ZERO;
    for (i, step) in steps.iter_mut().enumerate() {
        step.n = i + 1;
        step.at = at;
        step.clock = clock(at);
        at = at + step.minutes;
    }
    at
}

/// Up to whole minutes: a ramp is never faster for being rounded.
pub(crate) fn whole(minutes: Minutes) -> Minutes {
    Minutes::try_minutes((minutes.to_minutes() - 1e-6).ceil().max(0.0)).unwrap_or(minutes)
}

fn clock(at: Minutes) -> String {
    let minutes = at.to_minutes();
    format!("{}:{:0>2}", trimmed((minutes / 60.0).floor(), 0), trimmed(minutes % 60.0, 0))
}

/// The middle of a range of pH, to one decimal, never outside it.
fn middle((low, high): (Ph, Ph)) -> Option<Ph> {
    let mid = (low.to_value() + high.to_value()) / 2.0;
    let shown = (mid * 10.0).round() / 10.0;
    Ph::try_value(shown.clamp(low.to_value(), high.to_value())).ok()
}

/// What every step adds, worked out for all steps at once so that lots add up to the whole.
struct Lots {
    by_step: Vec<Option<Add>>,
}

impl Lots {
    fn of(programme: &Programme, dyes: &[Dye], auxiliaries: &[MeasuredOut]) -> Self {
        let mut by_step: Vec<Option<Add>> = vec![None; programme.steps.len()];
        for out in auxiliaries {
            let places = places(programme, &out.it.id, Some(&out.it.bath));
            let shares: Vec<f64> = places.iter().map(|(_, share)| share.to_fraction()).collect();
            let lots = out.shared(&shares);
            for ((i, portion), (grams, words)) in places.into_iter().zip(lots) {
                let (id, group) = (out.it.id.clone(), out.it.group);
                by_step[i] = Some(Add { id, group, grams, portion, dissolved: true, words });
            }
        }
        let all: Vec<Shown> = dyes.iter().map(|dye| dye.grams).collect();
        let places = places(programme, "dye", None);
        let shares: Vec<f64> = places.iter().map(|(_, share)| share.to_fraction()).collect();
        let lots = InSteps::of(sum(&all), 0.0).shared(&shares);
        for ((i, portion), grams) in places.into_iter().zip(lots) {
            let words = match portion.to_fraction() {
                all if all > 0.999 => spoken(dyes),
                part => format!("{} % of: {}", trimmed(part * 100.0, 0), spoken(dyes)),
            };
            let (id, group) = ("dye".to_owned(), AgentGroup::Dye);
            by_step[i] = Some(Add { id, group, grams, portion, dissolved: true, words });
        }
        Self { by_step }
    }

    fn take(&mut self, step: usize) -> Option<Add> {
        self.by_step.get_mut(step).and_then(Option::take)
    }
}

/// The steps that add this agent (in this bath), with the share each adds.
fn places(programme: &Programme, agent: &str, bath: Option<&str>) -> Vec<(usize, Share)> {
    programme
        .steps
        .iter()
        .enumerate()
        .filter(|(_, step)| bath.is_none_or(|bath| step.bath == bath))
        .filter_map(|(i, step)| {
            let adds = step.adds.as_ref().filter(|adds| adds.agent == agent)?;
            Some((i, adds.portion))
        })
        .collect()
}
