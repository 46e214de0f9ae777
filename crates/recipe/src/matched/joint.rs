//! The amounts of several pieces moved together until the largest difference between any two is least.
//!
//! The largest ΔE00² over pairs and lights is smoothed by the logarithm of a sum of exponentials,
//! ever sharper, and brought down by damped Newton steps within the bounds (gradients exact, bends
//! by Gauss and Newton: Levenberg 1944, Marquardt 1963). Leaving a tolerance is paid for so dearly
//! that the answer keeps it; what still leaves it is sent back with a narrower one. A small share of the
//! distances from the targets, and of all pairs, decides where the largest difference does not.
//!
//! Left out: which dyes (`pool`, `combine`), and whether a dose can be measured (`settle`).

#![expect(clippy::needless_range_loop, reason = "matrices are read by index")]

use super::piece::{Eyes, Lab3, Ready, Recipe, Seen};
use super::pool::Wanted;
use crate::engine::{self, MOST_DYES};

/// Sharpness of the smoothing, in stages: the exponent over the largest square. The last stage lies
/// within log(terms)/4000 of the sharp maximum: about 0.05 % of the largest difference.
pub(super) const QUICK: Stages = Stages { sharpness: &[12.0, 80.0], gain: 1e-3 };
pub(super) const THOROUGH: Stages = Stages { sharpness: &[12.0, 80.0, 500.0, 4000.0], gain: 1e-5 };

/// How far amounts are moved.
pub(super) struct Stages {
    sharpness: &'static [f64],
    /// A step that wins less than this share of the largest square is the last of its stage.
    gain: f64,
}

/// Share of the mean squared distance from the targets, and of the mean square of all pairs: about
/// 0.002 ΔE00 of the largest difference at most, in trials.
const HOME_SHARE: f64 = 0.002;
const PAIR_SHARE: f64 = 0.01;
/// Weight of leaving a limit, on its relative square.
const DEAR: f64 = 2000.0;
/// Margins inside the limits, tried in turn.
const MARGINS: [f64; 4] = [0.004, 0.02, 0.06, 0.15];
/// Newton steps in one stage.
const STEPS: usize = 25;
/// No largest square counts as smaller than this (a ΔE00 of 0.01).
const LEAST_SQUARE: f64 = 1e-4;

/// Pieces that are dyed and pieces that are as they are.
pub(super) struct Joint<'j, 'q> {
    pub(super) eyes: &'j Eyes,
    pub(super) members: Vec<&'j Ready<'q>>,
    pub(super) fixed: Vec<Wanted>,
}

/// Amounts with what they come to.
#[derive(Clone)]
pub(super) struct State {
    pub(super) recipes: Vec<Recipe>,
    /// Largest ΔE00 between two pieces of which one at least is dyed.
    pub(super) largest: f64,
    /// By how much a piece leaves a limit: ΔE00 for a colour, a share for all dye; 0 when kept.
    pub(super) excess: f64,
}

struct Value {
    phi: f64,
    slope: Vec<f64>,
    bend: Vec<Vec<f64>>,
}

/// One squared difference with its slopes in both colours, and the matrix of its residuals.
struct Gap {
    square: f64,
    first: Lab3,
    second: Lab3,
    rows: [Lab3; 3],
}

impl Gap {
    fn of(first: Lab3, second: Lab3) -> Self {
        let (r, rows) = engine::sloped(first, second);
        let (back, back_rows) = engine::sloped(second, first);
        Self {
            square: r[0] * r[0] + r[1] * r[1] + r[2] * r[2],
            first: twice(&back_rows, back),
            second: twice(&rows, r),
            rows,
        }
    }

    fn from(target: Lab3, sample: Lab3) -> Self {
        let (r, rows) = engine::sloped(target, sample);
        let square = r[0] * r[0] + r[1] * r[1] + r[2] * r[2];
        Self { square, first: [0.0; 3], second: twice(&rows, r), rows }
    }
}

/// 2·Mᵀr.
fn twice(rows: &[Lab3; 3], r: Lab3) -> Lab3 {
    [0, 1, 2].map(|c| 2.0 * (rows[0][c] * r[0] + rows[1][c] * r[1] + rows[2][c] * r[2]))
}

impl Joint<'_, '_> {
    /// All pairs of which one at least is dyed; fixed pieces come after the dyed ones.
    fn pairs(&self) -> impl Iterator<Item = (usize, usize)> {
        let (dyed, all) = (self.members.len(), self.members.len() + self.fixed.len());
        (0..dyed).flat_map(move |a| (a + 1..all).map(move |b| (a, b)))
    }

    /// What recipes come to.
    pub(super) fn state(&self, recipes: Vec<Recipe>) -> State {
        let labs: Vec<Vec<Lab3>> = self
            .members
            .iter()
            .zip(&recipes)
            .map(|(ready, recipe)| self.eyes.labs(&ready.bands(recipe)))
            .collect();
        let labs_of = |k: usize| labs.get(k).unwrap_or_else(|| &self.fixed[k - labs.len()].labs);
        let mut largest: f64 = 0.0;
        for (a, b) in self.pairs() {
            for (one, two) in labs_of(a).iter().zip(labs_of(b)).take(self.eyes.pairs) {
                largest = largest.max(engine::difference(*one, *two));
            }
        }
        let mut excess: f64 = 0.0;
        for ((ready, recipe), labs) in self.members.iter().zip(&recipes).zip(&labs) {
            for bound in &ready.bounds {
                excess =
                    excess.max(engine::difference(bound.target, labs[bound.light]) - bound.most);
            }
            if let Some((share, _)) = ready.crowding(recipe) {
                excess = excess.max(share - 1.0 - 1e-6);
            }
        }
        State { recipes, largest, excess: excess.max(0.0) }
    }

    /// Moves the amounts through the stages; narrower margins as long as a limit is left.
    pub(super) fn refined(&self, recipes: &[Recipe], stages: &Stages) -> State {
        let mut state = self.state(recipes.to_vec());
        for margin in MARGINS {
            for kappa in stages.sharpness {
                let largest = state.largest;
                let mut at = state.recipes;
                self.descend(&mut at, *kappa, margin, (largest, stages.gain));
                state = self.state(at);
            }
            if state.excess <= 0.0 {
                break;
            }
        }
        state
    }

    /// `largest` is the largest difference as the recipes stand.
    fn descend(
        &self,
        recipes: &mut [Recipe],
        kappa: f64,
        margin: f64,
        (largest, gain): (f64, f64),
    ) {
        let scale = (largest * largest).max(LEAST_SQUARE);
        let mut at = self.value(recipes, kappa, scale, margin);
        let mut damping = 1e-3;
        for _ in 0..STEPS {
            let step = self.step(recipes, &at, damping);
            let mut next = recipes.to_vec();
            let mut moved = false;
            let mut place = 0;
            for (recipe, ready) in next.iter_mut().zip(&self.members) {
                for i in 0..recipe.n {
                    if !recipe.held {
                        let most = ready.most(recipe.dyes[i]);
                        let x = (recipe.x[i] + step[place]).max(recipe.floor[i]).min(most);
                        moved |= x != recipe.x[i];
                        recipe.x[i] = x;
                    }
                    place += 1;
                }
            }
            if !moved {
                break;
            }
            let seen = self.value(&next, kappa, scale, margin);
            if seen.phi < at.phi {
                let won = at.phi - seen.phi;
                recipes.copy_from_slice(&next);
                at = seen;
                damping = (damping * 0.2).max(1e-9);
                if won < gain * scale {
                    break;
                }
            } else {
                damping *= 6.0;
                if damping > 1e6 {
                    break;
                }
            }
        }
    }

    /// The smoothed largest square with what else is weighed, its slope and bend; `scale` is the size
    /// of square that the sharpness is relative to.
    fn value(&self, recipes: &[Recipe], kappa: f64, scale: f64, margin: f64) -> Value {
        let seen: Vec<Seen> =
            self.members.iter().zip(recipes).map(|(m, r)| m.see(r, self.eyes)).collect();
        let starts = starts(recipes);
        let all = starts[recipes.len()];
        let lab = |k: usize, light: usize| {
            seen.get(k).map_or_else(|| self.fixed[k - seen.len()].labs[light], |s| s.labs[light])
        };
        let mut gaps = vec![];
        let mut most: f64 = 0.0;
        for (a, b) in self.pairs() {
            for light in 0..self.eyes.pairs {
                let gap = Gap::of(lab(a, light), lab(b, light));
                most = most.max(gap.square);
                gaps.push((a, b, light, gap));
            }
        }
        let sharp = kappa / scale;
        let weight: Vec<f64> =
            gaps.iter().map(|g| colour::maths::exp(sharp * (g.3.square - most))).collect();
        let sum: f64 = weight.iter().sum();
        #[expect(clippy::cast_precision_loss, reason = "a few hundred pairs")]
        let pair_share = PAIR_SHARE / gaps.len().max(1) as f64;
        let mut bench = Bench {
            seen: &seen,
            starts: &starts,
            slope: vec![0.0; all],
            bend: vec![vec![0.0; all]; all],
        };
        let mut phi = 0.0;
        if !gaps.is_empty() {
            phi += most + colour::maths::ln(sum) / sharp;
        }
        let mut mean = vec![0.0; all];
        for ((a, b, light, gap), weight) in gaps.iter().zip(&weight) {
            let share = weight / sum;
            phi += pair_share * gap.square;
            let times = share + pair_share;
            let slope = bench.add(*a, Some(*b), *light, gap, times);
            if share > 1e-9 {
                for (place, d) in &slope {
                    mean[*place] += share * d;
                }
                bench.outer(&slope, sharp * share);
            }
        }
        for i in 0..all {
            for k in 0..=i {
                bench.bend[i][k] -= sharp * mean[i] * mean[k];
            }
        }
        let bounds: usize = self.members.iter().map(|m| m.bounds.len()).sum();
        #[expect(clippy::cast_precision_loss, reason = "a few hundred bounds")]
        let home_share = HOME_SHARE / bounds.max(1) as f64;
        let dear = DEAR * scale.max(1.0);
        for (m, ready) in self.members.iter().enumerate() {
            for bound in &ready.bounds {
                let gap = Gap::from(bound.target, seen[m].labs[bound.light]);
                phi += home_share * gap.square;
                let mut times = home_share;
                let limit = bound.most * bound.most;
                let over = gap.square / limit - (1.0 - margin);
                if over > 0.0 {
                    phi += dear * over * over;
                    times += 2.0 * dear * over / limit;
                }
                let slope = bench.add(m, None, bound.light, &gap, times);
                if over > 0.0 {
                    bench.outer(&slope, 2.0 * dear / (limit * limit));
                }
            }
            if let Some((share, by)) = ready.crowding(&recipes[m]) {
                let over = share - (1.0 - 0.1 * margin);
                if over > 0.0 {
                    phi += dear * over * over;
                    let slope: Vec<(usize, f64)> =
                        (0..recipes[m].n).map(|i| (starts[m] + i, by[i])).collect();
                    for (place, d) in &slope {
                        bench.slope[*place] += 2.0 * dear * over * d;
                    }
                    bench.outer(&slope, 2.0 * dear);
                }
            }
        }
        Value { phi, slope: bench.slope, bend: bench.bend }
    }

    /// The damped Newton step; amounts that are held, and those at a bound that pull outwards, stay.
    fn step(&self, recipes: &[Recipe], at: &Value, damping: f64) -> Vec<f64> {
        let mut free = vec![];
        let mut place = 0;
        for (recipe, ready) in recipes.iter().zip(&self.members) {
            for i in 0..recipe.n {
                let low = recipe.x[i] <= recipe.floor[i] && at.slope[place] > 0.0;
                let high = recipe.x[i] >= ready.most(recipe.dyes[i]) && at.slope[place] < 0.0;
                if !recipe.held && !low && !high {
                    free.push(place);
                }
                place += 1;
            }
        }
        let mut step = vec![0.0; at.slope.len()];
        let n = free.len();
        let mut m = vec![vec![0.0; n]; n];
        let mut y = vec![0.0; n];
        for i in 0..n {
            for k in 0..=i {
                let mut v = at.bend[free[i]][free[k]];
                if i == k {
                    v = v.max(0.0) * (1.0 + damping) + 1e-10;
                }
                for p in 0..k {
                    v -= m[i][p] * m[k][p];
                }
                m[i][k] = if i == k { v.max(1e-14).sqrt() } else { v / m[k][k] };
            }
            let mut g = -at.slope[free[i]];
            for p in 0..i {
                g -= m[i][p] * y[p];
            }
            y[i] = g / m[i][i];
        }
        for i in (0..n).rev() {
            let mut v = y[i];
            for p in i + 1..n {
                v -= m[p][i] * y[p];
            }
            y[i] = v / m[i][i];
            step[free[i]] = y[i];
        }
        step
    }
}

/// Where each recipe's amounts stand in one long row; the last entry is the length.
fn starts(recipes: &[Recipe]) -> Vec<usize> {
    let mut starts = vec![0];
    for recipe in recipes {
        starts.push(starts[starts.len() - 1] + recipe.n);
    }
    starts
}

/// Slopes and bends being summed. A bend is symmetric: only what stands below its diagonal is kept, and
/// slopes are handed on with their places ascending.
struct Bench<'b> {
    seen: &'b [Seen],
    starts: &'b [usize],
    slope: Vec<f64>,
    bend: Vec<Vec<f64>>,
}

impl Bench<'_> {
    /// Adds `times` a squared gap between piece `a` and piece `b` (for a target: none, the piece being
    /// the second colour); gives back the slope of the square.
    fn add(
        &mut self,
        a: usize,
        b: Option<usize>,
        light: usize,
        gap: &Gap,
        times: f64,
    ) -> Vec<(usize, f64)> {
        let sides = match b {
            Some(b) => [Some((a, gap.first, -1.0)), Some((b, gap.second, 1.0))],
            None => [Some((a, gap.second, 1.0)), None],
        };
        let mut slope = Vec::with_capacity(2 * MOST_DYES);
        let mut moves: Vec<Lab3> = Vec::with_capacity(2 * MOST_DYES);
        for (piece, by, sign) in sides.into_iter().flatten() {
            let Some(seen) = self.seen.get(piece) else { continue };
            for i in 0..self.starts[piece + 1] - self.starts[piece] {
                let lab = seen.slopes[light][i];
                slope.push((self.starts[piece] + i, dot(by, lab)));
                moves.push([0, 1, 2].map(|row| sign * dot(gap.rows[row], lab)));
            }
        }
        for (i, (place, d)) in slope.iter().enumerate() {
            self.slope[*place] += times * d;
            for (k, (other, _)) in slope.iter().enumerate().take(i + 1) {
                self.bend[*place][*other] += 2.0 * times * dot(moves[i], moves[k]);
            }
        }
        slope
    }

    fn outer(&mut self, slope: &[(usize, f64)], times: f64) {
        for (at, (i, a)) in slope.iter().enumerate() {
            for (k, b) in &slope[..=at] {
                self.bend[*i][*k] += times * a * b;
            }
        }
    }
}

fn dot(a: Lab3, b: Lab3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
