//! The scale on which dye adds up: a mean of K/S and absorbance.
//!
//! With A = −ln R, K/S is exactly cosh A − 1. The strength of a band is (K/S)^(1 − bend) · A^bend:
//! bend 0 is Kubelka–Munk, bend 1 the absorbance law. Both ends are old; that the truth of dyed
//! cloth lies between is what the real ladders say. All here is done in logarithms.

use colour::maths::{exp, ln};

use super::{ks, ks_inv};

/// Where between K/S (0) and absorbance (1) dye adds up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    bend: f64,
}

impl Scale {
    /// Plain K/S.
    pub const KUBELKA_MUNK: Self = Self { bend: 0.0 };

    /// The lightest reflectance taken as dyed: above it a band holds no dye that could be read.
    pub const PALEST: f64 = 0.9995;

    /// A bend from 0 to 1; beyond, the nearer end (NaN counts as 0).
    #[must_use]
    pub const fn clamped(bend: f64) -> Self {
        Self { bend: if bend > 0.0 { bend.min(1.0) } else { 0.0 } }
    }

    /// The bend.
    #[must_use]
    pub const fn bend(self) -> f64 {
        self.bend
    }

    /// Logarithm of the strength of a band that reflects `r` (0 < r; above [`Self::PALEST`] counts
    /// as that).
    #[must_use]
    pub fn ln_strength(self, r: f64) -> f64 {
        let r = r.min(Self::PALEST);
        let ln_ks = ln(ks(r));
        if self.bend == 0.0 {
            return ln_ks;
        }
        (1.0 - self.bend) * ln_ks + self.bend * ln(-ln(r))
    }

    /// Reflectance of a band whose strength has this logarithm; falls as it rises.
    #[must_use]
    pub fn reflectance(self, ln_strength: f64) -> f64 {
        let wanted = ln_strength.clamp(-60.0, 60.0);
        if self.bend == 0.0 {
            return ks_inv(exp(wanted));
        }
        exp(-exp(self.ln_absorbance(wanted)).min(DEEPEST))
    }

    /// Newton on ln A. The strength is convex there and the start lies right of the root (K/S ≥
    /// A²/2), so the steps go down and never overshoot.
    fn ln_absorbance(self, wanted: f64) -> f64 {
        let k = 1.0 - self.bend;
        let mut y = (wanted + k * LN_2) / (1.0 + k);
        if y > 1.0 && k > 0.02 {
            // For A ≥ 1, ln K/S ≥ A − 1.62 bounds A better.
            y = y.min(ln(wanted / k + 1.62));
        }
        for _ in 0..60 {
            let a = exp(y);
            let lost = if a < 1e-4 { a * (1.0 - a / 2.0 + a * a / 6.0) } else { 1.0 - exp(-a) };
            let value = k * (2.0 * ln(lost) - LN_2 + a) + self.bend * y;
            let slope = k * a * (2.0 - lost) / lost + self.bend;
            let step = (value - wanted) / slope;
            y -= step;
            if step.abs() < 1e-13 {
                break;
            }
        }
        y
    }
}

/// Absorbance beyond which a band stays as it is (R = 10⁻¹³): no cloth comes near, and nothing
/// becomes zero.
const DEEPEST: f64 = 30.0;
const LN_2: f64 = std::f64::consts::LN_2;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_at_every_bend_and_depth() {
        for bend in [0.0, 0.1, 0.37, 0.5, 0.71, 0.9, 1.0] {
            let scale = Scale::clamped(bend);
            let mut before = 1.0;
            for i in -400..=300 {
                let wanted = f64::from(i) / 20.0;
                let r = scale.reflectance(wanted);
                // Paler and deeper bands are cut off.
                if r <= Scale::PALEST && r > 1e-12 {
                    let back = scale.ln_strength(r);
                    assert!((back - wanted).abs() < 1e-10, "{bend} {wanted} {r} {back}");
                }
                assert!(r <= before, "{bend} {wanted}: {r} after {before}");
                before = r;
            }
        }
    }

    #[test]
    fn the_ends_are_kubelka_munk_and_absorbance() {
        for r in [0.02, 0.1, 0.4, 0.9] {
            assert!((exp(Scale::KUBELKA_MUNK.ln_strength(r)) - ks(r)).abs() < 1e-12);
            assert!((exp(Scale::clamped(1.0).ln_strength(r)) + ln(r)).abs() < 1e-12);
        }
        assert!(Scale::clamped(f64::NAN).bend() == 0.0 && Scale::clamped(7.0).bend() == 1.0);
    }
}
