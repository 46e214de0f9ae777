//! The model grid: 31 reflectance factors from 400 to 700 nm by 10 nm.
//!
//! Everything the program predicts is predicted on this grid; readings keep their own (`spectrum`).

use crate::Refusal;

/// How many bands the model grid has.
pub const BANDS: usize = 31;

/// Reflectance factors on the model grid; each finite, above 0 and at most [`Bands::CEILING`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bands([f64; BANDS]);

impl Bands {
    /// The highest factor admitted: whites with optical brightener exceed 1 near 440 nm, but none
    /// of the clothes at hand exceeds 1.5 (judgement).
    pub const CEILING: f64 = 1.5;

    /// Takes 31 factors; refuses NaN, infinities, zero and below, and more than the ceiling.
    pub fn try_new(factors: [f64; BANDS]) -> Result<Self, Refusal> {
        for (i, &r) in factors.iter().enumerate() {
            let what = || format!("the reflectance at {} nm", Self::wavelength(i));
            if !r.is_finite() {
                return Err(Refusal::NotFinite { what: what(), given: r });
            }
            if r <= 0.0 || r > Self::CEILING {
                return Err(Refusal::OutOfRange {
                    what: what(),
                    given: r,
                    rule:
                        "it must lie above 0 and be at most 1.5 (1 is a perfect white); a figure \
                           in percent has to be divided by 100"
                            .to_owned(),
                });
            }
        }
        Ok(Self(factors))
    }

    /// The same factor at every band.
    pub fn flat(factor: f64) -> Result<Self, Refusal> {
        Self::try_new([factor; BANDS])
    }

    /// The perfect white: 1 at every band.
    pub const WHITE: Self = Self([1.0; BANDS]);

    /// The factors, 400 nm first.
    #[must_use]
    pub const fn values(&self) -> &[f64; BANDS] {
        &self.0
    }

    /// Wavelength of band `i` in nm: 400 + 10 i.
    #[must_use]
    pub const fn wavelength(i: usize) -> usize {
        400 + 10 * i
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refuses_what_cloth_cannot_be() {
        for (bad, word) in [
            (f64::NAN, "finite"),
            (f64::INFINITY, "finite"),
            (-0.1, "above 0"),
            (0.0, "above 0"),
            (43.0, "percent"),
        ] {
            let mut r = [0.5; BANDS];
            r[3] = bad;
            let speech = Bands::try_new(r).unwrap_err().to_string();
            assert!(speech.contains(word) && speech.contains("430 nm"), "{speech}");
        }
        assert!(Bands::flat(1.2).is_ok());
    }
}
