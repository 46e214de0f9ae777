//! What all swatches so far have taught of the dyes on the shelf: one model, both ways.
//!
//! Every dye on every fibre it was dyed on is a *strand*: its numbers as deviations from what was
//! written of it (`belief`). Strands of one dye on several fibres are alike by [`FIBRES_ALIKE`]; another
//! lot is the same dye give or take [`LOT`]. Every swatch, read washed off and dry, is one observation of
//! all strands in its bath. The deviations that explain all readings best, and what remains in doubt
//! of them *together*, are found by Gauss–Newton from the prior and Laplace's approximation, so that a
//! swatch of a mix narrows the mix long before it narrows any one of its dyes.
//!
//! Beside each dye alone stands what dyes do in company (`company`), learnt over all jobs in the same sums.
//! Three things more are reckoned with, so that they are not learnt as dye: the reader's bias in a job (half
//! of a camera's error is the same all through one session); the scatter of measuring out and dyeing; and
//! what the dyes of one job do *together* that other jobs do not show ([`TOGETHER`]).
//! A reading that cannot be believed weighs less the further it lies out, and is told (`Surprise`).
//!
//! Left out: which readings may teach (the condition of a reading is the workbook's), which recipe to
//! try next (`recipe`). Sources: Gauss–Newton and Laplace as in any textbook of inference; Student's t for
//! readings with tails after Lange, Little and Taylor, J. Am. Stat. Assoc. 84 (1989) 881.

mod company;
mod foretold;
mod gather;
mod job;
pub(crate) mod kin;
mod prior;
mod settle;
mod surprise;
mod suspect;
mod thought;

use std::collections::BTreeMap;
use std::sync::Arc;

use colour::{Bands, Lab};
use nalgebra::{DMatrix, DVector};
use units::OnFibre;

pub use foretold::Foretold;
pub use surprise::{Surprise, asked_about};
pub use suspect::{Doubt, Suspect};
pub use thought::Thought;

use crate::sight::Looks;
use crate::{Dye, Knowledge, Refusal, Scatter, Substrate};
use job::JobSeen;

/// Correlation of one dye's deviations on two fibres (judgement: strength, hue and build-up go along
/// with the dye as much as with the fibre).
pub const FIBRES_ALIKE: f64 = 0.5;

/// How far another lot lies from the first, 1 σ: strength by this factor, all bands by these nm
/// (judgement; makers' own tolerances are of that order).
pub const LOT: (f64, f64) = (1.15, 2.0);

/// How far the dyes of one job yield otherwise together than their company does in other jobs, 1 σ of the
/// logarithm: all of them alike, and each by itself (judgement). What stays the same from job to job is learnt
/// over all of them (`company`).
pub const TOGETHER: (f64, f64) = (0.03, 0.03);

/// What the first of these grows by on a fibre crowded by other dyes: all of it where a deep mix fills the
/// sites (judgement).
pub const CROWDED: f64 = 0.15;

/// One dye as stocked: a dye of the shelf, or another lot of one.
#[derive(Debug, Clone)]
pub struct Stocked {
    /// The dye as it was known before any swatch.
    pub dye: Dye,
    /// The place of the dye that this is another lot of.
    pub lot_of: Option<usize>,
}

/// One dye of a bath.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InBath {
    /// Its place in the stock.
    pub dye: usize,
    /// The dose, as really measured out.
    pub dose: OnFibre,
    /// Relative scatter of that dose (1 σ).
    pub scatter: f64,
}

/// What is read off a cloth, and how well the reader reads.
#[derive(Debug, Clone, Copy)]
pub struct Glimpse {
    /// The colour, D65/10°, or the spectrum.
    pub seen: crate::Seen,
    /// What all readings of this job are off by together, rms ΔE00.
    pub bias: f64,
    /// What this reading is off by beside that, rms ΔE00.
    pub spread: f64,
}

/// One dyeing that was read.
#[derive(Debug, Clone)]
pub struct Dyeing {
    /// The cloth, ready for the class at the liquor ratio it was dyed at.
    pub on: Substrate,
    /// What it is of: dyes are known fibre by fibre.
    pub fibre: String,
    /// The job: readings of one job share their bias, its dyes what they do together.
    pub job: u64,
    /// What was in the bath.
    pub bath: Vec<InBath>,
    /// How alike two such dyeings come out.
    pub scatter: Scatter,
    /// What was read.
    pub glimpse: Glimpse,
}

/// Where a recipe is thought of: the cloth, its fibre, and the job whose swatches it goes on from.
#[derive(Debug, Clone, Copy)]
pub struct Setting<'a> {
    /// The cloth, ready for the class.
    pub on: &'a Substrate,
    /// What it is of.
    pub fibre: &'a str,
    /// The job.
    pub job: u64,
}

/// One dye on one fibre.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Strand {
    pub(crate) dye: usize,
    pub(crate) fibre: usize,
    /// Where its deviations begin among all.
    pub(crate) at: usize,
    pub(crate) len: usize,
}

/// All that is known of a stock of dyes.
#[derive(Debug, Clone)]
pub struct Experience {
    stock: Vec<Stocked>,
    fibres: Vec<String>,
    strands: Vec<Strand>,
    ties: Vec<company::Tied>,
    /// The looks of each strand as believed; kept by `settle`.
    looks: Vec<Arc<Looks>>,
    mean: DVector<f64>,
    covariance: DMatrix<f64>,
    dyeings: Vec<gather::Kept>,
    jobs: BTreeMap<u64, JobSeen>,
}

impl Experience {
    /// Of a stock nobody has swatched yet.
    ///
    /// # Errors
    /// Where a lot is said to be of a dye that is not there, or of another lot.
    pub fn try_new(stock: Vec<Stocked>) -> Result<Self, Refusal> {
        for (place, one) in stock.iter().enumerate() {
            let Some(of) = one.lot_of else { continue };
            let sound = stock.get(of).is_some_and(|first| of != place && first.lot_of.is_none());
            if !sound {
                return Err(Refusal::NoSuchLot { id: one.dye.id.clone() });
            }
        }
        Ok(Self {
            stock,
            fibres: vec![],
            strands: vec![],
            ties: vec![],
            looks: vec![],
            mean: DVector::zeros(0),
            covariance: DMatrix::zeros(0, 0),
            dyeings: vec![],
            jobs: BTreeMap::new(),
        })
    }

    /// Learns from dyeings, all at once; says of each how much of a surprise it was before.
    ///
    /// # Errors
    /// A dyeing without dye, of a dye that is not in stock, or with numbers that are none. Then nothing is
    /// learnt.
    pub fn learn(&mut self, dyeings: Vec<Dyeing>) -> Result<Vec<Surprise>, Refusal> {
        let mut next = self.clone();
        let from = next.dyeings.len();
        for dyeing in dyeings {
            next.keep(dyeing)?;
        }
        let surprises = next.dyeings[from..].iter().map(|kept| self.surprise(kept));
        let surprises = surprises.collect::<Result<_, _>>()?;
        next.settle()?;
        *self = next;
        Ok(surprises)
    }

    /// Puts more into the stock: what stands in it keeps its place, further dyes and lots follow.
    ///
    /// # Errors
    /// Where a place is left out, or a lot is of no dye.
    pub fn restock(&mut self, stock: Vec<Stocked>) -> Result<(), Refusal> {
        if stock.len() < self.stock.len() {
            return Err(Refusal::NotInStock { place: stock.len(), stock: stock.len() });
        }
        let fresh = Self::try_new(stock)?;
        let mut next = self.clone();
        next.stock = fresh.stock;
        for strand in self.strands.clone() {
            next.add_strands(strand.dye, strand.fibre);
        }
        next.settle()?;
        *self = next;
        Ok(())
    }

    /// Makes ready for a fibre no swatch was of yet: what other fibres taught of a dye is worth something there.
    ///
    /// # Errors
    /// Where the sums cannot be solved.
    pub fn also_on(&mut self, fibre: &str) -> Result<(), Refusal> {
        if self.fibres.iter().any(|f| f == fibre) {
            return Ok(());
        }
        let mut next = self.clone();
        next.fibres.push(fibre.to_owned());
        let at = next.fibres.len() - 1;
        for strand in self.strands.clone() {
            next.add_strands(strand.dye, at);
        }
        next.settle()?;
        *self = next;
        Ok(())
    }

    /// How many dyeings it has learnt from.
    #[must_use]
    pub fn learnt_from(&self) -> usize {
        self.dyeings.len()
    }

    /// Whether a swatch of this job was learnt from.
    #[must_use]
    pub fn has_seen(&self, job: u64) -> bool {
        self.jobs.contains_key(&job)
    }

    /// The stock as it was before any swatch.
    #[must_use]
    pub fn stock(&self) -> &[Stocked] {
        &self.stock
    }

    /// A dye as believed now on a fibre, alone in its bath (`yields` says what company does to it).
    #[must_use]
    pub fn dye(&self, place: usize, fibre: &str) -> Option<Dye> {
        let mut dye = self.stock.get(place)?.dye.clone();
        if let Some(strand) = self.strand(place, fibre) {
            let (at, len) = (strand.at, strand.len);
            dye.belief.mean = self.mean.rows(at, len).into_owned();
            dye.belief.covariance = self.covariance.view((at, at), (len, len)).into_owned();
            dye.sight = crate::sight::Sight::default();
            if self.dyeings.iter().any(|d| d.holds(place)) {
                dye.knowledge = Knowledge::Swatches;
            }
        }
        Some(dye)
    }

    /// The same with what its company did to it in the mixes of this job, on the mean.
    #[must_use]
    pub fn dye_in_job(&self, place: usize, fibre: &str, job: u64) -> Option<Dye> {
        let mut dye = self.dye(place, fibre)?;
        dye.strength *= self.jobs.get(&job).map_or(1.0, |seen| seen.yields(place));
        Some(dye)
    }

    fn place_of(&self, fibre: &str) -> Option<usize> {
        self.fibres.iter().position(|f| f == fibre)
    }

    fn strand(&self, dye: usize, fibre: &str) -> Option<&Strand> {
        let fibre = self.place_of(fibre)?;
        self.strands.iter().find(|s| s.dye == dye && s.fibre == fibre)
    }
}

/// What was read, light by light.
pub(crate) fn colours(seen: &crate::Seen) -> Vec<(&'static colour::Weights, Lab)> {
    let of = |light, bands: &Bands| {
        let weights = colour::Weights::of(light, colour::Observer::Ten);
        (weights, weights.lab(bands))
    };
    match seen {
        crate::Seen::Colour(lab) => vec![(colour::Weights::reference(), *lab)],
        crate::Seen::Spectrum(bands) => crate::teach::LIGHTS.map(|light| of(light, bands)).into(),
    }
}
