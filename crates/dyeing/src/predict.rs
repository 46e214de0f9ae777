//! What a recipe gives on a cloth: the spectrum, and how far off the recipe and the piece may be.
//!
//! Two spreads, never one: of the *recipe* (the noise-free colour, unsure because the dyes are) and
//! of the dyed *piece* (adding the scatter of dosing and dyeing). Both are first-order: a covariance
//! in CIELAB from derivatives with respect to every uncertain number.

use colour::{BANDS, Bands, Lab, Light, Observer, Weights};
use nalgebra::{Matrix3, Vector3};
use units::OnFibre;

use crate::learning::kin;
use crate::sight::STEP;
use crate::{Dye, Refusal, Spread, Substrate};

/// One dye of a recipe with its dose.
#[derive(Debug, Clone, Copy)]
pub struct Dosed<'a> {
    /// The dye.
    pub dye: &'a Dye,
    /// Its dose on weight of fibre.
    pub dose: OnFibre,
    /// Relative scatter of the dose as it will be measured out (1 σ; 0.02 is 2 %).
    pub scatter: f64,
}

/// How alike two dyeings of one recipe come out, as relative scatter of fixed dye (1 σ).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// Shared by all dyes of the bath.
    pub common: f64,
    /// Each dye's own.
    pub each: f64,
}

/// Dyeing at home: 5 % common and 5 % per dye (judgement; the house's numbers to beat).
pub const HOME: Scatter = Scatter { common: 0.05, each: 0.05 };

/// What a recipe gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// The expected reflectance.
    pub bands: Bands,
    /// The expected colour, D65/10°.
    pub lab: Lab,
    /// How far off the noise-free colour may be.
    pub recipe: Spread,
    /// How far off the dyed piece may be.
    pub piece: Spread,
}

/// Predicts a recipe on a substrate.
pub fn predict(on: &Substrate, recipe: &[Dosed], scatter: Scatter) -> Result<Prediction, Refusal> {
    let light = Weights::reference();
    let bands = expected(on, recipe)?;
    let (recipe_cov, piece_cov) = covariances(on, recipe, scatter, light);
    let lab = light.lab(&bands);
    Ok(Prediction {
        bands,
        lab,
        recipe: Spread::of(lab, recipe_cov),
        piece: Spread::of(lab, piece_cov),
    })
}

/// The colour a recipe gives under one light, with the spread of the recipe and of the dyed piece there:
/// what [`predict`] says of daylight.
#[must_use]
pub fn spreads_under(
    on: &Substrate,
    recipe: &[Dosed],
    scatter: Scatter,
    light: Light,
) -> (Spread, Spread) {
    let weights = Weights::of(light, Observer::Ten);
    let (of_recipe, of_piece) = covariances(on, recipe, scatter, weights);
    let centre = on.lab_of(&absorbed(on, recipe), weights);
    (Spread::of(centre, of_recipe), Spread::of(centre, of_piece))
}

/// The expected reflectance alone, as [`predict`] gives it: for a first look at many recipes.
///
/// # Errors
/// Where the reflectance is none a surface has.
pub fn expected(on: &Substrate, recipe: &[Dosed]) -> Result<Bands, Refusal> {
    Ok(Bands::try_new(on.dyed(&absorbed(on, recipe)))?)
}

/// Sum of fixed dye × absorption over a recipe.
#[must_use]
pub fn absorbed(on: &Substrate, recipe: &[Dosed]) -> [f64; BANDS] {
    let mut sum = [0.0; BANDS];
    for dosed in recipe {
        add(&mut sum, &dosed.dye.absorbs(), on.fixed(dosed.dye, dosed.dose));
    }
    sum
}

/// Two dyeings of one recipe at home differ by about 0.6 in the median whatever the dyes (judgement, the
/// house's numbers): as much in each of L*, a*, b*, 1 σ.
pub(crate) const REPEAT: f64 = 0.4;

/// Covariances in Lab under one light: of the recipe, and of the piece.
pub(crate) fn covariances(
    on: &Substrate,
    recipe: &[Dosed],
    scatter: Scatter,
    light: &'static Weights,
) -> (Matrix3<f64>, Matrix3<f64>) {
    // What swatches taught of several dyes together is surer than of each alone.
    if let Some(both) = kin::covariances(on, recipe, scatter, light) {
        return both;
    }
    let parts: Vec<[f64; BANDS]> =
        recipe.iter().map(|d| d.dye.absorbs().map(|a| a * on.fixed(d.dye, d.dose))).collect();
    let mut all = [0.0; BANDS];
    for part in &parts {
        add(&mut all, part, 1.0);
    }
    let at = vector(on.lab_of(&all, light));
    let mut of_recipe = Matrix3::zeros();
    let mut of_piece = Matrix3::zeros();
    let mut common = Vector3::zeros();
    for (dosed, part) in recipe.iter().zip(&parts) {
        let mut rest = all;
        add(&mut rest, part, -1.0);
        of_recipe += unsure(on, dosed, &rest, at, light);
        let mut more = all;
        add(&mut more, part, STEP);
        let per_relative = (vector(on.lab_of(&more, light)) - at) / STEP;
        let own = scatter.each * scatter.each + dosed.scatter * dosed.scatter;
        of_piece += per_relative * per_relative.transpose() * own;
        common += per_relative;
    }
    of_piece += common * common.transpose() * scatter.common * scatter.common;
    (of_recipe, of_recipe + of_piece + Matrix3::identity() * (REPEAT * REPEAT))
}

/// Covariance in Lab that comes from not knowing one dye well.
fn unsure(
    on: &Substrate,
    dosed: &Dosed,
    rest: &[f64; BANDS],
    at: Vector3<f64>,
    light: &Weights,
) -> Matrix3<f64> {
    let belief = &dosed.dye.belief;
    let looks = dosed.dye.looks();
    let slopes: Vec<Vector3<f64>> = looks
        .stepped
        .iter()
        .map(|look| {
            let fixed = on.fixed_with(dosed.dye, look.saturates_at, dosed.dose.to_percent());
            let mut sum = *rest;
            add(&mut sum, &look.absorbs, fixed);
            (vector(on.lab_of(&sum, light)) - at) / STEP
        })
        .collect();
    let mut covariance = Matrix3::zeros();
    for (i, a) in slopes.iter().enumerate() {
        for (j, b) in slopes.iter().enumerate() {
            let c = belief.covariance[(i, j)];
            if c != 0.0 {
                covariance += a * b.transpose() * c;
            }
        }
    }
    covariance
}

pub(crate) fn add(sum: &mut [f64; BANDS], part: &[f64; BANDS], times: f64) {
    for (s, p) in sum.iter_mut().zip(part) {
        *s += times * p;
    }
}

pub(crate) fn vector(lab: Lab) -> Vector3<f64> {
    Vector3::new(lab.l, lab.a, lab.b)
}
