//! What a swatch leaves of its stock goes into the bulk bath of its piece: nothing is weighed, opened or bought twice, and
//! swatch and piece are of one lot.
//!
//! Whether the stock keeps until then is known only when the work stands on its days: it is counted on first, and taken
//! back for those pieces whose days turn out too far apart.

use std::collections::BTreeSet;

use units::{Day, trimmed};

use crate::Request;
use crate::asked::stock_rules;
use crate::document::{DayPlan, PiecePlan, ScourSeen, Sheet, Shopping, StockLeft, StockToMake};
use crate::seen::print;
use crate::{day_plan, on_record, shopping};

/// Where no day plan tells the days, a stock is counted on that keeps for so long: between a swatch and its piece lie
/// drying, judging and often a week (judgement).
const KEEPS_TO_BULK_DAYS: u32 = 14;
/// Less than this is not worth a bottle, mL (judgement).
const LEAST_ML: f64 = 1.0;

/// How often the days are asked whether the stocks keep (judgement: once is nearly always enough).
const MOST_ROUNDS: usize = 3;

/// A dye of a piece.
type Of = (String, String);

/// Shopping and days, with what the swatches leave of their stocks used up where it keeps until then.
pub(crate) fn on_days(
    request: &Request,
    fresh: Vec<PiecePlan>,
    scours: &[ScourSeen],
) -> (Vec<PiecePlan>, Shopping, Option<DayPlan>) {
    let mut not = BTreeSet::new();
    for _ in 0..MOST_ROUNDS {
        let mut pieces = fresh.clone();
        use_up(request, &mut pieces, &not);
        let (shopping, days) = counted(request, &pieces, scours);
        let old = too_old(&pieces, days.as_ref());
        if old.is_empty() {
            return (pieces, shopping, days);
        }
        // What is bought anew may move the days again: when that goes on, no stock is counted on.
        not.extend(old);
    }
    let (shopping, days) = counted(request, &fresh, scours);
    (fresh, shopping, days)
}

/// Shopping and days of what is still to be dyed.
fn counted(
    request: &Request,
    pieces: &[PiecePlan],
    scours: &[ScourSeen],
) -> (Shopping, Option<DayPlan>) {
    let left = on_record::to_dye(request, pieces);
    let shopping = shopping::shopping(request, &left, scours);
    let days = day_plan::day_plan(request, &left, scours, &shopping);
    (shopping, days)
}

/// Lets every bulk bath use what its swatch leaves, but for those of `not`.
fn use_up(request: &Request, pieces: &mut [PiecePlan], not: &BTreeSet<Of>) {
    // Friends dye from one stock, made for all of them.
    for piece in pieces.iter_mut().filter(|piece| piece.special.friends.is_none()) {
        let half = piece.sheets.len() / 2;
        let (swatches, bulks) = piece.sheets.split_at_mut(half);
        for (swatch, bulk) in swatches.iter().zip(bulks) {
            // Without a swatch still to be dyed nobody knows what is left of its stocks.
            if swatch.kind != "swatch" || bulk.kind != "bulk" || bulk.first_line.is_none() {
                continue;
            }
            let dyes: Vec<String> = bulk.stocks.iter().map(|stock| stock.dye.clone()).collect();
            for dye in dyes {
                if !not.contains(&(piece.id.clone(), dye.clone())) {
                    one(request, swatch, bulk, &dye);
                }
            }
        }
    }
}

/// The dyes whose stock does not keep from the swatch to the bulk bath, as the days stand.
fn too_old(pieces: &[PiecePlan], days: Option<&DayPlan>) -> Vec<Of> {
    let mut old = vec![];
    for piece in pieces {
        let between = days.and_then(|days| between(days, &piece.id));
        for left in piece.sheets.iter().flat_map(|sheet| &sheet.from_swatch) {
            let keeps = match between {
                Some(days) => days <= i64::from(left.keeps_days),
                None => left.keeps_days >= KEEPS_TO_BULK_DAYS,
            };
            if !keeps {
                old.push((piece.id.clone(), left.dye.clone()));
            }
        }
    }
    old
}

/// Days from the first work on a swatch to the last on its bulk bath; none where either has no day.
fn between(days: &DayPlan, piece: &str) -> Option<i64> {
    let on = |job: &'static str| {
        let has = move |day: &&crate::document::DaySeen| {
            day.items.iter().any(|i| i.job == job && i.piece.as_deref() == Some(piece))
        };
        days.days.iter().filter(has).filter_map(|day| day.day.parse::<Day>().ok())
    };
    Some(i64::from(on("swatch").next()?.days_until(on("bulk").next_back()?)))
}

/// One stock of one bulk bath.
fn one(request: &Request, swatch: &Sheet, bulk: &mut Sheet, dye: &str) {
    let Some(shelf) = request.shelf.dyes.iter().find(|d| d.dye.id == dye) else { return };
    let Some(rules) = stock_rules(shelf).filter(|rules| rules.keeps_days > 0) else { return };
    let of = |stock: &&StockToMake| stock.dye == dye;
    let (Some(made), Some(at)) =
        (swatch.stocks.iter().find(of), bulk.stocks.iter().position(|stock| of(&stock)))
    else {
        return;
    };
    let wanted = bulk.stocks[at].clone();
    let left_ml = print(made.make_ml - made.used_ml, 3);
    if made.stock_pct != wanted.stock_pct || left_ml < LEAST_ML {
        return;
    }
    let name = shelf.dye.name.as_str();
    let left = |used_ml: f64| StockLeft {
        dye: dye.to_owned(),
        stock_pct: made.stock_pct,
        left_ml,
        used_ml,
        keeps_days: rules.keeps_days,
    };
    let amounts = |ml: f64| trimmed(ml, 3);
    if left_ml >= wanted.used_ml {
        bulk.stocks.remove(at);
        bulk.notes.push(format!(
            "The {} % stock of {name} made for the swatch has {} mL left, enough for this bath: take {} mL of it and make \
             none, so that swatch and piece are of one lot. It keeps {}, cool and dark; if this bath comes later, make \
             {} mL anew ({} g of dye, which the shopping list does not count).",
            made.stock_pct,
            amounts(left_ml),
            amounts(wanted.used_ml),
            in_days(rules.keeps_days),
            amounts(wanted.make_ml),
            amounts(wanted.grams)
        ));
        bulk.from_swatch.push(left(wanted.used_ml));
        return;
    }
    // What is opened by the pack is topped up by the pack, where that leaves a pack unopened.
    let Some(pack) = shelf.pack.as_ref().filter(|_| shelf.dye.form == dosing::Form::Powder) else {
        return;
    };
    let packs = (wanted.grams / pack.holds.to_grams()).round();
    let each_ml = wanted.make_ml / packs.max(1.0);
    let more = ((wanted.used_ml - left_ml) / each_ml - 1e-9).ceil();
    if more < 1.0 || more >= packs {
        return;
    }
    let (grams, make_ml) = (print(more * pack.holds.to_grams(), 4), print(more * each_ml, 3));
    let both_ml = print(left_ml + make_ml, 3);
    let packs =
        if more > 1.0 { format!("{more:.0} whole packs") } else { "one whole pack".to_owned() };
    let words = format!(
        "{name}: Dissolve {packs} ({} g) in warm water and make up to {} mL (a {} % stock). Pour what the swatch left of \
         its stock to it ({} mL), stir, and take {} mL of both together; {} mL are left over. The swatch's stock keeps {}: \
         if this bath comes later, one pack more takes its place, which the shopping list does not count.",
        amounts(grams),
        amounts(make_ml),
        wanted.stock_pct,
        amounts(left_ml),
        amounts(wanted.used_ml),
        amounts(print(both_ml - wanted.used_ml, 3)),
        in_days(rules.keeps_days)
    );
    let used_ml = print(wanted.used_ml - left_ml, 3);
    bulk.stocks[at] = StockToMake { grams, make_ml, used_ml, words, ..wanted };
    bulk.from_swatch.push(left(left_ml));
}

fn in_days(days: u32) -> String {
    if days == 1 { "1 day".to_owned() } else { format!("{days} days") }
}
