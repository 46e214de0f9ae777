//! What the rivals ask of the program's model of dyeing: the colour of a recipe, its slopes, the match to
//! begin with, and the doses of given dyes for a colour.

use colour::{BANDS, ClothPrior, Lab, Light, Observer, Weights, ciede2000_residuals};
use dyeing::{Dosed, Dye, Scatter, Substrate, absorbed, predict};
use nalgebra::{Matrix3, Matrix3xX, Vector3};
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

/// dLab / d ln dose, one column for each dye of the recipe.
pub(crate) fn log_slopes(
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
        columns.push((vector(lab(on, dyes, &moved)) - at) * (doses[k].1.to_percent() / step));
    }
    Ok(columns)
}

/// Relative step of the slopes, and the depth below which it no longer shrinks, % owf.
const STEP: f64 = 1e-4;
const LEAST_PCT: f64 = 1e-3;

/// The recipe all rivals begin with. Of all sets of up to three dyes those are looked at that match the target
/// in daylight as well as any (within 0.05 ΔE00), as the dyes are known. Of these it takes the one that needs the
/// least relative change of its doses to mend what it is likely to be off by: the doubt about its colour
/// as published times how far the doses must move for one unit of colour.
///
/// That is a match chosen as ours is, for what comes after the first swatch. The plain choice, the match with the
/// least dye, lands nearer at first and leaves the rivals with dyes that cannot be corrected towards the target.
pub(crate) fn first_match(told: &Told) -> Result<Doses, Fault> {
    let (on, dyes) = (told.on, told.known);
    let found = search(&palette(on, dyes), &aim(told.lab)?, 3, &Settings::default(), 1)?;
    let nearest = found.combos.iter().map(|c| c.rms).fold(f64::INFINITY, f64::min);
    let mut best: Option<(f64, Doses)> = None;
    for combo in found.combos.iter().filter(|c| c.rms <= nearest + EQUAL) {
        let doses = doses(on, dyes, combo)?;
        let change = doubt(on, dyes, &doses)? * stiffness(told, &doses)?;
        if !doses.is_empty() && best.as_ref().is_none_or(|(least, _)| change < *least) {
            best = Some((change, doses));
        }
    }
    best.map(|(_, doses)| doses).ok_or_else(|| "no recipe was found".into())
}

/// How far the noise-free colour may be off, as the dyes are known, rms ΔE00.
fn doubt(on: &Substrate, dyes: &[Dye], doses: &Doses) -> Result<f64, Fault> {
    let dosed = |&(place, dose): &(usize, OnFibre)| Dosed { dye: &dyes[place], dose, scatter: 0.0 };
    let recipe: Vec<Dosed> = doses.iter().map(dosed).collect();
    Ok(predict(on, &recipe, Scatter { common: 0.0, each: 0.0 })?.recipe.rms())
}

/// How far the logarithms of the doses must move for one ΔE00, root sum of squares over three axes; hardly
/// bounded where there are fewer than three dyes, or two of one hue.
fn stiffness(told: &Told, doses: &Doses) -> Result<f64, Fault> {
    let metric = metric(told.lab);
    let mut columns: Vec<Vector3<f64>> =
        log_slopes(told.on, told.known, doses)?.iter().map(|s| metric * s).collect();
    columns.resize(3, Vector3::zeros());
    let singular = Matrix3::from_columns(&columns).singular_values();
    Ok(singular.iter().map(|s| 1.0 / (s * s).max(FLAT)).sum::<f64>().sqrt())
}

/// Squared slopes below this count as this.
const FLAT: f64 = 1e-6;

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
    let mut places = places.to_vec();
    places.sort_unstable();
    let combo = solve_one(&palette, &aim(to)?, &places, &Settings::default(), 1)?;
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

/// The change of doses, within these bounds, whose linear effect comes nearest to `wanted`: exactly there for
/// three dyes that are free to move, else nearest in ΔE00 as it counts around `at`. Of up to three dyes every
/// way of leaving some at a bound is tried.
pub(crate) fn step(
    slopes: &[Vector3<f64>],
    wanted: Vector3<f64>,
    at: Lab,
    bounds: &[(f64, f64)],
) -> Vec<f64> {
    let metric = metric(at);
    let (columns, wanted): (Vec<Vector3<f64>>, _) =
        (slopes.iter().map(|s| metric * s).collect(), metric * wanted);
    let mut best = (f64::INFINITY, vec![0.0; columns.len()]);
    // In base 3: free, at the lower bound, at the upper.
    for held in 0..3usize.pow(u32::try_from(columns.len()).unwrap_or(0)) {
        let how: Vec<usize> = (0..columns.len())
            .map(|k| held / 3usize.pow(u32::try_from(k).unwrap_or(0)) % 3)
            .collect();
        let mut change: Vec<f64> =
            how.iter().zip(bounds).map(|(h, b)| [0.0, b.0, b.1][*h]).collect();
        let fixed: Vector3<f64> = columns.iter().zip(&change).map(|(c, x)| c * *x).sum();
        let free: Vec<usize> = (0..columns.len()).filter(|k| how[*k] == 0).collect();
        if !free.is_empty() {
            let own =
                Matrix3xX::from_columns(&free.iter().map(|k| columns[*k]).collect::<Vec<_>>());
            let mut squared = own.transpose() * &own;
            for k in 0..squared.nrows() {
                // Keeps two dyes of one hue from a division by nothing; far below any slope that counts.
                squared[(k, k)] *= 1.0 + 1e-9;
            }
            let Some(root) = squared.cholesky() else { continue };
            let solved = root.solve(&(own.transpose() * (wanted - fixed)));
            for (k, x) in free.iter().zip(solved.iter()) {
                change[*k] = *x;
            }
        }
        let inside = change.iter().zip(bounds).all(|(x, b)| (b.0..=b.1).contains(x));
        let reached: Vector3<f64> = columns.iter().zip(&change).map(|(c, x)| c * *x).sum();
        let left = (wanted - reached).norm();
        if inside && left < best.0 {
            best = (left, change);
        }
    }
    best.1
}

/// M with |M d| = ΔE00 for a small step d in Lab.
fn metric(at: Lab) -> Matrix3<f64> {
    let column = |k: usize| {
        let mut away = Vector3::zeros();
        away[k] = 0.05;
        let to = |sign: f64| {
            let v = vector(at) + away * sign;
            Vector3::from(ciede2000_residuals(at, Lab::new(v.x, v.y, v.z)))
        };
        (to(1.0) - to(-1.0)) / 0.1
    };
    Matrix3::from_columns(&[column(0), column(1), column(2)])
}

/// As a vector of L*, a*, b*.
pub(crate) fn vector(lab: Lab) -> Vector3<f64> {
    Vector3::new(lab.l, lab.a, lab.b)
}
