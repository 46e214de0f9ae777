//! Light that falls off over the frame, found from where the patches stand when no white paper was photographed.
//!
//! One factor for the three channels: e to a straight line in the place. It is bettered from what the likeliest camera
//! leaves of the patches. Left out: bent light (a lamp close by), which wants the white paper.

use super::{Patch, dot, response::Response, solve::Factor};

/// Logarithm of light per share of the frame, across and down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Slope {
    across: f64,
    down: f64,
}

/// What is believed beforehand: light seldom changes by more than this over the frame (standard deviation of the
/// logarithm).
const BELIEVED: f64 = 0.3;
/// How far single patches lie off the line (standard deviation of the logarithm).
const OFF: f64 = 0.02;

impl Slope {
    /// Even light.
    pub(super) const NONE: Self = Self { across: 0.0, down: 0.0 };

    /// A reading as even light would have shown it.
    pub(super) fn undo(self, rgb: [f64; 3], place: Option<[f64; 2]>) -> [f64; 3] {
        let Some([x, y]) = place else { return rgb };
        let light = colour::maths::exp(self.across * x + self.down * y);
        rgb.map(|v| v / light)
    }

    /// With what is left of the patches at the likeliest camera.
    pub(super) fn bettered(
        self,
        patches: &[Patch],
        seen: &[[f64; 3]],
        response: &Response,
    ) -> Self {
        // least squares of ln(seen/expected) on 1, x, y; dark patches count less
        let mut table = vec![0.0; 9];
        let mut right = [0.0; 3];
        for (patch, seen) in patches.iter().zip(seen) {
            let Some([x, y]) = patch.seen.place else { continue };
            for (value, channel) in seen.iter().zip(&response.mean) {
                let expected = dot(channel, patch.reflectance.values());
                if expected < 0.02 || *value < 0.005 {
                    continue;
                }
                let left = colour::maths::ln(value / expected);
                let off = OFF + 0.003 / expected;
                let weight = 1.0 / (off * off);
                let row = [1.0, x, y];
                for j in 0..3 {
                    right[j] += weight * row[j] * left;
                    for k in 0..3 {
                        table[3 * j + k] += weight * row[j] * row[k];
                    }
                }
            }
        }
        for j in 0..3 {
            table[4 * j] += 1.0 / (BELIEVED * BELIEVED);
        }
        right[1] -= self.across / (BELIEVED * BELIEVED);
        right[2] -= self.down / (BELIEVED * BELIEVED);
        let Some(factor) = Factor::of(table, 3) else { return self };
        let by = factor.solve(&right);
        Self { across: self.across + by[1], down: self.down + by[2] }
    }
}
