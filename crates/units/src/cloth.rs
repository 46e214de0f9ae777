//! Lengths of cloth and its mass per area, in the units it is sold in.

use crate::quantity::{additive, quantity};
use crate::{Mass, NotAQuantity};

quantity! {
    /// A length or a width of cloth; 0 to 10 000 m.
    Length, "a length", "m", 0.0, 10_000.0, try_metres, to_metres
}
quantity! {
    /// Mass per area of cloth; 1 to 5000 g/m².
    ArealMass, "a cloth weight", "g/m²", 1.0, 5000.0, try_grams_per_square_metre, to_grams_per_square_metre
}
additive!(Length);

impl Length {
    /// From yards (exactly 0.9144 m).
    pub fn try_yards(given: f64) -> Result<Self, NotAQuantity> {
        Self::try_metres(given * 0.9144)
    }

    /// From inches (exactly 0.0254 m).
    pub fn try_inches(given: f64) -> Result<Self, NotAQuantity> {
        Self::try_metres(given * 0.0254)
    }
}

impl ArealMass {
    /// From ounces per square yard (33.905747 g/m²: international ounce and yard).
    pub fn try_ounces_per_square_yard(given: f64) -> Result<Self, NotAQuantity> {
        Self::try_grams_per_square_metre(given * 28.349_523_125 / (0.9144 * 0.9144))
    }

    /// From momme (pounds per 45 in × 100 yd; 4.339936 g/m²).
    pub fn try_momme(given: f64) -> Result<Self, NotAQuantity> {
        Self::try_grams_per_square_metre(given * 453.592_37 / (45.0 * 0.0254 * 100.0 * 0.9144))
    }

    /// The mass of a piece of this cloth.
    pub fn try_mass_of(self, length: Length, width: Length) -> Result<Mass, NotAQuantity> {
        Mass::try_grams(self.0 * length.to_metres() * width.to_metres())
    }
}
