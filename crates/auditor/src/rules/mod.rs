//! The fifteen rules, in four families, and before them the question whether the auditor knows
//! everything it is shown.

mod fibre;
mod harm;
mod heat;
mod known;
mod work;

use serde_json::Value;

use crate::Log;
use crate::read::{Goods, Sheet};

/// All rules that one sheet can break by itself.
pub(crate) fn sheet(log: &mut Log<'_>, sheet: &Sheet<'_>, people: &Value, said: &[String]) {
    known::everything(log, sheet);
    harm::bleach(log, sheet);
    harm::powder(log, sheet, people);
    harm::vessel(log, sheet);
    harm::refused(log, sheet);
    harm::reducer(log, sheet, people);
    fibre::odds(log, sheet);
    fibre::alkali(log, sheet);
    fibre::acid_route(log, sheet);
    fibre::class(log, sheet, said);
    heat::caps(log, sheet);
    heat::wool(log, sheet);
    heat::acrylic(log, sheet);
    work::reactive(log, sheet);
    work::judging(log, sheet);
    work::wearing(log, sheet);
}

/// Rules that show only when a piece's sheets are read together.
pub(crate) fn piece(
    log: &mut Log<'_>,
    raw: &Value,
    goods: Option<&Goods<'_>>,
    sheets: &[Sheet<'_>],
    today: Option<&str>,
) {
    known::outcome(log, raw, goods, sheets);
    work::swatch(log, raw, sheets, today);
    work::lightening(log, raw, sheets);
    work::label(log, raw, sheets);
}
