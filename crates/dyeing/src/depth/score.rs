//! How near a shape comes to a step it was not learnt from, its amount left free.

use colour::{Bands, Lab, Weights, ciede2000};

use super::{DepthLaw, DyeShape, Ladder};

/// The nearest a shape comes to a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prediction {
    /// Logarithm of the best amount; 0 is the piece learnt from.
    pub ln_amount: f64,
    /// CIEDE2000 (1:1:1) at that amount, D65/10°.
    pub delta_e: f64,
}

/// Widest amounts searched: e^±5, 150 times less or more than the piece known.
const REACH: f64 = 5.0;
/// Points of the first, even search: 0.25 in ln amount apart.
const POINTS: u8 = 40;
/// Golden-section steps after it: 0.5 · 0.618²⁴ < 5·10⁻⁶.
const GOLDEN: usize = 24;
/// The golden section's smaller part, (3 − √5) / 2.
const SMALLER: f64 = 0.381_966_011_250_105_1;

impl DyeShape {
    /// The amount that comes nearest to a colour, and how near.
    #[must_use]
    pub fn nearest(&self, target: Lab) -> Prediction {
        let at = |u: f64| Prediction { ln_amount: u, delta_e: self.distance(u, target) };
        let width = 2.0 * REACH / f64::from(POINTS);
        let mut best = at(-REACH);
        for i in 1..=POINTS {
            best = nearer(best, at(-REACH + width * f64::from(i)));
        }
        let (mut low, mut high) = (best.ln_amount - width, best.ln_amount + width);
        let mut left = at(low + SMALLER * (high - low));
        let mut right = at(high - SMALLER * (high - low));
        for _ in 0..GOLDEN {
            if left.delta_e < right.delta_e {
                (high, right) = (right.ln_amount, left);
                left = at(low + SMALLER * (high - low));
            } else {
                (low, left) = (left.ln_amount, right);
                right = at(high - SMALLER * (high - low));
            }
            best = nearer(best, nearer(left, right));
        }
        best
    }

    /// CIEDE2000 of this amount from a colour.
    fn distance(&self, ln_amount: f64, target: Lab) -> f64 {
        ciede2000(target, Weights::reference().lab_of(&self.reflectance(ln_amount)))
    }
}

impl DepthLaw {
    /// Every unseen step of a ladder, predicted from its middle and palest one.
    #[must_use]
    pub fn predictions(&self, ladder: &Ladder) -> Vec<Prediction> {
        let shape = self.learn(ladder.middle(), ladder.palest());
        let lab = |bands: &Bands| Weights::reference().lab(bands);
        ladder.unseen().map(|(_, step)| shape.nearest(lab(step))).collect()
    }
}

/// The share-quantile of numbers, linear between ranks (0.5 is the median); none when there are none.
#[must_use]
pub fn quantile(numbers: &[f64], share: f64) -> Option<f64> {
    let mut sorted = numbers.to_vec();
    sorted.sort_by(f64::total_cmp);
    let last = sorted.len().checked_sub(1)?;
    #[expect(clippy::cast_precision_loss, reason = "counts of steps")]
    let place = share.clamp(0.0, 1.0) * last as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and the count of numbers"
    )]
    let below = place.floor() as usize;
    let above = (below + 1).min(last);
    Some(sorted[below] + (sorted[above] - sorted[below]) * (place - place.floor()))
}

fn nearer(one: Prediction, other: Prediction) -> Prediction {
    if other.delta_e < one.delta_e { other } else { one }
}
