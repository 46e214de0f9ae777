//! What recipes will look like, together: for one recipe its colour and spread, for several also how
//! their errors hang together (two recipes of the same dyes miss alike).

use std::collections::BTreeMap;

use colour::Lab;
use nalgebra::{DMatrix, DVector, Matrix3, Vector3};

use super::company::COMPANY_ALIKE;
use super::gather::one_unit;
use super::job::JobSeen;
use super::thought::{Hangs, Seen, Stranger, Thought};
use super::{Experience, FIBRES_ALIKE, InBath, Setting, TOGETHER};
use crate::spread::slopes_of_difference;
use crate::{Refusal, Scatter, Spread};

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

    /// The same, once several of the recipes were dyed and read in one session: with this bias in all readings
    /// alike, and this spread in each (rms ΔE00).
    #[must_use]
    pub fn once_all_read(&self, read: &[usize], bias: f64, spread: f64) -> Self {
        let size = 3 * read.len();
        let units: Vec<Matrix3<f64>> = read.iter().map(|&r| one_unit(self.labs[r])).collect();
        let mut seen = DMatrix::zeros(size, size);
        let mut across = DMatrix::zeros(self.covariance.nrows(), size);
        for (i, &a) in read.iter().enumerate() {
            across.columns_mut(3 * i, 3).copy_from(&self.covariance.columns(3 * a, 3));
            for (j, &b) in read.iter().enumerate() {
                let mut block = self.covariance.fixed_view::<3, 3>(3 * a, 3 * b).into_owned();
                block += units[i] * units[j].transpose() * (bias * bias / 3.0);
                if i == j {
                    block += units[i] * units[i].transpose() * (spread * spread / 3.0);
                    block += self.scatter[a];
                }
                seen.view_mut((3 * i, 3 * j), (3, 3)).copy_from(&block);
            }
        }
        let mut next = self.clone();
        if let Some(root) = seen.cholesky() {
            next.covariance -= &across * root.solve(&across.transpose());
        }
        next
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
    /// Foretells recipes in one setting.
    ///
    /// # Errors
    /// A recipe with a dye that is not in stock.
    pub fn foretell(
        &self,
        setting: &Setting,
        recipes: &[&[InBath]],
        scatter: Scatter,
    ) -> Result<Foretold, Refusal> {
        let thoughts: Vec<Thought> =
            recipes.iter().map(|bath| Thought { setting: *setting, bath, scatter }).collect();
        self.foretell_all(&thoughts)
    }

    /// Foretells recipes wherever they are thought of, together: two jobs of the same dyes miss alike.
    ///
    /// # Errors
    /// A recipe with a dye that is not in stock.
    pub fn foretell_all(&self, thoughts: &[Thought]) -> Result<Foretold, Refusal> {
        let seen: Vec<Seen> =
            thoughts.iter().map(|t| self.look(&t.setting, t.bath)).collect::<Result<_, _>>()?;
        Ok(self.all_told(thoughts, &seen))
    }

    pub(super) fn all_told(&self, thoughts: &[Thought], seen: &[Seen]) -> Foretold {
        let mut jobs: Vec<u64> = thoughts.iter().map(|t| t.setting.job).collect();
        jobs.sort_unstable();
        jobs.dedup();
        let seen_jobs: Vec<&JobSeen> = jobs.iter().filter_map(|j| self.jobs.get(j)).collect();
        // Every deviation that any of the recipes, or their jobs, hangs on; strangers come after.
        let mut places: Vec<usize> = seen_jobs.iter().flat_map(|j| &j.places).copied().collect();
        let mut strangers: BTreeMap<Stranger, usize> = BTreeMap::new();
        let mut far = 0;
        for (hangs, slope) in seen.iter().flat_map(|s| &s.hangs) {
            match hangs {
                Hangs::Known(at) => places.extend(*at..at + slope.ncols()),
                Hangs::Stranger(stranger) => {
                    strangers.entry(*stranger).or_insert_with(|| {
                        far += slope.ncols();
                        far - slope.ncols()
                    });
                }
            }
        }
        places.sort_unstable();
        places.dedup();
        let known = places.len();
        let rows = 3 * thoughts.len();
        let mut slopes = DMatrix::zeros(rows, known + far);
        for (i, one) in seen.iter().enumerate() {
            for (hangs, slope) in &one.hangs {
                let at = match hangs {
                    Hangs::Known(at) => places.binary_search(at).ok(),
                    Hangs::Stranger(stranger) => strangers.get(stranger).map(|at| known + at),
                };
                let Some(at) = at else { continue };
                let mut part = slopes.view_mut((3 * i, at), slope.shape());
                part += slope;
            }
        }
        let mut all = DMatrix::zeros(rows, rows);
        for job in seen_jobs {
            let mut beside = DMatrix::zeros(rows, job.beside.len());
            let here = |t: &Thought| t.setting.job == job.beside.job;
            for (i, (one, _)) in seen.iter().zip(thoughts).enumerate().filter(|(_, s)| here(s.1)) {
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
        self.not_shown_yet(thoughts, seen, &mut all);
        let covariance = self.covariance_at(&places, &strangers, far);
        all += &slopes * covariance * slopes.transpose();
        let scatter = seen.iter().zip(thoughts).map(|(s, t)| s.scatter(t.bath, t.scatter));
        let labs = seen.iter().map(|s| Lab::new(s.slopes.at[0], s.slopes.at[1], s.slopes.at[2]));
        let moves = seen
            .iter()
            .map(|s| {
                s.slopes.by_yield.iter().map(|y| y.slope.fixed_rows::<3>(0).into_owned()).collect()
            })
            .collect();
        Foretold { labs: labs.collect(), scatter: scatter.collect(), covariance: all, moves }
    }

    /// What dyes do together that their job has not shown yet.
    fn not_shown_yet(&self, thoughts: &[Thought], seen: &[Seen], all: &mut DMatrix<f64>) {
        let mut together: BTreeMap<(u64, Option<usize>), DVector<f64>> = BTreeMap::new();
        let several = |s: &Seen| s.slopes.by_yield.len() > 1;
        for (i, (one, thought)) in
            seen.iter().zip(thoughts).enumerate().filter(|(_, s)| several(s.0))
        {
            let number = thought.setting.job;
            let job = self.jobs.get(&number);
            for part in &one.slopes.by_yield {
                let mut add = |key: Option<usize>, times: f64| {
                    let column = together
                        .entry((number, key))
                        .or_insert_with(|| DVector::zeros(all.nrows()));
                    let mut rows = column.rows_mut(3 * i, 3);
                    rows += &part.slope * times;
                };
                if job.is_none() {
                    add(None, part.alike());
                }
                if job.is_none_or(|j| j.beside.own(part.dye).is_none()) {
                    add(Some(part.dye), TOGETHER.1);
                }
            }
        }
        for column in together.values() {
            *all += column * column.transpose();
        }
    }

    /// Covariance of the deviations at these places, and of strangers after them.
    fn covariance_at(
        &self,
        places: &[usize],
        strangers: &BTreeMap<Stranger, usize>,
        far: usize,
    ) -> DMatrix<f64> {
        let known = places.len();
        let mut covariance = DMatrix::zeros(known + far, known + far);
        for (i, &a) in places.iter().enumerate() {
            for (j, &b) in places.iter().enumerate() {
                covariance[(i, j)] = self.covariance[(a, b)];
            }
        }
        for (one, &row) in strangers {
            for (other, &column) in strangers {
                let place = (known + row, known + column);
                let alike = |a: &str, b: &str, across: f64| if a == b { 1.0 } else { across };
                match (one, other) {
                    (Stranger::Dye(a, on), Stranger::Dye(b, also)) if a == b => {
                        let own = &self.stock[*a].dye.belief.covariance;
                        let block = own * alike(on, also, FIBRES_ALIKE);
                        covariance.view_mut(place, own.shape()).copy_from(&block);
                    }
                    (Stranger::Tie(a, on), Stranger::Tie(b, also)) if a == b => {
                        covariance[place] = alike(on, also, COMPANY_ALIKE);
                    }
                    _ => {}
                }
            }
        }
        covariance
    }
}
