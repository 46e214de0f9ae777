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
            text: step.text.clone(),
            from,
            to,
            ramp: step.ramp,
            minutes: whole(step.minutes),
            ph: step.ph.and_then(middle),
            adds,
            agitation: step.agitation,
            stretch: Some(step.stretch).filter(|stretch| stretch.to_minutes() > 0.0),
            until: step.until.clone(),
            look_for: step.look_for.clone(),
        });
    }
    steps
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
