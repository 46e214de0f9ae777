//! The CIEDE2000 colour difference, also as three residuals for least squares.
//!
//! Source: G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula: implementation
//! notes, supplementary test data, and mathematical observations", Color Res. Appl. 30 (2005)
//! 21–30. ΔE² = l² + c² + h² + R·c·h is a quadratic form; with t = R/2 it equals the squared norm of
//! (l, c + t·h, √(1 − t²)·h), which is what Gauss–Newton wants.

use std::f64::consts::{PI, TAU};

use crate::{Lab, maths};

/// CIEDE2000 (1:1:1) between two colours under the same light and observer.
#[must_use]
pub fn ciede2000(one: Lab, other: Lab) -> f64 {
    norm(residuals(one, other, 1.0))
}

/// CIEDE2000 (2:1:1), lightness counted half as textile practice has it (convention from memory).
#[must_use]
pub fn ciede2000_textile(one: Lab, other: Lab) -> f64 {
    norm(residuals(one, other, 2.0))
}

/// Three residuals from `reference` to `sample` whose squared norm is ΔE00² (1:1:1).
#[must_use]
pub fn ciede2000_residuals(reference: Lab, sample: Lab) -> [f64; 3] {
    residuals(reference, sample, 1.0)
}

fn norm([l, c, h]: [f64; 3]) -> f64 {
    (l * l + c * c + h * h).sqrt()
}

fn residuals(one: Lab, other: Lab, k_l: f64) -> [f64; 3] {
    let mean_chroma = (one.chroma() + other.chroma()) / 2.0;
    let g = 0.5 * (1.0 - saturating(mean_chroma));
    let (a1, a2) = ((1.0 + g) * one.a, (1.0 + g) * other.a);
    let (c1, c2) = ((a1 * a1 + one.b * one.b).sqrt(), (a2 * a2 + other.b * other.b).sqrt());
    let (h1, h2) = (hue(a1, one.b), hue(a2, other.b));

    let grey = c1 * c2 == 0.0;
    let (dh, hm) = if grey { (0.0, h1 + h2) } else { between(h1, h2) };
    let d_hue = 2.0 * (c1 * c2).sqrt() * maths::sin(dh / 2.0);
    let (lm, cm) = ((one.l + other.l) / 2.0, (c1 + c2) / 2.0);

    let t = 1.0 - 0.17 * maths::cos(hm - PI / 6.0)
        + 0.24 * maths::cos(2.0 * hm)
        + 0.32 * maths::cos(3.0 * hm + 6f64.to_radians())
        - 0.20 * maths::cos(4.0 * hm - 63f64.to_radians());
    let off_grey = (lm - 50.0) * (lm - 50.0);
    let s_l = 1.0 + 0.015 * off_grey / (20.0 + off_grey).sqrt();
    let s_c = 1.0 + 0.045 * cm;
    let s_h = 1.0 + 0.015 * cm * t;
    let blue = (hm.to_degrees() - 275.0) / 25.0;
    let turn = 30f64.to_radians() * maths::exp(-blue * blue);
    let r_t = -maths::sin(2.0 * turn) * 2.0 * saturating(cm);

    let half = r_t / 2.0;
    let l = (other.l - one.l) / (k_l * s_l);
    let c = (c2 - c1) / s_c;
    let h = d_hue / s_h;
    [l, c + half * h, (1.0 - half * half).max(0.0).sqrt() * h]
}

/// √(C⁷ / (C⁷ + 25⁷)).
fn saturating(chroma: f64) -> f64 {
    let square = chroma * chroma;
    let seventh = square * square * square * chroma;
    (seventh / (seventh + 6_103_515_625.0)).sqrt()
}

/// Hue angle in radians, 0 up to 2π.
fn hue(a: f64, b: f64) -> f64 {
    let h = maths::atan2(b, a);
    if h < 0.0 { h + TAU } else { h }
}

/// Difference and mean of two hues the short way round. Hues exactly opposite belong to the first
/// branch (published pairs 10 and 14); the last bit of atan2 must not decide, hence the margin.
fn between(h1: f64, h2: f64) -> (f64, f64) {
    const MARGIN: f64 = 1e-9;
    let (dh, sum) = (h2 - h1, h1 + h2);
    if dh.abs() <= PI + MARGIN {
        (dh, sum / 2.0)
    } else {
        let short = if dh > 0.0 { dh - TAU } else { dh + TAU };
        (short, if sum < TAU { sum / 2.0 + PI } else { sum / 2.0 - PI })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// 34 published pairs, `ciede2000_34pairs.csv`; tolerance half the last printed digit. Columns:
    /// pair, L1, a1, b1, L2, a2, b2, ΔE00.
    #[test]
    fn the_34_published_pairs() {
        let text = include_str!("../tests/fixtures/ciede2000_34pairs.csv");
        let mut seen = 0;
        for line in text.lines().skip(1) {
            let v: Vec<f64> = line.split(',').map(|c| c.parse().unwrap()).collect();
            let (one, other) = (Lab::new(v[1], v[2], v[3]), Lab::new(v[4], v[5], v[6]));
            let d = ciede2000(one, other);
            assert!((d - v[7]).abs() <= 5e-5, "pair {}: {d} instead of {}", v[0], v[7]);
            seen += 1;
        }
        assert_eq!(seen, 34);
    }

    fn any_lab() -> impl Strategy<Value = Lab> {
        (0.0..100.0, -120.0..120.0, -120.0..120.0).prop_map(|(l, a, b)| Lab::new(l, a, b))
    }

    proptest! {
        #[test]
        fn the_same_from_either_side(one in any_lab(), other in any_lab()) {
            prop_assert!((ciede2000(one, other) - ciede2000(other, one)).abs() < 1e-9);
            prop_assert_eq!(ciede2000(one, one), 0.0);
            prop_assert!(ciede2000_textile(one, other) <= ciede2000(one, other) + 1e-12);
        }
    }
}
