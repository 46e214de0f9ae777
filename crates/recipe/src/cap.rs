//! A recipe held to the most dye its bath is good for, all dyes together.
//!
//! The search bounds each dye alone. A set that asks for too much in all is solved again with each
//! dye bounded by its share of what is allowed, so the answer keeps the limit and the hue as well as
//! it can. Left out: whether a lighter set would then be better (the caller compares).

use units::OnFibre;

use crate::engine::{self, Aim, Combo, Palette, Settings};
use crate::setting::doses;
use crate::{Question, Refusal};

/// Whether doses keep the question's limit on all dye together.
pub(crate) fn keeps(question: &Question, doses: &[(usize, OnFibre)]) -> bool {
    let total: f64 = doses.iter().map(|d| d.1.to_percent()).sum();
    question.most_total.is_none_or(|cap| total <= cap.to_percent() * (1.0 + 1e-6))
}

/// The set within the limit: as it is, or solved again below it.
pub(crate) fn held(
    question: &Question,
    (palette, goal): (&Palette, &Aim),
    combo: Combo,
) -> Result<Combo, Refusal> {
    let Some(cap) = question.most_total else { return Ok(combo) };
    let doses = doses(question, &combo);
    if keeps(question, &doses) || doses.is_empty() {
        return Ok(combo);
    }
    let total: f64 = doses.iter().map(|d| d.1.to_percent()).sum();
    let mut lighter = palette.clone();
    for &(place, dose) in &doses {
        let share = OnFibre::try_percent(dose.to_percent() * cap.to_percent() / total)?;
        lighter.most[place] = question.on.fixed(question.dyes[place].dye, share).max(1e-9);
    }
    let mut set: Vec<usize> = doses.iter().map(|d| d.0).collect();
    set.sort_unstable();
    engine::solve_one(&lighter, goal, &set, &Settings::default(), 2)
        .map_err(|e| Refusal::Engine(e.to_string()))
}

/// A set at its limit with the limit divided among its dyes as brings it nearest. [`held`] keeps the
/// proportions the dyes had without a limit, and these are seldom the best below it.
pub(crate) fn divided(
    question: &Question,
    (palette, goal): (&Palette, &Aim),
    combo: Combo,
) -> Result<Combo, Refusal> {
    let Some(cap) = question.most_total.map(OnFibre::to_percent) else { return Ok(combo) };
    let doses = doses(question, &combo);
    let mut shares: Vec<f64> = doses.iter().map(|d| d.1.to_percent()).collect();
    if shares.len() < 2 || shares.iter().sum::<f64>() < AT_LIMIT * cap {
        return Ok(combo);
    }
    let places: Vec<usize> = doses.iter().map(|d| d.0).collect();
    let solve = |shares: &[f64]| {
        let mut bounded = palette.clone();
        for (&place, &share) in places.iter().zip(shares) {
            let share = OnFibre::try_percent(share)?;
            let most = question.on.fixed(question.dyes[place].dye, share);
            bounded.most[place] = most.min(palette.most[place]).max(1e-9);
        }
        let mut set = places.clone();
        set.sort_unstable();
        engine::solve_one(&bounded, goal, &set, &Settings::default(), 1)
            .map_err(|e| Refusal::Engine(e.to_string()))
    };
    let mut best = combo;
    for step in STEPS {
        for _ in 0..ROUNDS {
            let before = best.rms;
            for (from, to) in pairs(shares.len()) {
                let mut moved = shares.clone();
                let by = (step * cap).min(moved[from]);
                moved[from] -= by;
                moved[to] += by;
                let solved = solve(&moved)?;
                if solved.rms < best.rms - LEAST_GAIN {
                    (best, shares) = (solved, moved);
                }
            }
            if best.rms >= before {
                break;
            }
        }
    }
    Ok(best)
}

/// From this share of the limit on a set counts as at it.
const AT_LIMIT: f64 = 0.97;
/// Parts of the limit moved from one dye to another, coarse first.
const STEPS: [f64; 4] = [0.2, 0.05, 0.015, 0.004];
/// Rounds over all pairs with one step.
const ROUNDS: usize = 12;
/// A move must win this much, ΔE00.
const LEAST_GAIN: f64 = 1e-4;

fn pairs(n: usize) -> impl Iterator<Item = (usize, usize)> {
    (0..n).flat_map(move |a| (0..n).filter(move |b| *b != a).map(move |b| (a, b)))
}

/// Palettes whose every set of so many dyes keeps the limit outright, with that number of dyes.
pub(crate) fn lighter(question: &Question, palette: &Palette) -> Vec<(usize, Palette)> {
    let Some(cap) = question.most_total else { return vec![] };
    (2..=engine::MOST_DYES)
        .filter_map(|n| {
            #[expect(clippy::cast_precision_loss, reason = "at most four dyes")]
            let each = OnFibre::try_percent(cap.to_percent() / n as f64).ok()?;
            let mut lighter = palette.clone();
            for (most, candidate) in lighter.most.iter_mut().zip(question.dyes) {
                *most = most.min(question.on.fixed(candidate.dye, each));
            }
            Some((n, lighter))
        })
        .collect()
}
