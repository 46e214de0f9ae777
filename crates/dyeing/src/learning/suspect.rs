//! What may be wrong with the jars of one job: its readings under honest dyes, and under faults with names.
//!
//! A dye on the shelf is known so loosely that a jar with another dye in it seldom gives a colour that is
//! impossible; it gives one that another dye explains *better*. So the readings of a job are weighed against
//! named faults: a jar that holds another dye of the shelf, a dye that glows, a bath in which half of the dye
//! took (salt or time forgotten). The evidence of each is Laplace's: the job's own dyes, its reader's bias and what
//! its dyes do together, settled on its readings alone from what was believed before it. The answer
//! is the odds of each kind, all its faults together, against honest dyes; before any reading a jar is in question as
//! much as its dye shows (what its fault would do to the colours hangs on that). Were the model of honest dyes exact,
//! odds of c or more of one kind at any reading of a job would come up in at most 1 of c honest jobs (Ville's inequality, J. Ville,
//! "Étude critique de la notion de collectif", 1939).
//!
//! Left out: what to do about it, and the words to ask with (the caller's); correlations are carried along as they
//! were believed, other jobs' readings are not looked at again.

mod looked;

use colour::{Lab, Weights, maths};
use nalgebra::{DMatrix, DVector, Matrix3};

use super::company::Company;
use super::gather::one_unit;
use super::{Dyeing, Experience, colours};
use crate::{Dye, Refusal};

/// A fault with a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Suspect {
    /// The jar of this dye holds another of the stock.
    Holds {
        /// The place of the dye on the label.
        dye: usize,
        /// The place of what is in it.
        other: usize,
    },
    /// This dye glows: it sends out part of the light it absorbs.
    Glows {
        /// Its place.
        dye: usize,
    },
    /// In this dyeing, counted in the order given, half of the dye took.
    Short {
        /// Which dyeing.
        dyeing: usize,
    },
}

impl Suspect {
    /// The dye on the label of the jar in question.
    const fn label(self) -> Option<usize> {
        match self {
            Self::Holds { dye, .. } | Self::Glows { dye } => Some(dye),
            Self::Short { .. } => None,
        }
    }

    const fn kind(self) -> usize {
        match self {
            Self::Holds { .. } => 0,
            Self::Glows { .. } => 1,
            Self::Short { .. } => 2,
        }
    }
}

/// How the readings of a job speak for a fault.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Doubt {
    /// Odds of some jar with another dye in it against honest dyes, were either as likely before.
    pub holds: f64,
    /// The same of some dye that glows.
    pub glows: f64,
    /// The same of some dyeing in which half of the dye took.
    pub short: f64,
    /// What to ask about first.
    pub likeliest: Suspect,
    /// Its share of all that speaks for a fault of its kind, 0 to 1.
    pub share: f64,
}

impl Doubt {
    /// Whether to ask the maker what happened.
    #[must_use]
    pub fn asks(&self) -> bool {
        self.over() >= 1.0
    }

    /// The odds of the kind most in question, in units of those it is asked about from.
    fn over(&self) -> f64 {
        let odds = [self.holds, self.glows, self.short];
        odds.iter().zip(ASKED).map(|(odds, asked)| odds / asked).fold(0.0, f64::max)
    }
}

/// Odds from which the maker is asked about another dye in a jar, a glow, a dyeing that came out short. Set in
/// simulation, on 4,320 honest jobs, so that all three together and single readings beyond belief ask in 4.4 % of them
/// after two swatches: what a glow does can nearly be had by stronger dyes, what a strange dye does cannot, and so
/// the same odds come up by chance at unlike rates.
const ASKED: [f64; 3] = [2.5, 2.5, 30.0];

/// A glowing dye as supposed: share of the absorbed light sent out, how far above its main band (nm), each with
/// its spread, and the full width of the emission, cm⁻¹ (from memory: dyes of the xanthene and coumarin kinds).
const GLOW: [(f64, f64); 2] = [(0.3, 0.1), (30.0, 8.0)];
const GLOW_WIDTH: f64 = 1300.0;
/// How far the dyes of one job may yield otherwise together than was believed, 1 σ of the logarithm: all of them alike,
/// each by itself, and what the first grows by on a crowded fibre (judgement: what stays the same from
/// job to job and what one job adds, in one).
const BESIDE: (f64, f64) = (0.07, 0.07);
const CROWDING: f64 = 0.6;
/// Half of the dye took, as a logarithm with its spread (judgement).
const SHORT: (f64, f64) = (-0.693, 0.1);
/// Most steps of one settling, and what a further step must gain.
const ROUNDS: usize = 5;
const GAIN: f64 = 0.05;
/// How many suppositions of each kind are settled to the end, the likeliest by a first glance of so many steps.
const SETTLED: usize = 3;
const GLANCE: usize = 1;

impl Experience {
    /// How the dyeings of one job, read, speak for a fault; `self` is what was believed before that job. `others` are
    /// the places of what may stand in a wrong jar.
    ///
    /// # Errors
    /// A dye that is not in stock, no dyeing at all, or sums that cannot be solved.
    pub fn doubt(&self, dyeings: &[Dyeing], others: &[usize]) -> Result<Doubt, Refusal> {
        let mut dyes: Vec<usize> = vec![];
        for one in dyeings.iter().flat_map(|d| &d.bath) {
            if one.dye >= self.stock.len() {
                return Err(Refusal::NotInStock { place: one.dye, stock: self.stock.len() });
            }
            if !dyes.contains(&one.dye) {
                dyes.push(one.dye);
            }
        }
        let fibre = dyeings.first().ok_or(Refusal::NothingDyed)?.fibre.as_str();
        let readings: Vec<Read> = dyeings.iter().map(|d| Read::of(d, &dyes)).collect();
        let evidence = |fault: Option<Suspect>, rounds: usize| {
            Case::of(self, fibre, &dyes, &readings, fault)?.evidence(rounds)
        };
        let honest = evidence(None, ROUNDS)?;
        let shown = Case::of(self, fibre, &dyes, &readings, None)?.shows();
        let mut faults: Vec<(Suspect, f64)> = vec![];
        for &dye in &dyes {
            let strange = others.iter().filter(|o| !dyes.contains(o) && **o < self.stock.len());
            faults.extend(strange.map(|&other| (Suspect::Holds { dye, other }, 0.0)));
            faults.push((Suspect::Glows { dye }, 0.0));
        }
        faults.extend((0..dyeings.len()).map(|dyeing| (Suspect::Short { dyeing }, 0.0)));
        for (fault, at) in &mut faults {
            *at = evidence(Some(*fault), GLANCE)?;
        }
        faults.sort_by(|a, b| b.1.total_cmp(&a.1));
        let mut kinds: [Vec<(Suspect, f64)>; 3] = Default::default();
        for (fault, at) in faults {
            let kind = &mut kinds[fault.kind()];
            let settled = kind.len() < SETTLED;
            kind.push((fault, if settled { evidence(Some(fault), ROUNDS)? } else { at }));
        }
        let shows = |dye: usize| {
            dyes.iter().zip(&shown).find(|(one, _)| **one == dye).map_or(0.0, |(_, shown)| *shown)
        };
        let mut odds = [0.0; 3];
        let mut first: Option<(f64, Suspect, f64)> = None;
        for (k, kind) in kinds.iter().enumerate().filter(|(_, kind)| !kind.is_empty()) {
            let before = |one: &(Suspect, f64)| one.0.label().map_or(1.0, shows);
            let speaks =
                |one: &(Suspect, f64)| before(one) * maths::exp((one.1 - honest).min(500.0));
            let sum: f64 = kind.iter().map(speaks).sum();
            let all: f64 = kind.iter().map(before).sum();
            odds[k] = sum / all.max(f64::MIN_POSITIVE);
            let Some(best) = kind.iter().max_by(|a, b| speaks(a).total_cmp(&speaks(b))) else {
                continue;
            };
            let over = odds[k] / ASKED[k];
            if first.is_none_or(|f| over > f.0) {
                first = Some((over, best.0, speaks(best) / sum.max(f64::MIN_POSITIVE)));
            }
        }
        let (_, likeliest, share) = first.ok_or(Refusal::CannotLearn)?;
        let [holds, glows, short] = odds;
        Ok(Doubt { holds, glows, short, likeliest, share })
    }
}

/// One dyeing as needed here: by slot of the job's dyes the dose (% owf) and its scatter.
struct Read<'a> {
    dyeing: &'a Dyeing,
    doses: Vec<Option<(f64, f64)>>,
    seen: Vec<(&'static Weights, Lab, Matrix3<f64>)>,
}

impl<'a> Read<'a> {
    fn of(dyeing: &'a Dyeing, dyes: &[usize]) -> Self {
        let dose = |dye: &usize| {
            let one = dyeing.bath.iter().find(|b| b.dye == *dye)?;
            Some((one.dose.to_percent(), one.scatter))
        };
        let seen = colours(&dyeing.glimpse.seen);
        Self {
            dyeing,
            doses: dyes.iter().map(dose).collect(),
            seen: seen.into_iter().map(|(w, lab)| (w, lab, one_unit(lab))).collect(),
        }
    }

    /// Whether more than one dye was in the bath.
    fn several(&self) -> bool {
        self.doses.iter().flatten().count() > 1
    }
}

/// The readings of a job under one supposition. What is settled, in order: the deviations of each dye, the bias of
/// the reader (three a light), the yield all dyes share, each dye's own, and what belongs to the fault.
struct Case<'a> {
    readings: &'a [Read<'a>],
    fault: Option<Suspect>,
    /// The slot of the dye that glows.
    glows: Option<usize>,
    dyes: Vec<&'a Dye>,
    /// Where the deviations of each dye begin.
    starts: Vec<usize>,
    /// Where what is beside the dyes begins, and how many numbers of bias come first.
    beside: usize,
    bias: usize,
    mean: DVector<f64>,
    covariance: DMatrix<f64>,
    /// What was believed of these dyes in company.
    company: Company,
}

impl<'a> Case<'a> {
    fn of(
        known: &'a Experience,
        fibre: &str,
        labels: &[usize],
        readings: &'a [Read<'a>],
        fault: Option<Suspect>,
    ) -> Result<Self, Refusal> {
        let inside = |label: usize| match fault {
            Some(Suspect::Holds { dye, other }) if dye == label => other,
            _ => label,
        };
        let places: Vec<usize> = labels.iter().map(|l| inside(*l)).collect();
        let dyes: Vec<&Dye> = places.iter().map(|p| &known.stock[*p].dye).collect();
        let strands: Vec<_> = places.iter().map(|p| known.strand(*p, fibre).copied()).collect();
        let mut starts = vec![];
        let mut beside = 0;
        for dye in &dyes {
            starts.push(beside);
            beside += dye.belief.len();
        }
        let bias = 3 * readings.iter().map(|r| r.seen.len()).max().unwrap_or(0);
        let own: &[(f64, f64)] = match fault {
            Some(Suspect::Glows { .. }) => &GLOW,
            Some(Suspect::Short { .. }) => &[SHORT],
            _ => &[],
        };
        let size = beside + bias + 1 + dyes.len() + own.len();
        let mut mean = DVector::zeros(size);
        let mut covariance = DMatrix::identity(size, size);
        for (i, dye) in dyes.iter().enumerate() {
            let (at, len) = (starts[i], dye.belief.len());
            let Some(strand) = strands[i] else {
                mean.rows_mut(at, len).copy_from(&dye.belief.mean);
                covariance.view_mut((at, at), (len, len)).copy_from(&dye.belief.covariance);
                continue;
            };
            mean.rows_mut(at, len).copy_from(&known.mean.rows(strand.at, len));
            for (j, other) in strands.iter().enumerate() {
                let Some(other) = other else { continue };
                let shared = known.covariance.view((strand.at, other.at), (len, other.len));
                covariance.view_mut((at, starts[j]), (len, other.len)).copy_from(&shared);
            }
        }
        for (k, (at, spread)) in own.iter().enumerate() {
            let place = size - own.len() + k;
            mean[place] = *at;
            covariance[(place, place)] = spread * spread;
        }
        for k in 0..beside {
            // Keeps a dye that is known without doubt from leaving nothing to solve.
            covariance[(k, k)] += 1e-9;
        }
        let glows = match fault {
            Some(Suspect::Glows { dye }) => labels.iter().position(|l| *l == dye),
            _ => None,
        };
        let on = known.fibres.iter().position(|f| f == fibre);
        let ties = known.ties_of(places.iter().copied());
        let company = known.company(&known.mean, &ties, on);
        Ok(Self { readings, fault, glows, dyes, starts, beside, bias, mean, covariance, company })
    }

    /// ln of the evidence, but for what all suppositions share.
    fn evidence(&self, rounds: usize) -> Result<f64, Refusal> {
        let stuck = || Refusal::CannotLearn;
        let precision = self.covariance.clone().cholesky().ok_or_else(stuck)?.inverse();
        let mut at = self.mean.clone();
        let mut sums = self.sums(&at);
        let cost = |at: &DVector<f64>, sums: &Sums| -> Result<f64, Refusal> {
            let root = sums.alone.clone().cholesky().ok_or_else(stuck)?;
            let away = at - &self.mean;
            Ok(away.dot(&(&precision * &away)) + sums.off.dot(&root.solve(&sums.off)))
        };
        let mut now = cost(&at, &sums)?;
        for _ in 0..rounds {
            let across = &self.covariance * sums.slopes.transpose();
            let spread = &sums.slopes * &across + &sums.alone;
            let off = &sums.off + &sums.slopes * (&at - &self.mean);
            let to = &self.mean + across * spread.cholesky().ok_or_else(stuck)?.solve(&off);
            let mut step = to - &at;
            let mut better = None;
            for _ in 0..4 {
                let next = &at + &step;
                let next_sums = self.sums(&next);
                let then = cost(&next, &next_sums)?;
                if then < now {
                    better = Some((next, next_sums, then));
                    break;
                }
                step *= 0.4;
            }
            let Some((next, next_sums, then)) = better else { break };
            let gained = now - then;
            (at, sums, now) = (next, next_sums, then);
            if gained < GAIN {
                break;
            }
        }
        let spread = &sums.slopes * &self.covariance * sums.slopes.transpose() + &sums.alone;
        let root = spread.cholesky().ok_or_else(stuck)?;
        let ln_det: f64 = root.l().diagonal().iter().map(|d| 2.0 * maths::ln(*d)).sum();
        Ok(-0.5 * (now + ln_det))
    }
}

struct Sums {
    /// What was read less what is supposed.
    off: DVector<f64>,
    slopes: DMatrix<f64>,
    /// Covariance of what is each dyeing's alone.
    alone: DMatrix<f64>,
}
