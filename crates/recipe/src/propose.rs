//! The answer: which recipes, in which order, and why the search stopped.
//!
//! Every set of dyes is solved for the lights together; what lies beyond the piece's tolerance by
//! expected error and spread is dropped; the rest is scored; at most five recipes that really
//! differ are kept.

use colour::Light;
use units::OnFibre;

use crate::cap::{held, lighter};
use crate::choice::Glance;
use crate::engine::{self, Combo, Settings, WhyStopped};
use crate::poise::poised;
use crate::reach::{Reach, reach};
use crate::setting::{aim, doses, palette};
use crate::{Choice, Question, Refusal, Score};

/// Most dyes in one question.
pub const MOST_CANDIDATES: usize = 64;
/// Most recipes in an answer.
pub const MOST_CHOICES: usize = 5;

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The recipes, best first; empty only when the cloth already is the colour.
    pub choices: Vec<Choice>,
    /// Whether the target can be reached at all, and if not, why.
    pub reach: Reach,
    /// How many sets of dyes were answered.
    pub subsets: usize,
    /// Why the search stopped and what was dropped; how many differ is the number of choices, as long as none is added.
    pub why_stopped: String,
}

/// Answers a question; one thread when `threads` is 1, all cores when 0.
pub fn propose(question: &Question, threads: usize) -> Result<Answer, Refusal> {
    check(question)?;
    let mut reach = reach(question, threads)?;
    let palette = palette(question);
    let goal = aim(&question.target, question.lights);
    let settings = Settings { keep: WIDE, finish: WIDE, ..Settings::default() };
    let found = engine::search(&palette, &goal, question.most_dyes, &settings, threads)
        .map_err(|e| Refusal::Engine(e.to_string()))?;
    // Sets of four crowd out the rest by sheer number: the best of up to three are asked for apart.
    let few = question.most_dyes.min(USUAL_DYES);
    let fewer = engine::search(&palette, &goal, few, &settings, threads)
        .map_err(|e| Refusal::Engine(e.to_string()))?;
    let mut combos = fewer.combos;
    combos.extend(daylight_exact(question, &palette, threads)?);
    combos.extend(found.combos.iter().filter(|c| usize::from(c.n) > few));
    for (dyes, lighter) in lighter(question, &palette) {
        let found =
            engine::search(&lighter, &goal, dyes.min(question.most_dyes), &settings, threads);
        combos.extend(
            found.map_err(|e| Refusal::Engine(e.to_string()))?.combos.iter().take(WIDE / 8),
        );
    }
    for combo in &mut combos {
        *combo = held(question, (&palette, &goal), *combo)?;
    }
    let mut glances = looked_at(question, &combos)?;
    let solved = glances.len();
    drop_needless(&mut glances);
    let mut choices = closely(question, glances)?;
    let limit = keep_limit(question, &choices);
    choices.retain(|c| c.expected_error() <= limit);
    let cheapest = score(question, &mut choices);
    for choice in choices.iter_mut().take(POISED) {
        *choice = poised(question, (&palette, &goal), choice.clone(), cheapest)?;
    }
    // Surer proportions of one set may have narrowed what is kept.
    let limit = keep_limit(question, &choices);
    choices.retain(|c| c.expected_error() <= limit);
    let kept = choices.len();
    score(question, &mut choices);
    for choice in &choices {
        reach.or_nearer(choice.difference(), choice.prediction.lab, &choice.doses);
    }
    let choices = differing(choices);
    let why_stopped = why(&found, solved, kept, limit);
    Ok(Answer { choices, reach, subsets: found.tried, why_stopped })
}

/// How many of the engine's best sets are looked at closely.
const WIDE: usize = 400;
/// Dyes in a recipe unless one more buys something visible.
const USUAL_DYES: usize = 3;
/// What a fourth dye must bring the worst light nearer, ΔE00, to be worth its pot of powder: half of
/// what passes edge to edge (judgement).
const VISIBLE: f64 = 0.5;
/// How many of those, best first, have their proportions moved to where they are surest.
const POISED: usize = 24;

pub(crate) fn check(question: &Question) -> Result<(), Refusal> {
    let count = question.dyes.len();
    if count == 0 {
        return Err(Refusal::NoDyes { class: question.on.class().to_string() });
    }
    if count > MOST_CANDIDATES {
        return Err(Refusal::TooMany { count, most: MOST_CANDIDATES });
    }
    let given = question.tolerance;
    if !(given > 0.0 && given <= 100.0) {
        let rule = "give a ΔE00 above 0 and at most 100, such as 2";
        return Err(Refusal::Number { what: "the tolerance", given, rule });
    }
    for given in [question.scatter.common, question.scatter.each] {
        if !(0.0..=1.0).contains(&given) {
            let rule = "give a share from 0 to 1, such as 0.05";
            return Err(Refusal::Number { what: "the scatter of dyeing", given, rule });
        }
    }
    Ok(())
}

/// The best sets for daylight alone: a colour with no known spectrum may be better served so.
fn daylight_exact(
    question: &Question,
    palette: &engine::Palette,
    threads: usize,
) -> Result<Vec<Combo>, Refusal> {
    let settings = Settings { keep: WIDE / 8, finish: WIDE / 8, ..Settings::default() };
    let most = question.most_dyes.min(3);
    engine::search(palette, &aim(&question.target, &[Light::D65]), most, &settings, threads)
        .map(|found| found.combos)
        .map_err(|e| Refusal::Engine(e.to_string()))
}

fn looked_at(question: &Question, combos: &[Combo]) -> Result<Vec<Glance>, Refusal> {
    let mut seen: Vec<Vec<(usize, OnFibre)>> = vec![];
    let mut glances = vec![];
    for combo in combos {
        let doses = doses(question, combo);
        if doses.is_empty() || seen.iter().any(|other| same(other, &doses)) {
            continue;
        }
        glances.push(Glance::of(question, doses.clone())?);
        seen.push(doses);
    }
    Ok(glances)
}

/// Those that may land within [`keep_limit`], looked at from all sides, in the order given. A recipe's
/// expected error is never below its difference, so the nearest are taken first, and what is further away
/// than the limit so far need not be looked at.
fn closely(question: &Question, glances: Vec<Glance>) -> Result<Vec<Choice>, Refusal> {
    let mut nearest: Vec<(usize, Glance)> = glances.into_iter().enumerate().collect();
    nearest.sort_by(|a, b| a.1.difference().total_cmp(&b.1.difference()).then(a.0.cmp(&b.0)));
    let mut best = f64::INFINITY;
    let mut close: Vec<(usize, Choice)> = vec![];
    for (at, glance) in nearest {
        if glance.difference() > limit_by(question, best) * (1.0 + 1e-9) {
            break;
        }
        let choice = glance.closely(question)?;
        best = best.min(choice.expected_error());
        close.push((at, choice));
    }
    close.sort_by_key(|c| c.0);
    Ok(close.into_iter().map(|c| c.1).collect())
}

/// Takes out recipes of four dyes that look no better in any light than the best with fewer: that
/// several poorly known dyes average out is no reason to weigh one more.
fn drop_needless(glances: &mut Vec<Glance>) {
    let usual = glances.iter().filter(|g| g.dyes() <= USUAL_DYES);
    let best = usual.map(Glance::worst).fold(f64::INFINITY, f64::min);
    glances.retain(|g| g.dyes() <= USUAL_DYES || g.worst() < best - VISIBLE);
}

/// The same dyes in doses within 1 % of each other.
fn same(a: &[(usize, OnFibre)], b: &[(usize, OnFibre)]) -> bool {
    a.len() == b.len()
        && a.iter().all(|(place, dose)| {
            b.iter().any(|(other, amount)| {
                let (x, y) = (dose.to_percent(), amount.to_percent());
                place == other && (x - y).abs() <= 0.01 * x.max(y)
            })
        })
}

/// Beyond this expected error a recipe is dropped: the tolerance, or, when dyes are known too poorly
/// for any recipe to promise that, half a tolerance more than the best of them.
fn keep_limit(question: &Question, choices: &[Choice]) -> f64 {
    let best = choices.iter().map(Choice::expected_error).fold(f64::INFINITY, f64::min);
    limit_by(question, best)
}

fn limit_by(question: &Question, best: f64) -> f64 {
    question.tolerance.max(best + 0.5 * question.tolerance)
}

/// Scores and sorts, best first; returns the least cost among them, if any is known.
fn score(question: &Question, choices: &mut [Choice]) -> Option<f64> {
    let costs = choices.iter().filter_map(|c| c.cost).map(units::Money::to_amount);
    let cheapest = costs.filter(|c| *c > 0.0).fold(f64::INFINITY, f64::min);
    let cheapest = cheapest.is_finite().then_some(cheapest);
    for choice in choices.iter_mut() {
        choice.score = Score::of(question, choice, cheapest);
    }
    choices.sort_by(|a, b| {
        a.score.total.total_cmp(&b.score.total).then_with(|| places(a).cmp(&places(b)))
    });
    cheapest
}

fn places(choice: &Choice) -> Vec<usize> {
    let mut places: Vec<usize> = choice.doses.iter().map(|d| d.0).collect();
    places.sort_unstable();
    places
}

/// Keeps recipes that differ from all better ones in a dye that matters, or visibly in cost or in
/// the worst light.
fn differing(choices: Vec<Choice>) -> Vec<Choice> {
    let mut kept: Vec<Choice> = vec![];
    for choice in choices {
        if kept.len() == MOST_CHOICES {
            break;
        }
        if kept.iter().all(|k| k.really_differs_from(&choice)) {
            kept.push(choice);
        }
    }
    kept
}

fn why(found: &engine::Found, solved: usize, kept: usize, limit: f64) -> String {
    let all = match found.stopped {
        WhyStopped::EverySet => format!("every one of {} sets of dyes was answered", found.tried),
        WhyStopped::TooManySets { size, sets } => format!(
            "{} sets of dyes were answered; the {sets} sets of {size} were not begun",
            found.tried
        ),
    };
    let units = units::trimmed(limit, 1);
    format!(
        "{all}; of the {solved} best, looked at closely, {kept} should land within {units} of the \
         target"
    )
}
