//! Colour correction without any belief about cameras: a 3 × 3 for small cards, a root-polynomial for larger ones.
//!
//! Both keep their answer when the exposure changes. Root-polynomial: degree 2, six terms (G. D. Finlayson, M. Mackiewicz
//! and A. Hurlbert, IEEE Trans. Image Process. 24 (2015) 1460–1470). Least squares to XYZ D65/10°, no ridge. In
//! simulation ten patches want the 3 × 3 and fourteen spread ones the root-polynomial.

use colour::{Weights, Xyz};

use super::{Row, solve::Factor};

/// From this many patches on the six terms are used.
const ROOTS_FROM: usize = 14;

/// A fitted correction.
#[derive(Debug, Clone)]
pub(super) struct Plain {
    roots: bool,
    weights: [Vec<f64>; 3],
}

impl Plain {
    /// Fitted to readings of known reflectances; none where they do not decide it.
    pub(super) fn fit(known: &[([f64; 3], Row)]) -> Option<Self> {
        let roots = known.len() >= ROOTS_FROM;
        let size = if roots { 6 } else { 3 };
        let mut table = vec![0.0; size * size];
        let mut right = vec![vec![0.0; size]; 3];
        for (rgb, factors) in known {
            let row = terms(*rgb, roots);
            let Xyz { x, y, z } = Weights::reference().xyz_of(factors);
            for j in 0..size {
                for k in 0..size {
                    table[j * size + k] += row[j] * row[k];
                }
                for (side, value) in right.iter_mut().zip([x, y, z]) {
                    side[j] += row[j] * value;
                }
            }
        }
        let factor = Factor::of(table, size)?;
        Some(Self { roots, weights: std::array::from_fn(|c| factor.solve(&right[c])) })
    }

    /// Lab D65/10° of a reading.
    pub(super) fn lab(&self, rgb: [f64; 3]) -> [f64; 3] {
        let row = terms(rgb, self.roots);
        let [x, y, z] = [0, 1, 2]
            .map(|c: usize| self.weights[c].iter().zip(&row).map(|(w, t)| w * t).sum::<f64>());
        let lab = Xyz { x, y, z }.to_lab(Weights::reference().white());
        [lab.l, lab.a, lab.b]
    }
}

fn terms([r, g, b]: [f64; 3], roots: bool) -> Vec<f64> {
    let root = |v: f64| v.max(0.0).sqrt();
    if roots { vec![r, g, b, root(r * g), root(g * b), root(r * b)] } else { vec![r, g, b] }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Slow waves of many kinds, seen by a camera whose channels are the observer's own X, Y and Z mixed.
    fn known(many: u8) -> Vec<([f64; 3], Row)> {
        (0..many)
            .map(|n| {
                let turn = f64::from(n);
                let mut at = 0.0;
                let factors: Row = std::array::from_fn(|_| {
                    at += 0.1 + 0.004 * turn;
                    0.45 + 0.4 * (1.7 * turn).sin() * (at + 2.3 * turn).sin()
                });
                let Xyz { x, y, z } = Weights::reference().xyz_of(&factors);
                ([0.01 * (x + 0.2 * y), 0.01 * (y - 0.1 * z), 0.009 * z], factors)
            })
            .collect()
    }

    #[test]
    fn a_camera_with_the_eyes_own_channels_is_undone_at_any_exposure() {
        for many in [10, 30] {
            let known = known(many);
            let plain = Plain::fit(&known).unwrap();
            for (rgb, factors) in &known {
                let lab = Weights::reference().lab_of(factors);
                let seen = plain.lab(*rgb);
                let off = (lab.l - seen[0]).hypot(lab.a - seen[1]).hypot(lab.b - seen[2]);
                assert!(off < 1e-6, "{off}");
            }
            let darker: Vec<_> = known.iter().map(|(rgb, f)| (rgb.map(|v| 0.25 * v), *f)).collect();
            let again = Plain::fit(&darker).unwrap();
            let (a, b) = (plain.lab([0.3, 0.2, 0.25]), again.lab([0.075, 0.05, 0.0625]));
            assert!((0..3).all(|k| (a[k] - b[k]).abs() < 1e-6), "{a:?} {b:?}");
        }
    }

    #[test]
    fn equal_patches_decide_nothing() {
        assert!(Plain::fit(&[([0.5; 3], [0.5; colour::BANDS]); 6]).is_none());
    }
}
