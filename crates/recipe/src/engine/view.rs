//! From fixed dye to ΔE00² with its gradient and Gauss–Newton matrix: the inner loop.
//!
//! R = s + (1 − s)·law(KS cloth + Σ xᵢ·aᵢ) on 31 bands; XYZ by each light's weights; CIELAB (CIE
//! 15:2004, 8.2.1); CIEDE2000 as three residuals. The surface term, the white and the weights are
//! multiplied together once, so the loop holds one product per weight.
//!
//! Left out: where the dye amounts come from and what is done with the result.

#![expect(clippy::needless_range_loop, reason = "matrices are read by index")]

use super::{Aim, BANDS, Palette, difference::Target, lane::Lane, law::BandLaw};

/// (6/29)³ and what follows from it: the knee of CIELAB's f and its straight part.
pub(super) const KNEE: f64 = 216.0 / 24_389.0;
pub(super) const STRAIGHT: f64 = 841.0 / 108.0;
const OFFSET: f64 = 4.0 / 29.0;
/// A K/S far below any real cloth's; keeps the square root from meeting zero.
const LEAST_TOTAL: f64 = 1e-6;

/// One light, ready for the loop.
struct Light<L> {
    /// (1 − s)·weight/white, band by band.
    weights: [[L; 3]; BANDS],
    /// s·Σweight/white: what the surface adds.
    surface: [L; 3],
    target: Target<L>,
    share: L,
}

/// The cloth seen under all lights against the target.
pub(super) struct View<L, B> {
    cloth: [L; BANDS],
    lights: Vec<Light<L>>,
    law: B,
}

/// One evaluation: ΔE00², half its gradient, and `JᵀJ` (lower triangle filled).
#[derive(Clone, Copy)]
pub(super) struct Seen<L, const N: usize> {
    pub(super) square: L,
    pub(super) slope: [L; N],
    pub(super) bend: [[L; N]; N],
}

/// The K/S of the dyes of each lane, band by band.
pub(super) type Columns<L, const N: usize> = [[L; N]; BANDS];

impl<L: Lane, B: BandLaw> View<L, B> {
    pub(super) fn new(palette: &Palette, aim: &Aim, law: B) -> Self {
        let s = palette.surface;
        let lights = aim.lights.iter().map(|light| {
            let mut weights = [[L::splat(0.0); 3]; BANDS];
            let mut surface = [L::splat(0.0); 3];
            for c in 0..3 {
                for (band, w) in weights.iter_mut().enumerate() {
                    w[c] = L::splat((1.0 - s) * light.weights[c][band] / light.white[c]);
                }
                let all: f64 = light.weights[c].iter().sum();
                surface[c] = L::splat(s * all / light.white[c]);
            }
            let (target, share) = (Target::new(light.lab), L::splat(light.share));
            Light { weights, surface, target, share }
        });
        Self { cloth: palette.cloth_ks.map(L::splat), lights: lights.collect(), law }
    }

    /// Everything Gauss–Newton needs at the amounts `x`.
    #[inline(always)]
    pub(super) fn see<const N: usize>(&self, columns: &Columns<L, N>, x: [L; N]) -> Seen<L, N> {
        let zero = L::splat(0.0);
        let mut bands = [(zero, [zero; N]); BANDS];
        for band in 0..BANDS {
            let column = &columns[band];
            let mut q = self.cloth[band];
            for i in 0..N {
                q = q + x[i] * column[i];
            }
            let (r, slope) = self.law.see(band, q.max(L::splat(LEAST_TOTAL)));
            bands[band] = (r, column.map(|a| slope * a));
        }
        let mut seen = Seen { square: zero, slope: [zero; N], bend: [[zero; N]; N] };
        for light in &self.lights {
            let mut t = light.surface;
            let mut dt = [[zero; N]; 3];
            for (weights, (r, dr)) in light.weights.iter().zip(&bands) {
                for c in 0..3 {
                    t[c] = t[c] + weights[c] * *r;
                    for i in 0..N {
                        dt[c][i] = dt[c][i] + weights[c] * dr[i];
                    }
                }
            }
            let f = t.map(curve);
            let dl = L::splat(116.0) * f[1].1;
            let [ax, ay] = [L::splat(500.0) * f[0].1, L::splat(500.0) * f[1].1];
            let [by, bz] = [L::splat(200.0) * f[1].1, L::splat(200.0) * f[2].1];
            let lightness = L::splat(116.0) * f[1].0 - L::splat(16.0);
            let a = L::splat(500.0) * (f[0].0 - f[1].0);
            let b = L::splat(200.0) * (f[1].0 - f[2].0);
            let gap = light.target.gap(lightness, a, b);
            let mut j = [[zero; 3]; N];
            for i in 0..N {
                let da = ax * dt[0][i] - ay * dt[1][i];
                let db = by * dt[1][i] - bz * dt[2][i];
                j[i] = [
                    gap.by_lightness * dl * dt[1][i],
                    gap.by_a[0] * da + gap.by_b[0] * db,
                    gap.by_a[1] * da + gap.by_b[1] * db,
                ];
            }
            seen.square = seen.square + light.share * dot(gap.r, gap.r);
            for i in 0..N {
                let weighted = j[i].map(|v| v * light.share);
                seen.slope[i] = seen.slope[i] + dot(weighted, gap.r);
                for k in 0..=i {
                    seen.bend[i][k] = seen.bend[i][k] + dot(weighted, j[k]);
                }
            }
        }
        seen
    }

    /// Half the gradient of ΔE00² in the K/S total of each band: the pull of any dye that is not
    /// in the set is the product of this with its K/S.
    #[inline(always)]
    pub(super) fn pull<const N: usize>(&self, columns: &Columns<L, N>, x: [L; N]) -> [L; BANDS] {
        let zero = L::splat(0.0);
        let mut bands = [(zero, zero); BANDS];
        for band in 0..BANDS {
            let mut q = self.cloth[band];
            for i in 0..N {
                q = q + x[i] * columns[band][i];
            }
            bands[band] = self.law.see(band, q.max(L::splat(LEAST_TOTAL)));
        }
        let mut pull = [zero; BANDS];
        for light in &self.lights {
            let lab = light.lab(&bands);
            let gap = light.target.gap(lab.0[0], lab.0[1], lab.0[2]);
            let by_l = gap.by_lightness * gap.r[0];
            let by_a = gap.by_a[0] * gap.r[1] + gap.by_a[1] * gap.r[2];
            let by_b = gap.by_b[0] * gap.r[1] + gap.by_b[1] * gap.r[2];
            let (a5, b2) = (L::splat(500.0) * by_a, L::splat(200.0) * by_b);
            let by_t = [
                light.share * a5 * lab.1[0],
                light.share * (L::splat(116.0) * by_l - a5 + b2) * lab.1[1],
                -(light.share * b2 * lab.1[2]),
            ];
            for band in 0..BANDS {
                let w = &light.weights[band];
                pull[band] = pull[band] + bands[band].1 * dot(*w, by_t);
            }
        }
        pull
    }

    /// L*, a*, b* under each light.
    pub(super) fn labs<const N: usize>(&self, columns: &Columns<L, N>, x: [L; N]) -> Vec<[L; 3]> {
        let mut bands = [(L::splat(0.0), L::splat(0.0)); BANDS];
        for band in 0..BANDS {
            let mut q = self.cloth[band];
            for i in 0..N {
                q = q + x[i] * columns[band][i];
            }
            bands[band] = self.law.see(band, q.max(L::splat(LEAST_TOTAL)));
        }
        self.lights.iter().map(|light| light.lab(&bands).0).collect()
    }
}

impl<L: Lane> Light<L> {
    /// L*, a*, b* and the slopes of CIELAB's f for X, Y and Z.
    #[inline(always)]
    fn lab(&self, bands: &[(L, L); BANDS]) -> ([L; 3], [L; 3]) {
        let mut t = self.surface;
        for (weights, (r, _)) in self.weights.iter().zip(bands) {
            for c in 0..3 {
                t[c] = t[c] + weights[c] * *r;
            }
        }
        let f = t.map(curve);
        let lab = [
            L::splat(116.0) * f[1].0 - L::splat(16.0),
            L::splat(500.0) * (f[0].0 - f[1].0),
            L::splat(200.0) * (f[1].0 - f[2].0),
        ];
        (lab, f.map(|(_, slope)| slope))
    }
}

/// CIELAB's f and its slope.
#[inline(always)]
fn curve<L: Lane>(t: L) -> (L, L) {
    let deep = t.le(L::splat(KNEE));
    let root = L::pick(deep, L::splat(1.0), t).cube_root();
    let straight = L::splat(STRAIGHT);
    let slope = L::splat(1.0) / (L::splat(3.0) * root * root);
    (L::pick(deep, straight * t + L::splat(OFFSET), root), L::pick(deep, straight, slope))
}

#[inline(always)]
fn dot<L: Lane>(a: [L; 3], b: [L; 3]) -> L {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
