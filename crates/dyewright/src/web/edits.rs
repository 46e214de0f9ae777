//! Changes to a costume file: fields of a form, a piece more or less, its text; and taking the last one back.
//!
//! A change that is refused shows its page again with what was typed and what is wrong with it.

use std::collections::BTreeMap;

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use workroom::{
    Change, PieceAsWritten, PieceField, Trouble, change_costume, costume_text, piece_as_written,
    take_back_change,
};

use super::frame::{self, Here, page as framed};
use super::room::Room;
use super::routes::{In, answered};
use super::{answer, piece as piece_page};

type Fields = BTreeMap<String, String>;

fn field(fields: &Fields, name: &str) -> String {
    fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default()
}

/// The fields a form may send for a piece, by their names in it.
const FIELDS: &[(&str, PieceField)] = &[
    ("name", PieceField::Name),
    ("cloth", PieceField::Cloth),
    ("weight", PieceField::Weight),
    ("target", PieceField::Target),
    ("undyed", PieceField::Undyed),
    ("seen_from", PieceField::SeenFrom),
    ("worth", PieceField::Worth),
];

/// `POST /c/{costume}/p/{piece}`.
pub(super) async fn piece(
    State(room): In,
    Path((key, id)): Path<(String, String)>,
    Form(fields): Form<Fields>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let before = piece_as_written(&costume.path, &id)?;
        let done = changes(&before, &fields).and_then(|fields| {
            let change = Change::Piece { id: id.clone(), fields };
            change_costume(&costume.path, &change, &room.recording())
        });
        match done {
            Ok(_) => Ok(Redirect::to(&format!("/c/{key}/p/{id}")).into_response()),
            Err(why) => {
                let typed = before.typed(|name| field(&fields, name));
                let body = html! {
                    h1 { (before.name) }
                    (frame::trouble(&why))
                    (piece_page::form(&key, &id, &typed))
                    p { a href={ "/c/" (key) "/p/" (id) } { "Leave it as it was" } }
                };
                let page = framed(&before.name, Here::Costume, &body);
                Ok((frame::status(&why), page).into_response())
            }
        }
    })
    .await
}

/// Only what differs from what is written: the rest of the file stays as its maker wrote it.
fn changes(before: &PieceAsWritten, fields: &Fields) -> Result<Vec<(PieceField, String)>, Trouble> {
    let mut changed = vec![];
    for (name, of) in FIELDS {
        let Some(now) = fields.get(*name).map(|v| v.trim()) else { continue };
        if now == before.field(*of) {
            continue;
        }
        if matches!(of, PieceField::Target | PieceField::Undyed) {
            answer::only_a_colour(now)?;
        }
        changed.push((*of, now.to_owned()));
    }
    Ok(changed)
}

/// `POST /c/{costume}/pieces`.
pub(super) async fn new_piece(
    State(room): In,
    Path(key): Path<String>,
    Form(fields): Form<Fields>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let given = FIELDS[1..4].iter().map(|(name, of)| (*of, field(&fields, name))).collect();
        let change = Change::NewPiece { name: field(&fields, "name"), fields: given };
        let done = answer::only_a_colour(&field(&fields, "target"))
            .and_then(|_| change_costume(&costume.path, &change, &room.recording()));
        match done {
            Ok(_) => Ok(Redirect::to(&format!("/c/{key}#pieces")).into_response()),
            Err(why) => {
                let body = html! {
                    h1 { "Another piece" }
                    (frame::trouble(&why))
                    form.question method="post" action={ "/c/" (key) "/pieces" } {
                        @for (name, label) in [("name", "What it is"), ("cloth", "The cloth"), ("weight", "Its weight, dry"), ("target", "The colour it shall be")] {
                            div.field { label for=(name) { (label) } input id=(name) name=(name) value=(field(&fields, name)) required autocomplete="off"; }
                        }
                        button type="submit" { "Add the piece" }
                    }
                    p { a href={ "/c/" (key) } { "Leave it" } }
                };
                let page = framed("Another piece", Here::Costume, &body);
                Ok((frame::status(&why), page).into_response())
            }
        }
    })
    .await
}

/// `POST /c/{costume}/p/{piece}/drop`.
pub(super) async fn drop_piece(
    State(room): In,
    Path((key, id)): Path<(String, String)>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        change_costume(&costume.path, &Change::DropPiece { id }, &room.recording())?;
        Ok(Redirect::to(&format!("/c/{key}")).into_response())
    })
    .await
}

/// `POST /c/{costume}`.
pub(super) async fn head(
    State(room): In,
    Path(key): Path<String>,
    Form(fields): Form<Fields>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let (name, note, day) =
            (field(&fields, "name"), field(&fields, "note"), field(&fields, "day"));
        change_costume(&costume.path, &Change::Head { name, note, day }, &room.recording())?;
        Ok(Redirect::to(&format!("/c/{key}")).into_response())
    })
    .await
}

/// `POST /c/{costume}/undo`.
pub(super) async fn undo(State(room): In, Path(key): Path<String>) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        take_back_change(&costume.path, &room.recording())?;
        Ok(Redirect::to(&format!("/c/{key}")).into_response())
    })
    .await
}

/// `/c/{costume}/file`.
pub(super) async fn file(State(room): In, Path(key): Path<String>) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let text = costume_text_of(room, &key)?;
        let body = text_form(&key, &costume.file, &text, None);
        Ok(framed(&format!("The file of {}", costume.name), Here::Costume, &body).into_response())
    })
    .await
}

/// `POST /c/{costume}/file`.
pub(super) async fn write_file(
    State(room): In,
    Path(key): Path<String>,
    Form(fields): Form<Fields>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let text = fields.get("text").cloned().unwrap_or_default().replace("\r\n", "\n");
        match change_costume(&costume.path, &Change::Text(text.clone()), &room.recording()) {
            Ok(_) => Ok(Redirect::to(&format!("/c/{key}")).into_response()),
            Err(why) => {
                let body = text_form(&key, &costume.file, &text, Some(&why));
                let page = framed("The file", Here::Costume, &body);
                Ok((frame::status(&why), page).into_response())
            }
        }
    })
    .await
}

fn costume_text_of(room: &Room, key: &str) -> Result<String, Trouble> {
    costume_text(&room.costume(key)?.path)
}

fn text_form(key: &str, file: &str, text: &str, why: Option<&Trouble>) -> Markup {
    html! {
        h1 { "The file itself" }
        p { "Everything a costume can say stands in “" (file) "”. Faults are shown at their line; nothing is written while one \
            stands. " a href={ "/c/" (key) } { "Back to the costume" } }
        @if let Some(why) = why { (frame::trouble(why)) }
        form.whole method="post" action={ "/c/" (key) "/file" } {
            label for="text" { "Its text" }
            textarea id="text" name="text" rows="30" spellcheck="false" autocomplete="off" { (text) }
            button type="submit" { "Save" }
        }
    }
}
