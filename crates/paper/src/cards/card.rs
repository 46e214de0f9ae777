//! One card: a place for the swatch, what it should look like, what to dose, and lines for what really was.
//!
//! A card grows with what must stand on it: nothing is cut off, and then fewer go on a side.

use maud::{Markup, html};
use plan::document::{SheetAuxiliary, SheetDye};

use super::ToDye;
use crate::chip::{Chip, Standing, bare};
use crate::number::{depth, number, water, with};

/// The card; `at` makes its heading's id its own.
pub(crate) fn card(at: usize, of: &ToDye<'_>) -> Markup {
    let ToDye { piece, sheet, code, over } = of;
    let id = format!("card-{}", at + 1);
    let mut chips = vec![Chip::seen("Wanted", &piece.target, Standing::Given)];
    if let Some(expected) = &piece.expected {
        chips.push(Chip::seen("Expected", &expected.colour, Standing::Estimate));
    }
    html! {
        article.card aria-labelledby=(id) {
            div.top { h3 id=(id) { (piece.name) } p.code { (code) } }
            @if let Some(first) = over {
                p.after { "Second bath of the same snip: first " b.code { (first) } ", then this." }
            }
            div.seen {
                p.place { "Sew or glue the dry swatch here" }
                div {
                    (bare(&chips))
                    p.under { span { "wanted" } @if chips.len() > 1 { span { "estimate" } } }
                }
            }
            p { b { (sheet.title) } }
            p { (piece.goods.words) ", " (with(sheet.takes_g, "g")) " dry; " (number(sheet.liquor_ratio)) ":1, "
                (water(sheet.liquor_ml)) " in all" }
            table {
                caption.unseen { "What goes in, and what really went in" }
                thead { tr { th scope="col" { "What" } th scope="col" { "Dose" } th scope="col" { "Really dosed, lot" } } }
                tbody {
                    @for dye in &sheet.dyes { tr { th scope="row" { (dye.name) } td { (dose(dye)) } td {} } }
                }
            }
            @if !sheet.auxiliaries.is_empty() { p.else { b { "And: " } (others(&sheet.auxiliaries)) } }
            p.line { "Done otherwise: " span.blank {} }
            p.line { "Dyed on " span.blank {} " really weighed " span.blank.short {} " g, in " span.blank.short {} " mL" }
            p.ticks { (tick("washed off")) (tick("dry")) (tick("cool")) (tick("ironed")) }
            p.ticks { "Nap: " (tick("none")) (tick("with")) (tick("against")) " Behind it " span.blank.short {} }
            p.line { "Read: L* " span.blank.short {} " a* " span.blank.short {} " b* " span.blank.short {} " ± " span.blank.short {} }
            p.line { "on " span.blank.short {} " light " span.blank {} " by " span.blank.short {} }
        }
    }
}

/// An empty box to tick with the pen.
fn tick(what: &str) -> Markup {
    html! { span.box aria-hidden="true" {} (what) " " }
}

/// What the hand measures, and the depth it comes to.
fn dose(dye: &SheetDye) -> Markup {
    html! {
        @match (dye.stock_ml, dye.stock_pct) {
            (Some(ml), Some(pct)) => { b { (with(ml, "mL")) } " of " (with(pct, "%")) }
            (Some(ml), None) => b { (with(ml, "mL")) }
            _ => b { (with(dye.grams, "g")) }
        }
        " (" (depth(dye.owf_pct, "% owf")) ")"
    }
}

/// What else goes in, in one run: each by its name without what stands in brackets.
fn others(all: &[SheetAuxiliary]) -> String {
    let plain = |one: &SheetAuxiliary| {
        let name = one.name.split_once(" (").map_or(one.name.as_str(), |(plain, _)| plain);
        format!("{name} {}", with(one.grams, "g"))
    };
    all.iter().map(plain).collect::<Vec<_>>().join("; ")
}
