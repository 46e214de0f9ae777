//! Which piece breaks a set, and what would mend it.
//!
//! Each piece is left out in turn and the rest solved again from where they stand. What would mend the
//! one that breaks the set is asked of the room itself: `reach` for the others' colour, and the set
//! solved again with the piece, or all others, freed of their targets. Left out: words.

use super::joint::{Joint, State};
use super::piece::{Ready, Recipe};
use super::pool::Wanted;
use super::solve::{Crew, ROUGH, finished, looks, solved, starts};
use super::{Break, Mend, Set};
use crate::engine;
use crate::{Cause, Question, Refusal, Target, reach};

/// Largest differences nearer than this do not tell which piece breaks a set.
const ALIKE: f64 = 0.05;

/// Names the piece, and what would mend it.
pub(super) fn breaks(
    set: &Set,
    joint: &Joint,
    best: &State,
    crew: &Crew,
) -> Result<Break, Refusal> {
    let dyed = joint.members.len();
    let all: Vec<usize> = (0..dyed + joint.fixed.len()).collect();
    let left = crew.each(&all, |place| without(joint, best, *place));
    let left: Vec<f64> = left.into_iter().collect::<Result<_, _>>()?;
    let least = left.iter().copied().fold(f64::INFINITY, f64::min);
    let mut place = (0..left.len()).find(|k| left[*k] <= least).unwrap_or(0);
    let alike: Vec<usize> =
        (0..left.len()).filter(|k| left[*k] <= least + ALIKE && *k < dyed).collect();
    let mut anchored = None;
    if alike.len() > 1 || (all.len() == 2 && !alike.is_empty()) {
        // The one that the others come to most nearly is the one that cannot come to them.
        for k in alike {
            let (largest, off_target) = anchor(joint, k, crew)?;
            if anchored.is_none_or(|(best, _, _)| largest < best) {
                anchored = Some((largest, off_target, k));
                place = k;
            }
        }
    }
    let (largest, off_target) = match anchored {
        Some((largest, off_target, _)) => (largest, off_target),
        None => anchor(joint, place, crew)?,
    };
    let mut mends = vec![Mend::Anchor { largest, off_target }];
    if place < dyed {
        let (largest, off_target) = give_way(joint, best, place, crew)?;
        mends.push(Mend::GiveWay { largest, off_target });
        mends.extend(lifts(joint, best, place)?);
    }
    if all.len() > 2 {
        mends.push(Mend::LeaveOut { largest: left[place] });
    }
    mends.sort_by(|a, b| leaves(a).total_cmp(&leaves(b)));
    Ok(Break { which: set.which(place), largest_without: left[place], mends })
}

/// What a mend leaves; what cannot be known beforehand comes last.
fn leaves(mend: &Mend) -> f64 {
    match mend {
        Mend::Lift(limit) => limit.gap_without,
        Mend::AnotherClass => f64::INFINITY,
        Mend::GiveWay { largest, .. }
        | Mend::Anchor { largest, .. }
        | Mend::LeaveOut { largest } => *largest,
    }
}

/// Largest difference between the others without one piece, the pieces read among them.
fn without(joint: &Joint, best: &State, place: usize) -> Result<f64, Refusal> {
    let dyed = joint.members.len();
    let mut rest =
        Joint { eyes: joint.eyes, members: joint.members.clone(), fixed: joint.fixed.clone() };
    let mut recipes = best.recipes.clone();
    if place < dyed {
        rest.members.remove(place);
        recipes.remove(place);
    } else {
        rest.fixed.remove(place - dyed);
    }
    let largest = alone_apart(&rest);
    if rest.members.is_empty() || rest.members.len() + rest.fixed.len() < 2 {
        return Ok(largest);
    }
    let start = rest.state(recipes);
    Ok(largest.max(finished(&rest, &start, &ROUGH)?.largest))
}

/// The set with one piece as it is alone and all others free to come to it: the largest difference,
/// and how far the others end from their own targets.
fn anchor(joint: &Joint, place: usize, crew: &Crew) -> Result<(f64, f64), Refusal> {
    let dyed = joint.members.len();
    let pieces = looks(joint, &joint.members.iter().map(|m| m.alone).collect::<Vec<_>>());
    let here = pieces[place].clone();
    let freed: Vec<Ready> = joint
        .members
        .iter()
        .enumerate()
        .filter(|(k, _)| *k != place)
        .map(|(_, ready)| ready.freed(&here.labs))
        .collect();
    let mut fixed = joint.fixed.clone();
    if place < dyed {
        fixed.push(here);
    }
    let free = Joint { eyes: joint.eyes, members: freed.iter().collect(), fixed };
    if free.members.is_empty() {
        return Ok((alone_apart(&free), 0.0));
    }
    let end = solved(&free, crew, starts(&free, crew, &ROUGH)?, &ROUGH)?;
    let own: Vec<&Ready> =
        joint.members.iter().enumerate().filter(|(k, _)| *k != place).map(|(_, r)| *r).collect();
    Ok((end.largest.max(alone_apart(&free)), furthest(joint, &own, &end.recipes)))
}

/// The set with one piece freed of its target: the largest difference, and how far it ends from it.
fn give_way(joint: &Joint, best: &State, place: usize, crew: &Crew) -> Result<(f64, f64), Refusal> {
    let Some(middle) = others(joint, best, place) else { return Ok((best.largest, 0.0)) };
    let freed = joint.members[place].freed(&middle.labs);
    let mut free =
        Joint { eyes: joint.eyes, members: joint.members.clone(), fixed: joint.fixed.clone() };
    free.members[place] = &freed;
    let mut starts = starts(&free, crew, &ROUGH)?;
    starts.push(free.state(best.recipes.clone()));
    let end = solved(&free, crew, starts, &ROUGH)?;
    let off = furthest(joint, &[joint.members[place]], &[end.recipes[place]]);
    Ok((end.largest.max(alone_apart(&free)), off))
}

/// What keeps the piece from the others' colour.
fn lifts(joint: &Joint, best: &State, place: usize) -> Result<Vec<Mend>, Refusal> {
    let Some(middle) = others(joint, best, place) else { return Ok(vec![]) };
    let question = joint.members[place].question;
    let bands = colour::Bands::try_new(middle.bands)?;
    let asked = Question { target: Target { bands, assumed: false }, ..question.clone() };
    let found = reach(&asked, 1)?;
    let of = |cause: Cause| found.limits.iter().any(|limit| limit.what == cause);
    let mut mends: Vec<Mend> = found.limits.iter().copied().map(Mend::Lift).collect();
    if found.within || of(Cause::Dyes) || of(Cause::Depth) {
        mends.push(Mend::AnotherClass);
    }
    Ok(mends)
}

/// The middle of all pieces but one.
fn others(joint: &Joint, best: &State, place: usize) -> Option<Wanted> {
    let pieces = looks(joint, &best.recipes);
    let others: Vec<&Wanted> =
        pieces.iter().enumerate().filter(|(k, _)| *k != place).map(|(_, w)| w).collect();
    Wanted::middle(&others)
}

/// Largest difference between pieces that are as they are.
fn alone_apart(joint: &Joint) -> f64 {
    let mut largest: f64 = 0.0;
    for (k, one) in joint.fixed.iter().enumerate() {
        for two in &joint.fixed[k + 1..] {
            largest = largest.max(super::combine::between(
                &one.labs,
                &two.labs,
                joint.eyes,
                f64::INFINITY,
            ));
        }
    }
    largest
}

/// Largest difference of pieces from their own targets, in the worst of their lights.
fn furthest(joint: &Joint, own: &[&Ready], recipes: &[Recipe]) -> f64 {
    let mut furthest: f64 = 0.0;
    for (ready, recipe) in own.iter().zip(recipes) {
        let labs = joint.eyes.labs(&ready.bands(recipe));
        for bound in &ready.bounds {
            furthest = furthest.max(engine::difference(bound.target, labs[bound.light]));
        }
    }
    furthest
}
