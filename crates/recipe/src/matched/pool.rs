//! Recipes of one piece near the colours of the others: what a set is put together from.
//!
//! Every set of dyes is solved by the engine for several aims: the piece's own target, and each other
//! piece as it is alone or as it was read, drawn in to the piece's own tolerance. Left out: which of
//! them go together (`combine`).

use colour::BANDS;

use super::piece::{Eyes, Lab3, Ready, Recipe};
use crate::Refusal;
use crate::engine::{self, Aim, Combo, LightAim, Palette, Settings};

/// A colour to aim at: under every light, and a reflectance to start from.
#[derive(Clone)]
pub(super) struct Wanted {
    pub(super) labs: Vec<Lab3>,
    pub(super) bands: [f64; BANDS],
}

/// A recipe with its colour under every light.
#[derive(Clone)]
pub(super) struct Candidate {
    pub(super) recipe: Recipe,
    pub(super) labs: Vec<Lab3>,
}

/// Most candidates of one piece (in trials 160 found nothing better than 96).
const POOL: usize = 96;
/// A candidate may leave a limit by this share, and this much ΔE00, before its amounts are moved.
const STRAY_SHARE: f64 = 1.25;
const STRAY: f64 = 0.25;
/// Dyes that sets of four are made of; of more, those are taken that the best sets of up to three use.
const SHORT: usize = 20;
/// Part of the tolerance that an aim may use up.
const INSIDE: f64 = 0.9;
/// Weight of a light that counts for the piece and not between pieces.
const OWN_LIGHT: f64 = 0.2;

impl Wanted {
    pub(super) fn of(bands: [f64; BANDS], eyes: &Eyes) -> Self {
        Self { labs: eyes.labs(&bands), bands }
    }

    /// The middle of several.
    pub(super) fn middle(of: &[&Self]) -> Option<Self> {
        let first = of.first()?;
        #[expect(clippy::cast_precision_loss, reason = "a dozen pieces")]
        let each = 1.0 / of.len() as f64;
        let mut middle = Self { labs: vec![[0.0; 3]; first.labs.len()], bands: [0.0; BANDS] };
        for one in of {
            for (sum, lab) in middle.labs.iter_mut().zip(&one.labs) {
                (0..3).for_each(|c| sum[c] += each * lab[c]);
            }
            middle.bands.iter_mut().zip(one.bands).for_each(|(sum, r)| *sum += each * r);
        }
        Some(middle)
    }
}

/// Shortens the list of dyes of a piece with many.
pub(super) fn shorten(ready: &mut Ready, eyes: &Eyes) -> Result<(), Refusal> {
    if ready.short.len() <= SHORT {
        return Ok(());
    }
    let target = Wanted::of(*ready.question.target.bands.values(), eyes);
    let most = ready.question.most_dyes.min(3);
    let mut points = vec![0.0; ready.question.dyes.len()];
    for (at, recipe) in near(ready, eyes, &target, most, 400)?.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "a few hundred")]
        let weight = 1.0 / (20.0 + at as f64);
        recipe.dyes[..recipe.n].iter().for_each(|dye| points[*dye] += weight);
    }
    ready.alone.dyes[..ready.alone.n].iter().for_each(|dye| points[*dye] = f64::INFINITY);
    let mut order = ready.short.clone();
    order.sort_by(|a, b| points[*b].total_cmp(&points[*a]).then(a.cmp(b)));
    order.truncate(SHORT);
    order.sort_unstable();
    ready.short = order;
    Ok(())
}

/// The candidates of one piece: as it is alone first, then by turns the best of every aim.
pub(super) fn pool(ready: &Ready, eyes: &Eyes, aims: &[Wanted]) -> Result<Vec<Candidate>, Refusal> {
    let keep = POOL.div_ceil(aims.len().max(1)).max(8);
    let mut pool = vec![candidate(ready, eyes, ready.measurable(&ready.alone))];
    for wanted in aims {
        for recipe in near(ready, eyes, wanted, ready.question.most_dyes, keep)? {
            let new = |c: &Candidate| c.recipe.set() != recipe.set() || apart(&c.recipe, &recipe);
            if !pool.iter().all(new) {
                continue;
            }
            let one = candidate(ready, eyes, recipe);
            let strays = ready.bounds.iter().any(|bound| {
                engine::difference(bound.target, one.labs[bound.light])
                    > STRAY_SHARE * bound.most + STRAY
            });
            if !strays {
                pool.push(one);
            }
        }
    }
    Ok(pool)
}

pub(super) fn candidate(ready: &Ready, eyes: &Eyes, recipe: Recipe) -> Candidate {
    Candidate { recipe, labs: eyes.labs(&ready.bands(&recipe)) }
}

/// Whether amounts of one set of dyes differ by more than a twentieth in any of them.
fn apart(a: &Recipe, b: &Recipe) -> bool {
    (0..a.n).any(|i| {
        let other = (0..b.n).find(|k| b.dyes[*k] == a.dyes[i]).map_or(0.0, |k| b.x[k]);
        (a.x[i] - other).abs() > 0.05 * a.x[i].max(other)
    })
}

/// The best recipes of at most so many dyes for one aim, best first.
pub(super) fn near(
    ready: &Ready,
    eyes: &Eyes,
    wanted: &Wanted,
    most_dyes: usize,
    keep: usize,
) -> Result<Vec<Recipe>, Refusal> {
    let palette = Palette {
        shapes: ready.short.iter().map(|dye| ready.palette.shapes[*dye]).collect(),
        most: ready.short.iter().map(|dye| ready.palette.most[*dye]).collect(),
        ..ready.palette.clone()
    };
    let settings = Settings { keep, finish: keep, ..Settings::default() };
    let aim = aim(ready, eyes, wanted);
    let found = engine::search(&palette, &aim, most_dyes, &settings, 1)
        .map_err(|e| Refusal::Engine(e.to_string()))?;
    let recipe = |combo: &Combo| {
        let n = usize::from(combo.n);
        let pairs: Vec<(usize, f64)> = (0..n)
            .filter(|i| combo.x[*i] > 0.0)
            .map(|i| (ready.short[usize::from(combo.dyes[i])], combo.x[i]))
            .collect();
        ready.measurable(&Recipe::of(&pairs))
    };
    Ok(found.combos.iter().map(recipe).collect())
}

fn aim(ready: &Ready, eyes: &Eyes, wanted: &Wanted) -> Aim {
    #[expect(clippy::cast_precision_loss, reason = "a handful of lights")]
    let (between, own) = (eyes.pairs as f64, (eyes.lights.len() - eyes.pairs) as f64);
    let all = between + OWN_LIGHT * own;
    let lights = eyes.lights.iter().enumerate().map(|(at, light)| {
        let weights = colour::Weights::of(*light, colour::Observer::Ten);
        let white = weights.white();
        let mut lab = wanted.labs[at];
        if let Some(bound) = ready.bounds.iter().find(|b| b.light == at) {
            let off = engine::difference(bound.target, lab);
            let room = INSIDE * bound.most;
            if off > room {
                lab = [0, 1, 2].map(|c| bound.target[c] + (lab[c] - bound.target[c]) * room / off);
            }
        }
        let share = if at < eyes.pairs { 1.0 } else { OWN_LIGHT } / all;
        LightAim { weights: *weights.rows(), white: [white.x, white.y, white.z], lab, share }
    });
    Aim { lights: lights.collect(), start: wanted.bands }
}
