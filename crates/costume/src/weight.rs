//! A weight as a maker can know it: weighed, or reckoned from length, width and cloth weight.

use units::{ArealMass, Length, Mass, NotAQuantity};

use crate::reader::{At, Table};

/// Keys that give a weight outright, with the unit and its constructor.
type Weigh = fn(f64) -> Result<Mass, NotAQuantity>;
const WEIGHTS: [(&str, &str, Weigh); 4] = [
    ("weight_g", "g", Mass::try_grams),
    ("weight_kg", "kg", |kg| Mass::try_grams(kg * 1000.0)),
    ("weight_oz", "oz", Mass::try_ounces),
    ("weight_lb", "lb", Mass::try_pounds),
];

type Measure<T> = fn(f64) -> Result<T, NotAQuantity>;
const LENGTHS: [(&str, &str, Measure<Length>); 2] =
    [("length_m", "m", Length::try_metres), ("length_yd", "yd", Length::try_yards)];
const WIDTHS: [(&str, &str, Measure<Length>); 2] = [
    ("width_cm", "cm", |cm| Length::try_metres(cm / 100.0)),
    ("width_in", "in", Length::try_inches),
];
const CLOTH_WEIGHTS: [(&str, &str, Measure<ArealMass>); 3] = [
    ("cloth_g_per_m2", "g/m²", ArealMass::try_grams_per_square_metre),
    ("cloth_oz_per_yd2", "oz/yd²", ArealMass::try_ounces_per_square_yard),
    ("cloth_momme", "momme", ArealMass::try_momme),
];

/// Reads a weight in any of the ways it may be written, and says how it was found.
pub(crate) fn weight(table: &Table) -> Option<(Mass, String)> {
    let weighed = one_of(table, &WEIGHTS);
    let length = one_of(table, &LENGTHS);
    let width = one_of(table, &WIDTHS);
    let cloth = one_of(table, &CLOTH_WEIGHTS);
    let hint = "write weight_g = …, or length_m, width_cm and cloth_g_per_m2 (yards, inches, oz/yd² \
                and momme are read too)";
    let (mass, from) = match (weighed, length, width, cloth) {
        (Told::Faulty, ..) | (_, Told::Faulty, ..) | (_, _, Told::Faulty, _) => return None,
        (.., Told::Faulty) => return None,
        (Told::Once(mass, words), Told::Nothing, Told::Nothing, Told::Nothing) => {
            (mass, format!("weighed: {words}"))
        }
        (Told::Nothing, Told::Once(length, l), Told::Once(width, w), Told::Once(cloth, c)) => {
            let mass = table.keep(&table.span, cloth.try_mass_of(length, width), hint)?;
            (mass, format!("{l} × {w} × {c}"))
        }
        (Told::Nothing, ..) => {
            table.fault(table.span.clone(), "the weight is missing or half given", hint);
            return None;
        }
        (Told::Once(..), ..) => {
            table.fault(table.span.clone(), "the weight is given twice", hint);
            return None;
        }
    };
    if mass.to_grams() < LEAST_G {
        let hint = "weigh the goods dry; below half a gram nothing can be dosed";
        table.fault(table.span.clone(), format!("goods of {} g", mass.to_grams()), hint);
        return None;
    }
    Some((mass, from))
}

/// Lightest goods, g: what the smallest swatch weighs.
const LEAST_G: f64 = 0.5;

/// What was found under keys that say the same thing in several units.
enum Told<T> {
    Nothing,
    Once(T, String),
    /// Given in a way that is already a fault.
    Faulty,
}

fn one_of<T>(table: &Table, ways: &[(&'static str, &'static str, Measure<T>)]) -> Told<T> {
    let mut told = Told::Nothing;
    for (key, unit, make) in ways {
        let at = table.any(key);
        let Some(At { span, .. }) = at else { continue };
        if !matches!(told, Told::Nothing) {
            let hint = "keep the one you trust";
            table.fault(span, format!("`{key}` says again what stands in another unit"), hint);
            return Told::Faulty;
        }
        let hint = format!("write it in {unit}, above zero");
        let made =
            table.number(key).and_then(|n| Some((table.keep(&n.span, make(n.it), hint)?, n.it)));
        told = match made {
            Some((made, n)) => Told::Once(made, format!("{} {unit}", units::trimmed(n, 2))),
            None => Told::Faulty,
        };
    }
    told
}
