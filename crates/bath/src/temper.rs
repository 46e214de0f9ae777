//! What blends and unknown fibres still need when the programme was written for another fibre: cool in
//! the bath far enough, no jump into colder or hotter water, no more time at the top than is borne.
//!
//! Rules 9 and 10 of the trade's fifteen: wool no heat shock, cool before the rinse; acrylic slow
//! cooling. The step-down of rinses is common practice ("rinse at bath temperature less 10 °C").

use lore::{Agitation, Limits, StepKind};
use units::{Celsius, Minutes, Ramp, trimmed};

use crate::sheet::Step;
use crate::step::whole;

/// Fibres that may not be moved at all take no bigger jump than this, °C.
const MOST_JUMP_C: f64 = 15.0;
/// Rinses put between step down (or up) by this, °C.
const RINSE_STEP_C: f64 = 10.0;
/// Minutes of such a rinse.
const RINSE_MIN: f64 = 5.0;
/// A bath below this is not hot: time at the top is not counted, °C (as the programmes count it).
const HOT_C: f64 = 80.0;
/// Within this of the hottest step is at the top, °C.
const NEAR_TOP_C: f64 = 2.0;
/// Cooling where the fibre sets no rate, °C/min (common practice).
const COOLING: f64 = 1.0;

/// The same steps, held to these limits.
pub(crate) fn held(steps: Vec<Step>, limits: &Limits) -> Vec<Step> {
    let steps = cooled_in_the_bath(steps, limits);
    let mut steps = stepped(steps, limits);
    time_at_the_top(&mut steps, limits);
    steps
}

/// Before the first drain of a hot bath the goods cool to what they need.
fn cooled_in_the_bath(mut steps: Vec<Step>, limits: &Limits) -> Vec<Step> {
    let Some(to) = limits.cool_to.as_ref().map(|bound| bound.it) else { return steps };
    let mut i = 0;
    while i < steps.len() {
        let drains = steps[i].kind == StepKind::Drain && !steps[i].finishing;
        let from = if i > 0 { steps[i - 1].to } else { steps[i].from };
        if drains && from > to {
            steps[i].from = to;
            steps[i].to = to;
            let cool = cooling(&steps[i], from, to, limits);
            steps.insert(i, cool);
            i += 1;
        }
        i += 1;
    }
    steps
}

fn cooling(drain: &Step, from: Celsius, to: Celsius, limits: &Limits) -> Step {
    let usual = Ramp::try_degrees_per_minute(COOLING).ok();
    let own = limits.cool.as_ref().map(|bound| bound.it);
    let ramp = match (usual, own) {
        (Some(a), Some(b)) => Some(if b < a { b } else { a }),
        (a, b) => a.or(b),
    };
    let minutes = ramp.map_or(Minutes::ZERO, |ramp| whole(ramp.time_between(from, to)));
    let rate = ramp.map_or_else(String::new, |r| trimmed(r.to_degrees_per_minute(), 2));
    let text = format!(
        "Heat off. Let the goods cool in the bath to {} °C, no faster than {rate} °C a minute; no cold water.",
        trimmed(to.to_degrees(), 1)
    );
    Step {
        kind: StepKind::Cool,
        text,
        from,
        to,
        ramp,
        minutes,
        ph: None,
        adds: Vec::new(),
        agitation: limits.agitation.it.max(Agitation::Gentle),
        stretch: Minutes::try_minutes(120.0).ok(),
        until: None,
        look_for: None,
        ..drain.clone()
    }
}

/// Rinses between baths that lie too far apart for goods that may not be moved.
fn stepped(steps: Vec<Step>, limits: &Limits) -> Vec<Step> {
    if limits.agitation.it != Agitation::None {
        return steps;
    }
    let mut out: Vec<Step> = Vec::new();
    for step in steps {
        let wet = !matches!(step.kind, StepKind::Dry | StepKind::Judge | StepKind::Prepare);
        let last = out.iter().rev().find(|s| s.kind != StepKind::Prepare).map(|s| s.to);
        if let Some(mut at) = last.filter(|_| wet && step.finishing) {
            let goal = step.from.to_degrees();
            while (goal - at.to_degrees()).abs() > MOST_JUMP_C + 0.05 {
                let move_by = RINSE_STEP_C.copysign(goal - at.to_degrees());
                let Ok(next) = Celsius::try_degrees(at.to_degrees() + move_by) else { break };
                out.push(rinse(&step, next, limits));
                at = next;
            }
        }
        out.push(step);
    }
    out
}

fn rinse(before: &Step, at: Celsius, limits: &Limits) -> Step {
    Step {
        kind: StepKind::Rinse,
        text: format!(
            "Rinse in water of {} °C first: these goods take no jump in temperature. No running tap on them.",
            trimmed(at.to_degrees(), 1)
        ),
        from: at,
        to: at,
        ramp: None,
        minutes: Minutes::try_minutes(RINSE_MIN).unwrap_or(before.minutes),
        ph: None,
        adds: Vec::new(),
        agitation: limits.agitation.it,
        stretch: Minutes::try_minutes(RINSE_MIN).ok(),
        until: None,
        look_for: None,
        ..before.clone()
    }
}

/// No step at the top may stretch past what the goods bear there.
fn time_at_the_top(steps: &mut [Step], limits: &Limits) {
    let Some(most) = limits.max_at_top.as_ref().map(|bound| bound.it.to_minutes()) else { return };
    let hottest = |step: &Step| step.from.to_degrees().max(step.to.to_degrees());
    let top = steps.iter().filter(|s| !s.finishing).map(hottest).fold(f64::MIN, f64::max);
    if top < HOT_C {
        return;
    }
    let near = |step: &&mut Step| {
        !step.finishing && step.from.to_degrees().min(step.to.to_degrees()) >= top - NEAR_TOP_C
    };
    let spent: f64 = steps.iter_mut().filter(near).map(|step| step.minutes.to_minutes()).sum();
    let mut left = (most - spent).max(0.0);
    for step in steps.iter_mut().filter(near) {
        let Some(stretch) = step.stretch.map(Minutes::to_minutes) else { continue };
        let kept = stretch.min(left);
        left -= kept;
        step.stretch = Minutes::try_minutes(kept).ok().filter(|m| m.to_minutes() > 0.0);
    }
}
