//! What is believed of any cloth before its colour is known: a Gaussian in log odds.
//!
//! It is said in steps from band to band, because that is where cloth differs from "as smooth as
//! can be": dyes hardly absorb beyond 680 nm, so the curve climbs at the long-wave end, and undyed
//! cloth falls off below 420 nm. Each step has a mean and a variance. For the likeliest curve the
//! steps are taken as independent of each other and of the level: trials on the 29 clothes of
//! `tests/fixtures`, left out one at a time, judged the full 31 × 31 covariance of so few clothes
//! worse (mean ΔE00 under A and FL11 1.00 / 0.99 against 0.87 / 0.97). How much stays unknown is
//! reckoned with neighbouring steps going together, as they do.

use super::odds::{Curve, Table, odds};
use crate::{BANDS, Bands, maths};

/// Steps between neighbouring bands.
pub(super) const STEPS: usize = BANDS - 1;

/// Each step's variance is drawn half-way to the mean of all, as the middle between "as measured"
/// (few clothes: uncertain) and "all alike" (the least-slope rule). Judgement.
const DRAWN_TO_MEAN: f64 = 0.5;
/// The variance of the level counts fourfold, so that the level is left to the colour. Judgement.
const LEVEL_FREEDOM: f64 = 4.0;
/// Steps this far apart go together by e^−1: in the 29 clothes the correlations at 1 to 5 steps are
/// 0.89, 0.68, 0.46, 0.31, 0.21; exp(−(k/3.5)²) gives 0.92, 0.72, 0.48, 0.27, 0.13.
const TOGETHER: f64 = 3.5;
/// Share of the steps' variance that a colour does not already tell: a grey has small steps and a
/// strong colour large ones. On the 29 clothes the squared errors were 0.23 (A) and 0.22 (FL11) of
/// those stated without this; rounded up, since the table knows these clothes.
const UNTOLD: f64 = 0.25;
/// Least variance of a step, that learning from equal spectra stays solvable.
const LEAST_STEP: f64 = 1e-5;

/// Mean and variance of the level and of the steps of log odds in a set of clothes.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Moments {
    /// Mean and variance of the level (mean over the bands).
    pub(super) level: [f64; 2],
    /// Mean of each step.
    pub(super) mean: [f64; STEPS],
    /// Variance of each step.
    pub(super) variance: [f64; STEPS],
}

/// A belief about the log odds of cloth.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Gaussian {
    /// The mean.
    pub(super) mean: Curve,
    /// Covariance with the steps taken as independent: for the likeliest curve.
    pub(super) alone: Box<Table>,
    /// Covariance with neighbouring steps going together, as they do in cloth: for what stays
    /// unknown.
    pub(super) doubt: Box<Table>,
}

impl Moments {
    /// Of a set of spectra, each step averaged with its neighbours (¼, ½, ¼).
    pub(super) fn of(spectra: &[Bands]) -> Self {
        let curves: Vec<Curve> = spectra.iter().map(odds).collect();
        let levels = curves.iter().map(|z| z.iter().sum::<f64>() / count(BANDS));
        let steps = |i: usize| curves.iter().map(move |z| z[i + 1] - z[i]);
        let both: [[f64; 2]; STEPS] = std::array::from_fn(|i| mean_and_variance(steps(i)));
        Self {
            level: mean_and_variance(levels),
            mean: softened(&both.map(|m| m[0])),
            variance: softened(&both.map(|m| m[1])),
        }
    }

    /// The Gaussian they stand for.
    pub(super) fn gaussian(&self) -> Gaussian {
        let all_alike = self.variance.iter().sum::<f64>() / count(STEPS);
        let variance = self.variance.map(|v| (v + DRAWN_TO_MEAN * (all_alike - v)).max(LEAST_STEP));
        // how far each step lifts band i when the mean over the bands is kept
        let lift = |i: usize, j: usize| {
            let lifted = count(STEPS - j) / count(BANDS);
            if i > j { 1.0 - lifted } else { -lifted }
        };
        let mean = std::array::from_fn(|i| {
            self.level[0] + (0..STEPS).map(|j| lift(i, j) * self.mean[j]).sum::<f64>()
        });
        let level = LEVEL_FREEDOM * self.level[1];
        let covariance = |together: &dyn Fn(usize, usize) -> f64| {
            let pull: [Curve; STEPS] = std::array::from_fn(|j| {
                std::array::from_fn(|k| {
                    (0..STEPS).map(|n| together(j, n) * lift(k, n)).sum::<f64>()
                })
            });
            let mut table = Box::new([[level; BANDS]; BANDS]);
            for (i, row) in table.iter_mut().enumerate() {
                for (k, cell) in row.iter_mut().enumerate() {
                    *cell += (0..STEPS).map(|j| lift(i, j) * pull[j][k]).sum::<f64>();
                }
            }
            table
        };
        let alone = covariance(&|j, n| if j == n { variance[j] } else { 0.0 });
        let doubt = covariance(&|j, n| {
            let apart = count(j.abs_diff(n)) / TOGETHER;
            UNTOLD * (variance[j] * variance[n]).sqrt() * maths::exp(-apart * apart)
        });
        Gaussian { mean, alone, doubt }
    }
}

fn mean_and_variance(values: impl Iterator<Item = f64> + Clone) -> [f64; 2] {
    let n = values.clone().map(|_| 1.0).sum::<f64>().max(1.0);
    let mean = values.clone().sum::<f64>() / n;
    let variance = values.map(|v| (v - mean) * (v - mean)).sum::<f64>() / n;
    [mean, variance]
}

fn softened(steps: &[f64; STEPS]) -> [f64; STEPS] {
    std::array::from_fn(|i| {
        let (before, after) = (steps[i.saturating_sub(1)], steps[(i + 1).min(STEPS - 1)]);
        0.25 * before + 0.5 * steps[i] + 0.25 * after
    })
}

/// A small count as a number to reckon with.
#[expect(clippy::cast_precision_loss, reason = "counts of bands and spectra, far below 2^52")]
pub(super) const fn count(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_gaussian_has_the_steps_it_was_told() {
        let mut told = Moments { level: [-1.0, 1.5], mean: [0.0; STEPS], variance: [0.03; STEPS] };
        told.mean[28] = 0.2;
        let Gaussian { mean, alone: table, doubt } = told.gaussian();
        assert!((mean[29] - mean[28] - 0.2).abs() < 1e-12 && (mean[3] - mean[2]).abs() < 1e-12);
        assert!((mean.iter().sum::<f64>() / 31.0 + 1.0).abs() < 1e-12);
        for (i, j) in [(0, 1), (15, 16), (29, 30)] {
            let step = table[i][i] + table[j][j] - 2.0 * table[i][j];
            assert!((step - 0.03).abs() < 1e-12, "{step}");
            let step = doubt[i][i] + doubt[j][j] - 2.0 * doubt[i][j];
            assert!((step - UNTOLD * 0.03).abs() < 1e-12, "{step}");
        }
    }
}
