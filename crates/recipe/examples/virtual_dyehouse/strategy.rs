//! What a strategy is told of a piece, what it is asked, and what it may answer.
//!
//! A strategy is one way to come to a colour: ours, or a rival's. It sees what a maker sees and nothing
//! else: what is published of the dyes, ladders where there are any, the target, and readings.

use std::error::Error;

use colour::{Lab, ciede2000};
use dyehouse::{Bolt, Finish, Reading, Step};
use dyeing::{Dye, Substrate};
use nalgebra::{Matrix3, Vector3};
use recipe::Target;
use units::{LiquorRatio, OnFibre};

/// Anything that stops a run; said once, with the job it happened in.
pub(crate) type Fault = Box<dyn Error + Send + Sync>;

/// A recipe: places on the shelf, each with its dose. Never the same place twice.
pub(crate) type Doses = Vec<(usize, OnFibre)>;

/// What is known of one piece before its first swatch.
pub(crate) struct Told<'a> {
    /// Which cloth of the house: what was learnt on one is not the same on another.
    pub(crate) bolt: Bolt,
    /// The cloth as the program models it, at the liquor ratio of the house.
    pub(crate) on: &'a Substrate,
    /// Every dye of the shelf as published, by place. All of them may be used.
    pub(crate) published: &'a [Dye],
    /// The same dyes after their ladders, each taught by its own; equal to `published` without any.
    pub(crate) known: &'a [Dye],
    /// The ladders on this cloth, to learn from them in another way.
    pub(crate) ladders: &'a [Step],
    /// The liquor ratio of every dyeing.
    pub(crate) ratio: LiquorRatio,
    /// How far a dose may be off, one standard deviation as a share of it: by what it is measured is known to whoever
    /// measures.
    pub(crate) dosing: f64,
    /// Stated scatter of the reader, rms ΔE00; half of its variance is one bias of this job.
    pub(crate) reading: f64,
    /// The colour to reach, D65/10°.
    pub(crate) lab: Lab,
    /// The same with its likeliest spectrum, for a search.
    pub(crate) target: Target,
    /// The piece's tolerance, ΔE00.
    pub(crate) tolerance: f64,
}

/// One swatch, dyed and read.
pub(crate) struct Swatch<'a> {
    /// Which of the piece, from 1.
    pub(crate) number: u32,
    /// What it was dyed with, as told to the dyehouse.
    pub(crate) doses: &'a Doses,
    /// What was read, and what the reading says of the cloth's finish.
    pub(crate) reading: Reading,
    /// True when this was the last dyeing from the old lot: the packs say that every dye is of a new lot
    /// from the next dyeing on. Ladders are of the old lot.
    pub(crate) lot_ends: bool,
}

impl Swatch<'_> {
    /// A reading of cloth that was not washed off says nothing of the finished colour.
    pub(crate) fn teaches(&self) -> bool {
        self.reading.finish == Finish::WashedOff
    }
}

/// One way to come to a colour, for one piece.
pub(crate) trait Strategy {
    /// The recipe it stands by now: this is what is judged after so many readings.
    fn propose(&mut self) -> Result<Doses, Fault>;

    /// What it dyes the next swatch with: the same recipe, unless another would teach more.
    fn swatch(&mut self) -> Result<Doses, Fault> {
        self.propose()
    }

    /// Takes in a swatch.
    fn see(&mut self, swatch: &Swatch) -> Result<(), Fault>;

    /// Where the noise-free colour of the recipe it stands by lies with 90 % probability; none from a
    /// strategy that does not say.
    fn region90(&mut self) -> Result<Option<Region>, Fault> {
        Ok(None)
    }

    /// What it says of the swatches so far; asked before the first and after each.
    fn advice(&mut self) -> Result<Option<Advice>, Fault> {
        Ok(None)
    }
}

/// A strategy that goes from piece to piece of one costume and keeps what it learnt of the dyes.
pub(crate) trait Carries<'a>: Strategy {
    /// Begins another piece. The shelf is the same, place by place; the cloth may be another.
    fn turn_to(&mut self, told: &'a Told<'a>) -> Result<(), Fault>;
}

/// Opens a strategy on one piece.
pub(crate) type Opens = for<'a> fn(&'a Told<'a>) -> Result<Box<dyn Strategy + 'a>, Fault>;

/// A region of CIELAB, D65/10°.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Region {
    /// All colours this near, in ΔE00.
    Near {
        /// The middle.
        centre: Lab,
        /// How far, ΔE00.
        within: f64,
    },
    /// All colours whose squared Mahalanobis distance is at most `within`.
    Ellipsoid {
        /// The middle.
        centre: Lab,
        /// The covariance of L*, a*, b*.
        covariance: [[f64; 3]; 3],
        /// 6.2514 holds 90 % of a normal colour; more where a tail is expected.
        within: f64,
    },
}

/// The 0.9 quantile of χ² with 3 degrees of freedom (standard tables).
pub(crate) const NINETY_OF_THREE: f64 = 6.2514;

impl Region {
    /// Whether a colour lies in it.
    pub(crate) fn holds(&self, lab: Lab) -> bool {
        match self {
            Self::Near { centre, within } => ciede2000(*centre, lab) <= *within,
            Self::Ellipsoid { centre, covariance, within } => {
                let away = Vector3::new(lab.l - centre.l, lab.a - centre.a, lab.b - centre.b);
                let inverse = matrix(covariance).try_inverse();
                // A covariance without an inverse is no region: it holds nothing.
                inverse.is_some_and(|inverse| (inverse * away).dot(&away) <= *within)
            }
        }
    }

    /// Its size: the half-axes of the ellipsoid as one figure, the radius of the ball of the same volume
    /// in CIELAB units; the radius in ΔE00 where that is what was stated.
    pub(crate) fn size(&self) -> f64 {
        match self {
            Self::Near { within, .. } => *within,
            Self::Ellipsoid { covariance, within, .. } => {
                within.sqrt() * matrix(covariance).determinant().max(0.0).powf(1.0 / 6.0)
            }
        }
    }
}

fn matrix(rows: &[[f64; 3]; 3]) -> Matrix3<f64> {
    Matrix3::from_fn(|i, j| rows[i][j])
}

/// What is said to the maker.
#[derive(Debug, Clone)]
pub(crate) struct Advice {
    /// Stop or go on.
    pub(crate) verdict: Verdict,
    /// True while all swatches so far say that something is wrong that no belief explains: a jar that holds
    /// another dye, a dye that glows, salt forgotten.
    pub(crate) alarm: bool,
    /// The best recipe if it went on, whether it says so or not: what stopping gives up.
    pub(crate) further: Doses,
}

/// Stop or go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Verdict {
    /// Good enough: keep to the recipe it stands by. Said before the first swatch: none is needed.
    Stop,
    /// The recipe it stands by is better than the one last dyed.
    Improve,
    /// What was read does not tell the two apart; it stands by the one it expects less of a miss of.
    Unsettled,
}
