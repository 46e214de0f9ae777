//! Mass, volume, and the shares and strengths that turn one into the other.

use crate::quantity::{additive, quantity};
use crate::{LiquorRatio, NotAQuantity};

quantity! {
    /// A mass; 0 to 1 000 000 g (a tonne: no home bath holds more).
    Mass, "a mass", "g", 0.0, 1e6, try_grams, to_grams
}
quantity! {
    /// A volume of liquid or powder; 0 to 1 000 000 mL.
    Volume, "a volume", "mL", 0.0, 1e6, try_millilitres, to_millilitres
}
quantity! {
    /// Share of the weight of (dry, conditioned) fibre, the trade's "% owf"; 0 to 400 %.
    OnFibre, "a share on weight of fibre", "% owf", 0.0, 400.0, try_percent, to_percent
}
quantity! {
    /// Amount per litre of liquor; 0 to 1000 g/L.
    PerLitre, "an amount per litre", "g/L", 0.0, 1000.0, try_grams_per_litre, to_grams_per_litre
}
quantity! {
    /// Strength of a stock solution, % w/v: grams made up to 100 mL; 0.001 to 100 %.
    StockStrength, "a stock strength", "% w/v", 0.001, 100.0, try_percent, to_percent
}
quantity! {
    /// A part of a whole; 0 to 1.
    Share, "a share", "(0 to 1)", 0.0, 1.0, try_fraction, to_fraction
}
additive!(Mass);
additive!(Volume);
additive!(OnFibre);
additive!(PerLitre);

impl Mass {
    /// From avoirdupois ounces (exactly 28.349523125 g).
    pub fn try_ounces(given: f64) -> Result<Self, NotAQuantity> {
        Self::try_grams(given * 28.349_523_125)
    }

    /// From avoirdupois pounds (exactly 453.59237 g).
    pub fn try_pounds(given: f64) -> Result<Self, NotAQuantity> {
        Self::try_grams(given * 453.592_37)
    }
}

impl Volume {
    /// From litres.
    pub fn try_litres(given: f64) -> Result<Self, NotAQuantity> {
        Self::try_millilitres(given * 1000.0)
    }

    /// In litres.
    #[must_use]
    pub fn to_litres(self) -> f64 {
        self.to_millilitres() / 1000.0
    }
}

impl Share {
    /// The whole.
    pub const WHOLE: Self = Self(1.0);

    /// From a percentage; 0 to 100 %.
    pub fn try_percent(given: f64) -> Result<Self, NotAQuantity> {
        Self::try_fraction(given / 100.0).map_err(|_| NotAQuantity {
            what: "a share",
            given,
            unit: "%",
            rule: "it must lie between 0 and 100 %".to_owned(),
        })
    }

    /// As a percentage.
    #[must_use]
    pub fn to_percent(self) -> f64 {
        self.0 * 100.0
    }
}

impl std::ops::Mul<Mass> for Share {
    type Output = Mass;
    fn mul(self, goods: Mass) -> Mass {
        Mass(self.0 * goods.0)
    }
}

impl std::ops::Mul<Mass> for OnFibre {
    type Output = Mass;
    /// % owf × goods = mass of dye or auxiliary.
    fn mul(self, goods: Mass) -> Mass {
        Mass((self.0 / 100.0 * goods.0).min(Mass::KIND.high))
    }
}

impl std::ops::Mul<Volume> for PerLitre {
    type Output = Mass;
    /// g/L × liquor = mass.
    fn mul(self, liquor: Volume) -> Mass {
        Mass((self.0 * liquor.0 / 1000.0).min(Mass::KIND.high))
    }
}

impl std::ops::Mul<Mass> for LiquorRatio {
    type Output = Volume;
    /// Liquor ratio (litres per kilogram) × goods = volume of the bath.
    fn mul(self, goods: Mass) -> Volume {
        Volume((self.to_litres_per_kilogram() * goods.0).min(Volume::KIND.high))
    }
}

impl StockStrength {
    /// The volume of this stock that holds `mass`: mL = g × 100 ÷ %.
    pub fn try_volume_holding(self, mass: Mass) -> Result<Volume, NotAQuantity> {
        Volume::try_millilitres(mass.0 * 100.0 / self.0)
    }

    /// The mass held by `volume` of this stock.
    #[must_use]
    pub fn mass_in(self, volume: Volume) -> Mass {
        Mass((volume.0 * self.0 / 100.0).min(Mass::KIND.high))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stock_holds_what_was_asked_of_it() -> Result<(), NotAQuantity> {
        // 20 g × 0.25 % ÷ 1 % = 5 mL: the worked example of the stock rule.
        let dye = OnFibre::try_percent(0.25)? * Mass::try_grams(20.0)?;
        let stock = StockStrength::try_percent(1.0)?;
        let volume = stock.try_volume_holding(dye)?;
        assert!((volume.to_millilitres() - 5.0).abs() < 1e-12);
        assert!((stock.mass_in(volume).to_grams() - dye.to_grams()).abs() < 1e-12);
        Ok(())
    }

    #[test]
    fn what_is_not_a_quantity_is_refused_in_words() {
        for bad in [f64::NAN, f64::INFINITY, -1.0, 1e9] {
            let refusal = Mass::try_grams(bad);
            assert!(refusal.is_err(), "{bad} g was taken");
        }
        let said = Mass::try_grams(-3.0).map_err(|e| e.to_string());
        assert_eq!(
            said,
            Err("a mass cannot be -3 g: it must lie between 0 and 1000000 g".to_owned())
        );
    }
}
