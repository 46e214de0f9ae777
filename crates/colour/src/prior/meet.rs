//! The likeliest curve of a Gaussian that has a colour exactly.
//!
//! Least (z − mean)ᵀ S⁻¹ (z − mean) with Lab(z) = target, by Newton steps on the colour along the
//! directions of S (P. Burns, "Numerical methods for smoothest reflectance reconstruction", Color
//! Res. Appl. 45 (2020) 8–21, does the same for the least-slope rule). S is never inverted.

use super::odds::{Curve, Table, dot, reflectance, slopes, solve, spread_along, three};
use crate::{Lab, Weights};

/// Steps spent on the likeliest curve; colours of cloth take 5 to 30, the strongest up to 100.
const MOST_STEPS: usize = 120;
/// Steps spent on the colour alone, after which it counts as out of reach.
const LAST_STEPS: usize = 200;
/// Longest step of any band's log odds.
const LONGEST: f64 = 1.0;
/// The curve is the likeliest when a step would change no band's log odds by more than this.
const SETTLED: f64 = 1e-8;
/// The colour is met when each coordinate is within this.
const MET: f64 = 1e-10;

/// A colour under a light and observer that a curve has to have.
#[derive(Clone, Copy)]
pub(super) struct Target<'a> {
    pub(super) lab: Lab,
    pub(super) weights: &'a Weights,
}

impl Target<'_> {
    /// How far off the colour of `r` is.
    fn missing(&self, r: &Curve) -> [f64; 3] {
        let (wanted, have) = (three(self.lab), three(self.weights.lab_of(r)));
        std::array::from_fn(|k| wanted[k] - have[k])
    }
}

/// The likeliest curve that has the colour, or none where Newton's steps do not get there.
pub(super) fn meet(mean: &Curve, table: &Table, target: Target) -> Option<Curve> {
    let mut z = *mean;
    let (mut share, mut before) = (1.0_f64, f64::INFINITY);
    for _ in 0..MOST_STEPS {
        let (change, most) = step(&z, mean, table, target)?;
        // steps that do not get shorter overshoot: the bend of the colour is not in them
        share = if most > 0.9 * before { (0.6 * share).max(0.05) } else { (1.2 * share).min(1.0) };
        before = most;
        forward(&mut z, &change, most, share);
        if most < SETTLED {
            break;
        }
    }
    for _ in 0..LAST_STEPS {
        if target.missing(&reflectance(&z)).iter().all(|e| e.abs() < MET) {
            return Some(z);
        }
        let (change, most) = step(&z, &z, table, target)?;
        forward(&mut z, &change, most, 1.0);
    }
    None
}

/// A few steps towards the colour, good to about 0.01: enough for a neighbour that is only weighed.
pub(super) fn approach(mean: &Curve, table: &Table, target: Target) -> Option<Curve> {
    let mut z = *mean;
    for _ in 0..3 {
        let (change, most) = step(&z, mean, table, target)?;
        forward(&mut z, &change, most, 1.0);
    }
    Some(z)
}

/// What is still free once the colour is met: S − S Jᵀ (J S Jᵀ)⁻¹ J S at the curve `z`.
pub(super) fn left_free(z: &Curve, table: &Table, weights: &Weights) -> Option<Box<Table>> {
    let rows = slopes(&reflectance(z), weights);
    let along = spread_along(table, &rows);
    let solved = solve(between(&rows, &along), along)?;
    let mut free = Box::new(*table);
    for (i, line) in free.iter_mut().enumerate() {
        for (j, cell) in line.iter_mut().enumerate() {
            *cell -= (0..3).map(|k| along[k][i] * solved[k][j]).sum::<f64>();
        }
    }
    Some(free)
}

/// One Newton step's change of the curve, and the largest of it.
fn step(z: &Curve, mean: &Curve, table: &Table, target: Target) -> Option<(Curve, f64)> {
    let r = reflectance(z);
    let rows = slopes(&r, target.weights);
    let along = spread_along(table, &rows);
    let missing = target.missing(&r);
    let gone: Curve = std::array::from_fn(|i| z[i] - mean[i]);
    let right = std::array::from_fn(|k| [missing[k] + dot(&rows[k], &gone)]);
    let pull = solve(between(&rows, &along), right)?;
    let full: Curve = std::array::from_fn(|i| {
        mean[i] + (0..3).map(|k| along[k][i] * pull[k][0]).sum::<f64>() - z[i]
    });
    let most = full.iter().fold(0.0_f64, |m, d| m.max(d.abs()));
    most.is_finite().then_some((full, most))
}

/// Takes a share of a step, no band farther than allowed.
fn forward(z: &mut Curve, change: &Curve, most: f64, share: f64) {
    let share = if share * most > LONGEST { LONGEST / most } else { share };
    for (z, change) in z.iter_mut().zip(change) {
        *z += share * change;
    }
}

/// J S Jᵀ.
fn between(rows: &[Curve; 3], along: &[Curve; 3]) -> [[f64; 3]; 3] {
    std::array::from_fn(|j| std::array::from_fn(|k| dot(&rows[j], &along[k])))
}
