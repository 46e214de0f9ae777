//! The page: head, skip link, and its parts in the order of the work.

use maud::{DOCTYPE, Markup, PreEscaped, html};
use plan::document::Plan;

use crate::cautions::Cautions;
use crate::{care, closing, days, front, piece, scours, sets, shopping, together};

/// The style sheet; our own, and all there is.
pub(crate) const STYLE: &str = include_str!("page.css");

/// The whole page.
pub(crate) fn page(plan: &Plan) -> Markup {
    let cautions = Cautions::of(plan);
    let title = format!("{}: dye plan", plan.costume.name);
    let body = html! {
        a.skip href="#pieces" { "Skip to the pieces" }
        header { (front::head(plan)) }
        main {
            (front::first(plan))
            (sets::sets(plan))
            (together::together(plan))
            (scours::scours(plan))
            (days::days(plan))
            (shopping::shopping(plan))
            (cautions.page())
            @for (at, piece) in plan.pieces.iter().enumerate() {
                (piece::piece(at, piece, plan, &cautions))
            }
            (care::for_all(plan))
            (closing::sure(plan))
        }
        footer { (closing::safety()) }
    };
    whole(&title, &body)
}

/// Head and body of any page of ours: nothing outside is asked for.
pub(crate) fn whole(title: &str, body: &Markup) -> Markup {
    whole_in(title, "", body)
}

/// The same with a style of its own after the pages' style.
pub(crate) fn whole_in(title: &str, style: &'static str, body: &Markup) -> Markup {
    from_nowhere(title, style, "default-src 'none'; style-src 'unsafe-inline'", body)
}

/// The same with pictures that stand in the page itself.
pub(crate) fn with_pictures(title: &str, style: &'static str, body: &Markup) -> Markup {
    let policy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:";
    from_nowhere(title, style, policy, body)
}

fn from_nowhere(title: &str, style: &'static str, policy: &'static str, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light";
                meta http-equiv="Content-Security-Policy" content=(policy);
                title { (title) }
                style { (PreEscaped(STYLE)) (PreEscaped(style)) }
            }
            body { (body) }
        }
    }
}
