//! The transcendental functions of the colour maths, all from one place.
//!
//! `f64::cbrt`, `exp`, `ln`, `powf`, `sin`, `cos` and `atan2` of the standard library go to the
//! machine's own C library, whose last bit differs from platform to platform; a search that takes
//! the smaller of two nearly equal errors could then choose another recipe on another machine. So
//! every one of them is taken here from the pure Rust crate `libm` (a port of musl's), which gives
//! the same bits everywhere. Plus, minus, times, divide and `sqrt` are exactly rounded by IEEE 754
//! and need no such care; `mul_add` is not used. Left out: everything but the functions in use.

/// Cube root.
#[must_use]
pub fn cbrt(x: f64) -> f64 {
    libm::cbrt(x)
}

/// e to the power `x`.
#[must_use]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// Natural logarithm.
#[must_use]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Logarithm to base two.
#[must_use]
pub fn log2(x: f64) -> f64 {
    libm::log2(x)
}

/// `x` to the power `y`.
#[must_use]
pub fn pow(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}

/// Sine of an angle in radians.
#[must_use]
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}

/// Cosine of an angle in radians.
#[must_use]
pub fn cos(x: f64) -> f64 {
    libm::cos(x)
}

/// Angle of the point (`x`, `y`) in radians, −π to π.
#[must_use]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}
