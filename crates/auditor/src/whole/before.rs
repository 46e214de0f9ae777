//! Rules 19 and 20: the swatch is dyed, dried and judged in daylight before its piece; nothing is done
//! before today, and nothing before what it takes has come.

use serde_json::Value;
use units::Day;

use crate::Log;
use crate::read::{list, number, text};
use crate::whole::clock::{Book, Work};
use crate::whole::money::has_expired;
use crate::whole::{Piece, named};

/// Daylight, minutes since midnight (trade.md I3, M13: judged in daylight; the hours are judgement, wide
/// enough for winter in the middle latitudes).
const DAYLIGHT_MIN: (f64, f64) = (8.0 * 60.0, 17.0 * 60.0);

pub(crate) fn swatch_first(log: &mut Log<'_>, plan: &Value, book: &Book<'_>, pieces: &[Piece<'_>]) {
    if let Some(today) = today(plan) {
        for work in book.works.iter().filter(|w| today.days_until(w.day) < 0) {
            log.about(
                19,
                work.piece,
                format!("{}: the {} is before today, {today}", work.when(), work.who()),
            );
        }
    } else {
        log.sheet(19, "the plan does not say which day is today");
    }
    for work in book.works.iter().filter(|w| w.job == "judge") {
        if work.from_min < DAYLIGHT_MIN.0 || work.to_min > DAYLIGHT_MIN.1 {
            log.about(19, work.piece, format!("{}: judged without daylight", work.when()));
        }
    }
    for work in book.works.iter().filter(|w| matches!(w.job, "swatch" | "bulk")) {
        let has = named(pieces, work.piece).is_some_and(|p| p.of_kind(work.job).next().is_some());
        if !has {
            log.about(
                19,
                work.piece,
                format!("{}: there is no {} sheet for it", work.when(), work.job),
            );
        }
    }
    for piece in pieces {
        one_piece(log, book, piece, dyed_whole(pieces, piece));
    }
}

/// Whether all that lie in the bath of a piece are on record as dyed whole.
fn dyed_whole(pieces: &[Piece<'_>], piece: &Piece<'_>) -> bool {
    let whole = |p: &&Piece<'_>| p.raw.pointer("/recorded/whole").and_then(Value::as_bool);
    let lies = |p: &&Piece<'_>| p.id == piece.id || text(p.raw, "shares_with") == Some(piece.id);
    pieces.iter().filter(lies).all(|p| whole(&p) == Some(true))
}

fn one_piece(log: &mut Log<'_>, book: &Book<'_>, piece: &Piece<'_>, done: bool) {
    let ends = |job: &str| last(book.of_piece(piece.id, job));
    let begins = |job: &str| first(book.of_piece(piece.id, job));
    let (bulk, judged, swatched) = (begins("bulk"), begins("judge"), ends("swatch"));
    let placed = !book.works.is_empty() && !book.has_no_place(piece.id);
    if done && (bulk.is_some() || swatched.is_some()) {
        log.about(19, piece.id, "it is dyed whole, and a day dyes it again");
    }
    if placed && !done && bulk.is_none() && piece.of_kind("bulk").next().is_some() {
        log.about(19, piece.id, "it has a bath, but no day, and it is not among what has no place");
    }
    // Hung to dry after the swatch and before the bulk: that is the swatch.
    let dried = swatched.map(|swatched| {
        let hung = book.of_piece(piece.id, "drying");
        last(hung.filter(|w| w.from >= swatched && bulk.is_none_or(|b| w.from < b)))
    });
    match (judged, dried) {
        (Some(judged), Some(Some(dry))) if judged >= dry => {}
        (Some(_), Some(Some(_))) => {
            log.about(19, piece.id, "the swatch is judged before it is dry")
        }
        (Some(_), Some(None)) => {
            log.about(19, piece.id, "the swatch is judged, and never hung to dry")
        }
        (Some(_), None) => log.about(19, piece.id, "a swatch is judged that no day dyes"),
        (None, _) => {}
    }
    let Some(bulk) = bulk else { return };
    let provisional = piece.of_kind("bulk").any(|s| text(s.raw, "first_line").is_some());
    let judged_by = ends("judge");
    if provisional && (swatched.is_none() || judged_by.is_none()) {
        log.about(
            19,
            piece.id,
            "the piece has its day, and its swatch is not dyed and judged on any",
        );
    }
    if swatched.is_some_and(|t| t > bulk) || judged_by.is_some_and(|t| t > bulk) {
        log.about(19, piece.id, "the piece is dyed before its swatch is dyed and judged");
    }
}

fn first<'w, 'a: 'w>(works: impl Iterator<Item = &'w Work<'a>>) -> Option<f64> {
    works.map(|w| w.from).reduce(f64::min)
}

fn last<'w, 'a: 'w>(works: impl Iterator<Item = &'w Work<'a>>) -> Option<f64> {
    works.map(|w| w.to).reduce(f64::max)
}

fn today(plan: &Value) -> Option<Day> {
    plan.pointer("/costume/today").and_then(Value::as_str)?.parse().ok()
}

/// Grams on the list are printed to the hundredth.
const SHELF_G: f64 = 0.005 + 1e-6;

/// Rule 20.
pub(crate) fn deliveries(log: &mut Log<'_>, plan: &Value, book: &Book<'_>, pieces: &[Piece<'_>]) {
    let rows: Vec<&Value> =
        plan.get("shopping").map(|s| list(s, "rows").collect()).unwrap_or_default();
    let takes = book.limit("delivery_days").and_then(|d| i32::try_from(d).ok());
    let orders: Vec<&Value> = list(book.raw, "orders").collect();
    for order in &orders {
        let item = text(order, "item").unwrap_or_default();
        let day = |key| text(order, key).and_then(|d| d.parse::<Day>().ok());
        let (Some(comes), Some(order_by)) = (day("comes"), day("order_by")) else {
            log.sheet(20, format!("'{item}' is ordered without a day on which it comes"));
            continue;
        };
        let (Some(takes), Some(today)) = (takes, today(plan)) else {
            log.sheet(20, "the day plan does not say how long a delivery takes");
            return;
        };
        if today.days_until(comes) < takes {
            log.sheet(
                20,
                format!("'{item}' comes on {comes}, sooner than {takes} days from today"),
            );
        }
        let row = rows.iter().find(|row| text(row, "item") == Some(item));
        let fresh = row.filter(|row| !has_expired(row, Some(today)));
        let shelf = fresh.and_then(|row| number(row, "on_shelf_g")).unwrap_or(0.0);
        let mut early = 0.0;
        for piece in pieces.iter().filter(|p| p.sheets.iter().any(|s| uses(s.raw, item))) {
            // A swatch is dyed from what is at hand, if there is any.
            let kinds: &[&str] = if shelf > 0.0 { &["bulk"] } else { &["swatch", "bulk"] };
            for (nth, sheet) in (1..).zip(piece.of_kind("swatch")) {
                let its = |w: &&Work<'_>| w.bath.is_none_or(|b| b == nth);
                let mut swatched = book.of_piece(piece.id, "swatch").filter(its);
                if swatched.any(|w| comes.days_until(w.day) < 0) {
                    early += takes_of(sheet.raw, item);
                }
            }
            // Of two baths only the one that takes it has to wait.
            let takes_it = |kind: &str, bath: Option<u64>| {
                let mut sheets = (1..).zip(piece.of_kind(kind));
                sheets.any(|(nth, s)| bath.is_none_or(|b| b == nth) && uses(s.raw, item))
            };
            let works = kinds
                .iter()
                .flat_map(|kind| book.of_piece(piece.id, kind))
                .filter(|work| takes_it(work.job, work.bath));
            let Some(first) = works.min_by(|a, b| a.from.total_cmp(&b.from)) else { continue };
            let when = first.when();
            if comes.days_until(first.day) < 0 {
                log.about(20, piece.id, format!("{when}: '{item}' comes only on {comes}"));
            } else if in_time(order) && order_by.days_until(first.day) < takes {
                log.about(
                    20,
                    piece.id,
                    format!(
                        "{when}: '{item}' is to be ordered by {order_by}, and then it has not come"
                    ),
                );
            }
        }
        if shelf > 0.0 && early > shelf + SHELF_G {
            log.sheet(20, format!("the swatches dyed before '{item}' comes on {comes} take {early:.2} g of it, and {shelf} g are at hand"));
        }
    }
    // Dye is never a thing of the kitchen shop: what is short of it must be ordered.
    for row in rows.iter().filter(|r| text(r, "kind") == Some("dye")) {
        let item = text(row, "item").unwrap_or_default();
        let ordered = orders.iter().any(|o| text(o, "item") == Some(item));
        let short = number(row, "short_g").is_some_and(|g| g > 0.0);
        let waits = pieces.iter().any(|p| {
            p.sheets.iter().any(|s| uses(s.raw, item))
                && book.of_piece(p.id, "bulk").next().is_some()
        });
        if short && waits && !ordered {
            log.sheet(
                20,
                format!("'{item}' is short, work that takes it has its day, and it is not ordered"),
            );
        }
    }
}

fn in_time(order: &Value) -> bool {
    order.get("in_time").and_then(Value::as_bool) != Some(false)
}

/// What one sheet takes of an item: weighed out, or weighed for a stock.
fn takes_of(sheet: &Value, item: &str) -> f64 {
    let is_it = |one: &&Value| text(one, "id") == Some(item) || text(one, "dye") == Some(item);
    let weighed = list(sheet, "dyes").filter(|d| text(d, "how") != Some("stock"));
    let all = weighed.chain(list(sheet, "stocks")).chain(list(sheet, "auxiliaries"));
    all.filter(is_it).filter_map(|one| number(one, "grams")).sum()
}

fn uses(sheet: &Value, item: &str) -> bool {
    list(sheet, "dyes").chain(list(sheet, "auxiliaries")).any(|used| text(used, "id") == Some(item))
}
