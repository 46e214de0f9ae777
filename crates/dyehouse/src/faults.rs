//! Faults that sit in a jar: another dye under the label, or a dye that glows.

use std::borrow::Cow;

use colour::{BANDS, Bands, Weights, ciede2000, maths};

use crate::dice::Dice;
use crate::law::from_ks;
use crate::{Fluorescent, House, Jar, Recipe, Refusal, Shape, TrueDye};

/// What is wrong with one jar of a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// It holds what belongs into another.
    Holds {
        /// The jar by its label.
        jar: Jar,
        /// The jar whose dye it holds.
        other: Jar,
    },
    /// Its dye glows.
    Glows {
        /// The jar.
        jar: Jar,
    },
}

/// Key of the draws.
const FAULT: u64 = 3_000_000;
/// Light sent out beyond these is hardly seen, nm.
const SEEN_NM: std::ops::RangeInclusive<f64> = 430.0..=670.0;

impl Fault {
    /// The fault this world puts into a job; none where the world has none.
    pub(crate) fn of(house: &House, job: u64, first: &Recipe) -> Result<Option<Self>, Refusal> {
        let world = house.world();
        let (mislabelled, glow) = (world.mislabelled, world.fluorescent);
        if mislabelled.is_none() && glow.is_none() {
            return Ok(None);
        }
        let by_effect = by_effect(house, first)?;
        let Some(strongest) = by_effect.first().copied() else { return Ok(None) };
        if let Some(mislabelled) = mislabelled {
            let dyes = house.shelf().dyes();
            let peak = |jar: usize| dyes[jar].bands[0].peak_nm;
            let apart = |other: &usize| (peak(*other) - peak(strongest.0)).abs();
            let in_use = |other: &usize| first.parts.iter().any(|p| p.jar.0 == *other);
            let others: Vec<usize> = (0..dyes.len())
                .filter(|o| apart(o) >= mislabelled.peaks_apart_nm && !in_use(o))
                .collect();
            if others.is_empty() {
                let why = format!(
                    "no other dye of the shelf lies {} nm away from '{}', so none can be under its \
                     label: add dyes",
                    mislabelled.peaks_apart_nm, dyes[strongest.0].id
                );
                return Err(Refusal::Recipe { why });
            }
            let mut dice = Dice::of(house.luck().seed(), &[FAULT, job]);
            let other = Jar(others[dice.pick(others.len())]);
            return Ok(Some(Self::Holds { jar: strongest, other }));
        }
        let shift = glow.map_or(0.0, |g| g.shift_nm);
        let seen = |jar: &Jar| {
            house
                .ready(first.bolt, *jar)
                .is_some_and(|r| SEEN_NM.contains(&(peak_nm(&r.dye) + shift)))
        };
        let jar = by_effect.into_iter().find(seen).unwrap_or(strongest);
        Ok(Some(Self::Glows { jar }))
    }
}

/// The jars of a recipe by how much the colour changes without them, most first.
fn by_effect(house: &House, recipe: &Recipe) -> Result<Vec<Jar>, Refusal> {
    let light = Weights::reference();
    let whole = house.true_lab(recipe)?;
    let without = |i: usize| {
        let mut bath = house.bath(recipe, |jar| house.ready(recipe.bolt, jar).map(Cow::Borrowed));
        bath[i].dose_pct = 0.0;
        ciede2000(whole, light.lab_of(&house.look(recipe.bolt, recipe.ratio, &bath)))
    };
    let mut jars: Vec<(f64, Jar)> =
        recipe.parts.iter().enumerate().map(|(i, part)| (without(i), part.jar)).collect();
    jars.sort_by(|a, b| b.0.total_cmp(&a.0));
    Ok(jars.into_iter().map(|(_, jar)| jar).collect())
}

/// Where a dye absorbs most: its main band, or the highest value of a table.
fn peak_nm(dye: &TrueDye) -> f64 {
    match &dye.shape {
        Shape::Bands { bands, .. } => bands.first().map_or(f64::NAN, |b| b.peak_nm),
        Shape::Table(table) => {
            let highest = (0..BANDS).max_by(|a, b| table[*a].total_cmp(&table[*b])).unwrap_or(0);
            wavelength(highest)
        }
    }
}

/// Light sent out per band, as reflectance: of the light that `own` K/S absorbs out of `all`, the
/// yield, spread over a Gaussian in wavenumber above the dye's main band, and taken up again on its way
/// out as the dyed cloth takes light up beside the undyed. Under even light; quanta are not counted.
pub(crate) fn glowing(
    glow: &Fluorescent,
    dye: &TrueDye,
    own: &[f64; BANDS],
    all: &[f64; BANDS],
    undyed: &[f64; BANDS],
) -> [f64; BANDS] {
    let taken: f64 =
        (0..BANDS).map(|i| (1.0 - from_ks(all[i])) * (own[i] / all[i].max(1e-12)).min(1.0)).sum();
    let centre = 1e7 / (peak_nm(dye) + glow.shift_nm);
    let bell = |nm: f64| {
        let away = (1e7 / nm - centre) / glow.width_cm;
        // exp(−4 ln 2 · away²)
        maths::exp(-2.772_588_722_239_781 * away * away)
    };
    // Normalised over 300 to 900 nm: what falls outside the visible is lost.
    let whole: f64 = (30..=90).map(|ten| bell(10.0 * f64::from(ten))).sum();
    std::array::from_fn(|i| {
        let out = from_ks(all[i]) / from_ks(undyed[i]);
        glow.yield_pct / 100.0 * taken * bell(wavelength(i)) / whole * out
    })
}

#[expect(clippy::cast_precision_loss, reason = "wavelengths below 1000")]
fn wavelength(band: usize) -> f64 {
    Bands::wavelength(band) as f64
}
