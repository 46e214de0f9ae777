//! Start values for every set from one small matrix: K/S made linear at the target.
//!
//! Near the target, the colour error of a set is about |Dt·(Σ xᵢaᵢ − (KS target − KS cloth))|², with
//! Dt = |dR/dq| · f′(R) · √(Σ weights/white): how much a change of K/S in that band is seen. All
//! pairs of dyes are multiplied once; each set then needs only its own entries and a few sweeps of
//! bounded coordinate descent (Gauss and Seidel's method cut to the bounds). The same start as the
//! reference's `batch_start`, so the two solve from the same places.

use super::{
    Aim, BANDS, Palette,
    lane::Lane,
    law::BandLaw,
    view::{KNEE, STRAIGHT},
};

/// Sweeps over the dyes of a set.
const SWEEPS: usize = 12;
/// Sets worked side by side, so that one sweep's waiting is another's work.
const ABREAST: usize = 4;
/// Reflectances beyond these are drawn in before they are turned into K/S.
const DARKEST: f64 = 0.004;
const LIGHTEST: f64 = 0.99;

/// The matrix of all dyes, their right sides, and the most of each.
pub(super) struct Starts {
    dyes: usize,
    pairs: Vec<f64>,
    right: Vec<f64>,
    most: Vec<f64>,
}

impl Starts {
    pub(super) fn new<B: BandLaw>(palette: &Palette, aim: &Aim, law: &B) -> Self {
        let s = palette.surface;
        let mut seen = [0.0; BANDS];
        let mut wanted = [0.0; BANDS];
        for band in 0..BANDS {
            let r = ((aim.start[band] - s) / (1.0 - s)).clamp(DARKEST, LIGHTEST);
            let q = law.total(band, r);
            let slope = law.see(band, q).1.abs();
            let root = libm::cbrt(r);
            let curve = if r > KNEE { 1.0 / (3.0 * root * root) } else { STRAIGHT };
            let light = &aim.lights[0];
            let eye: f64 = (0..3).map(|c| light.weights[c][band] / light.white[c]).sum();
            seen[band] = slope * curve * eye.max(0.0).sqrt();
            wanted[band] = seen[band] * (q - palette.cloth_ks[band]);
        }
        let rows: Vec<[f64; BANDS]> = palette
            .shapes
            .iter()
            .map(|a| std::array::from_fn(|band| a[band] * seen[band]))
            .collect();
        let inner = |a: &[f64; BANDS], b: &[f64; BANDS]| -> f64 {
            a.iter().zip(b).map(|(a, b)| a * b).sum()
        };
        Self {
            dyes: rows.len(),
            pairs: rows.iter().flat_map(|a| rows.iter().map(move |b| inner(a, b))).collect(),
            right: rows.iter().map(|a| inner(a, &wanted)).collect(),
            most: palette.most.clone(),
        }
    }

    /// The start of every set.
    pub(super) fn of<L: Lane, const N: usize>(&self, sets: &[[usize; N]]) -> Vec<[f64; N]> {
        let mut starts = vec![[0.0; N]; sets.len()];
        let wide = L::WIDTH * ABREAST;
        for (sets, starts) in sets.chunks(wide).zip(starts.chunks_mut(wide)) {
            self.few::<L, N>(sets, starts);
        }
        starts
    }

    fn few<L: Lane, const N: usize>(&self, sets: &[[usize; N]], starts: &mut [[f64; N]]) {
        let zero = L::splat(0.0);
        let mut pairs = [[[zero; ABREAST]; N]; N];
        let mut right = [[zero; ABREAST]; N];
        let mut most = [[zero; ABREAST]; N];
        for (place, set) in sets.iter().enumerate() {
            let (group, lane) = (place / L::WIDTH, place % L::WIDTH);
            for i in 0..N {
                // A dye without effect at the target starts at nothing.
                let own = self.pairs[set[i] * self.dyes + set[i]];
                let inverse = if own > 0.0 { 1.0 / own } else { 0.0 };
                right[i][group].set(lane, self.right[set[i]] * inverse);
                most[i][group].set(lane, self.most[set[i]]);
                for k in 0..N {
                    let pair = self.pairs[set[i] * self.dyes + set[k]] * inverse;
                    pairs[i][k][group].set(lane, pair);
                }
            }
        }
        let mut x = [[zero; ABREAST]; N];
        for _ in 0..SWEEPS {
            for i in 0..N {
                let mut next = right[i];
                for k in (0..N).filter(|k| *k != i) {
                    for group in 0..ABREAST {
                        next[group] = next[group] - pairs[i][k][group] * x[k][group];
                    }
                }
                for group in 0..ABREAST {
                    x[i][group] = next[group].max(zero).min(most[i][group]);
                }
            }
        }
        for (place, start) in starts.iter_mut().enumerate() {
            let (group, lane) = (place / L::WIDTH, place % L::WIDTH);
            *start = std::array::from_fn(|i| x[i][group].get(lane));
        }
    }
}
