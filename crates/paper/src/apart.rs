//! Parts of a plan printed by themselves: every bath sheet, or those of one piece; the shopping list.

use maud::{Markup, html};
use plan::document::Plan;

use crate::cautions::Cautions;
use crate::{closing, page, sheet, shopping};

/// The bath sheets of one piece, or of all; none where there is none to print.
pub(crate) fn bath_sheets(plan: &Plan, only: Option<&str>) -> Option<Markup> {
    // Sheets of one piece are taken to the pot by themselves; of all of them the first that needs a caution tells it in full.
    let cautions = if only.is_some() { Cautions::each_in_full() } else { Cautions::of(plan) };
    let currency = plan.costume.currency.as_str();
    let of = || {
        let wanted =
            plan.pieces.iter().enumerate().filter(|(_, p)| only.is_none_or(|id| p.id == id));
        wanted.flat_map(|(at, piece)| {
            piece.sheets.iter().enumerate().map(move |(n, one)| (at, n, piece, one))
        })
    };
    of().next()?;
    let title = format!("{}: bath sheets", plan.costume.name);
    let body = html! {
        header.screen-only {
            p.over { (plan.costume.name) ", " (plan.costume.today) }
            h1 { "Bath sheets" }
            p { "One sheet a pot, to print. "
                @if only.is_some() { "Each has its cautions in full." }
                @else { "The first sheet that needs a caution has it in full, later ones by its number; all of them stand in full on the last page." } }
        }
        main.sheets {
            h2.unseen { "The sheets" }
            @for (at, n, piece, one) in of() {
                (sheet::sheet(&format!("sheet-{}-{}", at + 1, n + 1), piece, one, currency, &cautions, sheet::Steps::Told))
            }
            (cautions.page())
        }
        footer { (closing::safety()) }
    };
    Some(page::whole(&title, &body))
}

/// The shopping list as a page.
pub(crate) fn shopping_list(plan: &Plan) -> Markup {
    let title = format!("{}: shopping list", plan.costume.name);
    let body = html! {
        header { p.over { (plan.costume.name) ", " (plan.costume.today) } h1 { "Shopping list" } }
        main { (shopping::shopping(plan)) }
    };
    page::whole(&title, &body)
}
