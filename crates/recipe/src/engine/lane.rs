//! One number or several side by side: the arithmetic the kernel is written in.
//!
//! The kernel is one text for two widths. [`f64`] is a lane of one: exact, for the answers that
//! leave the engine and for the tests. [`f32x4`] lays four sets of dyes side by side, which is what
//! every 64-bit PC has without asking (SSE2) and what ARM has too (NEON); no machine is asked for
//! more, so a plain build and a tuned one give the same bits.
//!
//! Only operations that IEEE 754 rounds exactly are used (plus, minus, times, divide, square root,
//! comparison); cube root and the rotation term of CIEDE2000 are our own polynomials in the narrow
//! width and the pure Rust `libm` in the wide one. Never `mul_add`, never an approximate reciprocal:
//! their last bits differ from machine to machine. Left out: everything the kernel does not use.

use std::ops::{Add, Div, Mul, Neg, Sub};

use wide::f32x4;

/// A lane of numbers, all treated alike.
pub(super) trait Lane:
    Copy
    + Send
    + Sync
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
{
    /// The answer of a comparison, lane by lane.
    type Mask: Copy;
    /// How many numbers lie side by side.
    const WIDTH: usize;
    /// Differences of rms ΔE00 below this are rounding, not progress.
    const GRAIN: f64;

    fn splat(value: f64) -> Self;
    fn get(self, at: usize) -> f64;
    fn set(&mut self, at: usize, value: f64);
    fn sqrt(self) -> Self;
    fn max(self, other: Self) -> Self;
    fn min(self, other: Self) -> Self;
    fn lt(self, other: Self) -> Self::Mask;
    fn le(self, other: Self) -> Self::Mask;
    fn gt(self, other: Self) -> Self::Mask;
    fn pick(mask: Self::Mask, yes: Self, no: Self) -> Self;
    fn and(a: Self::Mask, b: Self::Mask) -> Self::Mask;
    fn or(a: Self::Mask, b: Self::Mask) -> Self::Mask;
    /// Bit `i` is set where lane `i` says yes.
    fn bits(mask: Self::Mask) -> u32;
    /// Cube root of a tristimulus ratio (0 to 1.3 in the narrow width).
    fn cube_root(self) -> Self;
    /// sin(60° · exp(−(δ/25°)²)) and its slope in δ (radians), from cos δ and sin δ: the angle part
    /// of the rotation term of CIEDE2000, δ being the mean hue less 275°.
    fn rotation(cos: Self, sin: Self) -> (Self, Self);
}

/// 25° in radians: the width of the rotation term (CIE 142-2001, equation for Δθ).
const WIDTH_OF_BLUE: f64 = 25.0 * std::f64::consts::PI / 180.0;
/// 60° in radians: 2 · 30°, its greatest angle.
const SIXTY: f64 = std::f64::consts::PI / 3.0;

impl Lane for f64 {
    type Mask = bool;
    const WIDTH: usize = 1;
    const GRAIN: f64 = 1e-9;

    #[inline(always)]
    fn splat(value: f64) -> Self {
        value
    }
    #[inline(always)]
    fn get(self, _: usize) -> f64 {
        self
    }
    #[inline(always)]
    fn set(&mut self, _: usize, value: f64) {
        *self = value;
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        if self > other { self } else { other }
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        if self < other { self } else { other }
    }
    #[inline(always)]
    fn lt(self, other: Self) -> bool {
        self < other
    }
    #[inline(always)]
    fn le(self, other: Self) -> bool {
        self <= other
    }
    #[inline(always)]
    fn gt(self, other: Self) -> bool {
        self > other
    }
    #[inline(always)]
    fn pick(mask: bool, yes: Self, no: Self) -> Self {
        if mask { yes } else { no }
    }
    #[inline(always)]
    fn and(a: bool, b: bool) -> bool {
        a & b
    }
    #[inline(always)]
    fn or(a: bool, b: bool) -> bool {
        a | b
    }
    #[inline(always)]
    fn bits(mask: bool) -> u32 {
        u32::from(mask)
    }
    #[inline(always)]
    fn cube_root(self) -> Self {
        libm::cbrt(self)
    }
    #[inline(always)]
    fn rotation(cos: Self, sin: Self) -> (Self, Self) {
        let delta = libm::atan2(sin, cos);
        let z = delta / WIDTH_OF_BLUE;
        let bell = libm::exp(-z * z);
        let s = libm::sin(SIXTY * bell);
        let c = libm::cos(SIXTY * bell);
        (s, c * SIXTY * bell * (-2.0 * z / WIDTH_OF_BLUE))
    }
}

impl Lane for f32x4 {
    type Mask = f32x4;
    const WIDTH: usize = 4;
    const GRAIN: f64 = 2e-4;

    #[inline(always)]
    #[expect(clippy::cast_possible_truncation, reason = "the narrow width is meant")]
    fn splat(value: f64) -> Self {
        f32x4::splat(value as f32)
    }
    #[inline(always)]
    fn get(self, at: usize) -> f64 {
        f64::from(self.as_array()[at])
    }
    #[inline(always)]
    #[expect(clippy::cast_possible_truncation, reason = "the narrow width is meant")]
    fn set(&mut self, at: usize, value: f64) {
        self.as_mut_array()[at] = value as f32;
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        f32x4::sqrt(self)
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        self.fast_max(other)
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        self.fast_min(other)
    }
    #[inline(always)]
    fn lt(self, other: Self) -> Self {
        self.simd_lt(other)
    }
    #[inline(always)]
    fn le(self, other: Self) -> Self {
        self.simd_le(other)
    }
    #[inline(always)]
    fn gt(self, other: Self) -> Self {
        self.simd_gt(other)
    }
    #[inline(always)]
    fn pick(mask: Self, yes: Self, no: Self) -> Self {
        mask.bitselect(yes, no)
    }
    #[inline(always)]
    fn and(a: Self, b: Self) -> Self {
        a & b
    }
    #[inline(always)]
    fn or(a: Self, b: Self) -> Self {
        a | b
    }
    #[inline(always)]
    fn bits(mask: Self) -> u32 {
        mask.to_bitmask()
    }

    /// A quartic in √t, right to 0.5 %, then one step of Halley (which cubes the error).
    #[inline(always)]
    fn cube_root(self) -> Self {
        let s = self.max(f32x4::splat(1e-6)).sqrt();
        let y = polynomial(s, &CUBE_ROOT);
        let y3 = y * y * y;
        let two = f32x4::splat(2.0);
        y * (y3 + two * self) / (two * y3 + self)
    }

    #[inline(always)]
    fn rotation(cos: Self, sin: Self) -> (Self, Self) {
        // tan(δ/2); beyond 114° the bell is below 1e-9 and the clamp cannot be seen.
        let most = f32x4::splat(1.55);
        let t = (sin / (f32x4::splat(1.0) + cos).max(f32x4::splat(0.1))).max(-most).min(most);
        let t = Self::pick(Lane::lt(cos, f32x4::splat(-0.45)), most, t);
        // atan(t) = 2 atan(t / (1 + √(1 + t²))) brings |t| below 0.55, where five terms do.
        let t = t / (f32x4::splat(1.0) + (f32x4::splat(1.0) + t * t).sqrt());
        let delta = t * polynomial(t * t, &ARC_TANGENT);
        let z = delta * <Self as Lane>::splat(1.0 / WIDTH_OF_BLUE);
        let bell = fade(z * z);
        let angle = bell * <Self as Lane>::splat(SIXTY);
        let s = angle * polynomial(angle * angle, &SINE);
        let c = (f32x4::splat(1.0) - s * s).sqrt();
        (s, c * angle * z * <Self as Lane>::splat(-2.0 / WIDTH_OF_BLUE))
    }
}

/// √t ↦ t^⅓ on 0.0088…1.3, relative error 0.29 % (own weighted minimax fit).
const CUBE_ROOT: [f32; 5] = [0.063_551_46, 1.675_398_5, -1.683_970_4, 1.435_365_3, -0.487_517_94];
/// t² ↦ 4·atan(t)/t on |t| ≤ 0.56, absolute error 2.8e-7 (own minimax fit).
const ARC_TANGENT: [f32; 5] = [3.999_999, -1.333_151_6, 0.795_156_7, -0.524_985_4, 0.249_699_7];
/// a² ↦ sin(a)/a on |a| ≤ 60°, absolute error 3.3e-8 (own minimax fit).
const SINE: [f32; 4] = [1.0, -0.166_665_73, 8.329_155e-3, -1.923_845_5e-4];
/// e^−y by its series to the fifth power, used for y ≤ 0.33 only (error below 2e-6).
const FADE: [f32; 6] = [1.0, -1.0, 0.5, -1.0 / 6.0, 1.0 / 24.0, -1.0 / 120.0];

/// e^−y for 0 ≤ y ≤ 21: the series of y/64, squared six times.
#[inline(always)]
fn fade(y: f32x4) -> f32x4 {
    let mut e = polynomial(y * f32x4::splat(1.0 / 64.0), &FADE);
    for _ in 0..6 {
        e = e * e;
    }
    e
}

/// Horner's rule, lowest power first in `of`.
#[inline(always)]
fn polynomial<const N: usize>(x: f32x4, of: &[f32; N]) -> f32x4 {
    let mut sum = f32x4::splat(of[N - 1]);
    for c in of[..N - 1].iter().rev() {
        sum = sum * x + f32x4::splat(*c);
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Oracle: `libm` in f64.
    #[test]
    fn narrow_cube_root_is_right_to_its_last_bits() {
        for step in 0..=2000 {
            let t = 0.0089 + f64::from(step) * (1.2 - 0.0089) / 2000.0;
            let got = <f32x4 as Lane>::splat(t).cube_root().get(2);
            assert!((got / libm::cbrt(t) - 1.0).abs() < 4e-7, "{t}: {got}");
        }
    }

    /// Oracle: the wide width, which uses `libm`.
    #[test]
    fn narrow_rotation_follows_the_wide_one() {
        for step in -1800..1800 {
            let delta = f64::from(step) * std::f64::consts::PI / 1800.0;
            let (c, s) = (libm::cos(delta), libm::sin(delta));
            let (want, slope) = f64::rotation(c, s);
            let (got, got_slope) = <f32x4 as Lane>::rotation(Lane::splat(c), Lane::splat(s));
            assert!((got.get(0) - want).abs() < 5e-6, "{delta}: {} {want}", got.get(0));
            assert!((got_slope.get(0) - slope).abs() < 5e-5, "{delta}: slope {slope}");
        }
    }
}
