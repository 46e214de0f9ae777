//! The frame of every page: head, ways to the other pages, and what went wrong on top.

use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use maud::{DOCTYPE, Markup, html};
use serde_json::json;
use workroom::{Faults, Trouble};

use super::desk::At;
use super::words;

/// Where a page stands in the workroom.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Here {
    /// The start, and the answers to its question.
    Start,
    /// A costume and what belongs to it.
    Costume,
    /// The shelf.
    Shelf,
    /// The swatch book.
    Book,
    /// The door for a phone.
    Phone,
    /// What to do when it went wrong.
    Wrong,
}

/// A page of the workroom.
pub(super) fn page(title: &str, here: Here, body: &Markup) -> Markup {
    let ways = [
        (Here::Start, "/", "Start"),
        (Here::Shelf, "/shelf", "Shelf"),
        (Here::Book, "/book", "Swatch book"),
        (Here::Phone, "/phone", "Phone"),
        (Here::Wrong, "/wrong", "It went wrong"),
    ];
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            (head(title, &html! { script type="module" src="/alive.js" {} }))
            body {
                a.skip href="#main" { "Skip to the page" }
                nav.ways aria-label="The workroom" {
                    ul {
                        @for (at, to, name) in ways {
                            li { a href=(to) aria-current=[(at == here).then_some("page")] { (name) } }
                        }
                    }
                }
                main id="main" tabindex="-1" { (body) }
            }
        }
    }
}

/// The head of every page that may fetch the look, and what this one has besides.
fn head(title: &str, more: &Markup) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content="light";
            title { (title) " – Dyewright" }
            link rel="icon" href="data:,";
            link rel="stylesheet" href="/look.css";
            (more)
        }
    }
}

/// A page for a phone that is not in yet: the look, no ways; loaded again after so many seconds.
pub(super) fn outside(title: &str, body: &Markup, again_s: Option<u32>) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            (head(title, &html! { @if let Some(seconds) = again_s { meta http-equiv="refresh" content=(seconds); } }))
            body { main id="main" { (body) } }
        }
    }
}

/// A page for somebody who is not let in: no ways, no style to fetch.
pub(super) fn bare(title: &str, words: &str) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            head { meta charset="utf-8"; title { (title) } }
            body { main { h1 { (title) } p { (words) } } }
        }
    }
}

/// How far a work is, for the script of a page; nothing when it is at its end.
pub(super) fn progress(at: Option<&At>) -> Response {
    let said = match at {
        Some(at) => json!({ "busy": true, "done": at.done, "of": at.of, "doing": at.doing }),
        None => json!({ "busy": false }),
    };
    axum::Json(said).into_response()
}

/// What went wrong, as a part of a page: first, and where a screen reader finds it.
pub(super) fn trouble(trouble: &Trouble) -> Markup {
    html! {
        div.trouble role="alert" id="trouble" tabindex="-1" {
            h2 { "That did not work" }
            @match trouble {
                Trouble::Faults(faults) => {
                    (self::faults(faults))
                    p { "Nothing was changed." }
                }
                Trouble::Refused { says, hint } => {
                    p { (words::sentence(says)) " " span.do { (words::sentence(hint)) } }
                }
                Trouble::Broken { doing, why, .. } => {
                    p { "Something here is broken, while " (doing) ": " (why) "." }
                    p { "Nothing was left half written. Mend this and try again." }
                }
            }
        }
    }
}

/// Each fault of a file or of a form: where it is, what it is, what to do.
pub(super) fn faults(faults: &Faults) -> Markup {
    html! {
        ul {
            @for fault in faults.list.iter().take(MOST_FAULTS) {
                li {
                    @match words::line_of(faults, fault) {
                        Some(line) => { "Line " (line) ": " }
                        None => { @if let Some(typed) = words::typed(faults, fault) { "“" (typed) "”: " } }
                    }
                    (words::sentence(&fault.says)) " " span.do { (words::sentence(&fault.hint)) }
                }
            }
        }
        @if faults.list.len() > MOST_FAULTS { p { "… and " (faults.list.len() - MOST_FAULTS) " more." } }
    }
}

/// Faults shown at once: more only push the form away.
const MOST_FAULTS: usize = 12;

/// A page that says what went wrong and nothing else, with its status.
pub(super) fn whole_trouble(of: &Trouble, here: Here) -> Response {
    let title = if status(of) == StatusCode::NOT_FOUND { "Not here" } else { "Not done" };
    let body = html! {
        h1 { (title) }
        (trouble(of))
        p { a href="/" { "To the start" } }
    };
    (status(of), page(title, here, &body)).into_response()
}

/// An answer that was refused before any page saw it, as an address that holds no number where one belongs: it comes in
/// the words of those who write programs, and leaves as a page in ours.
pub(super) async fn in_words(response: Response) -> Response {
    let status = response.status();
    let kind = response.headers().get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
    let plain = kind.is_none_or(|kind| kind.starts_with("text/plain"));
    if !(status.is_client_error() && plain) {
        return response;
    }
    let (says, hint) = match status {
        StatusCode::PAYLOAD_TOO_LARGE => {
            ("what was sent is too large to be read", "go back, and send less of it at once")
        }
        _ => (
            "this address or form is not as a page of the workroom writes it",
            "go back, load that page again, and try it once more",
        ),
    };
    let trouble = Trouble::Refused { says: says.to_owned(), hint: hint.to_owned() };
    let mut page = whole_trouble(&trouble, Here::Start);
    *page.status_mut() = status;
    page
}

/// What an answer with this trouble is called by HTTP (RFC 9110 §15).
pub(super) fn status(of: &Trouble) -> StatusCode {
    match of {
        Trouble::Broken { .. } => StatusCode::INTERNAL_SERVER_ERROR,
        Trouble::Faults(_) => StatusCode::UNPROCESSABLE_ENTITY,
        Trouble::Refused { says, .. } if says.starts_with("there is no ") => StatusCode::NOT_FOUND,
        Trouble::Refused { .. } => StatusCode::UNPROCESSABLE_ENTITY,
    }
}
