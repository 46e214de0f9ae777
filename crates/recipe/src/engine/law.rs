//! The depth law: what reflectance a band shows for a K/S total.
//!
//! The solver asks a law for two things only, the inner reflectance of a band and its slope in the
//! K/S total of that band, so another law is another case here and nothing else. The choice is made
//! once per search (the solver is compiled for each law), so the plain case pays nothing.
//!
//! Left out: the flat surface reflection (the solver adds it) and how fixed dye grows with the
//! amount weighed (the search works on fixed dye throughout).

use super::{BANDS, lane::Lane};

/// How a band darkens as dye is added.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Law {
    /// Kubelka and Munk, opaque: R = 1 + q − √(q² + 2q), q = K/S (Kubelka and Munk 1931).
    #[default]
    Plain,
    /// The same, but each band's K/S total cannot pass a ceiling of this cloth:
    /// q′ = q / (1 + q/ceiling). A hook for deep shades: the shape is common practice (Langmuir's),
    /// the ceilings are whatever the caller learnt; an infinite ceiling is the plain law.
    Ceiling(Box<[f64; BANDS]>),
    /// A blend: fibres side by side, each with its own cloth K/S and its own take of the dye, seen
    /// mixed by share. The K/S total of the palette is then dye alone.
    Sides(Vec<Side>),
}

/// One fibre of a blend.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// Share of the cloth, 0 to 1.
    pub share: f64,
    /// K/S of the undyed fibre, each band above 0.
    pub cloth_ks: [f64; BANDS],
    /// K/S gained on this fibre per unit of the total; 0 where it takes none.
    pub gain: f64,
}

/// What the solver asks of a law.
pub(super) trait BandLaw: Sync {
    /// Inner reflectance and its slope for the K/S total `q` (above 0) of `band`.
    fn see<L: Lane>(&self, band: usize, q: L) -> (L, L);
    /// The K/S total that shows the inner reflectance `r` (0 to 1, not included).
    fn total(&self, band: usize, r: f64) -> f64;
}

/// See [`Law::Plain`].
#[derive(Clone, Copy, Debug)]
pub(super) struct Plain;

/// See [`Law::Ceiling`]; holds the reciprocals, so that an infinite ceiling costs no special case.
#[derive(Clone, Debug)]
pub(super) struct Ceiling([f64; BANDS]);

impl Ceiling {
    pub(super) fn new(ceiling: &[f64; BANDS]) -> Self {
        Self(ceiling.map(|c| 1.0 / c))
    }
}

impl BandLaw for Plain {
    /// With s = √(q(q + 2)): R = 1/(1 + q + s), the form that keeps its digits at large q, and
    /// dR/dq = −R/s. One division serves both.
    #[inline(always)]
    fn see<L: Lane>(&self, _: usize, q: L) -> (L, L) {
        let one = L::splat(1.0);
        let s = (q * (q + L::splat(2.0))).sqrt();
        let i = one / ((one + q + s) * s);
        (i * s, -i)
    }

    fn total(&self, _: usize, r: f64) -> f64 {
        (1.0 - r) * (1.0 - r) / (2.0 * r)
    }
}

impl BandLaw for Ceiling {
    #[inline(always)]
    fn see<L: Lane>(&self, band: usize, q: L) -> (L, L) {
        let room = L::splat(1.0) / (L::splat(1.0) + q * L::splat(self.0[band]));
        let (r, slope) = Plain.see(band, q * room);
        (r, slope * room * room)
    }

    /// Beyond the ceiling no total shows `r`; a total a thousand times the ceiling stands for it.
    fn total(&self, band: usize, r: f64) -> f64 {
        let q = Plain.total(band, r);
        q / (1.0 - q * self.0[band]).max(1e-3)
    }
}

/// See [`Law::Sides`].
#[derive(Clone, Debug)]
pub(super) struct Sides(Vec<Side>);

impl Sides {
    pub(super) fn new(sides: &[Side]) -> Self {
        Self(sides.to_vec())
    }
}

impl BandLaw for Sides {
    #[inline(always)]
    fn see<L: Lane>(&self, band: usize, q: L) -> (L, L) {
        let (mut r, mut slope) = (L::splat(0.0), L::splat(0.0));
        for side in &self.0 {
            let own = L::splat(side.cloth_ks[band]) + q * L::splat(side.gain);
            let (one, falls) = Plain.see(band, own);
            r = r + one * L::splat(side.share);
            slope = slope + falls * L::splat(side.share * side.gain);
        }
        (r, slope)
    }

    /// By halving: the reflectance falls with the total. Beyond what the blend can show, a large
    /// total stands for it.
    fn total(&self, band: usize, r: f64) -> f64 {
        let (mut low, mut high) = (0.0, 1e4);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.see(band, middle).0 > r {
                low = middle;
            } else {
                high = middle;
            }
        }
        high
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Oracle: central differences for the slope; the total found by halving shows the reflectance.
    #[test]
    fn a_blend_slopes_and_inverts() {
        let side = |share, ks, gain| Side { share, cloth_ks: [ks; BANDS], gain };
        let blend = Sides::new(&[side(0.65, 0.01, 1.5), side(0.35, 0.02, 0.0)]);
        for q in [0.01, 0.3, 2.0, 15.0] {
            let (r, slope) = blend.see(3, q);
            let e = q * 1e-5;
            let by = (blend.see(3, q + e).0 - blend.see(3, q - e).0) / (2.0 * e);
            assert!((by / slope - 1.0).abs() < 1e-6);
            assert!((blend.total(3, r) / q - 1.0).abs() < 1e-6, "{q}");
        }
    }

    /// Oracle: R solves (1 − R)²/2R = q, and central differences for the slope.
    #[test]
    fn laws_invert_and_slope() {
        let ceiling = Ceiling::new(&[40.0; BANDS]);
        for q in [1e-4, 0.01, 0.3, 2.0, 15.0, 35.0] {
            let (r, slope) = Plain.see(3, q);
            assert!(((1.0 - r) * (1.0 - r) / (2.0 * r) / q - 1.0).abs() < 1e-10);
            let e = q * 1e-5;
            let by = |law: &dyn Fn(f64) -> f64| (law(q + e) - law(q - e)) / (2.0 * e);
            assert!((by(&|q| Plain.see(3, q).0) / slope - 1.0).abs() < 1e-6);
            let (r, slope) = ceiling.see(3, q);
            assert!((by(&|q| ceiling.see(3, q).0) / slope - 1.0).abs() < 1e-6);
            assert!((ceiling.total(3, r) / q - 1.0).abs() < 1e-8, "{q}");
        }
    }
}
