//! What a correction leaves of the patches, carried to readings nearby: a Gaussian process over logarithms of the channels.
//!
//! Its reach and how far it believes single patches are chosen by the errors of patches left out, which for a Gaussian
//! process are known without fitting again. C. E. Rasmussen and C. K. I. Williams, *Gaussian Processes for Machine Learning*
//! (2006), ch. 2 and 5.4.2. Left out: unequal reach of the three channels.

use colour::maths;

use super::solve::Factor;

/// Reaches tried, in natural logarithms of the channels, and roughnesses tried, as shares of what is left.
const REACHES: [f64; 4] = [0.7, 1.2, 2.0, 3.5];
const ROUGH: [f64; 4] = [0.03, 0.1, 0.3, 1.0];
/// Added to a reading before its logarithm, white being about 1, so that black is not endlessly far (judgement).
const DARK: f64 = 0.01;

/// What was left, and how it is carried.
#[derive(Debug, Clone)]
pub(super) struct Kernel {
    at: Vec<[f64; 3]>,
    weights: [Vec<f64>; 3],
    reach: f64,
}

impl Kernel {
    /// Of readings (white about 1) and what a correction left of each.
    pub(super) fn fit(rgb: &[[f64; 3]], left: &[[f64; 3]]) -> Option<Self> {
        let at: Vec<[f64; 3]> = rgb.iter().map(|v| place(*v)).collect();
        let mut best: Option<(f64, Self)> = None;
        for reach in REACHES {
            for rough in ROUGH {
                let Some((error, weights)) = Self::tried(&at, left, reach, rough) else { continue };
                if best.as_ref().is_none_or(|(least, _)| error < *least) {
                    best = Some((error, Self { at: at.clone(), weights, reach }));
                }
            }
        }
        best.map(|(_, kernel)| kernel)
    }

    /// What is to be added to the corrected reading.
    pub(super) fn add(&self, rgb: [f64; 3]) -> [f64; 3] {
        let here = place(rgb);
        let mut sum = [0.0; 3];
        for (n, at) in self.at.iter().enumerate() {
            let near = nearness(here, *at, self.reach);
            for (s, w) in sum.iter_mut().zip(&self.weights) {
                *s += near * w[n];
            }
        }
        sum
    }

    fn tried(
        at: &[[f64; 3]],
        left: &[[f64; 3]],
        reach: f64,
        rough: f64,
    ) -> Option<(f64, [Vec<f64>; 3])> {
        let n = at.len();
        let mut table = vec![0.0; n * n];
        for i in 0..n {
            for k in 0..n {
                table[i * n + k] = nearness(at[i], at[k], reach);
            }
            table[i * n + i] += rough * rough;
        }
        let factor = Factor::of(table, n)?;
        let own = factor.inverse_diagonal();
        let column = |c: usize| left.iter().map(|l| l[c]).collect::<Vec<f64>>();
        let weights = [0, 1, 2].map(|c| factor.solve(&column(c)));
        // a patch left out misses by its weight over its own cell of the inverse
        let mut error = 0.0;
        for (i, own) in own.iter().enumerate() {
            error += weights.iter().map(|w| (w[i] / own) * (w[i] / own)).sum::<f64>().sqrt();
        }
        Some((error, weights))
    }
}

fn place(rgb: [f64; 3]) -> [f64; 3] {
    rgb.map(|v| maths::ln(v.max(1e-4) + DARK))
}

fn nearness(a: [f64; 3], b: [f64; 3], reach: f64) -> f64 {
    let far: f64 = a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum();
    maths::exp(-0.5 * far / (reach * reach))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_bends_slowly_is_carried_and_chance_is_not() {
        let rgb: Vec<[f64; 3]> = (0..60)
            .map(|n| {
                let t = f64::from(n) / 60.0;
                [0.05 + 0.9 * t, 0.5 - 0.4 * t, 0.2 + 0.3 * (7.0 * t).sin().abs()]
            })
            .collect();
        let slow: Vec<[f64; 3]> = rgb
            .iter()
            .map(|v| {
                let p = place(*v);
                [p[0].sin(), 0.5 * p[1], p[2] * p[0] * 0.2]
            })
            .collect();
        let kernel = Kernel::fit(&rgb, &slow).unwrap();
        let between = [
            0.5 * (rgb[20][0] + rgb[21][0]),
            0.5 * (rgb[20][1] + rgb[21][1]),
            0.5 * (rgb[20][2] + rgb[21][2]),
        ];
        let p = place(between);
        let added = kernel.add(between);
        assert!((added[0] - p[0].sin()).abs() < 0.05, "{added:?}");
        // left overs that change sign from patch to patch teach nothing
        let chance: Vec<[f64; 3]> =
            (0..60).map(|n| [if n % 2 == 0 { 1.0 } else { -1.0 }; 3]).collect();
        let kernel = Kernel::fit(&rgb, &chance).unwrap();
        assert!(kernel.add(between)[0].abs() < 0.5);
    }
}
