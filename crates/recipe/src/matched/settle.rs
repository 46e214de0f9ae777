//! Doses that can be measured, and no dye that nobody needs.
//!
//! Amounts are kept above what can be measured from the start (`piece`); here is looked whether each
//! dose really can be. Then dyes are left out as long as the largest difference does not
//! grow by more than [`TIE`] and the pieces' scores (number of dyes, sensitivity, cost) gain. Left out: which
//! dyes are tried in their place (`solve`).

use super::joint::{Joint, QUICK, Stages, State, THOROUGH};
use super::piece::Recipe;
use crate::Refusal;

/// Largest differences this near each other (ΔE00) are alike, a tenth of what anybody sees edge to edge; the
/// score then decides.
pub(super) const TIE: f64 = 0.05;
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

/// The same set without the dyes that bring nothing.
pub(super) fn lean(joint: &Joint, state: State) -> Result<State, Refusal> {
    let limit = state.largest + TIE;
    let mut best = state;
    let mut total = score(joint, &best)?;
    loop {
        let mut leaner: Option<(f64, State)> = None;
        for piece in 0..best.recipes.len() {
            for k in 0..best.recipes[piece].n {
                let left = best.recipes[piece].without(k);
                if best.recipes[piece].same(&joint.members[piece].alone) {
                    continue;
                }
                let rough = moved(joint, &best, piece, left, &QUICK);
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
                let least = leaner.as_ref().map_or(total, |l| l.0);
                if score < least - 1e-9 {
                    leaner = Some((score, end));
                }
            }
        }
        match leaner {
            Some((score, end)) => (total, best) = (score, end),
            None => return Ok(best),
        }
    }
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

/// The pieces' scores together.
fn score(joint: &Joint, state: &State) -> Result<f64, Refusal> {
    let mut sum = 0.0;
    for (ready, recipe) in joint.members.iter().zip(&state.recipes) {
        sum += ready.proposed(recipe)?.score.total;
    }
    Ok(sum)
}
