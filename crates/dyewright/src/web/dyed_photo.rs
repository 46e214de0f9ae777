//! A piece dyed whole, read from a photograph: sent, its cloth shown, read, and recorded as how the piece came out.
//!
//! The same steps as for a swatch (`photograph`). Left out: what a reading then says of the piece (`dyed`).

use std::collections::BTreeMap;

use axum::extract::{Multipart, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::html;
use workroom::document::{PiecePlan, Plan};
use workroom::{ReadingTyped, Trouble};

use super::dyed;
use super::frame::{self, Here, page as framed};
use super::opened::{self, Opened};
use super::photograph::{self, Asked, Looked, reading};
use super::room::Room;
use super::routes::{In, answered};

type Piece = (String, String);

/// `/c/{costume}/p/{piece}/dyed/photo`.
pub(super) async fn ask(State(room): In, Path(piece): Path<Piece>) -> Response {
    answered(room, Here::Costume, move |room| asking(room, &piece, None)).await
}

fn asking(room: &Room, (key, id): &Piece, why: Option<&Trouble>) -> Result<Response, Trouble> {
    let costume = room.costume(key)?;
    let body = html! {
        (opened::ways(key, &costume.name, "/p"))
        h1 { "How the piece came out, from a photograph" }
        @if let Some(why) = why { (frame::trouble(why)) }
        (photograph::upload(&format!("/c/{key}/p/{id}/dyed/photo"), "dyed-photo"))
        p { a href={ "/c/" (key) "/p/" (id) "#dyed" } { "Leave it" } }
    };
    let status = why.map_or(StatusCode::OK, frame::status);
    Ok((status, framed("How it came out", Here::Costume, &body)).into_response())
}

/// `POST /c/{costume}/p/{piece}/dyed/photo`.
pub(super) async fn send(State(room): In, Path(piece): Path<Piece>, form: Multipart) -> Response {
    let base = format!("/c/{}/p/{}/dyed/photo", piece.0, piece.1);
    let laid = photograph::laid(&room, form, &base).await;
    answered(room, Here::Costume, move |room| match &laid {
        Ok(to) => Ok(Redirect::to(to).into_response()),
        Err(why) => asking(room, &piece, Some(why)),
    })
    .await
}

/// `/c/{costume}/p/{piece}/dyed/photo/{number}`.
pub(super) async fn page(
    State(room): In,
    Path((key, id, number)): Path<(String, String, u64)>,
    Query(fields): Query<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let photo = room.tray.numbered(number)?;
        let asked = Asked::of(&fields);
        let opened = Opened::of(room, &key)?;
        let looked = Looked::at(room, &photo, &asked, Some(&opened.book(room)));
        let piece = format!("/c/{key}/p/{id}");
        let here = format!("{piece}/dyed/photo/{number}");
        let mut response = opened.page_by_itself("How it came out, from a photograph", "/p", |plan| {
            let of = dyed_whole(plan, &id)?;
            Ok(html! {
                h1 { (of.name) ": how it came out, from a photograph" }
                (looked.part(room, number, &here, &asked)?)
                @if let Some((read, colour)) = looked.colour() {
                    (reading(&read, &colour, Some(&of.target)))
                    @let [l, a, b] = colour.lab;
                    @let typed = ReadingTyped {
                        colour: format!("{l} {a} {b}"),
                        spread: colour.spread_rms.to_string(),
                        light: asked.light.clone(),
                        job: photo.job.clone(),
                        ..dyed::usual(&plan.costume.today)
                    };
                    section aria-labelledby="record" {
                        h2 id="record" { "Record it" }
                        p { "The reading is filled in. Look at the state the piece was read in, then record it." }
                        (dyed::form(&piece, &typed, Some((photo.number, photo.bytes))))
                    }
                }
                details.after id="another" { summary { "Send another photograph" } (photograph::upload(&format!("{piece}/dyed/photo"), "dyed-photo")) }
                p { a href={ (piece) "#dyed" } { "Leave it: nothing is recorded" } }
                script type="module" src="/picking.js" {}
            })
        })?;
        if response.status() == StatusCode::OK {
            *response.status_mut() = looked.status();
        }
        Ok(response)
    })
    .await
}

/// A piece that was dyed whole: of no other can be said how it came out.
fn dyed_whole<'p>(plan: &'p Plan, id: &str) -> Result<&'p PiecePlan, Trouble> {
    let found = plan.pieces.iter().find(|piece| piece.id == id);
    let piece = found.ok_or_else(|| Trouble::Refused {
        says: format!("there is no piece \"{id}\" in this costume"),
        hint: "it may have been taken out: look at the costume".to_owned(),
    })?;
    match &piece.special.recorded {
        Some(recorded) if recorded.whole => Ok(piece),
        _ => Err(Trouble::Refused {
            says: format!("{} was not dyed whole yet, as far as is on record", piece.name),
            hint: "record what was really done first, on the page of its bath".to_owned(),
        }),
    }
}
