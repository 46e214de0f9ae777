//! The page: head, skip link, and its parts in the order of the work.

use maud::{DOCTYPE, Markup, PreEscaped, html};
use plan::document::Plan;

use crate::{closing, front, piece, shopping};

/// The style sheet; our own, and all there is.
const STYLE: &str = include_str!("page.css");

/// The whole page.
pub(crate) fn page(plan: &Plan) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light";
                meta http-equiv="Content-Security-Policy"
                    content="default-src 'none'; style-src 'unsafe-inline'";
                title { (plan.costume.name) ": dye plan" }
                style { (PreEscaped(STYLE)) }
            }
            body {
                a.skip href="#pieces" { "Skip to the pieces" }
                header { (front::head(plan)) }
                main {
                    (front::first(plan))
                    @for (at, piece) in plan.pieces.iter().enumerate() {
                        (piece::piece(at, piece, &plan.costume.currency))
                    }
                    (shopping::shopping(&plan.shopping, &plan.costume.currency))
                    (closing::sure(plan))
                }
                footer { (closing::safety()) }
            }
        }
    }
}
