//! Money in hundredths of the costume's own currency, and price per gram.

use crate::quantity::quantity;
use crate::{Mass, NotAQuantity};

quantity! {
    /// Price of one gram in the costume's currency; 0 to 10 000.
    PricePerGram, "a price per gram", "per g", 0.0, 10_000.0, try_per_gram, to_per_gram
}

/// An amount of money in whole hundredths; never negative. The currency is the costume's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(u64);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(0);
    const MOST: f64 = 1e9;

    /// From an amount with decimals, rounded to the nearest hundredth; 0 to 1 000 000 000.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked range")]
    pub fn try_amount(given: f64) -> Result<Self, NotAQuantity> {
        if given.is_finite() && (0.0..=Self::MOST).contains(&given) {
            Ok(Self((given * 100.0).round() as u64))
        } else {
            Err(NotAQuantity {
                what: "an amount of money",
                given,
                unit: "",
                rule: "it must lie between 0 and 1000000000".to_owned(),
            })
        }
    }

    /// In whole hundredths.
    #[must_use]
    pub const fn to_hundredths(self) -> u64 {
        self.0
    }

    /// As an amount with decimals.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "below 1e11 hundredths: exact")]
    pub fn to_amount(self) -> f64 {
        self.0 as f64 / 100.0
    }
}

impl std::ops::Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl std::iter::Sum for Money {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::ZERO, |a, b| a + b)
    }
}

impl std::fmt::Display for Money {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}.{:02}", self.0 / 100, self.0 % 100)
    }
}

impl PricePerGram {
    /// From the price of a pack and what is in it.
    pub fn try_pack(price: Money, contents: Mass) -> Result<Self, NotAQuantity> {
        Self::try_per_gram(price.to_amount() / contents.to_grams())
    }

    /// What a mass costs, to the nearest hundredth.
    pub fn try_cost(self, mass: Mass) -> Result<Money, NotAQuantity> {
        Money::try_amount(self.0 * mass.to_grams())
    }
}
