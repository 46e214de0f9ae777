//! Conversions against exact factors computed from the international inch, yard, ounce and pound
//! (international yard and pound agreement, 1959) and the definition of the momme.

use units::{ArealMass, Length, Mass, NotAQuantity};

#[test]
fn trade_units_are_exact() -> Result<(), NotAQuantity> {
    let near =
        |a: f64, b: f64, tolerance: f64| assert!((a - b).abs() <= tolerance, "{a} is not {b}");
    near(ArealMass::try_ounces_per_square_yard(1.0)?.to_grams_per_square_metre(), 33.905_747, 5e-7);
    near(ArealMass::try_momme(1.0)?.to_grams_per_square_metre(), 4.339_936, 5e-7);
    near(Mass::try_ounces(1.0)?.to_grams(), 28.349_523_125, 1e-12);
    near(Mass::try_pounds(1.0)?.to_grams(), 453.592_37, 1e-12);
    near(Length::try_yards(1.0)?.to_metres(), 0.9144, 1e-15);
    near(Length::try_inches(1.0)?.to_metres(), 0.0254, 1e-15);
    let silk = ArealMass::try_momme(19.0)?;
    let sash = silk.try_mass_of(Length::try_metres(2.0)?, Length::try_metres(0.5)?)?;
    near(sash.to_grams(), 19.0 * 4.339_936, 1e-4);
    Ok(())
}
