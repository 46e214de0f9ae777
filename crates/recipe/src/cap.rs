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
