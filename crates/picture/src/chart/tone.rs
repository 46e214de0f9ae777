//! The tone curve a camera lays over its picture: two numbers per picture, found with the colour.
//!
//! A camera's JPEG is not the plain sRGB curve of the light: contrast is lifted in an S, shadows or the middle raised. Of
//! a picture that may have such a curve, encoded values v are taken back as v + a·v(1 − v)(1 − 2v) + b·v(1 − v), one curve
//! for the three channels. Left out: curves apart for each channel, and local contrast, which no chart can undo.

use colour::maths;

/// One curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Tone {
    /// The S that is taken back.
    pub(super) bend: f64,
    /// The lift of the middle.
    pub(super) lift: f64,
}

/// What is believed before the chart is seen: mean and standard deviation (judgement; cameras lift contrast).
const BEND: (f64, f64) = (0.05, 0.12);
const LIFT: (f64, f64) = (0.0, 0.06);

impl Tone {
    /// None.
    pub(super) const PLAIN: Self = Self { bend: 0.0, lift: 0.0 };

    /// One as it may be, from two standard normal deviates.
    pub(super) const fn drawn(bend: f64, lift: f64) -> Self {
        Self { bend: BEND.0 + BEND.1 * bend, lift: LIFT.0 + LIFT.1 * lift }
    }

    /// Linear device colour as it was before the curve, and the slope of the one by the other.
    pub(super) fn undo(self, linear: f64) -> (f64, f64) {
        if self == Self::PLAIN {
            return (linear, 1.0);
        }
        let v = encode(linear.clamp(0.0, 1.0));
        let u = v + v * (1.0 - v) * (self.bend * (1.0 - 2.0 * v) + self.lift);
        let slope = 1.0 + self.bend * (1.0 - 6.0 * v + 6.0 * v * v) + self.lift * (1.0 - 2.0 * v);
        let back = decode(u.clamp(0.0, 1.0));
        (back, (slope * slope_of_decode(u) / slope_of_decode(v)).max(1e-3))
    }

    /// Logarithm of how likely it is beforehand.
    pub(super) fn belief(self) -> f64 {
        let (a, b) = ((self.bend - BEND.0) / BEND.1, (self.lift - LIFT.0) / LIFT.1);
        -0.5 * (a * a + b * b)
    }
}

// The transfer of IEC 61966-2-1 (sRGB).
fn encode(linear: f64) -> f64 {
    if linear <= 0.003_130_8 {
        12.92 * linear
    } else {
        1.055 * maths::pow(linear, 1.0 / 2.4) - 0.055
    }
}

fn decode(v: f64) -> f64 {
    if v <= 0.040_45 { v / 12.92 } else { maths::pow((v + 0.055) / 1.055, 2.4) }
}

fn slope_of_decode(v: f64) -> f64 {
    if v <= 0.040_45 { 1.0 / 12.92 } else { 2.4 / 1.055 * maths::pow((v + 0.055) / 1.055, 1.4) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_s_is_taken_back_and_the_slope_is_its_own() {
        let tone = Tone { bend: 0.17, lift: 0.0 };
        for u in [0.1, 0.3, 0.5, 0.7, 0.9] {
            // an S of 0.15: a share of 3u² − 2u³
            let v = 0.85 * u + 0.15 * u * u * (3.0 - 2.0 * u);
            let (back, _) = tone.undo(decode(v));
            assert!((encode(back) - u).abs() < 0.004, "{u} {}", encode(back));
        }
        for linear in [0.002, 0.05, 0.4, 0.8] {
            let (a, slope) = tone.undo(linear);
            let (b, _) = tone.undo(linear + 1e-6);
            assert!(((b - a) / 1e-6 - slope).abs() < 1e-3, "{linear}");
        }
    }
}
