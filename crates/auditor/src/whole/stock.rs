//! Rule 27: a bulk bath takes of its swatch's stock only what is there, and only while it keeps; no reactive dye with
//! alkali in its powder is made into a stock.

use serde_json::Value;

use crate::Log;
use crate::agents::group_of;
use crate::read::{Sheet, list, number, text};
use crate::whole::Piece;
use crate::whole::clock::Book;

/// How long a stock keeps, days, by a word in the class id (trade.md, stock solutions: reactive about a week in the cool,
/// a dispersion is made fresh; the others some weeks): no sheet may say longer.
const KEEPS: [(&str, i64); 2] = [("reactive", 7), ("disperse", 1)];
/// What keeps longest, days.
const KEEPS_AT_MOST: i64 = 90;
/// Volumes are printed to a thousandth of a millilitre.
const HALF_ML: f64 = 0.01;

/// A reactive dye with alkali in its powder makes no stock, and is not taken from one.
fn spent(log: &mut Log<'_>, piece: &Piece<'_>, sheet: &Sheet<'_>) {
    for dye in list(sheet.raw, "dyes") {
        let reactive = text(dye, "class").is_some_and(|class| class.contains("reactive"));
        let alkali = list(dye, "brings")
            .filter_map(|brings| text(brings, "agent"))
            .find(|agent| group_of(agent) == Some("alkali"));
        if let (true, Some(agent)) = (reactive, alkali) {
            let id = text(dye, "id").unwrap_or_default();
            log.about(
                27,
                piece.id,
                format!(
                    "'{id}' of the {} sheet has {agent} in its powder: it is spent",
                    sheet.kind
                ),
            );
        }
    }
}

/// Every bulk bath that begins with what its swatch left.
pub(crate) fn check(log: &mut Log<'_>, book: Option<&Book<'_>>, pieces: &[Piece<'_>]) {
    for piece in pieces {
        piece.sheets.iter().for_each(|sheet| spent(log, piece, sheet));
        let swatches: Vec<&Sheet<'_>> = piece.of_kind("swatch").collect();
        for (nth, bulk) in piece.of_kind("bulk").enumerate() {
            for left in list(bulk.raw, "from_swatch") {
                let dye = text(left, "dye").unwrap_or_default();
                let swatch = swatches.get(nth).map(|sheet| sheet.raw);
                let wrong = amounts(left, dye, swatch, bulk.raw)
                    .or_else(|| keeps(left, dye, bulk.raw, book, piece.id));
                if let Some(wrong) = wrong {
                    log.about(
                        27,
                        piece.id,
                        format!("the rest of the swatch's stock of '{dye}': {wrong}"),
                    );
                }
            }
        }
    }
}

/// What is there, and what is taken of it.
fn amounts(left: &Value, dye: &str, swatch: Option<&Value>, bulk: &Value) -> Option<String> {
    let of = |sheet: &'_ Value, key: &str| -> Option<Value> {
        list(sheet, key)
            .find(|one| text(one, "dye").or_else(|| text(one, "id")) == Some(dye))
            .cloned()
    };
    let figure = |of: &Value, key: &str| number(of, key).unwrap_or(f64::NAN);
    let Some(made) = swatch.and_then(|sheet| of(sheet, "stocks")) else {
        return Some("its swatch makes none".to_owned());
    };
    let Some(line) = of(bulk, "dyes") else { return Some("the bath has no such dye".to_owned()) };
    let (there, taken) = (figure(left, "left_ml"), figure(left, "used_ml"));
    let rest = figure(&made, "make_ml") - figure(&made, "used_ml");
    let new = of(bulk, "stocks").map_or(0.0, |stock| figure(&stock, "used_ml"));
    let near = |a: f64, b: f64| (a - b).abs() <= HALF_ML;
    if !near(there, rest) {
        Some(format!("{there} mL are said to be left, the swatch leaves {rest:.3}"))
    } else if !(taken > 0.0 && taken <= there + HALF_ML) {
        Some(format!("{taken} mL are taken of {there}"))
    } else if !near(figure(left, "stock_pct"), figure(&made, "stock_pct"))
        || !near(figure(left, "stock_pct"), figure(&line, "stock_pct"))
    {
        Some("it is of another strength".to_owned())
    } else if !near(taken + new, figure(&line, "stock_ml")) {
        Some(format!("{taken} mL of it and {new} mL made anew are not what the bath takes"))
    } else {
        None
    }
}

/// Whether it keeps from the first work on the swatch to the last on the bath.
fn keeps(
    left: &Value,
    dye: &str,
    bulk: &Value,
    book: Option<&Book<'_>>,
    piece: &str,
) -> Option<String> {
    let line = list(bulk, "dyes").find(|line| text(line, "id") == Some(dye));
    let class = line.and_then(|line| text(line, "class")).unwrap_or_default();
    let most = KEEPS.iter().find(|(word, _)| class.contains(word)).map_or(KEEPS_AT_MOST, |k| k.1);
    let said = left.get("keeps_days").and_then(Value::as_i64).unwrap_or(0);
    if said < 1 || said > most {
        return Some(format!("it is said to keep {said} days"));
    }
    let book = book?;
    let day = |job: &str, first: bool| {
        let mut days: Vec<_> = book.of_piece(piece, job).map(|w| w.day).collect();
        days.sort_unstable();
        if first { days.first().copied() } else { days.last().copied() }
    };
    let (made, used) = (day("swatch", true)?, day("bulk", false)?);
    let days = i64::from(made.days_until(used));
    (days > said).then(|| format!("it keeps {said} days, and is used after {days}"))
}
