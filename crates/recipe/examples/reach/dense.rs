//! The nearest colour found without the engine: a cloud of forward predictions, then a search
//! without derivatives from its best sets.
//!
//! Amounts are t² × the most that may be fixed, t from 0 to 1, so that pale amounts come often. Sets
//! of one to three dyes stand on a grid, sets of four on Halton's sequence. From the best sets
//! of the cloud Nelder and Mead's simplex (1965) and a compass search take turns until neither gains.

use colour::{BANDS, Lab, Weights, ciede2000};
use dyeing::{Dye, Substrate};

/// Sets of the cloud that are followed to their end.
const FOLLOWED: usize = 40;
/// Steps of the grid for one, two and three dyes, and points for a set of four.
const GRID: [usize; 3] = [80, 24, 9];
const SPREAD: usize = 160;

/// All sampled sets of one shelf on one cloth.
pub(crate) struct Cloud<'a> {
    on: &'a Substrate,
    /// Absorption of the most of each dye.
    full: Vec<[f64; BANDS]>,
    sets: Vec<Sampled>,
}

/// Dyes and where each stands (t).
pub(crate) type Recipe = Vec<(usize, f64)>;

struct Sampled {
    dyes: Vec<usize>,
    /// Where each dye stands (t), and the colour seen.
    points: Vec<(Vec<f64>, Lab)>,
}

impl<'a> Cloud<'a> {
    pub(crate) fn over(on: &'a Substrate, dyes: &[&Dye]) -> Self {
        let full: Vec<[f64; BANDS]> =
            dyes.iter().map(|d| d.absorbs().map(|a| a * on.most_fixed(d))).collect();
        let mut cloud = Self { on, full, sets: vec![] };
        for set in sets(dyes.len()) {
            let points = amounts(set.len())
                .into_iter()
                .map(|at| {
                    let lab = cloud.seen(&set, &at);
                    (at, lab)
                })
                .collect();
            cloud.sets.push(Sampled { dyes: set, points });
        }
        cloud
    }

    /// The least ΔE00 to the colour, and the recipe (dye, t) that gives it.
    pub(crate) fn nearest(&self, wanted: Lab) -> (f64, Recipe) {
        let mut best: Vec<(f64, &Sampled, &Vec<f64>)> = self
            .sets
            .iter()
            .filter_map(|set| {
                let near = set.points.iter().map(|(at, lab)| (ciede2000(wanted, *lab), at));
                near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(off, at)| (off, set, at))
            })
            .collect();
        best.sort_by(|a, b| a.0.total_cmp(&b.0));
        let bare = ciede2000(wanted, self.seen(&[], &[]));
        let mut least = (bare, vec![]);
        for (_, set, at) in best.into_iter().take(FOLLOWED) {
            let (off, at) = self.followed(wanted, &set.dyes, at);
            if off < least.0 {
                least = (off, set.dyes.iter().copied().zip(at).collect());
            }
        }
        while let Some(better) = self.exchanged(wanted, &least) {
            least = better;
        }
        least
    }

    /// The best set with one dye more, or with one dye in another's place, if any is better.
    fn exchanged(&self, wanted: Lab, best: &(f64, Recipe)) -> Option<(f64, Recipe)> {
        let used: Recipe = best.1.iter().copied().filter(|d| d.1 > 0.0).collect();
        let mut least: Option<(f64, Recipe)> = None;
        for new in (0..self.full.len()).filter(|new| used.iter().all(|d| d.0 != *new)) {
            let mut trials: Vec<Recipe> = vec![];
            if used.len() < 4 {
                trials.push(used.iter().copied().chain([(new, 0.05)]).collect());
            }
            for place in 0..used.len() {
                let mut swapped = used.clone();
                swapped[place].0 = new;
                trials.push(swapped);
            }
            for trial in trials {
                let (dyes, at): (Vec<usize>, Vec<f64>) = trial.into_iter().unzip();
                let (off, at) = self.followed(wanted, &dyes, &at);
                if off < least.as_ref().map_or(best.0 - 1e-4, |l| l.0) {
                    least = Some((off, dyes.into_iter().zip(at).collect()));
                }
            }
        }
        least
    }

    fn followed(&self, wanted: Lab, dyes: &[usize], at: &[f64]) -> (f64, Vec<f64>) {
        let off = |at: &[f64]| {
            let inside: Vec<f64> = at.iter().map(|t| t.clamp(0.0, 1.0)).collect();
            let out: f64 = at.iter().zip(&inside).map(|(a, b)| (a - b).abs()).sum();
            ciede2000(wanted, self.seen(dyes, &inside)) + out
        };
        let mut at = at.to_vec();
        let mut least = off(&at);
        for round in 0..6 {
            let before = least;
            (least, at) = simplex(&off, at, 0.08 / f64::from(1 + round));
            (least, at) = compass(&off, at, least);
            if before - least < 1e-5 {
                break;
            }
        }
        (least, at.iter().map(|t| t.clamp(0.0, 1.0)).collect())
    }

    fn seen(&self, dyes: &[usize], at: &[f64]) -> Lab {
        let mut sum = [0.0; BANDS];
        for (dye, t) in dyes.iter().zip(at) {
            for (s, a) in sum.iter_mut().zip(&self.full[*dye]) {
                *s += t * t * a;
            }
        }
        Weights::reference().lab_of(&self.on.dyed(&sum))
    }
}

/// Every set of one to four places out of `of`.
fn sets(of: usize) -> Vec<Vec<usize>> {
    let mut all: Vec<Vec<usize>> = vec![];
    let mut last: Vec<Vec<usize>> = vec![vec![]];
    for _ in 0..4 {
        last = last
            .iter()
            .flat_map(|set| {
                let from = set.last().map_or(0, |l| l + 1);
                (from..of).map(|next| set.iter().copied().chain([next]).collect())
            })
            .collect();
        all.extend(last.iter().cloned());
    }
    all
}

#[expect(clippy::cast_precision_loss, reason = "small counts")]
fn amounts(size: usize) -> Vec<Vec<f64>> {
    if size > GRID.len() {
        return (1..=SPREAD).map(|k| [2, 3, 5, 7].map(|base| halton(k, base)).to_vec()).collect();
    }
    let steps = GRID[size - 1];
    (0..steps.pow(u32::try_from(size).unwrap_or(0)))
        .map(|place| {
            let mut left = place;
            (0..size)
                .map(|_| {
                    let t = (1 + left % steps) as f64 / steps as f64;
                    left /= steps;
                    t
                })
                .collect()
        })
        .collect()
}

#[expect(clippy::cast_precision_loss, reason = "small counts")]
fn halton(mut k: usize, base: usize) -> f64 {
    let (mut at, mut step) = (0.0, 1.0);
    while k > 0 {
        step /= base as f64;
        at += step * (k % base) as f64;
        k /= base;
    }
    at
}

/// Nelder and Mead's simplex with the usual coefficients (1, 2, ½, ½).
fn simplex(off: &dyn Fn(&[f64]) -> f64, at: Vec<f64>, step: f64) -> (f64, Vec<f64>) {
    let n = at.len();
    let mut corners: Vec<(f64, Vec<f64>)> = vec![(off(&at), at.clone())];
    for k in 0..n {
        let mut corner = at.clone();
        corner[k] += if corner[k] + step > 1.0 { -step } else { step };
        corners.push((off(&corner), corner));
    }
    for _ in 0..120 * n {
        corners.sort_by(|a, b| a.0.total_cmp(&b.0));
        if corners[n].0 - corners[0].0 < 1e-8 {
            break;
        }
        #[expect(clippy::cast_precision_loss, reason = "at most four dyes")]
        let middle: Vec<f64> =
            (0..n).map(|k| corners[..n].iter().map(|c| c.1[k]).sum::<f64>() / n as f64).collect();
        let along = |way: f64| -> (f64, Vec<f64>) {
            let to: Vec<f64> =
                middle.iter().zip(&corners[n].1).map(|(m, w)| m + way * (m - w)).collect();
            (off(&to), to)
        };
        let across = along(1.0);
        let next = if across.0 < corners[0].0 {
            let further = along(2.0);
            if further.0 < across.0 { further } else { across }
        } else if across.0 < corners[n - 1].0 {
            across
        } else {
            let inside = if across.0 < corners[n].0 { along(0.5) } else { along(-0.5) };
            if inside.0 < corners[n].0.min(across.0) {
                inside
            } else {
                let best = corners[0].1.clone();
                for corner in &mut corners[1..] {
                    corner.1 = corner.1.iter().zip(&best).map(|(c, b)| 0.5 * (c + b)).collect();
                    corner.0 = off(&corner.1);
                }
                continue;
            }
        };
        corners[n] = next;
    }
    corners.sort_by(|a, b| a.0.total_cmp(&b.0));
    corners.swap_remove(0)
}

/// One amount at a time, up and down, the step halved when neither gains.
fn compass(off: &dyn Fn(&[f64]) -> f64, mut at: Vec<f64>, mut least: f64) -> (f64, Vec<f64>) {
    let mut step = 0.05;
    while step > 1e-5 {
        let mut gained = false;
        for k in 0..at.len() {
            for way in [step, -step] {
                let old = at[k];
                at[k] = (old + way).clamp(0.0, 1.0);
                let now = off(&at);
                if now < least {
                    least = now;
                    gained = true;
                    break;
                }
                at[k] = old;
            }
        }
        if !gained {
            step *= 0.5;
        }
    }
    (least, at)
}
