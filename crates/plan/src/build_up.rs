//! A colour built up on the piece itself, where nothing can be cut for a swatch and no cloth like it can be had.
//!
//! How that is done is the trade's (`lore`); here it is said with the amounts of this bath. It is weaker than a swatch
//! and is told only on the bulk sheet of goods that are never cut, as long as no swatch of them is recorded.

use bath::{Kind, Sheet, SwatchFrom};
use costume::{Piece, Swatch};
use lore::Lore;

/// What of the dye goes in first; the words of the rule say the same.
const FIRST: f64 = 0.6;

/// The note for this bath; none for other goods, and none once a swatch is recorded.
pub(crate) fn note(sheet: &Sheet, piece: &Piece, lore: &Lore) -> Option<String> {
    let comes =
        bath::Comes { form: piece.goods.form, spare: piece.spare, ..bath::Comes::default() };
    let uncut = SwatchFrom::of(&comes) == SwatchFrom::Like;
    if sheet.kind != Kind::Bulk || !uncut || matches!(piece.swatch, Swatch::Recorded { .. }) {
        return None;
    }
    let rule = |id: &str| lore.sheet_rule(id).map(|rule| rule.text.as_str());
    let first: Vec<String> = sheet.dyes.iter().map(first).collect();
    let amounts = format!("60 % here: {}.", first.join("; "));
    if sheet.no_top_up_after.is_some() {
        return Some(format!("{} {amounts}", rule("build-up-twice")?));
    }
    let how = ["one-addition", "cool-before-adding", "reserve-liquor", "after-addition"];
    let how: Vec<&str> = how.into_iter().filter_map(rule).collect();
    Some(format!("{} {amounts} {}", rule("build-up")?, how.join(" ")))
}

/// What of one dye goes in first, in two digits: what is missing is added by eye.
fn first(dye: &bath::Dye) -> String {
    let part = |all: dosing::Shown| units::significant(FIRST * all.value(), 2);
    match (dye.stock_ml, dye.stock_pct) {
        (Some(ml), Some(pct)) => {
            format!("{} mL of the {pct} % solution of {} ({ml} mL in all)", part(ml), dye.name)
        }
        _ => format!("{} g of {} ({} g in all)", part(dye.grams), dye.name, dye.grams),
    }
}
