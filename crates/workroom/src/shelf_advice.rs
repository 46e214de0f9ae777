//! What a look at a shelf shows: dates, age, what runs low, packs that may split, what has no price.

use std::collections::BTreeSet;

use costume::{Shelf, ShelfDye};
use units::{Day, Mass};

/// Least amount worth keeping a place for, g: below it no swatch can be weighed on a kitchen scale
/// (judgement).
const USED_UP_G: f64 = 0.5;

/// Running low below this, g: a 1 % dyeing of half a kilogram, a coat's worth (judgement).
const LOW_G: f64 = 5.0;

/// Reactive powder and stock lose strength in the pack; two years opened is the usual word of the
/// trade (common practice, from memory).
const OLD_DAYS: i32 = 730;

/// Within so many days of its last day a thing is used first (judgement).
const SOON_DAYS: i32 = 60;

/// Everything there is to say of a shelf on a day.
pub(crate) fn advice(shelf: &Shelf, today: Day) -> Vec<String> {
    let mut said = vec![];
    if shelf.starter {
        said.push(
            "Every dye here is an estimate by hue, measured by nobody: a swatch comes before the bulk bath."
                .to_owned(),
        );
    }
    let mut told = BTreeSet::new();
    for one in &shelf.dyes {
        // A pack that claims several fibres is one pack.
        if told.insert(&one.dye.id) {
            of_dye(one, today, &mut said);
        }
    }
    for one in &shelf.others {
        dates(&one.id, [("bought", one.bought), ("opened", None)], one.expires, today, &mut said);
        if one.left.is_some_and(used_up) {
            said.push(format!("{}: as good as used up.", one.id));
        }
    }
    let ids: BTreeSet<&str> = shelf.dyes.iter().map(|d| d.dye.id.as_str()).collect();
    let unpriced: BTreeSet<&str> =
        shelf.dyes.iter().filter(|d| d.price.is_none()).map(|d| d.dye.id.as_str()).collect();
    if !shelf.starter && !unpriced.is_empty() {
        said.push(format!(
            "{} of {} dyes have no price: what they cost is left out of totals.",
            unpriced.len(),
            ids.len()
        ));
    }
    said
}

fn used_up(left: Mass) -> bool {
    left.to_grams() < USED_UP_G
}

fn of_dye(one: &ShelfDye, today: Day, said: &mut Vec<String>) {
    let id = &one.dye.id;
    dates(id, [("bought", one.bought), ("opened", one.opened)], one.expires, today, said);
    let (how, since) = match (one.opened, one.bought) {
        (Some(day), _) => ("opened", Some(day)),
        (None, day) => ("bought", day),
    };
    let age = since.map_or(0, |day| day.days_until(today));
    let ages = one.dye.class.is_reactive() || one.pack.is_some();
    if age > OLD_DAYS && ages {
        let why = if one.pack.is_some() { "an old pack" } else { "reactive dye" };
        said.push(format!(
            "{id}: {how} {} years ago; {why} may lose strength. Dye a swatch to see what is left.",
            age / 365
        ));
    }
    if let Some(pack) = &one.pack {
        if pack.may_split {
            said.push(format!(
                "{id}: a mixture that may split: its parts take up differently, so swatch it on the \
                 cloth itself."
            ));
        }
        if !pack.sheet {
            said.push(format!("{id}: its safety sheet is not at hand; get it before you open it."));
        }
    }
    if one.left.is_some_and(used_up) {
        said.push(format!("{id}: as good as used up."));
    } else if let Some(left) = one.left.filter(|m| one.pack.is_none() && m.to_grams() < LOW_G) {
        let grams = left.to_grams();
        said.push(format!(
            "{id}: {} g left, a 1 % dyeing of {} g of cloth.",
            units::trimmed(grams, 2),
            units::trimmed(grams * 100.0, 0)
        ));
    }
}

/// Days that are still to come, and a last day that is past or near.
fn dates(
    id: &str,
    since: [(&str, Option<Day>); 2],
    expires: Option<Day>,
    today: Day,
    said: &mut Vec<String>,
) {
    for (how, day) in since {
        if let Some(day) = day.filter(|d| d.days_until(today) < 0) {
            said.push(format!("{id}: {how} on {day}, which is still to come. Check the date."));
        }
    }
    let Some(last) = expires else { return };
    let left = today.days_until(last);
    if left < 0 {
        said.push(format!("{id}: expired on {last}; a plan does not count on it."));
    } else if left <= SOON_DAYS {
        said.push(format!("{id}: good until {last}; use it first."));
    }
}
