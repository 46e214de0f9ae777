//! The CMC(l:c) colour difference of the textile trade, and CIE 1976 ΔE*ab with its parts.
//!
//! Formula of CMC(l:c) as in ISO 105-J03 (written from memory, checked against
//! `ciede2000_34pairs.csv`, whose CMC columns come from two independent implementations). CMC is not
//! symmetric: the first colour is the standard.

use crate::{Lab, maths};

/// CIE 1976 difference ΔE*ab.
#[must_use]
pub fn delta_e_ab(standard: Lab, sample: Lab) -> f64 {
    let (l, a, b) = (sample.l - standard.l, sample.a - standard.a, sample.b - standard.b);
    (l * l + a * a + b * b).sqrt()
}

/// Signed differences sample − standard in lightness, chroma and hue (ΔL*, ΔC*, ΔH*); their squares
/// add up to ΔE*ab². ΔH* is positive when the sample lies counter-clockwise (red → yellow → green).
#[must_use]
pub fn delta_l_c_h(standard: Lab, sample: Lab) -> [f64; 3] {
    let (c1, c2) = (standard.chroma(), sample.chroma());
    let cross = standard.a * sample.b - standard.b * sample.a;
    let dot = standard.a * sample.a + standard.b * sample.b;
    // ΔH² = 2 (C1 C2 − dot); written so that nothing cancels, neither when the hues are close nor when they are opposite
    let dh = if dot > 0.0 {
        cross * (2.0 / (c1 * c2 + dot)).sqrt()
    } else {
        (2.0 * (c1 * c2 - dot)).sqrt().copysign(cross)
    };
    [sample.l - standard.l, c2 - c1, dh]
}

/// CMC(l:c): 2:1 for acceptability (1.0 is the trade's boundary), 1:1 for perceptibility.
#[must_use]
pub fn cmc(standard: Lab, sample: Lab, l: f64, c: f64) -> f64 {
    let [dl, dc, dh] = delta_l_c_h(standard, sample);
    let polar = standard.to_lch();
    let s_l = if polar.l < 16.0 { 0.511 } else { 0.040_975 * polar.l / (1.0 + 0.017_65 * polar.l) };
    let s_c = 0.0638 * polar.c / (1.0 + 0.0131 * polar.c) + 0.638;
    let c4 = polar.c * polar.c * polar.c * polar.c;
    let f = (c4 / (c4 + 1900.0)).sqrt();
    let cosine = |shift: f64| maths::cos((polar.h + shift).to_radians());
    let t = if (164.0..=345.0).contains(&polar.h) {
        0.56 + (0.2 * cosine(168.0)).abs()
    } else {
        0.36 + (0.4 * cosine(35.0)).abs()
    };
    let s_h = s_c * (f * t + 1.0 - f);
    let (x, y, z) = (dl / (l * s_l), dc / (c * s_c), dh / s_h);
    (x * x + y * y + z * z).sqrt()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// `ciede2000_34pairs.csv`, columns ΔE76, CMC(1:1), CMC(2:1); tolerance 1e-6 by its own note.
    #[test]
    fn the_34_pairs_in_cmc_and_1976() {
        let text = include_str!("../tests/fixtures/ciede2000_34pairs.csv");
        for line in text.lines().skip(1) {
            let v: Vec<f64> = line.split(',').map(|c| c.parse().unwrap()).collect();
            let (one, two) = (Lab::new(v[1], v[2], v[3]), Lab::new(v[4], v[5], v[6]));
            for (got, want) in [
                (delta_e_ab(one, two), v[8]),
                (cmc(one, two, 1.0, 1.0), v[11]),
                (cmc(one, two, 2.0, 1.0), v[12]),
            ] {
                assert!((got - want).abs() <= 1e-6, "pair {}: {got} instead of {want}", v[0]);
            }
        }
    }

    proptest! {
        #[test]
        fn the_parts_add_up(l in 0.0..100.0, a in -90.0..90.0, b in -90.0..90.0,
                            m in 0.0..100.0, c in -90.0..90.0, d in -90.0..90.0) {
            let (one, two) = (Lab::new(l, a, b), Lab::new(m, c, d));
            let [dl, dc, dh] = delta_l_c_h(one, two);
            let whole = delta_e_ab(one, two);
            prop_assert!((dl * dl + dc * dc + dh * dh - whole * whole).abs() < 1e-6);
        }

        #[test]
        fn the_parts_add_up_at_opposite_hues(h in 0.0..360.0_f64, off in -1e-3..1e-3_f64, c in 1.0..90.0, d in 1.0..90.0) {
            let (sin, cos) = h.to_radians().sin_cos();
            let (across, along) = (h + 180.0 + off).to_radians().sin_cos();
            let (one, two) = (Lab::new(50.0, c * cos, c * sin), Lab::new(50.0, d * along, d * across));
            let [dl, dc, dh] = delta_l_c_h(one, two);
            let whole = delta_e_ab(one, two);
            prop_assert!((dl * dl + dc * dc + dh * dh - whole * whole).abs() < 1e-6);
        }
    }
}
