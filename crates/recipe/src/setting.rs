//! A question turned into the engine's arrays, and the engine's answers turned back into doses.

use colour::{BANDS, Light, Observer, Weights};
use dyeing::{Dosed, Dye, Substrate};
use units::OnFibre;

use crate::engine::{Aim, Combo, Law, LightAim, Palette, Side};
use crate::{Question, Target};

/// Share of the reference light in what the search minimises; the other lights share the rest.
/// Judgement: exact in daylight first, then constancy.
const REFERENCE_SHARE: f64 = 0.6;

/// The palette of a question's dyes on its substrate.
pub(crate) fn palette(question: &Question) -> Palette {
    let dyes: Vec<&Dye> = question.dyes.iter().map(|c| c.dye).collect();
    palette_of(question.on, &dyes, question.most_total)
}

/// The palette of dyes on a substrate, none beyond its own most nor what the bath is good for.
pub(crate) fn palette_of(on: &Substrate, dyes: &[&Dye], cap: Option<OnFibre>) -> Palette {
    let absorbs = dyes.iter().map(|dye| dye.absorbs());
    let most = dyes
        .iter()
        .map(|dye| cap.map_or(f64::INFINITY, |cap| on.fixed(dye, cap)).min(on.most_fixed(dye)))
        .collect();
    match on.plain() {
        Some((cloth_ks, gain)) => Palette {
            cloth_ks,
            surface: 0.0,
            shapes: absorbs.map(|a| a.map(|v| v * gain)).collect(),
            most,
            law: Law::Plain,
        },
        None => Palette {
            // Every fibre's own K/S stands in the law; the total is then absorption alone.
            cloth_ks: [1e-9; BANDS],
            surface: 0.0,
            shapes: absorbs.collect(),
            most,
            law: Law::Sides(sides(on)),
        },
    }
}

fn sides(on: &Substrate) -> Vec<Side> {
    on.sides().map(|(share, cloth_ks, gain)| Side { share, cloth_ks, gain }).collect()
}

/// The aim under the reference light alone, or under it and others.
pub(crate) fn aim(target: &Target, lights: &[Light]) -> Aim {
    let mut all = vec![Light::D65];
    for &light in lights {
        if !all.contains(&light) {
            all.push(light);
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "a handful of lights")]
    let rest = (1.0 - REFERENCE_SHARE) / (all.len().max(2) - 1) as f64;
    let alone = all.len() == 1;
    let aims = all.iter().map(|&light| {
        let weights = Weights::of(light, Observer::Ten);
        let (white, lab) = (weights.white(), weights.lab(&target.bands));
        let share = match (alone, light) {
            (true, _) => 1.0,
            (false, Light::D65) => REFERENCE_SHARE,
            (false, _) => rest,
        };
        LightAim {
            weights: *weights.rows(),
            white: [white.x, white.y, white.z],
            lab: [lab.l, lab.a, lab.b],
            share,
        }
    });
    Aim { lights: aims.collect(), start: *target.bands.values() }
}

/// Doses of a set of dyes; dyes that ended at nothing visible are left out.
pub(crate) fn doses(question: &Question, combo: &Combo) -> Vec<(usize, OnFibre)> {
    (0..usize::from(combo.n))
        .filter_map(|i| {
            let place = usize::from(combo.dyes[i]);
            let dye = question.dyes.get(place)?.dye;
            let dose = question.on.dose_for(dye, combo.x[i])?;
            (dose.to_percent() >= LEAST_PCT).then_some((place, dose))
        })
        .collect()
}

/// Below this depth (% owf) a dye shows nothing: a tenth of it still moved one basic violet by 0.05 ΔE00.
pub(crate) const LEAST_PCT: f64 = 1e-5;

/// A recipe whose doses are taken as exact: for its expected colour, which no scatter moves.
pub(crate) fn unscattered<'a>(
    question: &Question<'a>,
    doses: &[(usize, OnFibre)],
) -> Vec<Dosed<'a>> {
    let exact = |&(place, dose): &(usize, OnFibre)| {
        let dye: &'a dyeing::Dye = question.dyes[place].dye;
        Dosed { dye, dose, scatter: 0.0 }
    };
    doses.iter().map(exact).collect()
}

/// A recipe ready for prediction, each dose with the scatter of measuring it out.
pub(crate) fn dosed<'a>(question: &Question<'a>, doses: &[(usize, OnFibre)]) -> Vec<Dosed<'a>> {
    doses
        .iter()
        .map(|&(place, dose)| {
            let candidate = &question.dyes[place];
            let want = dose * question.goods;
            let scatter =
                dosing::relative_scatter(want, candidate.dye.form, question.kit, &candidate.rules);
            // What cannot be measured out at all counts as a guess: as likely none as double.
            Dosed { dye: candidate.dye, dose, scatter: scatter.min(1.0) }
        })
        .collect()
}
