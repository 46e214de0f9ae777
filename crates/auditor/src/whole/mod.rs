//! Rules 16 to 27: what shows only when the whole plan is read: the days and the sink, deliveries,
//! shared baths, weights and doses, matched sets, money, scours, what a swatch leaves.
//!
//! What one sheet can break by itself is in `rules`.

mod amounts;
mod before;
mod clock;
mod hands;
mod hours;
mod money;
mod pots;
mod scour;
mod sets;
mod share;
mod sink;
mod stock;
mod unknown;

use serde_json::Value;

use crate::Log;
use crate::read::{Sheet, list, text};

/// A piece of the plan with its sheets as read.
pub(crate) struct Piece<'a> {
    pub(crate) raw: &'a Value,
    pub(crate) id: &'a str,
    pub(crate) sheets: Vec<Sheet<'a>>,
}

impl<'a> Piece<'a> {
    pub(crate) fn all(plan: &'a Value) -> Vec<Self> {
        list(plan, "pieces")
            .map(|raw| Piece {
                raw,
                id: text(raw, "id").unwrap_or_default(),
                sheets: list(raw, "sheets").map(Sheet::of).collect(),
            })
            .collect()
    }

    /// The sheets of one kind, in their order.
    pub(crate) fn of_kind<'s>(&'s self, kind: &'s str) -> impl Iterator<Item = &'s Sheet<'a>> {
        self.sheets.iter().filter(move |sheet| sheet.kind == kind)
    }
}

/// The piece of an id.
pub(crate) fn named<'p, 'a>(pieces: &'p [Piece<'a>], id: &str) -> Option<&'p Piece<'a>> {
    pieces.iter().find(|piece| piece.id == id)
}

/// All rules of the plan as a whole.
pub(crate) fn plan(log: &mut Log<'_>, plan: &Value) {
    let pieces = Piece::all(plan);
    if let Some(days) = plan.get("days") {
        let book = clock::Book::of(log, days);
        hands::check(log, &book);
        pots::check(log, &book, &pieces);
        hours::check(log, &book);
        unknown::check(log, &book, &pieces);
        hands::as_on_the_sheets(log, &book, &pieces);
        sink::check(log, &book, &pieces);
        before::swatch_first(log, plan, &book, &pieces);
        before::deliveries(log, plan, &book, &pieces);
        sets::leftovers(log, plan, &book, &pieces);
        scour::first(log, plan, &book, &pieces);
        stock::check(log, Some(&book), &pieces);
    } else {
        stock::check(log, None, &pieces);
    }
    scour::scoured(log, plan, &pieces);
    share::check(log, &pieces);
    amounts::weights(log, &pieces);
    sets::check(log, plan, &pieces);
    money::check(log, plan);
}
