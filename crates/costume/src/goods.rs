//! The goods of a piece: what cloth, how heavy, what goes into the bath with it.

use lore::{Lore, Makeup, Observation, UnknownName};
use units::{ArealMass, Length, Mass, NotAQuantity, Share};

use crate::Lining;
use crate::reader::{Any, At, Table};

/// Goods to be dyed.
#[derive(Debug, Clone, PartialEq)]
pub struct Goods {
    /// What the maker calls the cloth.
    pub words: String,
    /// Its fibres, or what is known of an unknown fibre.
    pub makeup: Makeup,
    /// For an unknown fibre, the tests made so far, as written.
    pub tested: Vec<String>,
    /// Ids of trims and parts that go into the bath with it.
    pub parts: Vec<String>,
    /// Air-dry weight.
    pub dry: Mass,
    /// How the weight was found, in words.
    pub weight_from: String,
    /// As cloth or as a garment.
    pub form: GoodsForm,
    /// Ids of parts with what they weigh, within the weight of the goods.
    pub parts_weigh: Vec<(String, Mass)>,
    /// A lining sewn in, within the weight of the goods.
    pub lining: Option<Lining>,
}

/// As what the goods come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum GoodsForm {
    /// Cloth from the roll, not cut yet.
    #[default]
    Roll,
    /// Panels cut to a pattern, not sewn yet.
    CutPanels,
    /// Sewn, not worn yet.
    Sewn,
    /// Worn before.
    Worn,
}

impl GoodsForm {
    /// As written in files and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Roll => "roll",
            Self::CutPanels => "cut panels",
            Self::Sewn => "sewn",
            Self::Worn => "worn",
        }
    }
}

/// Reads the cloth, its parts and its weight from a piece's table.
pub(crate) fn goods(table: &Table, lore: &Lore) -> Option<Goods> {
    let cloth = table.any("cloth");
    let tests = table.part("tests");
    let parts = parts(table, lore);
    let weight = weight(table);
    let Some(cloth) = cloth else {
        let hint = "name the fibre, as in cloth = \"cotton\" or { cotton = 65, polyester = 35 }, or \
                    write \"unknown\"";
        table.fault(table.span.clone(), "`cloth` is missing", hint);
        return None;
    };
    let (words, makeup, tested) = makeup(table, &cloth, tests.as_ref(), lore)?;
    let (dry, weight_from) = weight?;
    Some(Goods {
        words,
        makeup,
        tested,
        parts,
        dry,
        weight_from,
        form: GoodsForm::Roll,
        parts_weigh: vec![],
        lining: None,
    })
}

fn makeup(
    table: &Table,
    cloth: &At<Any>,
    tests: Option<&Table>,
    lore: &Lore,
) -> Option<(String, Makeup, Vec<String>)> {
    let no_tests = |words: String, makeup| {
        if let Some(tests) = tests {
            let hint = "take the tests out, or write cloth = \"unknown\"";
            table.fault(tests.span.clone(), "tests are for cloth that is unknown", hint);
        }
        (words, makeup, vec![])
    };
    match &cloth.it {
        Any::Text(word) if word == "unknown" => {
            let (makeup, tested) = unknown(tests, lore)?;
            Some(("unknown fibre".to_owned(), makeup, tested))
        }
        Any::Text(word) => {
            let hint = "write it as the label does, or \"unknown\"";
            let whole = [(word.as_str(), Share::WHOLE)];
            let makeup = table.keep(&cloth.span, lore.try_makeup(&whole), hint)?;
            Some(no_tests(word.clone(), makeup))
        }
        Any::Table(entries) => {
            let inner = table.inner(entries, cloth.span.clone());
            let mut fibres: Vec<(String, Share)> = vec![];
            let mut sound = true;
            for (name, share) in inner.all() {
                let number = match share.it {
                    Any::Number(n) => n,
                    _ => f64::NAN,
                };
                let hint = "write the percentage as a number, as in cotton = 65";
                let known = table.keep(
                    &name.span,
                    lore.material(&name.it).map(|_| ()),
                    "check the spelling",
                );
                let share = table.keep(&share.span, Share::try_percent(number), hint);
                match (known, share) {
                    (Some(()), Some(share)) => fibres.push((name.it, share)),
                    _ => sound = false,
                }
            }
            if !sound {
                return None;
            }
            let list: Vec<(&str, Share)> = fibres.iter().map(|(n, s)| (n.as_str(), *s)).collect();
            let hint = "percentages of a blend add up to 100";
            let makeup = table.keep(&cloth.span, lore.try_makeup(&list), hint)?;
            let said = |(name, share): &(String, Share)| {
                format!("{} % {name}", units::trimmed(share.to_percent(), 1))
            };
            let words = fibres.iter().map(said).collect::<Vec<_>>().join(", ");
            Some(no_tests(words, makeup))
        }
        other => {
            let hint = "write cloth = \"cotton\" or cloth = { cotton = 65, polyester = 35 }";
            table.fault(cloth.span.clone(), format!("`cloth` is {}", other.kind()), hint);
            None
        }
    }
}

/// An unknown fibre with the tests made so far: `tests = { flame = "melts", … }`.
fn unknown(tests: Option<&Table>, lore: &Lore) -> Option<(Makeup, Vec<String>)> {
    let mut seen = vec![];
    let mut tested = vec![];
    if let Some(tests) = tests {
        for (test, outcome) in tests.all() {
            let Any::Text(word) = &outcome.it else {
                let hint = "write what was seen in quotes";
                tests.fault(outcome.span, format!("`{}` is {}", test.it, outcome.it.kind()), hint);
                continue;
            };
            let kind = test.it.parse().map_err(|e: UnknownName| e.to_string());
            let made = kind.and_then(|k| Observation::try_new(k, word).map_err(|e| e.to_string()));
            if let Some(observation) = tests.keep(&outcome.span, made, "see docs/costume-file.md") {
                seen.push(observation);
                tested.push(format!("{}: {word}", test.it));
            }
        }
    }
    let odds = match tests {
        Some(tests) => tests.keep(&tests.span, lore.try_odds(&seen), "write each test once")?,
        None => lore.untested(),
    };
    Some((Makeup::Unknown(odds), tested))
}

fn parts(table: &Table, lore: &Lore) -> Vec<String> {
    table
        .texts("parts")
        .into_iter()
        .filter_map(|p| {
            let hint = "parts are what goes into the bath with the cloth";
            table.keep(&p.span, lore.part(&p.it).map(|part| part.id.clone()), hint)
        })
        .collect()
}

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

fn weight(table: &Table) -> Option<(Mass, String)> {
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
