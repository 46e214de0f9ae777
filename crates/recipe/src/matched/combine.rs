//! Which recipes go together: one of each piece, so that the largest difference is least.
//!
//! Branch and bound over the candidates: pieces in turn, the nearest to what is chosen first; a branch
//! whose largest difference is no less than that of the worst kept combination is cut. Exact up to
//! [`MOST_LOOKS`] comparisons; beyond, the best found. Left out: moving amounts (`joint`).

use super::piece::{Eyes, Lab3, Recipe};
use super::pool::{Candidate, Wanted};
use crate::engine::{self, MOST_DYES};

/// Comparisons of two recipes before the best found so far is taken.
const MOST_LOOKS: usize = 250_000;

/// The best combinations that differ in their dyes, best first.
pub(super) fn together(
    pools: &[Vec<Candidate>],
    fixed: &[Wanted],
    eyes: &Eyes,
    keep: usize,
) -> Vec<Vec<Recipe>> {
    let own: Vec<Vec<f64>> = pools
        .iter()
        .map(|pool| {
            let off = |c: &Candidate| {
                fixed
                    .iter()
                    .map(|f| between(&c.labs, &f.labs, eyes, f64::INFINITY))
                    .fold(0.0, f64::max)
            };
            pool.iter().map(off).collect()
        })
        .collect();
    let mut walk = Walk { pools, own: &own, eyes, keep, best: vec![], looks: 0 };
    walk.branch(&mut vec![], 0.0);
    walk.best.into_iter().map(|b| b.recipes).collect()
}

struct Kept {
    largest: f64,
    sets: Vec<[usize; MOST_DYES]>,
    recipes: Vec<Recipe>,
}

struct Walk<'w> {
    pools: &'w [Vec<Candidate>],
    own: &'w [Vec<f64>],
    eyes: &'w Eyes,
    keep: usize,
    best: Vec<Kept>,
    looks: usize,
}

impl Walk<'_> {
    fn limit(&self) -> f64 {
        if self.best.len() < self.keep {
            f64::INFINITY
        } else {
            self.best.last().map_or(f64::INFINITY, |b| b.largest)
        }
    }

    fn branch(&mut self, chosen: &mut Vec<usize>, largest: f64) {
        let depth = chosen.len();
        if depth == self.pools.len() {
            self.hold(chosen, largest);
            return;
        }
        let mut next: Vec<(f64, usize)> = vec![];
        for (at, candidate) in self.pools[depth].iter().enumerate() {
            let limit = self.limit();
            let mut off = largest.max(self.own[depth][at]);
            for (piece, place) in chosen.iter().enumerate() {
                if off >= limit || (self.looks > MOST_LOOKS && !self.best.is_empty()) {
                    break;
                }
                self.looks += 1;
                let other = &self.pools[piece][*place];
                off = off.max(between(&other.labs, &candidate.labs, self.eyes, limit));
            }
            if off < limit {
                next.push((off, at));
            }
        }
        next.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for (off, at) in next {
            if off >= self.limit() || (self.looks > MOST_LOOKS && !self.best.is_empty()) {
                break;
            }
            chosen.push(at);
            self.branch(chosen, off);
            chosen.pop();
        }
    }

    fn hold(&mut self, chosen: &[usize], largest: f64) {
        let recipes: Vec<Recipe> =
            chosen.iter().enumerate().map(|(p, at)| self.pools[p][*at].recipe).collect();
        let sets: Vec<[usize; MOST_DYES]> = recipes.iter().map(Recipe::set).collect();
        if let Some(same) = self.best.iter_mut().find(|b| b.sets == sets) {
            if largest < same.largest {
                *same = Kept { largest, sets, recipes };
            }
        } else {
            self.best.push(Kept { largest, sets, recipes });
        }
        self.best.sort_by(|a, b| a.largest.total_cmp(&b.largest));
        self.best.truncate(self.keep);
    }
}

/// The largest difference over the lights; may stop early once it is `enough`.
pub(super) fn between(one: &[Lab3], two: &[Lab3], eyes: &Eyes, enough: f64) -> f64 {
    let mut largest: f64 = 0.0;
    for (a, b) in one.iter().zip(two).take(eyes.pairs) {
        largest = largest.max(engine::difference(*a, *b));
        if largest >= enough {
            break;
        }
    }
    largest
}
