//! The start: the one-minute question, the costumes that are here, the worked example.

use axum::extract::State;
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use workroom::{Trouble, begin_example};

use super::answer::{Asked, form};
use super::frame::{Here, page as framed};
use super::room::Room;
use super::routes::{In, answered};

/// `/`.
pub(super) async fn page(State(room): In) -> Response {
    answered(room, Here::Start, |room| Ok(start(room)?.into_response())).await
}

fn start(room: &Room) -> Result<Markup, Trouble> {
    let costumes = room.costumes()?;
    let body = html! {
        header.hello {
            h1 { "Which cloth, which colour?" }
            p.note { "Can it be reached, with which dyes, and what could go wrong: one question, answered while you wait. \
                Nothing leaves this machine." }
        }
        section.ask aria-label="The question" { (form(&Asked::default(), room)?) }
        section aria-labelledby="here" {
            h2 id="here" { "Costumes in this folder" }
            @if costumes.is_empty() {
                p { "None yet. Ask the question above and make the answer a costume, or look at the worked example first." }
            } @else {
                ul.costumes {
                    @for one in &costumes {
                        li { a.tile href={ "/c/" (one.key) } { b { (one.name) } span.quiet { (one.file) } } }
                    }
                }
            }
            @if !costumes.iter().any(|one| one.file.starts_with(EXAMPLE)) {
                form method="post" action="/example" {
                    button.second type="submit" { "Put the worked example here" }
                    p.quiet { "An invented character of nineteen pieces, in a folder of its own: “" (EXAMPLE) "”." }
                }
            }
        }
    };
    Ok(framed("Which cloth, which colour?", Here::Start, &body))
}

/// The folder the worked example goes into.
const EXAMPLE: &str = "lantern-warden";

/// `POST /example`.
pub(super) async fn example(State(room): In) -> Response {
    answered(room, Here::Start, |room| {
        begin_example(&room.folder().join(EXAMPLE))?;
        let key = room.costumes()?.into_iter().find(|one| one.file.starts_with(EXAMPLE));
        let to = key.map_or_else(|| "/".to_owned(), |one| format!("/c/{}", one.key));
        Ok(Redirect::to(&to).into_response())
    })
    .await
}
