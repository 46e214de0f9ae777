//! What a colour at a known dose teaches about one dye: from a shade card's single chip to a ladder.
//!
//! Maximum a posteriori by Gauss–Newton with the dye's present belief as the prior, then Laplace:
//! the same update whether one colour is known or ten.

use colour::{BANDS, Bands, Lab, Light, Observer, Weights};
use nalgebra::{DMatrix, DVector};
use units::OnFibre;

use crate::belief::Belief;
use crate::predict::vector;
use crate::{Dye, Knowledge, Refusal, Substrate};

/// One dyeing of one dye, read.
#[derive(Debug, Clone)]
pub struct Lesson<'a> {
    /// The cloth it was dyed on, ready for the dye's class.
    pub on: &'a Substrate,
    /// The dose.
    pub dose: OnFibre,
    /// What was read.
    pub seen: Seen,
    /// Spread of the reading and the dyeing together, about ΔE00 (1 σ).
    pub spread: f64,
}

/// What was read of a dyeing.
#[derive(Debug, Clone, Copy)]
#[expect(
    clippy::large_enum_variant,
    reason = "a handful of lessons at a time; a box would cost Copy"
)]
pub enum Seen {
    /// A colour, D65/10°.
    Colour(Lab),
    /// A whole spectrum.
    Spectrum(Bands),
}

pub(crate) const LIGHTS: [Light; 3] = [Light::D65, Light::A, Light::Fl11];
const ROUNDS: usize = 25;
const STEP: f64 = 1e-4;

/// The dye as known after these lessons.
pub fn taught(dye: &Dye, lessons: &[Lesson], knowledge: Knowledge) -> Result<Dye, Refusal> {
    let prior = &dye.belief;
    let precision = inverse(&prior.covariance, dye)?;
    let mut at = prior.mean.clone();
    let (mut residuals, mut slopes) = compare(dye, lessons, &at);
    let mut cost = cost_of(&residuals, &at, prior, &precision);
    let mut damping = 1e-3;
    for _ in 0..ROUNDS {
        let away = &at - &prior.mean;
        let gradient = slopes.transpose() * &residuals + &precision * &away;
        let mut curvature = slopes.transpose() * &slopes + &precision;
        for k in 0..curvature.nrows() {
            curvature[(k, k)] *= 1.0 + damping;
        }
        let step = inverse(&curvature, dye)? * gradient;
        let next = &at - &step;
        let (next_residuals, next_slopes) = compare(dye, lessons, &next);
        let next_cost = cost_of(&next_residuals, &next, prior, &precision);
        if next_cost <= cost {
            let settled = cost - next_cost < 1e-9 * (1.0 + cost);
            (at, residuals, slopes, cost) = (next, next_residuals, next_slopes, next_cost);
            damping *= 0.3;
            if settled {
                break;
            }
        } else {
            damping *= 8.0;
        }
    }
    refuse_misfit(dye, &residuals, lessons)?;
    let covariance = inverse(&(slopes.transpose() * &slopes + &precision), dye)?;
    let mut dye = dye.clone();
    dye.belief = Belief { mean: at, covariance };
    dye.sight = crate::sight::Sight::default();
    dye.knowledge = knowledge;
    Ok(dye)
}

/// A dye of the given hue that is still 4 spreads and 6 units off after learning is another dye.
fn refuse_misfit(dye: &Dye, residuals: &DVector<f64>, lessons: &[Lesson]) -> Result<(), Refusal> {
    let mut row = 0;
    for lesson in lessons {
        let lights = lesson.seen.lights();
        let off: f64 = (0..3).map(|k| residuals[row + k] * residuals[row + k]).sum::<f64>().sqrt();
        row += 3 * lights;
        if off > 4.0 && off * lesson.spread > 6.0 {
            return Err(Refusal::NotThisDye {
                id: dye.id.clone(),
                why: format!(
                    "at {} % owf it stays {:.1} away in CIELAB; check the depth, the cloth and the \
                     starting hue",
                    lesson.dose.to_percent(),
                    off * lesson.spread
                ),
            });
        }
    }
    Ok(())
}

impl Seen {
    const fn lights(&self) -> usize {
        match self {
            Self::Colour(_) => 1,
            Self::Spectrum(_) => LIGHTS.len(),
        }
    }
}

fn compare(dye: &Dye, lessons: &[Lesson], at: &DVector<f64>) -> (DVector<f64>, DMatrix<f64>) {
    let rows: usize = lessons.iter().map(|l| 3 * l.seen.lights()).sum();
    let mut residuals = DVector::zeros(rows);
    let mut slopes = DMatrix::zeros(rows, at.len());
    let base = residual_list(dye, lessons, at);
    residuals.copy_from_slice(&base);
    for k in 0..at.len() {
        let mut moved = at.clone();
        moved[k] += STEP;
        for (row, (new, old)) in residual_list(dye, lessons, &moved).iter().zip(&base).enumerate() {
            slopes[(row, k)] = (new - old) / STEP;
        }
    }
    (residuals, slopes)
}

fn residual_list(dye: &Dye, lessons: &[Lesson], at: &DVector<f64>) -> Vec<f64> {
    let absorbs = dye.absorbs_at(at);
    let mut list = vec![];
    for lesson in lessons {
        let fixed = lesson.on.fixed_with(dye, dye.saturates_with(at), lesson.dose.to_percent());
        let sum: [f64; BANDS] = absorbs.map(|a| a * fixed);
        for light in &LIGHTS[..lesson.seen.lights()] {
            let weights = Weights::of(*light, Observer::Ten);
            let seen = match &lesson.seen {
                Seen::Colour(lab) => *lab,
                Seen::Spectrum(bands) => weights.lab(bands),
            };
            let off = vector(lesson.on.lab_of(&sum, weights)) - vector(seen);
            list.extend(off.iter().map(|o| o / lesson.spread));
        }
    }
    list
}

fn cost_of(
    residuals: &DVector<f64>,
    at: &DVector<f64>,
    prior: &Belief,
    precision: &DMatrix<f64>,
) -> f64 {
    let away = at - &prior.mean;
    residuals.norm_squared() + (away.transpose() * precision * &away)[(0, 0)]
}

fn inverse(matrix: &DMatrix<f64>, dye: &Dye) -> Result<DMatrix<f64>, Refusal> {
    matrix.clone().cholesky().map(|c| c.inverse()).ok_or_else(|| Refusal::NotThisDye {
        id: dye.id.clone(),
        why: "its numbers leave nothing to learn; check the depth and the colour".to_owned(),
    })
}
