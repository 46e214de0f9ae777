//! One job as seen: what its readings share and its dyes do together, beside what the dyes are.
//!
//! These are summed out of the learning (they belong to no dye) and kept for what is foretold in the same
//! job: the yields go on, the reader's bias does not, for cloth has none.

use std::collections::BTreeMap;

use nalgebra::{DMatrix, DVector};

use super::company::InCompany;
use super::gather::Yield;
use super::{CROWDED, TOGETHER};

/// What a job has beside its dyes, as normal deviates of their prior: bias (three a light), then the yield
/// all dyes share, then each dye's own.
#[derive(Debug, Clone)]
pub(super) struct Beside {
    /// The job.
    pub(super) job: u64,
    /// Numbers of bias.
    pub(super) bias: usize,
    /// The dyes, in the order of their own yields.
    pub(super) dyes: Vec<usize>,
}

impl Beside {
    /// How many numbers.
    pub(super) fn len(&self) -> usize {
        self.bias + 1 + self.dyes.len()
    }

    /// Where the yield all dyes share stands.
    pub(super) const fn common(&self) -> usize {
        self.bias
    }

    /// Where a dye's own yield stands.
    pub(super) fn own(&self, dye: usize) -> Option<usize> {
        self.dyes.iter().position(|d| *d == dye).map(|k| self.bias + 1 + k)
    }

    /// The slopes of a colour in these, from its slopes in each dye's yield; bias left at nought.
    pub(super) fn slopes(&self, rows: usize, by_yield: &[Yield]) -> DMatrix<f64> {
        let mut slopes = DMatrix::zeros(rows, self.len());
        if by_yield.len() < 2 {
            // A dye alone does nothing together.
            return slopes;
        }
        for one in by_yield {
            let mut common = slopes.column_mut(self.common());
            common += &one.slope * one.alike();
            if let Some(own) = self.own(one.dye) {
                let mut column = slopes.column_mut(own);
                column += &one.slope * TOGETHER.1;
            }
        }
        slopes
    }
}

impl Yield {
    /// How much of the yield all dyes of a job share moves this one.
    pub(super) fn alike(&self) -> f64 {
        alike(&self.with)
    }
}

fn alike(with: &InCompany) -> f64 {
    TOGETHER.0 + CROWDED * with.crowd
}

/// A job after learning.
#[derive(Debug, Clone)]
pub(super) struct JobSeen {
    pub(super) beside: Beside,
    /// Which deviations the job hangs on.
    pub(super) places: Vec<usize>,
    /// What is believed beside, the deviations being as believed.
    pub(super) mean: DVector<f64>,
    /// The logarithm of each dye's yield in the mixes of this job without what the job adds, on the mean; and
    /// how much of what all dyes of the job share moves it.
    pub(super) in_mixes: BTreeMap<usize, InCompany>,
    /// How unsure that is when the deviations are sure.
    pub(super) covariance: DMatrix<f64>,
    /// How it moves when they move: one row a number beside, one column a place.
    pub(super) gain: DMatrix<f64>,
}

impl JobSeen {
    /// Factor on what is fixed of this dye in the mixes of this job, on the mean.
    pub(super) fn yields(&self, dye: usize) -> f64 {
        let one = |with: &InCompany| colour::maths::exp(with.log + self.adds(dye, with));
        self.in_mixes.get(&dye).map_or(1.0, one)
    }

    /// What the job adds to the logarithm of this dye's yield in a bath of several.
    pub(super) fn adds(&self, dye: usize, with: &InCompany) -> f64 {
        let common = alike(with) * self.mean[self.beside.common()];
        let own = self.beside.own(dye).map_or(0.0, |at| TOGETHER.1 * self.mean[at]);
        common + own
    }
}
