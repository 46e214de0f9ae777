//! What dyes do in company: how much less, or more, is fixed of a dye because others are in the bath.
//!
//! Most of it is of the fibre and the dye, and the same from job to job, so that it is learnt over all jobs
//! like the dyes themselves: how far they compete for the sites of the fibre (one number a fibre, between
//! each for itself and one common Langmuir isotherm), how a mix yields beside its dyes (one a fibre), and how
//! one dye does in mixes (one a dye and fibre). What one job has beside (`job`) is small. A dye alone in its
//! bath has no company.
//!
//! Left out: shading of one dye by another band by band; it stands in the yields. Sources: competition by the
//! Langmuir isotherm of several dyes as in any textbook of dyeing; the spreads are judgement.

use super::{Experience, FIBRES_ALIKE};

/// How strongly the dyes of a bath may compete, 1 σ about not at all: at 1 a dye counts against the sites of
/// every other as against its own (judgement).
pub(super) const SITES: f64 = 0.65;
/// How far a mix yields otherwise than its dyes alone, 1 σ of the logarithm: all alike, and each dye by
/// itself (judgement).
pub(super) const MIXED: (f64, f64) = (0.06, 0.06);
/// Correlation of these on two fibres (judgement, as for the dyes).
pub(super) const COMPANY_ALIKE: f64 = FIBRES_ALIKE;

/// One number of company; a normal deviate of its prior.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Tie {
    /// Competition for the sites of the fibre.
    Sites,
    /// The yield of all dyes in mixes.
    Mixed,
    /// The yield of one dye in mixes: its first lot.
    Own(usize),
}

/// A tie on a fibre, and where it stands among all deviations.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Tied {
    pub(super) tie: Tie,
    pub(super) fibre: usize,
    pub(super) at: usize,
}

/// What is believed of the company in one bath.
#[derive(Debug, Clone, Default)]
pub(super) struct Company {
    pub(super) sites: f64,
    pub(super) mixed: f64,
    /// By dye of the bath; empty where nothing is known.
    pub(super) own: Vec<f64>,
}

/// The yield of one dye in company.
#[derive(Debug, Clone, Copy)]
pub(super) struct InCompany {
    /// The logarithm of the factor on what is fixed.
    pub(super) log: f64,
    /// Its slope in the deviate of competition.
    pub(super) sites: f64,
    /// How crowded the fibre is by the other dyes: 0 when alone or pale, towards 1 in a deep mix.
    pub(super) crowd: f64,
}

impl InCompany {
    /// The mean of several; each of its numbers by itself.
    pub(super) fn mean(of: &[Self]) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "some swatches")]
        let count = of.len().max(1) as f64;
        let mean = |one: fn(&Self) -> f64| of.iter().map(one).sum::<f64>() / count;
        Self { log: mean(|c| c.log), sites: mean(|c| c.sites), crowd: mean(|c| c.crowd) }
    }
}

impl Company {
    /// Each dye of a bath, from its depth in units of the depth at which half of its yield is lost.
    pub(super) fn yields(&self, depths: &[f64]) -> Vec<InCompany> {
        let all: f64 = depths.iter().sum();
        let strength = SITES * self.sites;
        let one = |(i, own): (usize, &f64)| {
            if depths.len() < 2 {
                return InCompany { log: 0.0, sites: 0.0, crowd: 0.0 };
            }
            let others = all - own;
            // Langmuir: (1 + own) / (1 + own + strength × others); below nought the same the other way.
            let filled = others / (1.0 + own);
            let room = 1.0 + strength.abs() * filled;
            let competing = -strength.signum() * colour::maths::ln(room);
            let beside = MIXED.0 * self.mixed + MIXED.1 * self.own.get(i).unwrap_or(&0.0);
            InCompany {
                log: competing + beside,
                sites: -SITES * filled / room,
                crowd: others / (1.0 + all),
            }
        };
        depths.iter().enumerate().map(one).collect()
    }
}

impl Experience {
    /// Where a tie on a fibre stands.
    pub(super) fn tie(&self, tie: Tie, fibre: usize) -> Option<usize> {
        self.ties.iter().find(|t| t.tie == tie && t.fibre == fibre).map(|t| t.at)
    }

    /// The ties of a bath on a fibre: its own in the order of its dyes, after the two of the fibre.
    pub(super) fn ties_of(&self, dyes: impl Iterator<Item = usize>) -> Vec<Tie> {
        let own = dyes.map(|dye| Tie::Own(self.first_lot(dye)));
        [Tie::Sites, Tie::Mixed].into_iter().chain(own).collect()
    }

    /// What is believed of them, with these deviations.
    pub(super) fn company(
        &self,
        mean: &nalgebra::DVector<f64>,
        ties: &[Tie],
        fibre: Option<usize>,
    ) -> Company {
        let believed = |tie: &Tie| fibre.and_then(|f| self.tie(*tie, f)).map_or(0.0, |at| mean[at]);
        let all: Vec<f64> = ties.iter().map(believed).collect();
        Company { sites: all[0], mixed: all[1], own: all[2..].to_vec() }
    }
}
