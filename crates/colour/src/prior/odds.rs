//! Reflectance as log odds, the scale on which the prior is a Gaussian, and small linear algebra.
//!
//! z = ln((R − 0.002) / (1 − R)): any z is a reflectance between 0.002 and 1, so nothing has to be
//! clipped afterwards, and equal steps of z are roughly equal steps to the eye both in pale and in
//! deep shades. Left out: matrices larger than the ones needed here.

use crate::{BANDS, Bands, Lab, Weights, maths};

/// Darkest reflectance the prior believes in. Judgement: a black velvet is near 0.003, and no cloth
/// of the sets at hand lies below 0.013.
pub(super) const DARKEST: f64 = 0.002;
/// Readings nearer than this to either end are drawn in before the log odds are taken; judgement.
const DRAWN_IN: f64 = 0.003;
/// Log odds beyond which a reflectance no longer changes (e^−14 is below 1e-6).
const FARTHEST: f64 = 14.0;

/// One number for each band.
pub(super) type Curve = [f64; BANDS];
/// A covariance between bands.
pub(super) type Table = [Curve; BANDS];

/// The log odds of a reading.
pub(super) fn odds(bands: &Bands) -> Curve {
    bands.values().map(|r| {
        let r = r.clamp(DARKEST + DRAWN_IN, 1.0 - DRAWN_IN);
        maths::ln((r - DARKEST) / (1.0 - r))
    })
}

/// The reflectance factors of log odds.
pub(super) fn reflectance(z: &Curve) -> Curve {
    z.map(|z| {
        let e = maths::exp(z.clamp(-FARTHEST, FARTHEST));
        (DARKEST + e) / (1.0 + e)
    })
}

/// How Lab moves with the log odds at the reflectance `r`: three rows (L*, a*, b*).
pub(super) fn slopes(r: &Curve, weights: &Weights) -> [Curve; 3] {
    let (xyz, white) = (weights.xyz_of(r), weights.white());
    let t = [xyz.x / white.x, xyz.y / white.y, xyz.z / white.z];
    let w = [white.x, white.y, white.z];
    let f: [f64; 3] = std::array::from_fn(|k| root_slope(t[k]) / w[k]);
    let mut rows = [[0.0; BANDS]; 3];
    for i in 0..BANDS {
        let dr = (r[i] - DARKEST) * (1.0 - r[i]) / (1.0 - DARKEST);
        let [x, y, z]: [f64; 3] = std::array::from_fn(|k| f[k] * weights.rows()[k][i] * dr);
        rows[0][i] = 116.0 * y;
        rows[1][i] = 500.0 * (x - y);
        rows[2][i] = 200.0 * (y - z);
    }
    rows
}

/// Slope of the Lab root function: 1/(3 t^⅔) above (6/29)³, 841/108 below; CIE 015:2018.
fn root_slope(t: f64) -> f64 {
    if t > 216.0 / 24389.0 {
        let root = maths::cbrt(t);
        1.0 / (3.0 * root * root)
    } else {
        841.0 / 108.0
    }
}

/// The coordinates of a colour as three numbers.
pub(super) const fn three(lab: Lab) -> [f64; 3] {
    [lab.l, lab.a, lab.b]
}

/// The product of two curves, summed.
pub(super) fn dot(a: &Curve, b: &Curve) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The covariance times three rows: for each of them one column of 31.
pub(super) fn spread_along(table: &Table, rows: &[Curve; 3]) -> [Curve; 3] {
    rows.each_ref().map(|row| table.each_ref().map(|line| dot(line, row)))
}

/// Solves N equations for M right-hand sides at once, by elimination with the largest pivot; none
/// when they do not decide the unknowns.
pub(super) fn solve<const N: usize, const M: usize>(
    mut left: [[f64; N]; N],
    mut right: [[f64; M]; N],
) -> Option<[[f64; M]; N]> {
    for c in 0..N {
        let pivot = (c..N).max_by(|&i, &j| left[i][c].abs().total_cmp(&left[j][c].abs()))?;
        if left[pivot][c].is_nan() || left[pivot][c].abs() < 1e-300 {
            return None;
        }
        left.swap(c, pivot);
        right.swap(c, pivot);
        let (top, top_right) = (left[c], right[c]);
        for i in 0..N {
            if i == c {
                continue;
            }
            let q = left[i][c] / top[c];
            for (x, t) in left[i].iter_mut().zip(&top) {
                *x -= q * t;
            }
            for (x, t) in right[i].iter_mut().zip(&top_right) {
                *x -= q * t;
            }
        }
    }
    for (line, row) in right.iter_mut().zip(&left).enumerate().map(|(i, (l, r))| (l, r[i])) {
        for x in line {
            *x /= row;
        }
    }
    Some(right)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Light, Observer};

    #[test]
    fn odds_and_back() {
        for r in [0.006, 0.03, 0.5, 0.93, 0.996] {
            let back = reflectance(&odds(&Bands::flat(r).unwrap()));
            assert!((back[7] - r).abs() < 1e-12, "{r}: {}", back[7]);
        }
        for z in [-40.0, 40.0] {
            let r = reflectance(&[z; BANDS])[0];
            assert!(r > DARKEST && r < 1.0);
        }
    }

    /// The slopes against plain differences of Lab: law, not a published figure.
    #[test]
    fn slopes_are_the_differences_of_lab() {
        let z: Curve = std::array::from_fn(|i| -2.0 + 0.1 * f64::from(u8::try_from(i).unwrap()));
        for (light, shift) in [(Light::D65, 0.0), (Light::A, 0.7), (Light::Fl11, -3.9)] {
            let w = Weights::of(light, Observer::Ten);
            let z = z.map(|z| z + shift);
            let rows = slopes(&reflectance(&z), w);
            for i in [0, 9, 22, 30] {
                let lab_at = |step: f64| {
                    let mut moved = z;
                    moved[i] += step;
                    three(w.lab_of(&reflectance(&moved)))
                };
                let (up, down) = (lab_at(1e-5), lab_at(-1e-5));
                for k in 0..3 {
                    assert!((rows[k][i] - (up[k] - down[k]) / 2e-5).abs() < 1e-7);
                }
            }
        }
    }

    #[test]
    fn equations_are_solved_or_refused() {
        let x = solve([[0.0, 2.0], [4.0, 1.0]], [[2.0], [9.0]]).unwrap();
        assert!((x[0][0] - 2.0).abs() < 1e-15 && (x[1][0] - 1.0).abs() < 1e-15);
        assert_eq!(solve([[1.0, 1.0], [1.0, 1.0]], [[1.0], [2.0]]), None);
    }
}
