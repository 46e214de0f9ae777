//! Cards and labels: a card for every swatch still to be dyed, to cut out and sew the swatch to; a label for every
//! bottle of stock solution; and the same swatches as text, to be noted into the workbook.
//!
//! A page of its own beside the plan's: it is cut up, and the plan is kept. Cards are 93 × 126 mm, labels 62 × 42 mm,
//! so that four and eighteen of them go on a side of A4 and of Letter alike.

mod card;
mod label;
mod noted;

use maud::{Markup, html};
use plan::document::{PiecePlan, Plan, Sheet};

use crate::page;

/// The cards' own style; the pages' style has no use for it.
const STYLE: &str = include_str!("cards/cards.css");

/// A swatch to be dyed: its piece, its sheet, the card of the bath that it went through before.
pub(crate) struct ToDye<'a> {
    pub(crate) piece: &'a PiecePlan,
    pub(crate) sheet: &'a Sheet,
    pub(crate) code: &'a str,
    pub(crate) over: Option<&'a str>,
}

/// The swatches still to be dyed: what is on record as dyed, the swatch or the piece, needs no card any more.
pub(crate) fn to_dye(plan: &Plan) -> Vec<ToDye<'_>> {
    let mut all = carded(plan);
    all.retain(|one| one.piece.special.recorded.is_none());
    all
}

/// The swatches that have a card, in the order of the plan: of pieces whose bulk bath is provisional.
fn carded(plan: &Plan) -> Vec<ToDye<'_>> {
    let mut all = vec![];
    for piece in &plan.pieces {
        let provisional = piece.sheets.iter().any(|sheet| sheet.first_line.is_some());
        let mut over = None;
        for sheet in piece.sheets.iter().filter(|sheet| provisional && sheet.kind == "swatch") {
            let Some(code) = sheet.code.as_deref() else { continue };
            all.push(ToDye { piece, sheet, code, over });
            over = Some(code);
        }
    }
    all
}

/// A swatch of the plan as text to be noted, as it was done: its sheet with the amounts really dosed, and lines of its
/// own. Nothing where its bath has no card.
pub(crate) fn done(
    plan: &Plan,
    piece: &PiecePlan,
    sheet: &Sheet,
    lines: &[String],
) -> Option<String> {
    let code = sheet.code.as_deref()?;
    let before = carded(plan).into_iter().find(|one| one.code == code).and_then(|one| one.over);
    Some(noted::done(plan, &ToDye { piece, sheet, code, over: before }, lines))
}

/// Pieces dyed whole in a bath of the plan as text to be noted, as it was done.
pub(crate) fn dyed(
    plan: &Plan,
    piece: &PiecePlan,
    sheet: &Sheet,
    pieces: &[(&str, f64)],
    lines: &[String],
) -> Option<String> {
    noted::dyed(plan, piece, sheet, pieces, lines)
}

/// The page.
pub(crate) fn cards(plan: &Plan) -> Markup {
    let (to_dye, bottles) = (to_dye(plan), label::bottles(plan));
    let title = format!("{}: cards and labels", plan.costume.name);
    let body = html! {
        header {
            p.over { (plan.costume.name) ", " (plan.costume.today) }
            h1 { "Cards and labels" }
            p.screen-only { "To print and cut along the lines; on a screen, what will be printed. The code on a card is the \
                swatch's name: write it into the file of swatches, and the workbook finds the card again. Its last character \
                is a check, so a slip is noticed." }
        }
        main {
            section.deck.screen-only[to_dye.is_empty() && !bottles.is_empty()] aria-labelledby="cards" {
                h2 id="cards" { "Swatch cards" }
                @if to_dye.is_empty() {
                    p { "No swatch is to be dyed: every bulk bath has one recorded or signed away, or there is no bath." }
                } @else {
                    div.cards { @for (at, one) in to_dye.iter().enumerate() { (card::card(at, one)) } }
                }
            }
            section.deck.bottles.screen-only[bottles.is_empty() && !to_dye.is_empty()].first[to_dye.is_empty()] aria-labelledby="labels" {
                h2 id="labels" { "Bottle labels" }
                @if bottles.is_empty() {
                    p { "This plan makes no stock solution." }
                } @else {
                    div.labels { @for one in &bottles { (label::label(one)) } }
                }
            }
            @if !to_dye.is_empty() {
                section.screen-only aria-labelledby="noting" {
                    h2 id="noting" { "To note them" }
                    p { "The same swatches as a file of swatches. Copy it into a file, put in what you really dosed and how the \
                        dry swatch was read, and take it into the workbook with " code { "dyewright swatch record FILE" } "." }
                    pre tabindex="0" { (noted::noted(plan, &to_dye)) }
                }
            }
        }
    };
    page::whole_in(&title, STYLE, &body)
}
