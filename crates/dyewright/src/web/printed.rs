//! What is printed or taken along: the plan as a page, cards and labels, the list, the days, the calendar.

use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::response::{IntoResponse as _, Response};
use maud::{Markup, html};
use workroom::{Plan, Trouble, finished_page, record_of_planned};

use super::frame::Here;
use super::opened::Opened;
use super::room::Room;
use super::routes::{In, answered};

/// A printed page carries its own style, and nothing else.
const PRINTED_POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'";

/// `/c/{costume}/print`: everything that can be printed or taken along, and what each is for.
pub(super) async fn hub(State(room): In, Path(key): Path<String>) -> Response {
    answered(room, Here::Costume, move |room| {
        let opened = Opened::of(room, &key)?;
        opened.page("Print", "/print", |plan| {
            let here = format!("/c/{key}/print");
            let baths: usize = plan.pieces.iter().map(|piece| piece.sheets.len()).sum();
            Ok(html! {
                h1 { "To print, or to take along" }
                p.note { "Each opens as a page by itself: print it with your browser, on A4 or Letter, or save it. No page has a dark ground." }
                section aria-labelledby="work" { h2 id="work" { "For the work" }
                    ul.tiles {
                        (one(&format!("{here}/plan"), "The whole plan", "Every piece, set, day, bath sheet and the shopping list, in one."))
                        @if baths > 0 { (one(&format!("{here}/sheets"), "All bath sheets", &format!("{baths} sheets, one a pot: cautions, doses, steps to tick."))) }
                        (one(&format!("{here}/cards"), "Swatch cards and labels", "A card to sew each swatch to, a label for each bottle of stock solution."))
                        (one(&format!("{here}/shopping-list"), "The shopping list", "In packs, with what the shelf holds taken off."))
                    }
                }
                section aria-labelledby="keep" { h2 id="keep" { "To keep" }
                    ul.tiles {
                        (one(&format!("{here}/finished"), "The finished costume", "The reference, and of every piece its cloth, its swatches and what was dyed how."))
                    }
                }
                section aria-labelledby="each" { h2 id="each" { "Piece by piece" }
                    ul { @for piece in &plan.pieces { li { b { (piece.name) } ": "
                        @if piece.sheets.is_empty() { "no bath sheet of its own" } @else { a href={ (here) "/sheets-" (piece.id) } { "its bath sheets" } }
                        @if piece.sheets.iter().any(|sheet| sheet.kind == "bulk") { ", " a href={ (here) "/hand-out-" (piece.id) } { "one sheet for somebody else" } }
                        ", " a href={ (here) "/record-" (piece.id) } { "its record" }
                    } } }
                }
                section aria-labelledby="data" { h2 id="data" { "For other programs" }
                    ul {
                        li { a href={ (here) "/calendar" } download { "The days as a calendar" } " (iCalendar): a phone rings even while this machine sleeps" }
                        li { a href={ (here) "/days" } download { "The days as a table" } " (CSV)" }
                        li { a href={ (here) "/shopping" } download { "The shopping list as a table" } " (CSV)" }
                    }
                }
            })
        })
    })
    .await
}

fn one(to: &str, name: &str, what: &str) -> Markup {
    html! { li.tile { h3 { a href=(to) { (name) } } p { (what) } } }
}

/// `/c/{costume}/print/{what}`.
pub(super) async fn page(State(room): In, Path((key, what)): Path<(String, String)>) -> Response {
    answered(room, Here::Costume, move |room| {
        let opened = Opened::of(room, &key)?;
        let stamp = room.stamp()?;
        let Some(plan) = opened.look.plan() else {
            return opened.page("Print", "/print", |_| Ok(html! {}));
        };
        let html = "text/html; charset=utf-8";
        let (kind, ending, text) = match what.as_str() {
            "plan" => (html, None, paper::html(plan)),
            "sheets" => (html, None, paper::bath_sheets(plan, None).ok_or_else(|| none(&what))?),
            "shopping-list" => (html, None, paper::shopping_page(plan)),
            "finished" => (html, None, finished_page(plan, &opened.costume.path, room.book())?),
            "cards" => (html, None, paper::cards_and_labels(plan)),
            "shopping" => {
                ("text/csv; charset=utf-8", Some("shopping.csv"), paper::shopping_csv(plan))
            }
            "days" => ("text/csv; charset=utf-8", Some("days.csv"), paper::days_csv(plan)),
            "calendar" => {
                ("text/calendar; charset=utf-8", Some("days.ics"), paper::calendar(plan, &stamp))
            }
            other => (html, None, of_a_piece(room, &opened, plan, other)?),
        };
        let mut response = ([(CONTENT_TYPE, kind)], text).into_response();
        let headers = response.headers_mut();
        if let Some(ending) = ending
            && let Ok(value) = format!("attachment; filename=\"{key}.{ending}\"").parse()
        {
            headers.insert(CONTENT_DISPOSITION, value);
        }
        headers
            .insert(CONTENT_SECURITY_POLICY, axum::http::HeaderValue::from_static(PRINTED_POLICY));
        Ok(response)
    })
    .await
}

fn none(what: &str) -> Trouble {
    Trouble::Refused {
        says: format!("there is no page \"{what}\" to print"),
        hint: "the costume's page \"Print\" leads to those there are".to_owned(),
    }
}

/// A page of one piece: its bath sheets, one sheet for somebody else, its record.
fn of_a_piece(room: &Room, opened: &Opened, plan: &Plan, what: &str) -> Result<String, Trouble> {
    if let Some(id) = what.strip_prefix("sheets-") {
        return paper::bath_sheets(plan, Some(id)).ok_or_else(|| none(what));
    }
    if let Some(id) = what.strip_prefix("hand-out-") {
        return paper::recipe_sheet(plan, id).ok_or_else(|| none(what));
    }
    let id = what.strip_prefix("record-").unwrap_or_default();
    let piece = plan.pieces.iter().find(|p| p.id == id).ok_or_else(|| none(what))?;
    let book = opened.book(room);
    if !book.exists() {
        return Err(Trouble::Refused {
            says: format!("nothing of \"{}\" is on record: there is no workbook yet", piece.name),
            hint: "it begins with the first swatch that is recorded".to_owned(),
        });
    }
    record_of_planned(plan, id, &book)
}
