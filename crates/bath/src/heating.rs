//! How long this kitchen takes to heat the bath: the maker's own "cold to 60 °C", carried to other weights of
//! water and other temperatures.
//!
//! The burner is taken to give the same heat all the way and to lose none: the time goes with the water and
//! with the degrees. Near the boil it takes longer than reckoned; the sheet says so. Cold water is taken for
//! 15 °C and hot tap water for 50 °C (our judgement, said on the sheet too).

use lore::StepKind;
use units::{Celsius, Minutes, Volume, significant, trimmed};

use crate::VesselAtHand;
use crate::sheet::Step;

/// Cold water, °C.
const COLD_C: f64 = 15.0;
/// What the maker was asked for, °C.
const ASKED_C: f64 = 60.0;
/// How full the pot was when it was timed.
const ASKED_FULL: f64 = 2.0 / 3.0;
/// Hot tap water, °C: baths no hotter are run in warm.
const TAP_C: f64 = 50.0;
/// Warming up to here is done with hot water round or in the bath, not on the burner, °C.
pub(crate) const HAND_WARM_C: f64 = 40.0;
/// Heat that warms a litre by a degree in a minute, kW (calculated: 4.19 kJ a litre and degree).
const KW_PER_LITRE: f64 = 0.07;
/// The burner of the estimate that is told when the pot was never timed, kW (our judgement).
const PLATE_KW: f64 = 2.0;
/// Programmes within this of what the pot can do are not told of, °C/min.
const SAME: f64 = 0.02;

/// A vessel on its burner, with a bath in it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Heating<'a> {
    vessel: &'a VesselAtHand<'a>,
    /// Degrees a minute with this bath in it.
    rate: f64,
}

impl<'a> Heating<'a> {
    /// None when the maker never timed it.
    pub(crate) fn of(vessel: &'a VesselAtHand<'a>, liquor: Volume) -> Option<Self> {
        let minutes = vessel.to_60?.to_minutes();
        let litres = liquor.to_litres();
        if minutes <= 0.0 || litres <= 0.0 {
            return None;
        }
        let asked = (ASKED_C - COLD_C) / minutes;
        Some(Self { vessel, rate: asked * ASKED_FULL * vessel.holds.to_litres() / litres })
    }

    /// Whole minutes from one temperature up to another.
    fn minutes(&self, from: f64, to: Celsius) -> f64 {
        ((to.to_degrees() - from).max(0.0) / self.rate - 1e-6).ceil().max(0.0)
    }

    /// Heating steps as long as the burner needs, and heating time before hot fresh baths. Gives back the steepest
    /// ramp that the pot cannot keep, °C/min.
    pub(crate) fn applied(
        &self,
        steps: &mut Vec<Step>,
        mine: impl Fn(&Step) -> bool,
    ) -> Option<f64> {
        let mut missed: Option<f64> = None;
        let mut out: Vec<Step> = Vec::with_capacity(steps.len());
        for mut step in steps.drain(..) {
            if mine(&step) && step.kind == StepKind::Heat && step.to.to_degrees() > HAND_WARM_C {
                let takes = self.minutes(step.from.to_degrees(), step.to);
                if takes > step.minutes.to_minutes() {
                    let wanted = step.ramp.map_or(f64::INFINITY, |r| r.to_degrees_per_minute());
                    if wanted > self.rate + SAME && wanted.is_finite() {
                        missed = Some(missed.map_or(wanted, |m| m.max(wanted)));
                    }
                    step.minutes = Minutes::try_minutes(takes).unwrap_or(step.minutes);
                }
            }
            let first = !out.iter().any(in_the_bath);
            let fresh = step.kind == StepKind::Soap || (first && in_the_bath(&step));
            if mine(&step) && fresh && step.from.to_degrees() > TAP_C {
                out.push(self.before(&step));
            }
            out.push(step);
        }
        *steps = out;
        missed
    }

    /// The step that heats the water of the next one.
    fn before(&self, next: &Step) -> Step {
        let tap = self.minutes(TAP_C, next.from);
        let cold = self.minutes(COLD_C, next.from);
        let to = trimmed(next.from.to_degrees(), 0);
        let (water, goods) = match next.kind {
            StepKind::Soap => {
                ("fresh water", " The goods wait in the last rinse, or wet under a cloth.")
            }
            _ => ("water of the bath", ""),
        };
        let text = format!(
            "Heat the {water} to {to} °C in the {} before the goods go in: about {} minutes from hot tap water \
             (50 °C), {} from cold.{goods}",
            self.vessel.name,
            trimmed(tap, 0),
            trimmed(cold, 0)
        );
        Step {
            kind: StepKind::Prepare,
            text,
            to: next.from,
            ramp: None,
            minutes: Minutes::try_minutes(tap).unwrap_or(next.minutes),
            ph: None,
            adds: Vec::new(),
            stretch: Minutes::try_minutes(cold.max(tap) - tap)
                .ok()
                .filter(|m| m.to_minutes() > 0.0),
            until: None,
            look_for: None,
            ..next.clone()
        }
    }

    /// What the reckoning stands on.
    pub(crate) fn says(&self, litres: Volume, missed: Option<f64>) -> String {
        let timed = self.vessel.to_60.map_or(0.0, Minutes::to_minutes);
        let mut said = format!(
            "Heating times are reckoned from the {} minutes your {} takes from cold (15 °C) to 60 °C when two thirds \
             full: with these {} L about {} °C a minute, the same heat all the way and none lost, so near the \
             boil it takes longer.",
            trimmed(timed, 0),
            self.vessel.name,
            trimmed(litres.to_litres(), 1),
            significant(self.rate, 2)
        );
        if let Some(wanted) = missed {
            said.push_str(&format!(
                " It cannot keep the {} °C a minute of the programme: the step takes as long as it takes, lid on, goods \
                 kept moving as the step says. Heat the swatch as slowly.",
                significant(wanted, 2)
            ));
        }
        said
    }
}

fn in_the_bath(step: &Step) -> bool {
    !matches!(step.kind, StepKind::Prepare | StepKind::Dry | StepKind::Judge)
}

/// What is said where the sheet has a hot fresh bath and the pot was never timed.
pub(crate) fn not_timed(name: &str, litres: Volume, steps: &[Step]) -> Option<String> {
    let hot = steps
        .iter()
        .filter(|step| step.kind == StepKind::Soap && step.from.to_degrees() > TAP_C)
        .map(|step| step.from)
        .fold(None, |a: Option<Celsius>, b| Some(a.filter(|a| *a > b).unwrap_or(b)))?;
    let minutes = (hot.to_degrees() - TAP_C) * litres.to_litres() * KW_PER_LITRE / PLATE_KW;
    Some(format!(
        "Heating the fresh water of the hot soaps is not on the clock, since it is not known how fast the {name} \
         heats: {} L from hot tap water (50 °C) to {} °C take about {} minutes on a plate of 2 kW that loses none. \
         Time it once from cold to 60 °C and write that in the costume file.",
        trimmed(litres.to_litres(), 1),
        trimmed(hot.to_degrees(), 0),
        significant(minutes.max(1.0), 2)
    ))
}
