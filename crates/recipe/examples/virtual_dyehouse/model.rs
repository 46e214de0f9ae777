//! What the rivals ask of the program's model of dyeing: the colour of a recipe, its slopes, the plain best
//! match, and the doses of given dyes for a colour.

use colour::{BANDS, ClothPrior, Lab, Light, Observer, Weights};
use dyeing::{Dosed, Dye, Substrate, absorbed};
use nalgebra::{DVector, Vector3};
use recipe::engine::{Aim, Combo, Law, LightAim, Palette, Settings, search, solve_one};
use units::OnFibre;

use crate::strategy::{Doses, Fault, Told};

/// The colour the model expects of a recipe.
pub(crate) fn lab(on: &Substrate, dyes: &[Dye], doses: &[(usize, OnFibre)]) -> Lab {
    let recipe: Vec<Dosed> = doses
        .iter()
        .map(|&(place, dose)| Dosed { dye: &dyes[place], dose, scatter: 0.0 })
        .collect();
    Weights::reference().lab_of(&on.dyed(&absorbed(on, &recipe)))
}

/// dLab / d dose (% owf), one column for each dye of the recipe.
pub(crate) fn slopes(
    on: &Substrate,
    dyes: &[Dye],
    doses: &[(usize, OnFibre)],
) -> Result<Vec<Vector3<f64>>, Fault> {
    let at = vector(lab(on, dyes, doses));
    let mut columns = Vec::with_capacity(doses.len());
    for k in 0..doses.len() {
        let step = STEP * doses[k].1.to_percent().max(LEAST_PCT);
        let mut moved = doses.to_vec();
        moved[k].1 = OnFibre::try_percent(doses[k].1.to_percent() + step)?;
        columns.push((vector(lab(on, dyes, &moved)) - at) / step);
    }
    Ok(columns)
}

/// Relative step of the slopes, and the depth below which it no longer shrinks, % owf.
const STEP: f64 = 1e-4;
const LEAST_PCT: f64 = 1e-3;

/// The plain best match: of all sets of up to three dyes the one nearest to the target in daylight, as the
/// dyes are known; of sets that match equally well (within 0.05 ΔE00) the one with the least dye.
pub(crate) fn best_match(told: &Told, dyes: &[Dye]) -> Result<Doses, Fault> {
    let found = search(&palette(told.on, dyes), &aim(told.lab)?, 3, &Settings::default(), 1)?;
    let nearest = found.combos.iter().map(|c| c.rms).fold(f64::INFINITY, f64::min);
    let equal = found.combos.iter().filter(|c| c.rms <= nearest + EQUAL);
    let mut all: Vec<Doses> = Vec::new();
    for combo in equal {
        all.push(doses(told.on, dyes, combo)?);
    }
    let total = |d: &Doses| d.iter().map(|d| d.1.to_percent()).sum::<f64>();
    let least = all.into_iter().min_by(|a, b| total(a).total_cmp(&total(b)));
    least.filter(|doses| !doses.is_empty()).ok_or_else(|| "no recipe was found".into())
}

/// What two matches may differ by and count as equally near, ΔE00.
const EQUAL: f64 = 0.05;

/// Doses of exactly these dyes that come nearest to a colour in daylight.
pub(crate) fn with_these(
    told: &Told,
    dyes: &[Dye],
    places: &[usize],
    to: Lab,
) -> Result<Doses, Fault> {
    let palette = palette(told.on, dyes);
    let combo = solve_one(&palette, &aim(to)?, places, &Settings::default(), 1)?;
    doses(told.on, dyes, &combo)
}

fn palette(on: &Substrate, dyes: &[Dye]) -> Palette {
    // Told cloths are of one fibre; a blend would give no plain cloth and be searched as black.
    let (cloth_ks, gain) = on.plain().unwrap_or(([1.0; BANDS], 1.0));
    Palette {
        cloth_ks,
        surface: 0.0,
        shapes: dyes.iter().map(|d| d.absorbs().map(|a| a * gain)).collect(),
        most: dyes.iter().map(|d| on.most_fixed(d)).collect(),
        law: Law::Plain,
    }
}

fn aim(to: Lab) -> Result<Aim, Fault> {
    let weights = Weights::of(Light::D65, Observer::Ten);
    let white = weights.white();
    // The spectrum is for the start alone; a reading beyond what cloth can be starts at grey.
    let start = ClothPrior::shipped().likely(to).map_or([0.3; BANDS], |l| *l.bands.values());
    let light = LightAim {
        weights: *weights.rows(),
        white: [white.x, white.y, white.z],
        lab: [to.l, to.a, to.b],
        share: 1.0,
    };
    Ok(Aim { lights: vec![light], start })
}

fn doses(on: &Substrate, dyes: &[Dye], combo: &Combo) -> Result<Doses, Fault> {
    let mut all = Vec::new();
    for i in 0..usize::from(combo.n) {
        let place = usize::from(combo.dyes[i]);
        let most = dyes[place].most;
        let dose = on.dose_for(&dyes[place], combo.x[i]).unwrap_or(most);
        let pct = dose.to_percent().min(most.to_percent());
        all.push((place, OnFibre::try_percent(pct)?));
    }
    Ok(all)
}

/// Solves slopes · step = wanted: exactly for three dyes, in least squares for fewer.
pub(crate) fn step(slopes: &[Vector3<f64>], wanted: Vector3<f64>) -> Option<DVector<f64>> {
    let matrix = nalgebra::Matrix3xX::from_columns(slopes);
    let squared = matrix.transpose() * &matrix;
    let mut scaled = squared.clone();
    for k in 0..scaled.nrows() {
        // Keeps two dyes of one hue from a division by nothing; far below any slope that counts.
        scaled[(k, k)] *= 1.0 + 1e-9;
    }
    Some(scaled.cholesky()?.solve(&(matrix.transpose() * wanted)))
}

/// As a vector of L*, a*, b*.
pub(crate) fn vector(lab: Lab) -> Vector3<f64> {
    Vector3::new(lab.l, lab.a, lab.b)
}
