//! What recipes will look like, together: for one recipe its colour and spread, for several also how
//! their errors hang together (two recipes of the same dyes miss alike).

use std::collections::BTreeMap;

use colour::{Lab, Weights};
use nalgebra::{DMatrix, DVector, Matrix3, Vector3};

use super::gather::{Part, Slopes, one_unit, slopes};
use super::{Experience, InBath, Setting, Strand, TOGETHER};
use crate::predict::vector;
use crate::sight::Looks;
use crate::spread::slopes_of_difference;
use crate::{Dye, Refusal, Scatter, Spread};

/// The colours of some recipes on one cloth, D65/10°, and how they may be off together.
#[derive(Debug, Clone)]
pub struct Foretold {
    labs: Vec<Lab>,
    covariance: DMatrix<f64>,
    scatter: Vec<Matrix3<f64>>,
    /// By recipe and dye: the Lab step of its doses' logarithm.
    moves: Vec<Vec<Vector3<f64>>>,
}

/// Ridge on dose corrections: half a unit of ΔE00 is not worth a whole fold of a dye (judgement).
const HELD: f64 = 0.05;

impl Foretold {
    /// The expected colours.
    #[must_use]
    pub fn labs(&self) -> &[Lab] {
        &self.labs
    }

    /// How far off the noise-free colour of one recipe may be.
    #[must_use]
    pub fn recipe(&self, place: usize) -> Spread {
        Spread::of(self.labs[place], self.block(place))
    }

    /// How far off one dyed piece may be.
    #[must_use]
    pub fn piece(&self, place: usize) -> Spread {
        Spread::of(self.labs[place], self.block(place) + self.scatter[place])
    }

    /// How doses would be corrected if the recipe turned out off along each axis of its spread, either way:
    /// the logarithm of a factor for each of its dyes, six times.
    #[must_use]
    pub fn corrections(&self, place: usize) -> Vec<Vec<f64>> {
        let slope = slopes_of_difference(self.labs[place]);
        let moves: Vec<Vector3<f64>> = self.moves[place].iter().map(|m| slope * m).collect();
        let count = moves.len();
        let moved = DMatrix::from_fn(3, count, |i, k| moves[k][i]);
        // A dye that hardly shows is not moved by folds for nothing.
        let held = moved.transpose() * &moved + DMatrix::identity(count, count) * HELD;
        let Some(root) = held.cholesky() else { return vec![] };
        let spread = slope * self.block(place) * slope.transpose();
        let eigen = spread.symmetric_eigen();
        (0..3)
            .flat_map(|k| {
                let away =
                    eigen.eigenvectors.column(k) * (3.0 * eigen.eigenvalues[k].max(0.0)).sqrt();
                let step = root.solve(&(moved.transpose() * away));
                [1.0, -1.0].map(|way| step.iter().map(|s| (way * s).clamp(-1.5, 1.5)).collect())
            })
            .collect()
    }

    /// What stays in doubt of one recipe, rms ΔE00, once another was dyed and read with this spread (rms
    /// ΔE00, bias and dyeing with it).
    #[must_use]
    pub fn left(&self, of: usize, read: usize, spread: f64) -> f64 {
        let unit = one_unit(self.labs[read]);
        let seen = self.block(read)
            + self.scatter[read]
            + unit * unit.transpose() * (spread * spread / 3.0);
        let across = self.covariance.fixed_view::<3, 3>(3 * of, 3 * read).into_owned();
        let Some(inverse) = seen.try_inverse() else { return self.recipe(of).rms() };
        let left = self.block(of) - across * inverse * across.transpose();
        Spread::of(self.labs[of], left).rms()
    }

    /// Colours the recipes may turn out to have, all from one draw of three standard normal deviates
    /// for each recipe.
    #[must_use]
    pub fn drawn(&self, deviates: &[Vec<f64>]) -> Vec<Vec<Lab>> {
        let size = self.covariance.nrows();
        let eigen = self.covariance.clone().symmetric_eigen();
        let root = &eigen.eigenvectors
            * DMatrix::from_diagonal(&eigen.eigenvalues.map(|v| v.max(0.0).sqrt()));
        let one = |draw: &Vec<f64>| {
            let mut draw = draw.clone();
            draw.resize(size, 0.0);
            let away = &root * DVector::from_vec(draw);
            let moved = self.labs.iter().enumerate().map(|(i, lab)| {
                let l = (lab.l + away[3 * i]).max(0.0);
                Lab::new(l, lab.a + away[3 * i + 1], lab.b + away[3 * i + 2])
            });
            moved.collect()
        };
        deviates.iter().map(one).collect()
    }

    fn block(&self, place: usize) -> Matrix3<f64> {
        self.covariance.fixed_view::<3, 3>(3 * place, 3 * place).into_owned()
    }
}

impl Experience {
    /// Foretells recipes in a setting.
    ///
    /// # Errors
    /// A recipe with a dye that is not in stock.
    pub fn foretell(
        &self,
        setting: &Setting,
        recipes: &[&[InBath]],
        scatter: Scatter,
    ) -> Result<Foretold, Refusal> {
        let seen: Vec<Seen> =
            recipes.iter().map(|r| self.look(setting, r)).collect::<Result<_, _>>()?;
        Ok(self.all_told(setting, &seen, recipes, scatter))
    }

    /// Foretells one recipe of dyes that were handed out as believed in this setting, with what they do in the
    /// job, under any one light.
    pub(super) fn foretell_of(
        &self,
        setting: &Setting,
        (recipe, dyes): (&[InBath], &[&Dye]),
        scatter: Scatter,
        light: &'static Weights,
    ) -> Foretold {
        let looks: Vec<_> = dyes.iter().map(|dye| dye.looks()).collect();
        let parts: Vec<Part> = recipe
            .iter()
            .zip(dyes.iter().zip(&looks))
            .map(|(one, (of, looks))| {
                let dose_pct = one.dose.to_percent();
                Part { dye: one.dye, of, looks, dose_pct, yields: 1.0 }
            })
            .collect();
        let seen = self.seen_by(setting, &parts, light);
        self.all_told(setting, &[seen], &[recipe], scatter)
    }

    fn all_told(
        &self,
        setting: &Setting,
        seen: &[Seen],
        recipes: &[&[InBath]],
        scatter: Scatter,
    ) -> Foretold {
        let job = self.jobs.get(&setting.job);
        // Every deviation that any of the recipes, or the job, hangs on; strangers come after.
        let mut places: Vec<usize> = job.map(|j| j.places.clone()).unwrap_or_default();
        let mut strangers: BTreeMap<usize, usize> = BTreeMap::new();
        let mut far = 0;
        for (dye, strand, slope) in seen.iter().flat_map(|s| &s.by_strand) {
            match strand {
                Some(s) => places.extend(s.at..s.at + s.len),
                None => {
                    strangers.entry(*dye).or_insert_with(|| {
                        far += slope.ncols();
                        far - slope.ncols()
                    });
                }
            }
        }
        places.sort_unstable();
        places.dedup();
        let known = places.len();
        let mut covariance = DMatrix::zeros(known + far, known + far);
        for (i, &a) in places.iter().enumerate() {
            for (j, &b) in places.iter().enumerate() {
                covariance[(i, j)] = self.covariance[(a, b)];
            }
        }
        for (&dye, &at) in &strangers {
            let own = &self.stock[dye].dye.belief.covariance;
            covariance.view_mut((known + at, known + at), own.shape()).copy_from(own);
        }
        let rows = 3 * recipes.len();
        let mut slopes = DMatrix::zeros(rows, known + far);
        for (i, one) in seen.iter().enumerate() {
            for (dye, strand, slope) in &one.by_strand {
                let at = strand.map_or_else(
                    || strangers.get(dye).map(|at| known + at),
                    |s| places.binary_search(&s.at).ok(),
                );
                let Some(at) = at else { continue };
                let mut part = slopes.view_mut((3 * i, at), slope.shape());
                part += slope;
            }
        }
        let mut all = DMatrix::zeros(rows, rows);
        let mut together: BTreeMap<Option<usize>, DVector<f64>> = BTreeMap::new();
        if let Some(job) = job {
            let mut beside = DMatrix::zeros(rows, job.beside.len());
            for (i, one) in seen.iter().enumerate() {
                let own = job.beside.slopes(3, &one.slopes.by_yield);
                beside.view_mut((3 * i, 0), own.shape()).copy_from(&own);
            }
            let moved = &beside * &job.gain;
            for (k, place) in job.places.iter().enumerate() {
                if let Ok(at) = places.binary_search(place) {
                    let mut column = slopes.column_mut(at);
                    column += moved.column(k);
                }
            }
            all += &beside * &job.covariance * beside.transpose();
        }
        // What dyes do together that this job has not shown yet.
        for (i, one) in seen.iter().enumerate().filter(|(_, s)| s.slopes.by_yield.len() > 1) {
            for part in &one.slopes.by_yield {
                let (dye, slope) = (&part.dye, &part.slope);
                let mut add = |key: Option<usize>, times: f64| {
                    let column = together.entry(key).or_insert_with(|| DVector::zeros(rows));
                    let mut part = column.rows_mut(3 * i, 3);
                    part += slope * times;
                };
                if job.is_none() {
                    add(None, part.alike());
                }
                if job.is_none_or(|j| j.beside.own(*dye).is_none()) {
                    add(Some(*dye), TOGETHER.1);
                }
            }
        }
        for column in together.values() {
            all += column * column.transpose();
        }
        all += &slopes * covariance * slopes.transpose();
        let scatter = seen.iter().zip(recipes).map(|(s, r)| s.scatter(r, scatter)).collect();
        let labs = seen.iter().map(|s| Lab::new(s.slopes.at[0], s.slopes.at[1], s.slopes.at[2]));
        let moves = seen
            .iter()
            .map(|s| {
                s.slopes.by_yield.iter().map(|y| y.slope.fixed_rows::<3>(0).into_owned()).collect()
            })
            .collect();
        Foretold { labs: labs.collect(), covariance: all, scatter, moves }
    }

    fn look(&self, setting: &Setting, recipe: &[InBath]) -> Result<Seen, Refusal> {
        let mut looks: Vec<Looks> = Vec::with_capacity(recipe.len());
        for one in recipe {
            let Some(stocked) = self.stock.get(one.dye) else {
                return Err(Refusal::NotInStock { place: one.dye, stock: self.stock.len() });
            };
            let mean = self.strand(one.dye, setting.fibre).map_or_else(
                || stocked.dye.belief.mean.clone(),
                |s| self.mean.rows(s.at, s.len).into_owned(),
            );
            looks.push(Looks::with(&stocked.dye, mean));
        }
        let job = self.jobs.get(&setting.job).filter(|_| recipe.len() > 1);
        let parts: Vec<Part> = recipe
            .iter()
            .zip(&looks)
            .map(|(one, looks)| Part {
                dye: one.dye,
                of: &self.stock[one.dye].dye,
                looks,
                dose_pct: one.dose.to_percent(),
                yields: job.map_or(1.0, |j| j.yields(one.dye)),
            })
            .collect();
        Ok(self.seen_by(setting, &parts, Weights::reference()))
    }

    fn seen_by(&self, setting: &Setting, parts: &[Part], light: &'static Weights) -> Seen {
        let slopes = slopes(setting.on, parts, &[light]);
        let by_strand = slopes
            .by_dye
            .iter()
            .map(|(dye, own)| (*dye, self.strand(*dye, setting.fibre).copied(), own.clone()))
            .collect();
        Seen { slopes, by_strand }
    }
}

/// A recipe looked at.
struct Seen {
    slopes: Slopes,
    by_strand: Vec<(usize, Option<Strand>, DMatrix<f64>)>,
}

impl Seen {
    /// Covariance that dosing and dyeing add to a piece.
    fn scatter(&self, recipe: &[InBath], scatter: Scatter) -> Matrix3<f64> {
        let mut all = Matrix3::identity() * (crate::predict::REPEAT * crate::predict::REPEAT);
        let mut common = vector(Lab::new(0.0, 0.0, 0.0));
        for (part, one) in self.slopes.by_yield.iter().zip(recipe) {
            let slope = part.slope.fixed_rows::<3>(0).into_owned();
            let own = scatter.each * scatter.each + one.scatter * one.scatter;
            all += slope * slope.transpose() * own;
            common += slope;
        }
        all + common * common.transpose() * (scatter.common * scatter.common)
    }
}
