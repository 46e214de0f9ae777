//! One set solved: candidates, the best combinations, amounts, other dyes, doses that can be measured.
//!
//! Left out: what is made of the answer (`answer`), and why a set does not hold (`breaker`).

use rayon::prelude::*;

use super::combine::{between, together};
use super::joint::{Joint, QUICK, State, THOROUGH};
use super::piece::Recipe;
use super::pool::{Candidate, Wanted, candidate, near, pool};
use super::settle::measured;
use crate::Refusal;

/// How much is tried.
pub(super) struct Effort {
    /// Combinations whose amounts are moved.
    combined: usize,
    /// Of these, how many have other dyes tried in them.
    tried: usize,
    /// Rounds over all pieces in which other dyes are tried; a round without gain is the last.
    rounds: usize,
    /// How many sets of dyes of one piece are moved with the rest in a round.
    moved: usize,
}

/// For the recipes that will be dyed.
pub(super) const FULL: Effort = Effort { combined: 16, tried: 2, rounds: 4, moved: 8 };
/// For what a mend would come to: a figure to choose by, for recipes that nobody dyes yet.
pub(super) const ROUGH: Effort = Effort { combined: 6, tried: 1, rounds: 1, moved: 3 };

/// Sets of dyes solved for one piece in a round.
const NEAR: usize = 40;
/// A round must gain this much, ΔE00.
const GAIN: f64 = 0.002;

/// Who does the work: this thread, or several.
pub(super) struct Crew {
    threads: usize,
    pool: Option<rayon::ThreadPool>,
}

impl Crew {
    /// 1: the caller's thread; 0: all cores.
    pub(super) fn new(threads: usize) -> Self {
        let pool = (threads > 1)
            .then(|| rayon::ThreadPoolBuilder::new().num_threads(threads).build().ok())
            .flatten();
        Self { threads, pool }
    }

    /// One answer for each, in order; the answers do not depend on the threads.
    pub(super) fn each<T: Sync, R: Send>(
        &self,
        of: &[T],
        work: impl Fn(&T) -> R + Sync + Send,
    ) -> Vec<R> {
        match &self.pool {
            _ if self.threads == 1 => of.iter().map(work).collect(),
            Some(pool) => pool.install(|| of.par_iter().map(work).collect()),
            None => of.par_iter().map(work).collect(),
        }
    }
}

/// Every piece as it is alone.
pub(super) fn alone(joint: &Joint) -> State {
    joint.state(joint.members.iter().map(|m| m.alone).collect())
}

/// The starts: the best combinations of candidates with their amounts moved, best first; as each is alone
/// is one of them.
pub(super) fn starts(joint: &Joint, crew: &Crew, effort: &Effort) -> Result<Vec<State>, Refusal> {
    let pieces = looks(joint, &alone(joint).recipes);
    let places: Vec<usize> = (0..joint.members.len()).collect();
    let pools = crew.each(&places, |place| {
        let ready = joint.members[*place];
        let mut aims = vec![Wanted::of(*ready.question.target.bands.values(), joint.eyes)];
        for (other, wanted) in pieces.iter().enumerate() {
            if other != *place {
                aims.push(wanted.clone());
            }
        }
        pool(ready, joint.eyes, &aims)
    });
    let pools: Vec<Vec<Candidate>> = pools.into_iter().collect::<Result<_, _>>()?;
    let mut combos = together(&pools, &joint.fixed, joint.eyes, effort.combined);
    combos.push(joint.members.iter().map(|m| m.measurable(&m.alone)).collect());
    let mut states = crew.each(&combos, |combo| joint.refined(combo, &QUICK));
    states.retain(|s| s.excess <= 0.0);
    sort(&mut states);
    Ok(states)
}

/// The best of all: other dyes tried in the best starts, doses made measurable; as each is alone where
/// nothing better is found.
pub(super) fn solved(
    joint: &Joint,
    crew: &Crew,
    starts: Vec<State>,
    effort: &Effort,
) -> Result<State, Refusal> {
    let mut starts = starts;
    sort(&mut starts);
    starts.truncate(effort.tried);
    let ends = crew.each(&starts, |start| finished(joint, start, effort));
    let mut best = alone(joint);
    let mut ends: Vec<State> = ends.into_iter().collect::<Result<_, _>>()?;
    sort(&mut ends);
    if let Some(end) = ends.into_iter().next()
        && end.largest < best.largest
    {
        best = end;
    }
    Ok(best)
}

/// One start brought to its end.
pub(super) fn finished(joint: &Joint, start: &State, effort: &Effort) -> Result<State, Refusal> {
    let mut best = start.clone();
    for _ in 0..effort.rounds {
        let before = best.largest;
        for place in 0..joint.members.len() {
            best = other_dyes(joint, best, place, effort)?;
        }
        if best.largest > before - GAIN {
            break;
        }
    }
    let fine = joint.refined(&best.recipes, &THOROUGH);
    if fine.excess <= 0.0 && fine.largest < best.largest {
        best = fine;
    }
    let end = measured(joint, best).or_else(|| measured(joint, start.clone()));
    Ok(end.unwrap_or_else(|| alone(joint)))
}

/// The set with other dyes in one piece, where that is better.
fn other_dyes(joint: &Joint, best: State, place: usize, effort: &Effort) -> Result<State, Refusal> {
    let ready = joint.members[place];
    let pieces = looks(joint, &best.recipes);
    let others: Vec<&Wanted> =
        pieces.iter().enumerate().filter(|(k, _)| *k != place).map(|(_, w)| w).collect();
    let mut found: Vec<(f64, Candidate)> = vec![];
    let mut aims: Vec<Wanted> = Wanted::middle(&others).into_iter().collect();
    // The one furthest away pulls as well.
    let here = &pieces[place].labs;
    let far = |w: &Wanted| between(here, &w.labs, joint.eyes, f64::INFINITY);
    if others.len() > 1
        && let Some(furthest) = others.iter().max_by(|a, b| far(a).total_cmp(&far(b)))
    {
        aims.push((*furthest).clone());
    }
    for wanted in &aims {
        for recipe in near(ready, joint.eyes, wanted, ready.question.most_dyes, NEAR)? {
            let set = recipe.set();
            if set == best.recipes[place].set() || found.iter().any(|f| f.1.recipe.set() == set) {
                continue;
            }
            let one = candidate(ready, joint.eyes, recipe);
            let off = others
                .iter()
                .map(|w| between(&one.labs, &w.labs, joint.eyes, f64::INFINITY))
                .fold(0.0, f64::max);
            found.push((off, one));
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut better = best;
    for (_, one) in found.into_iter().take(effort.moved) {
        let mut recipes: Vec<Recipe> = better.recipes.clone();
        recipes[place] = one.recipe;
        let moved = joint.refined(&recipes, &QUICK);
        if moved.excess <= 0.0 && moved.largest < better.largest - 0.25 * GAIN {
            better = moved;
        }
    }
    Ok(better)
}

/// How the pieces look, the dyed ones first.
pub(super) fn looks(joint: &Joint, recipes: &[Recipe]) -> Vec<Wanted> {
    let mut looks: Vec<Wanted> = joint
        .members
        .iter()
        .zip(recipes)
        .map(|(ready, recipe)| Wanted::of(ready.bands(recipe), joint.eyes))
        .collect();
    looks.extend(joint.fixed.iter().cloned());
    looks
}

fn sort(states: &mut [State]) {
    states.sort_by(|a, b| a.largest.total_cmp(&b.largest));
}
