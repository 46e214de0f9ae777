//! The law's five constants fitted to ladders.
//!
//! Least Σ (ΔE² + ¼)^¾ over the unseen steps, a loss between absolute and squared, so that a few
//! ladders that are none do not steer; plus a weak pull to a start set beforehand, which decides
//! when ladders are few. Gauss–Newton: each step's amount is projected out, and every step must
//! lower the loss. Left out: any constant of a single dye (a dye's own are read off its two pieces).

use colour::{Lab, Weights, ciede2000_residuals};
use nalgebra::{SMatrix, SVector};

use super::{DepthLaw, DyeShape, Ladder, Prediction, Refusal, Scale};

/// Constants fitted, and what they were fitted on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitted {
    /// The law.
    pub law: DepthLaw,
    /// Unseen steps it was fitted on.
    pub steps: usize,
    /// Rounds taken until the loss stood still.
    pub rounds: usize,
}

/// How many constants all dyes share.
const CONSTANTS: usize = 5;
type Constants = SVector<f64, CONSTANTS>;

/// Where the fit starts and what it is pulled to: scale midway between its two ends, half of a
/// dye's drift, none common to all (judgement, set beforehand).
const START: [f64; CONSTANTS] = [0.5, 0.5, 0.0, 0.0, 0.0];
/// How far from the start each constant may well lie (judgement, set beforehand): that far away
/// costs about what one step at ΔE 1 does, so the pull counts only when ladders are few.
const LIKELY: [f64; CONSTANTS] = [0.3, 0.3, 0.1, 0.2, 0.1];
/// The least and the most each constant may become.
const BOUNDS: [(f64, f64); CONSTANTS] =
    [(0.0, 1.0), (0.0, 1.0), (-0.4, 0.4), (-0.4, 0.4), (-0.1, 0.3)];
/// ΔE² this small is noise: it softens the loss near zero.
const SOFT: f64 = 0.25;
const POWER: f64 = 0.75;
const NUDGE: f64 = 1e-4;
const ROUNDS: usize = 12;

impl DepthLaw {
    /// Fits the constants all dyes share to ladders.
    pub fn fit(ladders: &[Ladder]) -> Result<Fitted, Refusal> {
        let steps: usize = ladders.iter().map(|l| l.unseen().count()).sum();
        if steps == 0 {
            return Err(Refusal::NothingToFit);
        }
        let mut now = State::at(Constants::from(START), ladders);
        for rounds in 1..=ROUNDS {
            let Some(next) = now.improved(ladders) else {
                return Ok(Fitted { law: law(&now.constants), steps, rounds });
            };
            let gain = now.loss - next.loss;
            now = next;
            if gain < 1e-5 * now.loss {
                return Ok(Fitted { law: law(&now.constants), steps, rounds });
            }
        }
        Ok(Fitted { law: law(&now.constants), steps, rounds: ROUNDS })
    }
}

/// Constants with their loss and every step's best amount.
struct State {
    constants: Constants,
    loss: f64,
    predictions: Vec<Vec<Prediction>>,
}

impl State {
    fn at(constants: Constants, ladders: &[Ladder]) -> Self {
        let law = law(&constants);
        let predictions: Vec<Vec<Prediction>> =
            ladders.iter().map(|l| law.predictions(l)).collect();
        let away = (constants - Constants::from(START)).component_div(&Constants::from(LIKELY));
        let loss = predictions
            .iter()
            .flatten()
            .map(|p| colour::maths::pow(p.delta_e * p.delta_e + SOFT, POWER))
            .sum::<f64>()
            + away.norm_squared();
        Self { constants, loss, predictions }
    }

    /// One Gauss–Newton step, halved until it lowers the loss; none when nothing does.
    fn improved(&self, ladders: &[Ladder]) -> Option<Self> {
        let pull = Constants::from(LIKELY.map(|far| 1.0 / (far * far)));
        let mut normal = SMatrix::<f64, CONSTANTS, CONSTANTS>::from_diagonal(&pull);
        let mut downhill = (Constants::from(START) - self.constants).component_mul(&pull);
        for (ladder, predictions) in ladders.iter().zip(&self.predictions) {
            let shape = learnt(&law(&self.constants), ladder);
            // Nudged inwards from the upper bound, so that a bound constant still shows its slope.
            let nudges: [f64; CONSTANTS] = std::array::from_fn(|k| {
                if self.constants[k] + NUDGE > BOUNDS[k].1 { -NUDGE } else { NUDGE }
            });
            let nudged: [DyeShape; CONSTANTS] = std::array::from_fn(|k| {
                let mut constants = self.constants;
                constants[k] += nudges[k];
                learnt(&law(&constants), ladder)
            });
            for ((_, step), p) in ladder.unseen().zip(predictions) {
                let target = Weights::reference().lab(step);
                let at = |shape: &DyeShape, u: f64| residuals(target, shape, u);
                let here = at(&shape, p.ln_amount);
                let amount = (at(&shape, p.ln_amount + NUDGE) - here) / NUDGE;
                let free = |v: SVector<f64, 3>| {
                    v - amount * (amount.dot(&v) / (amount.norm_squared() + 1e-12))
                };
                let slopes: [SVector<f64, 3>; CONSTANTS] =
                    std::array::from_fn(|k| free((at(&nudged[k], p.ln_amount) - here) / nudges[k]));
                let weight = POWER * colour::maths::pow(p.delta_e * p.delta_e + SOFT, POWER - 1.0);
                for a in 0..CONSTANTS {
                    downhill[a] -= weight * slopes[a].dot(&here);
                    for b in 0..CONSTANTS {
                        normal[(a, b)] += weight * slopes[a].dot(&slopes[b]);
                    }
                }
            }
        }
        let full = normal.cholesky()?.solve(&downhill);
        let mut part = 1.0;
        while part > 1e-3 {
            let constants = bounded(self.constants + full * part);
            let next = Self::at(constants, ladders);
            if next.loss < self.loss {
                return Some(next);
            }
            part /= 2.0;
        }
        None
    }
}

fn law(c: &Constants) -> DepthLaw {
    DepthLaw { scale: Scale::clamped(c[0]), share: c[1], tilt: c[2], bow: c[3], flare: c[4] }
}

fn bounded(mut constants: Constants) -> Constants {
    for (c, (low, high)) in constants.iter_mut().zip(BOUNDS) {
        *c = c.clamp(low, high);
    }
    constants
}

fn learnt(law: &DepthLaw, ladder: &Ladder) -> DyeShape {
    law.learn(ladder.middle(), ladder.palest())
}

fn residuals(target: Lab, shape: &DyeShape, ln_amount: f64) -> SVector<f64, 3> {
    let lab = Weights::reference().lab_of(&shape.reflectance(ln_amount));
    SVector::from(ciede2000_residuals(target, lab))
}
