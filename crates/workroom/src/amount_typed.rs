//! An amount as really weighed or poured, as typed beside the pot: a number, with its unit or without.

use plan::document::Sheet;

use crate::Trouble;

/// Most that a dose of a home bath can be, in g or mL: more is a slip of the finger.
const MOST: f64 = 100_000.0;

/// Grams of what is weighed, or millilitres of what is poured as a stock.
pub(crate) fn amount_typed(given: &str, name: &str, poured: bool) -> Result<f64, (String, String)> {
    let unit = if poured { "mL of its stock" } else { "g" };
    let bad = |says: String| {
        let short = if poured { "mL" } else { "g" };
        Err((
            says,
            format!(
                "write what really went in, in {unit}, as 7.6 or 7.6 {short}, or 0 where it was left out"
            ),
        ))
    };
    if given.trim().is_empty() {
        return bad(format!("nothing is said of {name}"));
    }
    let text = given.trim().replace(',', ".").replace('\u{a0}', " ");
    let end = text.find(|c: char| c.is_alphabetic()).unwrap_or(text.len());
    let (number, of) = (text[..end].trim(), text[end..].trim().to_lowercase());
    let times = match (of.as_str(), poured) {
        ("", _) | ("g" | "gram" | "grams", false) | ("ml" | "millilitre" | "millilitres", true) => {
            1.0
        }
        ("kg", false) | ("l" | "litre" | "litres", true) => 1000.0,
        ("mg", false) => 0.001,
        ("ml" | "l" | "litre" | "litres", false) => {
            return bad(format!("\"{given}\" is a volume, and {name} is weighed"));
        }
        ("g" | "kg" | "mg", true) => {
            return bad(format!("\"{given}\" is a weight, and {name} is poured"));
        }
        _ => return bad(format!("\"{given}\" is not an amount of {name}")),
    };
    match number.parse::<f64>() {
        Ok(n) if n.is_finite() && n >= 0.0 && n * times <= MOST => Ok(n * times),
        _ => bad(format!("\"{given}\" is not an amount of {name}")),
    }
}

/// An amount as typed of the dye or auxiliary of this id on a sheet: grams, or millilitres of its stock.
///
/// # Errors
/// Nothing of that id on the sheet; what is no amount of it.
pub fn amount_of(sheet: &Sheet, id: &str, given: &str) -> Result<f64, Trouble> {
    let dye = sheet.dyes.iter().find(|dye| dye.id == id);
    let auxiliary = sheet.auxiliaries.iter().find(|one| one.id == id);
    let (name, poured) = match (dye, auxiliary) {
        (Some(dye), _) => (&dye.name, dye.how == "stock" && dye.stock_ml.is_some()),
        (None, Some(one)) => (&one.name, false),
        (None, None) => {
            let says = format!("there is no \"{id}\" on this sheet");
            return Err(Trouble::refused(says, "look at the bath again: it may have changed"));
        }
    };
    amount_typed(given, name, poured).map_err(|(says, hint)| Trouble::refused(says, hint))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_read_and_another_kind_of_unit_is_refused() {
        let grams = |given: &str| amount_typed(given, "salt", false);
        for (given, wanted) in [("7.6", 7.6), ("7,6 g", 7.6), ("0.5kg", 500.0), ("250 mg", 0.25)] {
            assert_eq!(grams(given).ok(), Some(wanted), "{given}");
        }
        assert_eq!(amount_typed("12 mL", "navy", true).ok(), Some(12.0));
        assert_eq!(amount_typed("0.1 l", "navy", true).ok(), Some(100.0));
        assert_eq!(grams("0").ok(), Some(0.0), "it was left out");
        for given in ["", "-3", "much", "nan", "inf", "3 spoons", "1e9", "7 6"] {
            let (says, hint) = grams(given).unwrap_err();
            assert!(says.contains(given) && hint.contains("7.6"), "{given}: {says}");
        }
        assert!(grams("12 ml").unwrap_err().0.contains("weighed"));
        assert!(amount_typed("12 g", "navy", true).unwrap_err().0.contains("poured"));
    }
}
