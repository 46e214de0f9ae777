//! The goods of a piece: what cloth, how heavy, what goes into the bath with it.

use lore::{GoodsForm, Lore, Makeup, Observation, UnknownName};
use units::{Mass, Share};

use crate::Lining;
use crate::lining::{lining, within};
use crate::reader::{Any, At, Table};
use crate::weight::weight;

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

/// Reads the cloth, its parts and its weight from a piece's table.
pub(crate) fn goods(table: &Table, lore: &Lore) -> Option<Goods> {
    let cloth = table.any("cloth");
    let tests = table.part("tests");
    let parts = parts(table, lore);
    let weight = weight(table);
    let dry = weight.as_ref().map(|(dry, _)| *dry);
    let form = table.choice("form", GoodsForm::ALL, GoodsForm::id);
    let parts_weigh = parts_weigh(table, &parts, lore);
    let lining = lining(table, lore);
    within(table, dry, &parts_weigh, lining.as_ref());
    let Some(cloth) = cloth else {
        let hint = "name the fibre, as in cloth = \"cotton\" or { cotton = 65, polyester = 35 }, or \
                    write \"unknown\"";
        table.fault(table.span.clone(), "`cloth` is missing", hint);
        return None;
    };
    let (words, makeup, tested) = makeup(table, &cloth, tests.as_ref(), lore)?;
    let (dry, weight_from) = weight?;
    // Where the file does not say it, the goods do.
    let form = form.unwrap_or_else(|| {
        let fibres: Vec<&str> = match &makeup {
            Makeup::Known(portions) => portions.iter().map(|p| p.material.as_str()).collect(),
            Makeup::Unknown(_) => vec![],
        };
        lore.usual_form(&fibres, lining.is_some() || !parts.is_empty())
    });
    Some(Goods { words, makeup, tested, parts, dry, weight_from, form, parts_weigh, lining })
}

/// Reads a cloth as written: its words, its fibres, and the tests of an unknown one.
pub(crate) fn makeup(
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

/// Reads `parts_g`: what parts weigh that stand in `parts`.
fn parts_weigh(table: &Table, parts: &[String], lore: &Lore) -> Vec<(String, Mass)> {
    let Some(told) = table.part("parts_g") else { return vec![] };
    let mut weigh: Vec<(String, Mass)> = vec![];
    for (name, At { it, span }) in told.all() {
        let known = lore.part(&name.it).map(|part| part.id.clone());
        let Some(id) = table.keep(&name.span, known, "the parts of `parts`, each with its grams")
        else {
            continue;
        };
        if !parts.contains(&id) {
            let says = format!("`parts_g` weighs \"{}\", which is not among the `parts`", name.it);
            table.fault(name.span, says, format!("write parts = [\"{id}\"] as well"));
            continue;
        }
        let hint = "write grams above zero, as in zip = 22";
        let grams = match it {
            Any::Number(0.0) => {
                table.fault(span, format!("\"{}\" weighs nothing", name.it), hint);
                continue;
            }
            Any::Number(n) => table.keep(&span, Mass::try_grams(n), hint),
            other => {
                table.fault(span, format!("\"{}\" weighs {}", name.it, other.kind()), hint);
                continue;
            }
        };
        if weigh.iter().any(|(other, _)| *other == id) {
            table.fault(name.span, format!("`parts_g` weighs \"{id}\" twice"), "write it once");
        } else if let Some(grams) = grams {
            weigh.push((id, grams));
        }
    }
    weigh
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
