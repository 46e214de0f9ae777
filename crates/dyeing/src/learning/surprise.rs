//! How much of a surprise a reading was, seen from what was believed before it.

use nalgebra::{DMatrix, DVector};
use statrs::distribution::{ChiSquared, ContinuousCDF};

use super::{Experience, InBath, Setting};
use crate::Refusal;
use crate::predict::vector;

/// How far a dyeing lay from what was foretold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surprise {
    /// ΔE00 between what was foretold and what was read.
    pub off: f64,
    /// Squared distance in spreads: chi-square with three degrees of freedom, if all is as believed.
    pub far: f64,
    /// Chance of lying as far out or further, if all is as believed.
    pub chance: f64,
}

/// Whether the surprises of one job, taken together, are beyond what honest swatches give.
#[must_use]
pub fn asked_about(surprises: &[Surprise]) -> bool {
    let far: f64 = surprises.iter().map(|s| s.far).sum();
    #[expect(clippy::cast_precision_loss, reason = "a handful of swatches")]
    let together = chance(far, 3.0 * surprises.len() as f64);
    together < Surprise::ASKED || surprises.iter().any(Surprise::asks)
}

fn chance(far: f64, of: f64) -> f64 {
    ChiSquared::new(of).map_or(1.0, |law| 1.0 - law.cdf(far))
}

impl Surprise {
    /// Below this chance a reading is asked about (judgement: one honest swatch in a hundred).
    pub const ASKED: f64 = 0.015;

    /// Whether to ask the maker what happened.
    #[must_use]
    pub fn asks(&self) -> bool {
        self.chance < Self::ASKED
    }
}

impl Experience {
    /// How much of a surprise a dyeing is, believing what is believed now.
    pub(super) fn surprise(&self, kept: &super::gather::Kept) -> Result<Surprise, Refusal> {
        let dyeing = &kept.dyeing;
        let setting = Setting { on: &dyeing.on, fibre: &dyeing.fibre, job: dyeing.job };
        let bath: &[InBath] = &dyeing.bath;
        let told = self.foretell(&setting, &[bath], dyeing.scatter)?;
        // The reference light stands first, or is the only one.
        let (_, seen, unit) = kept.seen[0];
        let glimpse = dyeing.glimpse;
        let square = |rms: f64| rms * rms / 3.0;
        let reading = unit * unit.transpose() * (square(glimpse.bias) + square(glimpse.spread));
        let covariance = told.piece(0).covariance();
        let covariance = DMatrix::from_fn(3, 3, |i, j| covariance[i][j] + reading[(i, j)]);
        let off = vector(seen) - vector(told.labs()[0]);
        let off = DVector::from_column_slice(off.as_slice());
        let root = covariance.cholesky().ok_or(Refusal::CannotLearn)?;
        let far = off.dot(&root.solve(&off));
        Ok(Surprise { off: colour::ciede2000(told.labs()[0], seen), far, chance: chance(far, 3.0) })
    }
}
