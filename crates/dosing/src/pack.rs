//! A pack as sold, and what a shown amount of it costs.

use units::{Mass, Money, PricePerGram};

use crate::{DosingRefusal, Shown};

/// A pack: what it holds and what it costs, in the costume's currency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pack {
    contents: Mass,
    price: Money,
    per_gram: PricePerGram,
}

impl Pack {
    /// From contents and price; refuses a pack of less than 0.1 g.
    pub fn try_new(contents: Mass, price: Money) -> Result<Self, DosingRefusal> {
        if contents.to_grams() < 0.1 {
            return Err(DosingRefusal::EmptyPack { contents });
        }
        Ok(Self { contents, price, per_gram: PricePerGram::try_pack(price, contents)? })
    }

    /// What it holds.
    #[must_use]
    pub const fn contents(&self) -> Mass {
        self.contents
    }

    /// What it costs.
    #[must_use]
    pub const fn price(&self) -> Money {
        self.price
    }

    /// Price ÷ contents, not rounded; [`price_shown`] prints it.
    #[must_use]
    pub const fn price_per_gram(&self) -> PricePerGram {
        self.per_gram
    }

    /// Whole packs that hold this much.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most 1e7 packs"
    )]
    pub fn packs_for(&self, mass: Mass) -> u32 {
        (mass.to_grams() / self.contents.to_grams() - 1e-9).ceil().max(0.0) as u32
    }
}

/// A price per gram as printed: four significant digits, 2 to 6 decimals, no zeros at the end.
#[must_use]
pub fn price_shown(price: PricePerGram) -> Shown {
    let per_gram = price.to_per_gram();
    let decimals = (2..6).find(|&d| per_gram * 10f64.powi(i32::from(d)) >= 999.5).unwrap_or(6);
    Shown::try_round(per_gram, decimals).unwrap_or(Shown::ZERO).trimmed()
}

/// What shown grams cost: printed price × printed grams, to the nearest hundredth, half away from
/// zero, in exact decimals, so that a reader's calculator gives the same.
pub fn cost(price: PricePerGram, grams: Shown) -> Result<Money, DosingRefusal> {
    let hundredths = grams.times_rounded(price_shown(price), 2);
    Ok(Money::try_amount(Shown::from_units(hundredths, 2).value())?)
}

#[cfg(test)]
mod tests {
    use super::*;

    type Checked = Result<(), Box<dyn std::error::Error>>;

    #[test]
    fn printed_price_times_printed_grams_is_the_printed_cost() -> Checked {
        // By hand: 12.50 ÷ 15 g = 0.8333 per g; × 2.4 g = 1.99992 → 2.00.
        let pack = Pack::try_new(Mass::try_grams(15.0)?, Money::try_amount(12.5)?)?;
        assert_eq!(price_shown(pack.price_per_gram()).to_string(), "0.8333");
        assert_eq!(cost(pack.price_per_gram(), Shown::try_round(2.4, 1)?)?.to_string(), "2.00");
        // A tie: 0.15 × 0.1 = 0.015 → 0.02, though the binary product lies below it.
        let price = PricePerGram::try_per_gram(0.15)?;
        assert_eq!(cost(price, Shown::try_round(0.1, 1)?)?.to_string(), "0.02");
        // Salt: 1.20 for 500 g.
        let salt = Pack::try_new(Mass::try_grams(500.0)?, Money::try_amount(1.2)?)?;
        assert_eq!(price_shown(salt.price_per_gram()).to_string(), "0.0024");
        Ok(())
    }

    #[test]
    fn packs_are_bought_whole() -> Checked {
        let pack = Pack::try_new(Mass::try_grams(20.0)?, Money::try_amount(4.0)?)?;
        for (grams, packs) in [(0.0, 0), (0.1, 1), (20.0, 1), (20.1, 2), (60.0, 3)] {
            assert_eq!(pack.packs_for(Mass::try_grams(grams)?), packs);
        }
        assert!(Pack::try_new(Mass::ZERO, Money::ZERO).is_err());
        Ok(())
    }
}
