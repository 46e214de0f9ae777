//! The law of the house: from doses to dye fixed, from dye fixed to reflectance.
//!
//! As it stands in `right`: x = F r c / (1 + c/s) is fixed of a dose c (r compares the liquor ratio
//! with 20:1, E = K/(K + L)); K/S of the cloth plus gain times the sum of x times absorption; R from
//! K/S by Kubelka and Munk; over it the cloth's flat surface term. Other worlds change the sum or let
//! the dyes saturate together.

use colour::{BANDS, maths};
use units::LiquorRatio;

use crate::{Cloth, Mixing, TrueDye};

/// The liquor ratio at which the share fixed is published, L/kg.
const PUBLISHED_AT: f64 = 20.0;

/// K/S of a reflectance (Kubelka and Munk, 1931).
pub(crate) fn ks(r: f64) -> f64 {
    (1.0 - r) * (1.0 - r) / (2.0 * r)
}

/// Reflectance of a K/S; the form keeps its digits at large K/S.
pub(crate) fn from_ks(q: f64) -> f64 {
    1.0 / (1.0 + q + (q * (q + 2.0)).sqrt())
}

/// K/S of the undyed cloth under its surface.
pub(crate) fn undyed_ks(cloth: &Cloth) -> [f64; BANDS] {
    let s = cloth.surface;
    cloth.undyed.values().map(|r| ks((r - s) / (1.0 - s)))
}

/// Exhaustion at this liquor ratio compared with that at 20:1.
pub(crate) fn at_ratio(cloth: &Cloth, ratio: LiquorRatio) -> f64 {
    let k = cloth.substantivity_l_per_kg;
    (k + PUBLISHED_AT) / (k + ratio.to_litres_per_kilogram())
}

/// Dye fixed (% owf) of each dose (% owf), in one bath. `competition` is the share in which a dye's
/// depth counts against the sites of every other: 0 none, 1 as against its own.
pub(crate) fn fixed(bath: &[(&TrueDye, f64)], at_ratio: f64, competition: f64) -> Vec<f64> {
    let all: f64 = bath.iter().map(|(dye, dose)| dose / dye.saturation_pct).sum();
    let one = |(dye, dose): &(&TrueDye, f64)| {
        let own = dose / dye.saturation_pct;
        dye.fixed_share * at_ratio * dose / (1.0 + own + competition * (all - own))
    };
    bath.iter().map(one).collect()
}

/// K/S that these dyes add, each as absorption for 1 % and percent fixed.
pub(crate) fn added(mixing: &Mixing, gain: f64, parts: &[(&[f64; BANDS], f64)]) -> [f64; BANDS] {
    let each = |i: usize| parts.iter().map(move |(absorbs, x)| gain * x * absorbs[i]);
    std::array::from_fn(|i| match *mixing {
        Mixing::Sum => each(i).sum(),
        Mixing::PowerSum { exponent } => {
            // Scaled by the largest part, so that no power under- or overflows.
            let most = each(i).fold(0.0, f64::max);
            if most <= 0.0 {
                return 0.0;
            }
            let sum: f64 = each(i).map(|q| maths::pow(q / most, exponent)).sum();
            most * maths::pow(sum, 1.0 / exponent)
        }
    })
}

/// What is seen of K/S under the cloth's surface.
pub(crate) fn seen(surface: f64, undyed: &[f64; BANDS], added: &[f64; BANDS]) -> [f64; BANDS] {
    std::array::from_fn(|i| surface + (1.0 - surface) * from_ks(undyed[i] + added[i]))
}
