//! XYZ, CIELAB and lightness–chroma–hue, as in CIE 015:2018 (ISO/CIE 11664-4).
//!
//! These are bare coordinates; `Colour` binds them to their light and observer.

use std::fmt;

use crate::{Refusal, maths};

/// Tristimulus values, Y of the perfect white = 100.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(missing_docs, reason = "the coordinates are their own names")]
pub struct Xyz {
    pub x: f64,
    pub y: f64,
    pub z: f64,
}

/// CIELAB coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lab {
    /// Lightness L*, 0 black to 100 white.
    pub l: f64,
    /// Green (−) to red (+), a*.
    pub a: f64,
    /// Blue (−) to yellow (+), b*.
    pub b: f64,
}

/// CIELAB in polar form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lch {
    /// Lightness L*.
    pub l: f64,
    /// Chroma C*ab.
    pub c: f64,
    /// Hue angle `h_ab` in degrees, 0 up to 360; 0 for an exact neutral.
    pub h: f64,
}

/// (6/29)³, where the cube root gives way to a line; CIE 015:2018.
const KNEE: f64 = 216.0 / 24389.0;
/// Slope of the line, (29/6)²/3.
const SLOPE: f64 = 841.0 / 108.0;
const OFFSET: f64 = 4.0 / 29.0;

impl Xyz {
    /// CIELAB against a white point.
    #[must_use]
    pub fn to_lab(self, white: Self) -> Lab {
        let (fx, fy, fz) = (f(self.x / white.x), f(self.y / white.y), f(self.z / white.z));
        Lab { l: 116.0 * fy - 16.0, a: 500.0 * (fx - fy), b: 200.0 * (fy - fz) }
    }
}

impl Lab {
    /// Coordinates as computed; for what a person or file gave use [`Lab::try_typed`].
    #[must_use]
    pub const fn new(l: f64, a: f64, b: f64) -> Self {
        Self { l, a, b }
    }

    /// Coordinates as typed: finite, L* 0 to 100 (105 for a brightened white), a* and b* within
    /// ±150 (no surface colour reaches it).
    pub fn try_typed(l: f64, a: f64, b: f64) -> Result<Self, Refusal> {
        for (what, given) in [("L*", l), ("a*", a), ("b*", b)] {
            if !given.is_finite() {
                return Err(Refusal::NotFinite { what: what.to_owned(), given });
            }
        }
        if !(0.0..=105.0).contains(&l) {
            return Err(Refusal::OutOfRange {
                what: "L*".to_owned(),
                given: l,
                rule: "L* must lie between 0 (black) and 100 (white); write the colour as L* a* b*"
                    .to_owned(),
            });
        }
        for (what, given) in [("a*", a), ("b*", b)] {
            if given.abs() > 150.0 {
                return Err(Refusal::OutOfRange {
                    what: what.to_owned(),
                    given,
                    rule: "no cloth goes beyond 150 either way; write the colour as L* a* b*"
                        .to_owned(),
                });
            }
        }
        Ok(Self { l, a, b })
    }

    /// XYZ against a white point.
    #[must_use]
    pub fn to_xyz(self, white: Xyz) -> Xyz {
        let fy = (self.l + 16.0) / 116.0;
        let (fx, fz) = (fy + self.a / 500.0, fy - self.b / 200.0);
        Xyz { x: white.x * inverse(fx), y: white.y * inverse(fy), z: white.z * inverse(fz) }
    }

    /// The polar form.
    #[must_use]
    pub fn to_lch(self) -> Lch {
        let c = self.chroma();
        let mut h = maths::atan2(self.b, self.a).to_degrees();
        if h < 0.0 {
            h += 360.0;
        }
        if h >= 360.0 || c == 0.0 {
            h = 0.0;
        }
        Lch { l: self.l, c, h }
    }

    /// Chroma C*ab.
    #[must_use]
    pub fn chroma(self) -> f64 {
        (self.a * self.a + self.b * self.b).sqrt()
    }
}

impl Lch {
    /// The rectangular form.
    #[must_use]
    pub fn to_lab(self) -> Lab {
        let h = self.h.to_radians();
        Lab { l: self.l, a: self.c * maths::cos(h), b: self.c * maths::sin(h) }
    }
}

impl fmt::Display for Lab {
    /// "L* 32.1  a* -18.0  b* 9.4": one decimal, as an instrument shows it.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        // + 0.0 turns a rounded −0 into 0
        let one = |v: f64| (v * 10.0).round() / 10.0 + 0.0;
        write!(out, "L* {:.1}  a* {:.1}  b* {:.1}", one(self.l), one(self.a), one(self.b))
    }
}

fn f(t: f64) -> f64 {
    if t > KNEE { maths::cbrt(t) } else { SLOPE * t + OFFSET }
}

fn inverse(f: f64) -> f64 {
    if f > 6.0 / 29.0 { f * f * f } else { (f - OFFSET) / SLOPE }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const D65_10: Xyz = Xyz { x: 94.81, y: 100.0, z: 107.32 };

    proptest! {
        #[test]
        fn there_and_back(l in 0.0..100.0, a in -120.0..120.0, b in -120.0..120.0) {
            let lab = Lab::new(l, a, b);
            let back = lab.to_xyz(D65_10).to_lab(D65_10);
            prop_assert!((lab.l - back.l).abs() < 1e-9);
            prop_assert!((lab.a - back.a).abs() < 1e-8 && (lab.b - back.b).abs() < 1e-8);
            let polar = lab.to_lch().to_lab();
            prop_assert!((lab.a - polar.a).abs() < 1e-9 && (lab.b - polar.b).abs() < 1e-9);
        }
    }

    #[test]
    fn a_typed_colour_outside_lab_is_refused_in_words() {
        for (lab, word) in [
            ((f64::NAN, 0.0, 0.0), "finite"),
            ((130.0, 10.0, 20.0), "L* is 130"),
            ((-1.0, 0.0, 0.0), "between 0"),
            ((50.0, 151.0, 0.0), "a* is 151"),
            ((50.0, 0.0, f64::INFINITY), "b* is inf"),
        ] {
            let speech = Lab::try_typed(lab.0, lab.1, lab.2).unwrap_err().to_string();
            assert!(speech.contains(word), "{speech}");
        }
        assert!(Lab::try_typed(100.0, 0.0, 0.0).is_ok());
    }
}
