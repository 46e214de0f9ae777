//! More dye on what is dyed already: the best that can be reached from a recipe by adding, and by nothing else.
//!
//! What is on the fibre stays there; the search runs over what is added to it, of the same dyes or of up to two
//! others. Left out: whether the bath may be given more dye at all, which is the class's own rule (`lore`), and
//! whether it is worth it ([`weighed`](crate::weighed)).

use dyeing::{Dye, Setting};
use units::OnFibre;

use crate::Refusal;
use crate::engine::{self, Palette, Settings};
use crate::setting::{LEAST_PCT, aim, palette_of};
use crate::shot::{Aimed, Shot, foretold};

/// Most dyes that are added at once: three would be a new recipe (judgement).
const MOST_ADDED: usize = 2;
/// How many of the best additions are foretold.
const LOOKED_AT: usize = 40;
/// A dose that grows by less than this is not added to (share of it): no syringe tells it apart.
const FELT: f64 = 0.005;

/// The recipe with the least expected error among those that add dye to the one held, with all its doses; none
/// where no addition leaves anything to tell apart.
///
/// # Errors
/// No dyes, or a set the engine or the experience refuses.
pub fn topped_up(aimed: &Aimed, held: &[(usize, OnFibre)]) -> Result<Option<Shot>, Refusal> {
    let Setting { on, fibre, job } = aimed.setting;
    let believed =
        |place: usize| aimed.experience.dye_in_job(place, fibre, job).map(|dye| (place, dye));
    let dyes: Vec<(usize, Dye)> = aimed.dyes.iter().filter_map(|&p| believed(p)).collect();
    if dyes.is_empty() {
        return Err(Refusal::NoDyes { class: on.class().to_string() });
    }
    let shelf: Vec<&Dye> = dyes.iter().map(|d| &d.1).collect();
    let mut palette = palette_of(on, &shelf, aimed.most_total);
    let mut there: Vec<f64> = vec![0.0; dyes.len()];
    for &(place, dose) in held {
        let Some((_, dye)) = believed(place) else { continue };
        let fixed = on.fixed(&dye, dose);
        let own = palette_of(on, &[&dye], None);
        lay(&mut palette, fixed, &own);
        if let Some(at) = dyes.iter().position(|d| d.0 == place) {
            there[at] = fixed;
        }
    }
    for (most, there) in palette.most.iter_mut().zip(&there) {
        *most = (*most - there).max(0.0);
    }
    let open: Vec<usize> = (0..dyes.len()).filter(|&at| palette.most[at] > 0.0).collect();
    if open.is_empty() {
        return Ok(None);
    }
    let left = Palette {
        shapes: open.iter().map(|&at| palette.shapes[at]).collect(),
        most: open.iter().map(|&at| palette.most[at]).collect(),
        ..palette.clone()
    };
    let goal = aim(&aimed.target, aimed.lights);
    let settings = Settings { keep: LOOKED_AT, finish: LOOKED_AT, ..Settings::default() };
    let found = engine::search(&left, &goal, MOST_ADDED, &settings, 1)
        .map_err(|e| Refusal::Engine(e.to_string()))?;
    let now = foretold(aimed, held.to_vec())?.lab.l;
    let mut best: Option<Shot> = None;
    for combo in &found.combos {
        let added: Vec<(usize, f64)> = (0..usize::from(combo.n))
            .map(|i| (open[usize::from(combo.dyes[i])], combo.x[i]))
            .collect();
        let Some(doses) = with(aimed, (&dyes, &there), held, &added) else { continue };
        let shot = foretold(aimed, doses)?;
        // What is on the fibre stays there. Foretold as one bath, a deep addition may take sites from what is
        // fixed already and seem to lighten it; that is not to be had by adding.
        if shot.lab.l > now {
            continue;
        }
        if best.as_ref().is_none_or(|b| shot.expected_error() < b.expected_error()) {
            best = Some(shot);
        }
    }
    Ok(best)
}

/// Lays what is on the fibre under all that is searched.
fn lay(palette: &mut Palette, fixed: f64, own: &Palette) {
    let Some(shape) = own.shapes.first() else { return };
    for (ks, a) in palette.cloth_ks.iter_mut().zip(shape) {
        *ks += fixed * a;
    }
}

/// The doses held with what is added; none where nothing is, or more than the bath is good for.
fn with(
    aimed: &Aimed,
    (dyes, there): (&[(usize, Dye)], &[f64]),
    held: &[(usize, OnFibre)],
    added: &[(usize, f64)],
) -> Option<Vec<(usize, OnFibre)>> {
    let mut doses = held.to_vec();
    let mut felt = false;
    for &(at, fixed) in added {
        let (place, dye) = &dyes[at];
        let dose = aimed.setting.on.dose_for(dye, there[at] + fixed)?;
        match doses.iter_mut().find(|d| d.0 == *place) {
            Some(own) if dose.to_percent() > own.1.to_percent() * (1.0 + FELT) => {
                own.1 = dose;
                felt = true;
            }
            Some(_) => {}
            None if dose.to_percent() >= LEAST_PCT => {
                doses.push((*place, dose));
                felt = true;
            }
            None => {}
        }
    }
    let total: f64 = doses.iter().map(|d| d.1.to_percent()).sum();
    let fits = aimed.most_total.is_none_or(|cap| total <= cap.to_percent() * (1.0 + 1e-6));
    (felt && fits && doses.len() <= engine::MOST_DYES).then_some(doses)
}
