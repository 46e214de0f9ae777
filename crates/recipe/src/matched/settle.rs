//! Doses that can be measured, no dye that nobody needs, and of answers that are alike the plainest.
//!
//! Amounts are kept above what can be measured from the start (`piece`); here is looked whether each
//! dose really can be. Then recipes are made plainer as long as the largest difference stays as good as it
//! was ([`Terms`]) and the pieces' scores (number of dyes, spread, sensitivity, cost) gain: a dye left out,
//! fewer dyes of the same look, the dyes or the very recipe that the piece has alone. Left out: which
//! dyes are tried for the largest difference (`solve`).

use super::Terms;
use super::joint::{Joint, QUICK, Stages, State, THOROUGH};
use super::piece::Recipe;
use super::pool::{Wanted, near};
use super::solve::alone;
use crate::Refusal;

/// What a dye adds to the score that the piece does not have alone, ΔE00: one more to buy and to know, and
/// as much as any dye after the first adds to a recipe's own score.
const STRANGE: f64 = 0.1;
/// Sets of fewer dyes tried for one piece in a round.
const FEWER: usize = 4;
/// A dose just too small is taken up by this factor.
const UP: f64 = 1.15;
/// Doses that are put right before a set is given up.
const MOST_PUT_RIGHT: usize = 24;

/// The same set with every dose measurable; none where that cannot be within the limits.
pub(super) fn measured(joint: &Joint, state: State) -> Option<State> {
    let mut state = state;
    for _ in 0..MOST_PUT_RIGHT {
        let Some((piece, k)) = too_small(joint, &state.recipes) else { return Some(state) };
        // Amounts stand above what can be measured; what fails all the same (a scale's own steps) is
        // left out, or taken up a little.
        let recipe = state.recipes[piece];
        let mut more = recipe;
        more.floor[k] = (recipe.x[k] * UP).min(joint.members[piece].most(recipe.dyes[k]));
        more.x[k] = more.floor[k];
        let ways = [recipe.without(k), more];
        let mut ends: Vec<State> =
            ways.into_iter().map(|way| moved(joint, &state, piece, way, &THOROUGH)).collect();
        ends.retain(|end| end.excess <= 0.0);
        ends.sort_by(|a, b| a.largest.total_cmp(&b.largest));
        state = ends.into_iter().next()?;
    }
    None
}

/// The same set with the plainest recipes that are as good: those the pieces have alone, if these are.
pub(super) fn plainest(joint: &Joint, state: State, terms: &Terms) -> Result<State, Refusal> {
    let limit = terms.as_good_as(state.largest);
    let as_alone = alone(joint);
    if as_alone.largest <= limit {
        return Ok(as_alone);
    }
    let mut best = state;
    let mut total = score(joint, &best)?;
    loop {
        let mut plainer: Option<(f64, State)> = None;
        for piece in 0..best.recipes.len() {
            for recipe in simpler(joint, &best, piece)? {
                let rough = moved(joint, &best, piece, recipe, &QUICK);
                if rough.excess > 0.0 || rough.largest > limit + 0.1 {
                    continue;
                }
                let end = joint.refined(&rough.recipes, &THOROUGH);
                let kept = end.excess <= 0.0 && end.largest <= limit;
                let Some(end) = kept.then_some(end).and_then(|end| measured(joint, end)) else {
                    continue;
                };
                if end.largest > limit {
                    continue;
                }
                let score = score(joint, &end)?;
                let least = plainer.as_ref().map_or(total, |p| p.0);
                if score < least - 1e-9 {
                    plainer = Some((score, end));
                }
            }
        }
        match plainer {
            Some((score, end)) => (total, best) = (score, end),
            None => break,
        }
    }
    best.recipes.iter_mut().for_each(|recipe| recipe.held = false);
    Ok(best)
}

/// Plainer recipes of one piece to try in its place.
fn simpler(joint: &Joint, best: &State, piece: usize) -> Result<Vec<Recipe>, Refusal> {
    let (ready, here) = (joint.members[piece], best.recipes[piece]);
    if here.same(&ready.alone) {
        return Ok(vec![]);
    }
    let mut tried = vec![Recipe { held: true, ..ready.alone }];
    if here.set() != ready.alone.set() {
        tried.push(ready.measurable(&ready.alone));
    }
    tried.extend((0..here.n).map(|k| here.without(k)));
    if here.n > 1 {
        let look = Wanted::of(ready.bands(&here), joint.eyes);
        tried.extend(near(ready, joint.eyes, &look, here.n - 1, FEWER)?);
    }
    Ok(tried)
}

fn moved(joint: &Joint, state: &State, piece: usize, recipe: Recipe, stages: &Stages) -> State {
    let mut recipes = state.recipes.clone();
    recipes[piece] = recipe;
    joint.refined(&recipes, stages)
}

/// The first dose that cannot be measured, by piece and place in its recipe. Recipes as they are alone are
/// left alone: their doses were chosen with the score.
fn too_small(joint: &Joint, recipes: &[Recipe]) -> Option<(usize, usize)> {
    recipes.iter().zip(&joint.members).enumerate().find_map(|(piece, (recipe, ready))| {
        if recipe.same(&ready.alone) {
            return None;
        }
        let bad = |k: &usize| !ready.doseable(recipe.dyes[*k], recipe.x[*k]);
        (0..recipe.n).find(bad).map(|k| (piece, k))
    })
}

/// The pieces' scores together, with what is strange to them.
fn score(joint: &Joint, state: &State) -> Result<f64, Refusal> {
    let mut sum = 0.0;
    for (ready, recipe) in joint.members.iter().zip(&state.recipes) {
        let own = &ready.alone.dyes[..ready.alone.n];
        let strange = recipe.dyes[..recipe.n].iter().filter(|dye| !own.contains(dye)).count();
        #[expect(clippy::cast_precision_loss, reason = "at most four dyes")]
        let strange = STRANGE * strange as f64;
        sum += ready.proposed(recipe)?.score.total + strange;
    }
    Ok(sum)
}
