//! The likeliest cloth of a reading: its reflectance under what is believed of cloth and of the camera, and its spread.
//!
//! Log odds of reflectance are believed Gaussian (the prior comes as an argument); the reading is a bent function of them,
//! straightened at the likeliest curve until that stands still (Gauss and Newton). What the camera's response leaves
//! unknown counts as roughness of the reading. Spread: first order, about the likeliest curve.

use colour::{BANDS, Lab, Weights, ciede2000_residuals, maths};

use super::{
    Row, Square, dot,
    response::{Response, below},
    solve::Factor,
};

/// Lab of one cloth with what stays unknown.
#[derive(Debug, Clone)]
pub(super) struct Guess {
    pub(super) reflectance: Row,
    pub(super) lab: [f64; 3],
    pub(super) covariance: [[f64; 3]; 3],
}

/// What is believed of cloth: log odds of reflectance.
#[derive(Debug, Clone)]
pub(super) struct Belief {
    pub(super) mean: Row,
    pub(super) covariance: Box<Square>,
}

/// Darkest reflectance of the log odds; as `ClothPrior::log_odds` states them.
pub(super) const DARKEST: f64 = 0.002;
const ROUNDS: usize = 14;

/// The likeliest cloth of a reading. None where the sums cannot be solved.
pub(super) fn guess(seen: [f64; 3], response: &Response, belief: &Belief) -> Option<Guess> {
    let (seen, unknown) = below(seen);
    let mut odds = belief.mean;
    let mut last = None;
    for _ in 0..ROUNDS {
        let reflectance = odds.map(reflected);
        let slope = reflectance.map(|r| (r - DARKEST) * (1.0 - r) / (1.0 - DARKEST));
        let lean: [Row; 3] =
            std::array::from_fn(|c| std::array::from_fn(|i| response.mean[c][i] * slope[i]));
        let pull: [Row; 3] =
            lean.map(|row| std::array::from_fn(|i| dot(&row, &belief.covariance[i])));
        let mut table = vec![0.0; 9];
        for c in 0..3 {
            for d in 0..3 {
                table[3 * c + d] = dot(&pull[c], &lean[d]);
            }
            let unknown: f64 =
                (0..BANDS).map(|i| reflectance[i] * dot(&response.doubt[c][i], &reflectance)).sum();
            table[4 * c] +=
                unknown.max(0.0) + response.rough[0] + response.rough[1] * seen[c] * seen[c];
        }
        let factor = Factor::of(table.clone(), 3)?;
        let away: [f64; 3] = std::array::from_fn(|c| {
            let moved: f64 = (0..BANDS).map(|i| lean[c][i] * (odds[i] - belief.mean[i])).sum();
            seen[c] - dot(&response.mean[c], &reflectance) + moved
        });
        let weights = factor.solve(&away);
        let next: Row = std::array::from_fn(|i| {
            let wanted = belief.mean[i] + (0..3).map(|c| pull[c][i] * weights[c]).sum::<f64>();
            // a step of three in log odds at most, so that a strong colour does not run away
            odds[i] + (wanted - odds[i]).clamp(-3.0, 3.0)
        });
        let step = (0..BANDS).map(|i| (next[i] - odds[i]).abs()).fold(0.0, f64::max);
        odds = next;
        last = Some((table, pull));
        if step < 1e-5 {
            break;
        }
    }
    let (table, pull) = last?;
    let factor = loosened(table, &unknown)?;
    let reflectance = odds.map(reflected);
    let slope = reflectance.map(|r| (r - DARKEST) * (1.0 - r) / (1.0 - DARKEST));
    let (lab, rows) = lab_and_slopes(&reflectance);
    let lean: [Row; 3] = rows.map(|row| std::array::from_fn(|i| row[i] * slope[i]));
    let half: [Vec<f64>; 3] = std::array::from_fn(|j| {
        factor.forward(&[dot(&lean[j], &pull[0]), dot(&lean[j], &pull[1]), dot(&lean[j], &pull[2])])
    });
    let covariance = std::array::from_fn(|j| {
        std::array::from_fn(|k| {
            let before: f64 =
                (0..BANDS).map(|i| lean[j][i] * dot(&belief.covariance[i], &lean[k])).sum();
            before - half[j].iter().zip(&half[k]).map(|(a, b)| a * b).sum::<f64>()
        })
    });
    Some(Guess { reflectance, lab, covariance })
}

/// A table of readings, three for each cloth, to whose variances is added what lies below the scale.
pub(super) fn loosened(mut table: Vec<f64>, below: &[f64]) -> Option<Factor> {
    let n = below.len();
    for (c, more) in below.iter().enumerate() {
        table[(n + 1) * c] += more;
    }
    Factor::of(table, n)
}

/// The radius in ΔE00 within which a share of the truths lie, about a colour of this covariance; `z` is the standard
/// normal deviate of the share. The squared distance is a weighted sum of squares: taken as one chi-square of the same
/// mean and variance (Satterthwaite 1946), its quantile by Wilson and Hilferty (1931).
pub(super) fn radius(lab: [f64; 3], covariance: &[[f64; 3]; 3], z: f64) -> f64 {
    let table = in_de00(lab, covariance);
    let trace: f64 = (0..3).map(|n| table[n][n]).sum();
    let square: f64 = table.iter().flatten().map(|v| v * v).sum();
    if !(trace > 0.0 && square > 0.0) {
        return 0.0;
    }
    let freedom = trace * trace / square;
    let part = 2.0 / (9.0 * freedom);
    let cube = 1.0 - part + z * part.sqrt();
    (trace * cube * cube * cube).max(0.0).sqrt()
}

/// Root mean square ΔE00 about a colour of this covariance.
pub(super) fn root_mean_square(lab: [f64; 3], covariance: &[[f64; 3]; 3]) -> f64 {
    let table = in_de00(lab, covariance);
    (0..3).map(|n| table[n][n]).sum::<f64>().max(0.0).sqrt()
}

/// A covariance of L*, a*, b* as one of the three residuals whose squares make ΔE00.
fn in_de00(lab: [f64; 3], covariance: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let at = |p: [f64; 3]| Lab::new(p[0], p[1], p[2]);
    // slopes of the residuals by central differences of 0.1
    let slope: [[f64; 3]; 3] = std::array::from_fn(|k| {
        let moved = |step: f64| {
            let mut to = lab;
            to[k] += step;
            ciede2000_residuals(at(lab), at(to))
        };
        let (up, down) = (moved(0.05), moved(-0.05));
        std::array::from_fn(|n| (up[n] - down[n]) / 0.1)
    });
    std::array::from_fn(|n| {
        std::array::from_fn(|m| {
            (0..9).map(|jk| covariance[jk / 3][jk % 3] * slope[jk / 3][n] * slope[jk % 3][m]).sum()
        })
    })
}

/// The reflectance of log odds.
pub(super) fn reflected(odds: f64) -> f64 {
    // (R − d)/(1 − R) = e^odds
    let e = maths::exp(odds.clamp(-30.0, 30.0));
    (DARKEST + e) / (1.0 + e)
}

/// Lab D65/10° and its slopes by each band's reflectance.
pub(super) fn lab_and_slopes(reflectance: &Row) -> ([f64; 3], [Row; 3]) {
    let weights = Weights::reference();
    let lab = weights.lab_of(reflectance);
    let (xyz, white) = (weights.xyz_of(reflectance), weights.white());
    let by = |value: f64, white: f64| {
        let t = value / white;
        let cube = 216.0 / 24389.0;
        if t > cube { 1.0 / (3.0 * maths::cbrt(t * t) * white) } else { 841.0 / 108.0 / white }
    };
    let [x, y, z] = [by(xyz.x, white.x), by(xyz.y, white.y), by(xyz.z, white.z)];
    let rows = weights.rows();
    let slopes = [
        std::array::from_fn(|i| 116.0 * y * rows[1][i]),
        std::array::from_fn(|i| 500.0 * (x * rows[0][i] - y * rows[1][i])),
        std::array::from_fn(|i| 200.0 * (y * rows[1][i] - z * rows[2][i])),
    ];
    ([lab.l, lab.a, lab.b], slopes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slopes_are_those_of_small_steps() {
        let grey: Row = std::array::from_fn(|i| 0.1 + 0.02 * [0.0, 1.0, 3.0][i % 3]);
        let (lab, slopes) = lab_and_slopes(&grey);
        for band in [3, 15, 24] {
            let mut moved = grey;
            moved[band] += 1e-6;
            let (to, _) = lab_and_slopes(&moved);
            for j in 0..3 {
                assert!(((to[j] - lab[j]) / 1e-6 - slopes[j][band]).abs() < 1e-2);
            }
        }
    }

    #[test]
    fn a_round_spread_has_the_radius_of_the_tables() {
        // three equal variances at a grey where ΔE00 is nearly ΔL: only the lightness counts here
        let r = radius([50.0, 0.0, 0.0], &[[1.0, 0.0, 0.0], [0.0; 3], [0.0; 3]], 1.281_55);
        assert!((r - 1.645).abs() < 0.03, "90 % of one normal deviate lie within 1.645, not {r}");
        let rms = root_mean_square([50.0, 0.0, 0.0], &[[4.0, 0.0, 0.0], [0.0; 3], [0.0; 3]]);
        assert!((rms - 2.0).abs() < 0.01, "a variance of 4 is 2 of L*, and there of ΔE00: {rms}");
    }
}
