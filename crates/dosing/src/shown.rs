//! A number as it is printed: rounded once, kept as whole units of its last decimal.
//!
//! Kept as an integer because products of printed numbers must come out to the last printed
//! digit on a pocket calculator; binary fractions do not promise that.

use std::fmt;

use crate::DosingRefusal;

/// A number as printed: already rounded, with its count of decimals. Paper prints it by
/// `Display`, JSON by [`Shown::value`]; both show the same digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Shown {
    units: u64,
    decimals: u8,
}

impl Shown {
    /// Nothing.
    pub const ZERO: Self = Self { units: 0, decimals: 0 };
    const MOST_DECIMALS: u8 = 9;
    const MOST: f64 = 1e9;

    /// `given` rounded to `decimals`, half away from zero; refuses what is not finite, negative,
    /// above 1 000 000 000 or asked with more than 9 decimals.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked: finite, not negative, at most 1e18"
    )]
    pub fn try_round(given: f64, decimals: u8) -> Result<Self, DosingRefusal> {
        let writable = given.is_finite() && (0.0..=Self::MOST).contains(&given);
        if !writable || decimals > Self::MOST_DECIMALS {
            return Err(DosingRefusal::NotWritable { given, decimals });
        }
        // A tie typed in decimals (0.285 to two places) lies a hair below the tie in binary;
        // one part in 1e13 lifts it back and moves nothing else a person could print.
        let scaled = given * power(decimals) * (1.0 + 1e-13);
        Ok(Self { units: scaled.round() as u64, decimals })
    }

    pub(crate) const fn from_units(units: u64, decimals: u8) -> Self {
        Self { units, decimals }
    }

    /// The number: the nearest binary fraction to what is printed, so that it prints back the same.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "home amounts stay far below 2^53 units")]
    pub fn value(self) -> f64 {
        self.units as f64 / power(self.decimals)
    }

    /// How many decimals are printed.
    #[must_use]
    pub const fn decimals(self) -> u8 {
        self.decimals
    }

    /// The same number without zeros at the end of its decimals.
    #[must_use]
    pub const fn trimmed(self) -> Self {
        let mut it = self;
        while it.decimals > 0 && it.units.is_multiple_of(10) {
            it.units /= 10;
            it.decimals -= 1;
        }
        it
    }

    /// This many millilitres of a stock of `percent` hold so many grams: mL × % ÷ 100, exact, with
    /// every digit the product has.
    #[must_use]
    pub fn grams_at(self, percent: Self) -> Self {
        Self {
            units: self.units.saturating_mul(percent.units),
            decimals: self.decimals + percent.decimals + 2,
        }
        .trimmed()
    }

    /// The same digits, one place lower.
    pub(crate) const fn a_tenth(self) -> Self {
        Self { units: self.units, decimals: self.decimals + 1 }.trimmed()
    }

    /// The exact product rounded to `decimals`, half away from zero.
    pub(crate) fn times_rounded(self, other: Self, decimals: u8) -> u64 {
        let exact = u128::from(self.units) * u128::from(other.units);
        let have = self.decimals + other.decimals;
        let rounded = if have > decimals {
            let unit = 10u128.pow(u32::from(have - decimals));
            (exact + unit / 2) / unit
        } else {
            exact * 10u128.pow(u32::from(decimals - have))
        };
        u64::try_from(rounded).unwrap_or(u64::MAX)
    }
}

impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.decimals == 0 {
            return write!(f, "{}", self.units);
        }
        let unit = 10u64.pow(u32::from(self.decimals));
        let width = usize::from(self.decimals);
        write!(f, "{}.{:0width$}", self.units / unit, self.units % unit)
    }
}

/// Powers of ten, exact; a product of three printed numbers has at most 12 decimals.
fn power(decimals: u8) -> f64 {
    const TEN_TO: [f64; 13] = [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12];
    TEN_TO.get(usize::from(decimals)).copied().unwrap_or_else(|| 10f64.powi(i32::from(decimals)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tie_typed_in_decimals_goes_away_from_zero() {
        for (given, decimals, printed) in [
            (0.285, 2, "0.29"),
            (1.005, 2, "1.01"),
            (0.125, 2, "0.13"),
            (2.5, 0, "3"),
            (0.0, 1, "0.0"),
        ] {
            assert_eq!(
                Shown::try_round(given, decimals).map(|s| s.to_string()),
                Ok(printed.into())
            );
        }
    }

    #[test]
    fn what_cannot_be_printed_is_refused() {
        for bad in [f64::NAN, f64::INFINITY, -0.1, 1e12] {
            assert!(Shown::try_round(bad, 2).is_err(), "{bad}");
        }
        assert!(Shown::try_round(1.0, 10).is_err());
    }

    #[test]
    fn a_stock_volume_prints_all_the_digits_of_its_grams() {
        let ml = Shown::from_units(347, 2);
        let pct = Shown::from_units(1, 1);
        assert_eq!(ml.grams_at(pct).to_string(), "0.00347");
        assert_eq!(Shown::from_units(50, 1).grams_at(Shown::from_units(1, 0)).to_string(), "0.05");
    }
}
