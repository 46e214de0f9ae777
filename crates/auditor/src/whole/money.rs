//! Rule 25: the shopping list adds up, packs cover what is short, and nothing expired is counted on.

use serde_json::Value;
use units::Day;

use crate::Log;
use crate::read::{list, number, text};

/// Half a cent, and what the float adds.
const HALF_CENT: f64 = 0.005 + 1e-6;
/// Grams on the list are printed to the hundredth at most.
const HALF_GRAM_DIGIT: f64 = 0.005 + 1e-6;

pub(crate) fn check(log: &mut Log<'_>, plan: &Value) {
    let Some(shopping) = plan.get("shopping") else {
        log.sheet(25, "the plan has no shopping list");
        return;
    };
    let today = plan.pointer("/costume/today").and_then(Value::as_str).and_then(|d| d.parse().ok());
    for row in list(shopping, "rows") {
        one_row(log, row, today);
    }
    for (sum, of) in [("total", "cost"), ("to_pay", "to_pay")] {
        let all: f64 = list(shopping, "rows").filter_map(|row| number(row, of)).sum();
        if number(shopping, sum).is_none_or(|said| (said - all).abs() > HALF_CENT) {
            log.sheet(
                25,
                format!("`{sum}` of the shopping list is not the sum of its rows, {all:.2}"),
            );
        }
    }
    if let Some(cheapest) = shopping.get("cheapest") {
        let sums = number(cheapest, "to_pay").zip(number(cheapest, "chosen_to_pay"));
        if sums.is_none_or(|(least, chosen)| least > chosen + HALF_CENT) {
            log.sheet(25, "the cheapest dyes cost more than those chosen");
        }
    }
}

fn one_row(log: &mut Log<'_>, row: &Value, today: Option<Day>) {
    let item = text(row, "item").unwrap_or_default();
    let of = |key| number(row, key);
    let mut says = |what: String| log.sheet(25, format!("'{item}': {what}"));
    let Some(grams) = of("grams").filter(|g| *g >= 0.0) else {
        says("the list does not say how much it takes".to_owned());
        return;
    };
    if let (Some(price), Some(cost)) = (of("price_per_g"), of("cost"))
        && (grams * price - cost).abs() > HALF_CENT
    {
        says(format!("{grams} g at {price} is not {cost}"));
    }
    if row.get("cost").is_some() && row.get("price_per_g").is_none() {
        says("it has a cost and no price".to_owned());
    }
    let expired = has_expired(row, today);
    let shelf = if expired { Some(0.0) } else { of("on_shelf_g") };
    let short = of("short_g").unwrap_or(0.0);
    if let Some(shelf) = shelf {
        let lacks = (grams - shelf).max(0.0);
        if (lacks - short).abs() > HALF_GRAM_DIGIT {
            let aged = if expired { ", and what is there has expired" } else { "" };
            says(format!(
                "it takes {grams} g, {shelf} g count as at hand{aged}; {short} g short is wrong"
            ));
        }
    }
    let packs = of("packs");
    match (packs, of("pack_g"), of("pack_price"), of("to_pay")) {
        (Some(packs), Some(holds), Some(price), Some(pay)) => {
            if packs.fract() != 0.0 || packs < 1.0 {
                says(format!("{packs} is no number of packs"));
            }
            if packs * holds + HALF_GRAM_DIGIT < short {
                says(format!("{packs} packs of {holds} g do not cover {short} g"));
            }
            if (packs - 1.0) * holds > short + HALF_GRAM_DIGIT {
                says(format!("{packs} packs of {holds} g are more than {short} g ask for"));
            }
            if (packs * price - pay).abs() > HALF_CENT {
                says(format!("{packs} packs at {price} are not {pay}"));
            }
        }
        (None, Some(_), Some(_), None) if short > 0.0 => {
            says(format!("{short} g are short, and no pack is bought"));
        }
        (None, _, _, None) => {}
        _ => says("packs are bought, and their size, price or sum is not said".to_owned()),
    }
}

/// Whether the row says that what is on the shelf is past its day.
pub(crate) fn has_expired(row: &Value, today: Option<Day>) -> bool {
    let day = |words: &str| words.get(..10).and_then(|d| d.parse::<Day>().ok());
    let past = |day: Day| today.is_some_and(|today| today.days_until(day) < 0);
    let notes = list(row, "notes").filter_map(Value::as_str);
    let told = notes.filter_map(|note| {
        note.strip_prefix("expired on ").or_else(|| note.strip_prefix("good until ")).and_then(day)
    });
    told.chain(text(row, "expires").and_then(day)).any(past)
}
