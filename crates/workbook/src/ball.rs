//! The box in CIELAB outside which no colour lies within a given ΔE00 of another: what lets an index
//! find every near colour without looking at the far ones.
//!
//! From the formula itself (CIE 142-2001; ISO/CIE 11664-6:2022), with kL = kC = kH = 1. With
//! x = ΔC'/SC and y = ΔH'/SH it is ΔE00² = (ΔL'/SL)² + x² + y² + RT·x·y.
//!
//! *Lightness.* RT·x·y ≥ −(x² + y²), so |ΔL| ≤ w·SL, and SL ≤ 1 + 0.015·|L̄ − 50|.
//!
//! *Chroma and hue.* x² + y² + RT·x·y ≥ (x² + y²)·(1 − |RT|/2), SH < SC = 1 + 0.045·C̄' (T is below
//! 2), and ΔC'² + ΔH'² is the squared distance d'² in the plane (a', b), no less than that in the
//! plane (a, b). So d ≤ d' ≤ w·k·SC with k = 1/√(1 − |RT|/2), and C̄' ≤ C' + d'/2 gives
//! d' ≤ w·k·(1 + 0.045·C') / (1 − 0.0225·w·k).
//!
//! *The rotation.* |RT|/2 ≤ sin(60°·exp(−((h̄ − 275°)/25°)²)): 0.866 at worst, nothing far from blue.
//! The ball of the worst k holds every near colour; where no mean hue in it comes near 275°, the
//! smaller k of the nearest of them will do.

use colour::{Lab, maths};

/// Half the sides of the box: along L*, and along a* and b* alike. Infinite when nothing can be said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Reach {
    pub(crate) l: f64,
    pub(crate) ab: f64,
}

impl Reach {
    /// The sides of the box about a colour: L*, a* and b*, each from and to.
    pub(crate) const fn around(&self, to: Lab) -> [f64; 6] {
        let Self { l, ab } = *self;
        [to.l - l, to.l + l, to.a - ab, to.a + ab, to.b - ab, to.b + ab]
    }
}

/// sin 60°, the most that |RT|/2 can be.
const WORST_ROTATION: f64 = 0.866_025_403_784_438_7;
/// Where the rotation is strongest, degrees, and how fast it falls.
const BLUE: f64 = 275.0;
const FALL: f64 = 25.0;
/// A trifle more, for what floating point loses.
const SLACK: f64 = 1.0 + 1e-9;

/// The box around a colour for a ΔE00 up to `within`, which lies above 0 and up to 20.
pub(crate) fn reach(around: Lab, within: f64) -> Reach {
    let l = within * (1.0 + 0.015 * (around.l - 50.0).abs()) / (1.0 - 0.0075 * within);
    let chroma = around.chroma();
    // The mean chroma is at least half of this one's, and G falls with it.
    let stretch = 1.0 + g(chroma / 2.0);
    let a = around.a * stretch;
    let stretched = (a * a + around.b * around.b).sqrt();
    let worst = radius(stretched, within, WORST_ROTATION);
    let ab = if worst < chroma {
        let half_width = (worst / chroma).asin().to_degrees();
        let near = hue_to_blue(around, stretch) - half_width / 2.0;
        radius(stretched, within, rotation(near.max(0.0)))
    } else {
        worst
    };
    Reach { l: l * SLACK, ab: ab * SLACK }
}

/// The radius in the plane (a, b) for a chroma C' and a bound of |RT|/2.
fn radius(chroma: f64, within: f64, rotation: f64) -> f64 {
    let wk = within / (1.0 - rotation).sqrt();
    let rest = 1.0 - 0.0225 * wk;
    if rest <= 0.0 { f64::INFINITY } else { wk * (1.0 + 0.045 * chroma) / rest }
}

/// The most that |RT|/2 can be, so many degrees away from blue.
fn rotation(degrees: f64) -> f64 {
    let away = degrees / FALL;
    maths::sin((60.0 * maths::exp(-away * away)).to_radians())
}

/// G of the formula: how far a* is stretched near grey.
fn g(chroma: f64) -> f64 {
    let seventh = chroma.powi(7);
    0.5 * (1.0 - (seventh / (seventh + 25.0_f64.powi(7))).sqrt())
}

/// The least angle from blue of the hue h', whatever the stretch of a* between 1 and this.
fn hue_to_blue(lab: Lab, stretch: f64) -> f64 {
    let from_blue = |s: f64| {
        let hue = maths::atan2(lab.b, lab.a * s).to_degrees();
        (hue - BLUE + 900.0).rem_euclid(360.0) - 180.0
    };
    let (one, other) = (from_blue(1.0), from_blue(stretch));
    // Blue itself may lie between; they are on one side of the circle then.
    if one.signum() != other.signum() && (one - other).abs() < 180.0 {
        return 0.0;
    }
    one.abs().min(other.abs())
}

#[cfg(test)]
mod tests {
    use colour::ciede2000;
    use proptest::prelude::*;

    use super::*;

    fn inside(around: Lab, other: Lab, within: f64) -> bool {
        let r = reach(around, within);
        (other.l - around.l).abs() <= r.l
            && (other.a - around.a).abs() <= r.ab
            && (other.b - around.b).abs() <= r.ab
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(100_000))]

        /// Whatever two colours are apart, each lies in the other's box for just that difference.
        #[test]
        fn no_near_colour_lies_outside(
            l in 0.0..105.0_f64, c in 0.0..140.0_f64, h in 0.0..360.0_f64,
            dl in -12.0..12.0_f64, dr in 0.0..1.0_f64, turn in 0.0..360.0_f64, far in 1.0..80.0_f64, blue in any::<bool>(),
        ) {
            // Half of them in the blues, where the rotation is.
            let h: f64 = if blue { 235.0 + h / 360.0 * 80.0 } else { h };
            let (h, turn) = (f64::to_radians(h), f64::to_radians(turn));
            let one = Lab::new(l, c * h.cos(), c * h.sin());
            let d = dr * far;
            let other = Lab::new((l + dl).clamp(0.0, 105.0), one.a + d * turn.cos(), one.b + d * turn.sin());
            let apart = ciede2000(one, other);
            if apart > 0.0 && apart <= 20.0 {
                prop_assert!(inside(one, other, apart), "{one} {other}: {apart}");
                prop_assert!(inside(other, one, apart), "{other} {one}: {apart}");
            }
        }
    }

    #[test]
    fn the_box_is_tight_enough_to_be_of_use() {
        // A middling colour far from blue: C' is at most 53 (a* stretched by 1.23, G at half the
        // chroma), and 2·(1 + 0.045·53)/(1 − 0.0225·2) = 7.09, so hardly more than the plain weights.
        let r = reach(Lab::new(50.0, 40.0, 20.0), 2.0);
        assert!(r.l < 2.1 && r.ab < 7.1, "{r:?}");
        let grey = reach(Lab::new(50.0, 0.0, 0.0), 1.0);
        assert!(grey.ab < 3.0, "{grey:?}");
    }
}
