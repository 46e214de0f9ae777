//! CIEDE2000 as three numbers whose squares sum to ΔE00², with their slopes in L*, a*, b*.
//!
//! ΔE00² = l² + c² + h² + `R_T`·c·h is a quadratic form; with t = `R_T`/2 it is the squared length of
//! (l, c + t·h, √(1 − t²)·h), which is what Gauss–Newton wants. Formula: CIE 142-2001; ISO/CIE
//! 11664-6:2014; with the rules of Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula:
//! implementation notes, supplementary test data, and mathematical observations" (2005), kL = kC =
//! kH = 1. Hue needs no trigonometry here: ΔH′ comes from the cross product and the mean hue from
//! the bisector of the two unit vectors. Where the hues are opposite the bisector vanishes, and the
//! side the published rule takes (the hue of the target is fixed) is used instead.
//!
//! Left out: other weightings and other formulae (the `colour` room has the public ones).

use super::lane::Lane;

/// 25⁷, in the chroma terms.
const TWENTY_FIVE_7: f64 = 6_103_515_625.0;
/// Keeps a chroma of nothing from dividing by nothing; its root, 1e-12, is far below any rounding.
const NOTHING: f64 = 1e-24;
/// cos and sin of the angles in the hue weighting T and of 275° (exact to f64).
const COS_30: f64 = 0.866_025_403_784_438_6;
const SIN_30: f64 = 0.5;
const COS_6: f64 = 0.994_521_895_368_273_3;
const SIN_6: f64 = 0.104_528_463_267_653_47;
const COS_63: f64 = 0.453_990_499_739_546_8;
const SIN_63: f64 = 0.891_006_524_188_367_8;
const COS_275: f64 = 0.087_155_742_747_658_17;
const SIN_275: f64 = -0.996_194_698_091_745_5;

/// A target colour, spread over the lanes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Target<L> {
    lightness: L,
    a: L,
    b: L,
    chroma: L,
    /// +1 where the target's hue lies in 0°…180°, else −1: the side of the rule for opposite hues.
    side: L,
}

/// The three residuals and the slopes that are not zero.
///
/// The slopes of r₁ and r₂ are those in a frame that turns with the sample's hue (see `gap`): their
/// product with the residuals is half the gradient of ΔE00², exactly.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gap<L> {
    /// Lightness; chroma with its share of hue; hue.
    pub(super) r: [L; 3],
    /// ∂r₀/∂L*; the other two do not depend on lightness.
    pub(super) by_lightness: L,
    /// ∂(r₁, r₂)/∂a*.
    pub(super) by_a: [L; 2],
    /// ∂(r₁, r₂)/∂b*.
    pub(super) by_b: [L; 2],
}

impl<L: Lane> Target<L> {
    pub(super) fn new(lab: [f64; 3]) -> Self {
        let [l, a, b] = lab;
        let upper = b > 0.0 || (b == 0.0 && a > 0.0);
        Self {
            lightness: L::splat(l),
            a: L::splat(a),
            b: L::splat(b),
            chroma: L::splat((a * a + b * b).sqrt()),
            side: L::splat(if upper { 1.0 } else { -1.0 }),
        }
    }

    /// The gap of the sample (`lightness`, `a`, `b`) from this target.
    #[inline(always)]
    pub(super) fn gap(&self, lightness: L, a: L, b: L) -> Gap<L> {
        let n = L::splat;
        let (zero, half, one) = (n(0.0), n(0.5), n(1.0));

        // Lightness: L̄ is the mean of the two.
        let off = half * (self.lightness + lightness) - n(50.0);
        let square = off * off;
        let root = (n(20.0) + square).sqrt();
        let weight = one / (one + n(0.015) * square / root);
        let r0 = (lightness - self.lightness) * weight;
        // dS_L/dL* = ½ · 0.015 · off · (40 + off²) / (20 + off²)^1.5
        let bend = n(0.0075) * off * (n(40.0) + square) / (root * (n(20.0) + square));
        let by_lightness = weight - r0 * weight * bend;

        // a′ = (1 + G)·a.
        let chroma = (a * a + b * b + n(NOTHING)).sqrt();
        let mean = half * (self.chroma + chroma);
        let cubed = mean * mean * mean;
        let seventh = cubed * cubed * mean;
        let u = seventh / (seventh + n(TWENTY_FIVE_7));
        let su = u.sqrt();
        let stretch = one + half * (one - su);
        // dG/dC₂, the mean moving half as fast as C₂.
        let g_slope = n(-0.875) * su * (one - u) / mean.max(n(1e-12));
        let a1 = stretch * self.a;
        let a2 = stretch * a;
        let b1 = self.b;
        let c1 = (a1 * a1 + b1 * b1 + n(NOTHING)).sqrt();
        let c2 = (a2 * a2 + b * b + n(NOTHING)).sqrt();
        let (i1, i2) = (one / c1, one / c2);

        // Mean hue: the bisector of the unit vectors, or the published side of opposite ones.
        let (u1x, u1y, u2x, u2y) = (a1 * i1, b1 * i1, a2 * i2, b * i2);
        let (mx, my) = (u1x + u2x, u1y + u2y);
        let length = mx * mx + my * my;
        let opposite = length.lt(n(1e-13));
        let il = one / length.max(n(1e-13)).sqrt();
        let cos = L::pick(opposite, -self.side * u1y, mx * il);
        let sin = L::pick(opposite, self.side * u1x, my * il);
        let two = n(2.0);
        let (cos2, sin2) = (two * cos * cos - one, two * sin * cos);
        let (cos3, sin3) = (cos2 * cos - sin2 * sin, sin2 * cos + cos2 * sin);
        let (cos4, sin4) = (two * cos2 * cos2 - one, two * sin2 * cos2);
        let t = one - n(0.17 * COS_30) * cos - n(0.17 * SIN_30) * sin
            + n(0.24) * cos2
            + n(0.32 * COS_6) * cos3
            - n(0.32 * SIN_6) * sin3
            - n(0.20 * COS_63) * cos4
            - n(0.20 * SIN_63) * sin4;
        let t_slope = n(0.17 * COS_30) * sin
            - n(0.17 * SIN_30) * cos
            - n(0.48) * sin2
            - n(0.96 * COS_6) * sin3
            - n(0.96 * SIN_6) * cos3
            + n(0.80 * COS_63) * sin4
            - n(0.80 * SIN_63) * cos4;

        // ΔH′ = √2·cross/√(C₁C₂ + dot); for hues more than 90° apart by the other half-angle.
        let cross = a1 * b - b1 * a2;
        let dot = a1 * a2 + b1 * b;
        let product = c1 * c2;
        let apart = product - dot;
        let wide = dot.lt(zero);
        let tiny = n(1e-30);
        let is = one / (product + dot).max(tiny).sqrt();
        let sign = L::pick(cross.gt(zero), one, L::pick(cross.lt(zero), -one, self.side));
        let sqrt2 = n(std::f64::consts::SQRT_2);
        let hue = L::pick(wide, sign * (two * apart).max(tiny).sqrt(), sqrt2 * cross * is);
        let ihue = one / L::pick(wide, hue, one);

        // Weights and rotation.
        let cm = half * (c1 + c2);
        let isc = one / (one + n(0.045) * cm);
        let ish = one / (one + n(0.015) * cm * t);
        let cubed = cm * cm * cm;
        let seventh = cubed * cubed * cm;
        let v = seventh / (seventh + n(TWENTY_FIVE_7));
        let sv = v.sqrt();
        let (turn, turn_slope) =
            L::rotation(cos * n(COS_275) + sin * n(SIN_275), sin * n(COS_275) - cos * n(SIN_275));
        // The published bell is not periodic: from 0° on it stands 275° away, not 85°.
        let blue = L::or(sin.lt(zero), cos.le(zero));
        let (turn, turn_slope) = (L::pick(blue, turn, zero), L::pick(blue, turn_slope, zero));
        let tilt = -(sv * turn);
        // d(√v)/dC̄′ = 3.5·√v·(1 − v)/C̄′
        let sv_slope = n(3.5) * sv * (one - v) / cm.max(n(1e-12));
        let lean = (one - tilt * tilt).sqrt();
        let c = (c2 - c1) * isc;
        let h = hue * ish;
        let tilt_by_lean = tilt / lean;

        // Chroma alone is a cone: near a neutral target it has no slope across the hue, and
        // Gauss–Newton would see one direction where there are two. The frame of (r₁, r₂) may be
        // turned with the sample without changing their length; turned by dh₂·C₂′/(C₁′ + C₂′) the
        // two directions weigh about alike at any ratio of the chromas.
        let (r1, r2) = (c + tilt * h, lean * h);
        let isum = half / cm.max(n(1e-12));

        // One direction: the sample's a* or b* moves, and with it G, so the target's a′ moves too.
        let along = |dchroma: L, da: L, db: L| -> [L; 2] {
            let dg = g_slope * dchroma;
            let da1 = self.a * dg;
            let da2 = a * dg + stretch * da;
            let dc1 = u1x * da1;
            let dc2 = u2x * da2 + u2y * db;
            let dcm = half * (dc1 + dc2);
            let dc = (dc2 - dc1 - c * n(0.045) * dcm) * isc;
            let dcross = da1 * b + a1 * db - b1 * da2;
            let ddot = da1 * a2 + a1 * da2 + b1 * db;
            let dproduct = dc1 * c2 + c1 * dc2;
            let near = sqrt2 * is * (dcross - half * cross * is * is * (dproduct + ddot));
            let dhue = L::pick(wide, (dproduct - ddot) * ihue, near);
            let dmean = half * ((u2x * db - u2y * da2) * i2 - u1y * i1 * da1);
            let dsh = n(0.015) * (dcm * t + cm * t_slope * dmean);
            let dh = (dhue - h * dsh) * ish;
            let dtilt = -(sv_slope * dcm * turn + sv * turn_slope * dmean);
            let swing = (u2x * db - u2y * da2) * isum;
            [
                dc + dtilt * h + tilt * dh - r2 * swing,
                lean * dh - tilt_by_lean * dtilt * h + r1 * swing,
            ]
        };
        let ichroma = one / chroma;
        Gap {
            r: [r0, r1, r2],
            by_lightness,
            by_a: along(a * ichroma, one, zero),
            by_b: along(b * ichroma, zero, one),
        }
    }
}

/// ΔE00 of two colours, in the wide width.
///
/// Plain CIELAB numbers under one light and observer. Symmetric to rounding.
#[must_use]
pub fn difference(a: [f64; 3], b: [f64; 3]) -> f64 {
    let gap = Target::<f64>::new(a).gap(b[0], b[1], b[2]);
    gap.r.iter().map(|r| r * r).sum::<f64>().sqrt()
}

/// ΔE00 from one colour to another as three numbers whose squares sum to its square, with their
/// slopes in the L*, a*, b* of the second (rows: the three numbers).
#[must_use]
pub(crate) fn sloped(from: [f64; 3], to: [f64; 3]) -> ([f64; 3], [[f64; 3]; 3]) {
    let gap = Target::<f64>::new(from).gap(to[0], to[1], to[2]);
    let rows = [
        [gap.by_lightness, 0.0, 0.0],
        [0.0, gap.by_a[0], gap.by_b[0]],
        [0.0, gap.by_a[1], gap.by_b[1]],
    ];
    (gap.r, rows)
}

#[cfg(test)]
mod tests {
    use wide::f32x4;

    use super::*;

    /// Sharma, Wu and Dalal (2005), Table 1, from memory of the printed table by way of the
    /// reference's own list; tolerance: the printed precision. Pair 10 has opposite hues.
    #[test]
    fn published_pairs() {
        let pairs: [([f64; 3], [f64; 3], f64); 8] = [
            ([50.0, 2.6772, -79.7751], [50.0, 0.0, -82.7485], 2.0425),
            ([50.0, 2.5, 0.0], [50.0, 0.0, -2.5], 4.3065),
            ([50.0, 2.5, 0.0], [73.0, 25.0, -18.0], 27.1492),
            ([2.0776, 0.0795, -1.1350], [0.9033, -0.0636, -0.5514], 0.9082),
            ([22.7233, 20.0904, -46.6940], [23.0331, 14.9730, -42.5619], 2.0373),
            ([60.2574, -34.0099, 36.2677], [60.4626, -34.1751, 39.4387], 1.2644),
            ([50.0, -1.0, 2.0], [50.0, 0.0, 0.0], 2.3669),
            ([50.0, 2.49, -0.001], [50.0, -2.49, 0.0009], 7.1792),
        ];
        for (a, b, want) in pairs {
            assert!((difference(a, b) - want).abs() < 5e-5, "{a:?} {b:?}: {}", difference(a, b));
            assert!((difference(b, a) - want).abs() < 5e-5, "{b:?} {a:?}: {}", difference(b, a));
        }
    }

    /// Oracle: central differences of ΔE00² itself.
    #[test]
    fn slopes_give_the_gradient() {
        let targets =
            [[50.0, 30.0, -40.0], [30.0, 5.0, -55.0], [70.0, -20.0, 60.0], [20.0, 0.0, 0.0]];
        for target in targets {
            let aim = Target::<f64>::new(target);
            let square = |at: [f64; 3]| difference(target, at).powi(2);
            for d in [[3.0, 2.0, -4.0], [-8.0, 15.0, 9.0], [1.0, -61.0, 77.0], [5.0, -12.0, 30.0]] {
                let at = [target[0] + d[0], target[1] + d[1], target[2] + d[2]];
                let gap = aim.gap(at[0], at[1], at[2]);
                let e = 1e-5;
                for k in 0..3 {
                    let (mut up, mut down) = (at, at);
                    up[k] += e;
                    down[k] -= e;
                    let want = (square(up) - square(down)) / (4.0 * e);
                    let got = match k {
                        0 => gap.by_lightness * gap.r[0],
                        1 => gap.by_a[0] * gap.r[1] + gap.by_a[1] * gap.r[2],
                        _ => gap.by_b[0] * gap.r[1] + gap.by_b[1] * gap.r[2],
                    };
                    assert!((got - want).abs() < 1e-5, "{target:?} {at:?} {k}: {got} not {want}");
                }
            }
        }
    }

    /// Near a neutral target both directions of hue and chroma must be seen.
    #[test]
    fn a_neutral_target_is_no_cone() {
        let gap = Target::<f64>::new([40.0, 0.0, 0.0]).gap(40.0, 0.3, 0.4);
        let across = gap.by_a[0] * gap.by_b[1] - gap.by_a[1] * gap.by_b[0];
        assert!(across.abs() > 1.0, "{gap:?}");
    }

    /// The narrow width only chooses; it must still be near the wide one.
    #[test]
    fn narrow_gap_follows_the_wide_one() {
        for i in 0..4000 {
            let f = |k: i32, scale: f64| f64::from((i * k) % 1009) / 1009.0 * scale;
            let p = [f(7, 100.0), f(31, 160.0) - 80.0, f(57, 160.0) - 80.0];
            let q =
                [p[0] + f(3, 20.0) - 10.0, p[1] + f(91, 30.0) - 15.0, p[2] + f(13, 30.0) - 15.0];
            let wide = difference(p, q);
            let g = Target::<f32x4>::new(p).gap(
                Lane::splat(q[0]),
                Lane::splat(q[1]),
                Lane::splat(q[2]),
            );
            let narrow = g.r.iter().map(|r| r.get(1) * r.get(1)).sum::<f64>().sqrt();
            assert!((narrow - wide).abs() < 5e-4 + 1e-4 * wide, "{p:?} {q:?}: {narrow} {wide}");
        }
    }
}
