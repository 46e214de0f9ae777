//! Finds the deviations that explain all readings best, and what stays in doubt.

use std::collections::BTreeMap;
use std::sync::Arc;

use nalgebra::{DMatrix, DVector};

use super::Experience;
use super::company::{Company, InCompany};
use super::gather::{Kept, Part, Slopes, colour_of, slopes};
use super::job::{Beside, JobSeen};
use super::prior::Prior;
use crate::Refusal;
use crate::sight::Looks;

/// Most steps; from the last optimum two or three are enough.
const ROUNDS: usize = 20;
/// Settled when a step gains less than this of the sum of squares.
const SETTLED: f64 = 1e-4;
/// Degrees of freedom of Student's t for what a dyeing is off by: near enough to normal that honest
/// readings lose little, and a forgotten salt does not drag every dye along (judgement).
const TAIL: f64 = 8.0;

/// One dyeing against what is believed, weighed.
struct Row {
    dyeing: usize,
    off: DVector<f64>,
    /// Inverse covariance of what is this dyeing's alone.
    sure: DMatrix<f64>,
    /// Slopes in what the job has beside.
    beside: DMatrix<f64>,
    slopes: Slopes,
}

/// One job's sums.
struct Sums {
    beside: Beside,
    places: Vec<usize>,
    rows: Vec<Row>,
    /// Curvature in the deviations, across, and beside.
    own: DMatrix<f64>,
    across: DMatrix<f64>,
    aside: DMatrix<f64>,
    pull: DVector<f64>,
    pull_beside: DVector<f64>,
}

impl Experience {
    /// Settles all deviations on what was read.
    pub(super) fn settle(&mut self) -> Result<(), Refusal> {
        let prior = self.prior()?;
        let mut at = self.mean.clone();
        let mut weights: Vec<f64> = vec![1.0; self.dyeings.len()];
        let mut damping = 1e-3;
        let mut sums = self.sums(&at, &mut weights)?;
        let mut cost = Self::cost(&sums, &at, &prior, |row| row.off.clone())?;
        for _ in 0..ROUNDS {
            let (curvature, pull) = normal(&sums, &at, &prior)?;
            let mut damped = curvature;
            for k in 0..damped.nrows() {
                damped[(k, k)] *= 1.0 + damping;
            }
            let step = damped.cholesky().ok_or_else(stuck)?.solve(&pull);
            let next = &at + step;
            let looks = self.looks_at(&next);
            let next_cost = Self::cost(&sums, &next, &prior, |row| {
                self.off(&self.dyeings[row.dyeing], &looks, &next)
            })?;
            if next_cost.is_finite() && next_cost <= cost {
                let settled = cost - next_cost < SETTLED;
                at = next;
                sums = self.sums(&at, &mut weights)?;
                cost = Self::cost(&sums, &at, &prior, |row| row.off.clone())?;
                damping = (damping * 0.2).max(1e-9);
                if settled {
                    break;
                }
            } else {
                damping *= 10.0;
                if damping > 1e6 {
                    break;
                }
            }
        }
        let (curvature, _) = normal(&sums, &at, &prior)?;
        self.covariance = curvature.cholesky().ok_or_else(stuck)?.inverse();
        self.looks = self.looks_at(&at).into_iter().map(Arc::new).collect();
        self.mean = at;
        let seen = |s: Sums| Ok::<_, Refusal>((s.beside.job, s.seen()?));
        self.jobs = sums.into_iter().map(seen).collect::<Result<_, _>>()?;
        Ok(())
    }

    pub(super) fn parts<'a>(&'a self, kept: &'a Kept, looks: &'a [Looks]) -> Vec<Part<'a>> {
        let of = |b: &super::InBath| {
            let strand =
                self.strands.iter().position(|s| s.dye == b.dye && s.fibre == kept.fibre)?;
            Some(Part {
                dye: b.dye,
                of: &self.stock[b.dye].dye,
                looks: &looks[strand],
                dose_pct: b.dose.to_percent(),
                beside: 0.0,
            })
        };
        kept.dyeing.bath.iter().filter_map(of).collect()
    }

    /// What was seen less what is believed, light by light.
    fn off(&self, kept: &Kept, looks: &[Looks], at: &DVector<f64>) -> DVector<f64> {
        let lights: Vec<_> = kept.seen.iter().map(|s| s.0).collect();
        let company = self.company_of(kept, at);
        seen(kept) - colour_of(&kept.dyeing.on, &self.parts(kept, looks), &company, &lights)
    }

    fn company_of(&self, kept: &Kept, at: &DVector<f64>) -> Company {
        let ties = self.ties_of(kept.dyeing.bath.iter().map(|b| b.dye));
        self.company(at, &ties, Some(kept.fibre))
    }

    fn sums(&self, at: &DVector<f64>, weights: &mut [f64]) -> Result<Vec<Sums>, Refusal> {
        let looks = self.looks_at(at);
        let mut jobs: BTreeMap<u64, Vec<usize>> = BTreeMap::new();
        for (place, kept) in self.dyeings.iter().enumerate() {
            jobs.entry(kept.dyeing.job).or_default().push(place);
        }
        let each =
            |(job, places): (u64, Vec<usize>)| self.job_sums(job, &places, (at, &looks), weights);
        jobs.into_iter().map(each).collect()
    }

    fn job_sums(
        &self,
        job: u64,
        dyeings: &[usize],
        (at, looks): (&DVector<f64>, &[Looks]),
        weights: &mut [f64],
    ) -> Result<Sums, Refusal> {
        let kept = |place: &usize| &self.dyeings[*place];
        let mut dyes: Vec<usize> =
            dyeings.iter().map(kept).flat_map(|k| &k.dyeing.bath).map(|b| b.dye).collect();
        dyes.sort_unstable();
        dyes.dedup();
        let bias = dyeings.iter().map(kept).map(|k| 3 * k.seen.len()).max().unwrap_or(0);
        let beside = Beside { job, bias, dyes };
        let mut places: Vec<usize> = dyeings
            .iter()
            .flat_map(|&d| {
                let kept = &self.dyeings[d];
                kept.dyeing.bath.iter().map(|b| (b.dye, kept.fibre))
            })
            .flat_map(|(dye, fibre)| {
                let strand = self.strands.iter().find(|s| s.dye == dye && s.fibre == fibre);
                strand.map(|s| s.at..s.at + s.len).into_iter().flatten()
            })
            .collect();
        for kept in dyeings.iter().map(kept).filter(|k| k.dyeing.bath.len() > 1) {
            let ties = self.ties_of(kept.dyeing.bath.iter().map(|b| b.dye));
            places.extend(ties.into_iter().filter_map(|tie| self.tie(tie, kept.fibre)));
        }
        places.sort_unstable();
        places.dedup();
        let (p, m) = (places.len(), beside.len());
        let mut sums = Sums {
            rows: vec![],
            own: DMatrix::zeros(p, p),
            across: DMatrix::zeros(p, m),
            aside: DMatrix::identity(m, m),
            pull: DVector::zeros(p),
            pull_beside: DVector::zeros(m),
            beside,
            places,
        };
        for &dyeing in dyeings {
            let row = self.row(dyeing, &sums.beside, (at, looks), weights[dyeing])?;
            sums.rows.push(row);
        }
        for row in &sums.rows {
            let mut full = DMatrix::zeros(row.off.len(), p);
            self.spread_out(row, &sums.places, &mut full);
            let weighed = &row.sure * &full;
            let weighed_off = &row.sure * &row.off;
            sums.own += full.transpose() * &weighed;
            sums.across += weighed.transpose() * &row.beside;
            sums.aside += row.beside.transpose() * &row.sure * &row.beside;
            sums.pull += full.transpose() * &weighed_off;
            sums.pull_beside += row.beside.transpose() * &weighed_off;
        }
        // The next sums take each dyeing at the weight its distance deserves.
        let aside = sums.aside.clone().cholesky().ok_or_else(stuck)?.solve(&sums.pull_beside);
        for row in &sums.rows {
            let left = &row.off - &row.beside * &aside;
            let far = (left.transpose() * &row.sure * &left)[(0, 0)] / weights[row.dyeing];
            #[expect(clippy::cast_precision_loss, reason = "three to nine rows")]
            let rows = left.len() as f64;
            weights[row.dyeing] = ((TAIL + rows) / (TAIL + far)).min(1.0);
        }
        Ok(sums)
    }

    fn row(
        &self,
        dyeing: usize,
        beside: &Beside,
        (at, looks): (&DVector<f64>, &[Looks]),
        weight: f64,
    ) -> Result<Row, Refusal> {
        let kept = &self.dyeings[dyeing];
        let lights: Vec<_> = kept.seen.iter().map(|s| s.0).collect();
        let company = self.company_of(kept, at);
        let slopes = slopes(&kept.dyeing.on, &self.parts(kept, looks), &company, &lights);
        let off = seen(kept) - &slopes.at;
        let alone = alone(kept, &slopes);
        let sure = alone.cholesky().ok_or_else(stuck)?.inverse() * weight;
        let mut aside = beside.slopes(off.len(), &slopes.by_yield);
        bias(kept, &mut aside);
        Ok(Row { dyeing, off, sure, beside: aside, slopes })
    }

    /// The row's slopes at their places among the job's.
    fn spread_out(&self, row: &Row, places: &[usize], full: &mut DMatrix<f64>) {
        let fibre = self.dyeings[row.dyeing].fibre;
        for (dye, slopes) in &row.slopes.by_dye {
            let Some(strand) = self.strands.iter().find(|s| s.dye == *dye && s.fibre == fibre)
            else {
                continue;
            };
            let Ok(at) = places.binary_search(&strand.at) else { continue };
            let mut part = full.columns_mut(at, strand.len);
            part += slopes;
        }
        let ties = self.ties_of(self.dyeings[row.dyeing].dyeing.bath.iter().map(|b| b.dye));
        for (tie, slope) in ties.into_iter().zip(row.slopes.by_tie()) {
            let at = self.tie(tie, fibre).and_then(|at| places.binary_search(&at).ok());
            let Some(at) = at else { continue };
            let mut part = full.column_mut(at);
            part += slope;
        }
    }

    /// The sum of squares: readings, what jobs have beside, and the distance from the prior.
    fn cost(
        sums: &[Sums],
        at: &DVector<f64>,
        prior: &Prior,
        off: impl Fn(&Row) -> DVector<f64>,
    ) -> Result<f64, Refusal> {
        let away = at - &prior.mean;
        let mut cost = (away.transpose() * &prior.precision * &away)[(0, 0)];
        for job in sums {
            let mut pull = DVector::zeros(job.beside.len());
            for row in &job.rows {
                let off = off(row);
                let weighed = &row.sure * &off;
                cost += off.dot(&weighed);
                pull += row.beside.transpose() * weighed;
            }
            cost -= pull.dot(&job.aside.clone().cholesky().ok_or_else(stuck)?.solve(&pull));
        }
        Ok(cost)
    }
}

impl Sums {
    fn seen(self) -> Result<JobSeen, Refusal> {
        let mut in_mixes: BTreeMap<usize, InCompany> = BTreeMap::new();
        for dye in &self.beside.dyes {
            let mixes = self.rows.iter().map(|r| &r.slopes.by_yield).filter(|y| y.len() > 1);
            let seen: Vec<InCompany> =
                mixes.flatten().filter(|y| y.dye == *dye).map(|y| y.with).collect();
            if !seen.is_empty() {
                in_mixes.insert(*dye, InCompany::mean(&seen));
            }
        }
        let covariance = self.aside.cholesky().ok_or_else(stuck)?.inverse();
        Ok(JobSeen {
            mean: &covariance * &self.pull_beside,
            gain: -(&covariance * self.across.transpose()),
            in_mixes,
            beside: self.beside,
            places: self.places,
            covariance,
        })
    }
}

/// Curvature and pull over all deviations, what jobs have beside summed out.
fn normal(
    sums: &[Sums],
    at: &DVector<f64>,
    prior: &Prior,
) -> Result<(DMatrix<f64>, DVector<f64>), Refusal> {
    let mut curvature = prior.precision.clone();
    let mut pull = &prior.precision * (&prior.mean - at);
    for job in sums {
        let aside = job.aside.clone().cholesky().ok_or_else(stuck)?;
        let own = &job.own - &job.across * aside.solve(&job.across.transpose());
        let one = &job.pull - &job.across * aside.solve(&job.pull_beside);
        for (i, &a) in job.places.iter().enumerate() {
            pull[a] += one[i];
            for (j, &b) in job.places.iter().enumerate() {
                curvature[(a, b)] += 0.5 * (own[(i, j)] + own[(j, i)]);
            }
        }
    }
    Ok((curvature, pull))
}

fn seen(kept: &Kept) -> DVector<f64> {
    let three = kept.seen.iter().flat_map(|(_, lab, _)| [lab.l, lab.a, lab.b]);
    DVector::from_iterator(3 * kept.seen.len(), three)
}

/// Covariance of what is this dyeing's alone: its reading, its doses, its dyeing.
pub(super) fn alone(kept: &Kept, slopes: &Slopes) -> DMatrix<f64> {
    let rows = slopes.at.len();
    let mut alone = DMatrix::identity(rows, rows) * 1e-6;
    let each = kept.dyeing.glimpse.spread / 3f64.sqrt();
    for (l, (_, _, unit)) in kept.seen.iter().enumerate() {
        let mut block = alone.view_mut((3 * l, 3 * l), (3, 3));
        block += unit * unit.transpose() * (each * each);
    }
    let scatter = kept.dyeing.scatter;
    let mut common = DVector::zeros(rows);
    for (part, one) in slopes.by_yield.iter().zip(&kept.dyeing.bath) {
        let slope = &part.slope;
        let own = scatter.each * scatter.each + one.scatter * one.scatter;
        alone += slope * slope.transpose() * own;
        common += slope;
    }
    alone + &common * common.transpose() * (scatter.common * scatter.common)
}

/// The slopes of a reading in the bias of its job.
pub(super) fn bias(kept: &Kept, beside: &mut DMatrix<f64>) {
    let each = kept.dyeing.glimpse.bias / 3f64.sqrt();
    for (l, (_, _, unit)) in kept.seen.iter().enumerate() {
        beside.view_mut((3 * l, 3 * l), (3, 3)).copy_from(&(unit * each));
    }
}

pub(super) fn stuck() -> Refusal {
    Refusal::CannotLearn
}
