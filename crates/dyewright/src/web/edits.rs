//! Changes to a costume file: fields of a form, a piece more or less, its text; and taking the last one back.
//!
//! A change that is refused shows its page again with what was typed and what is wrong with it.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use axum::extract::{Form, Path as Of, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use workroom::{
    Change, CostumeFound, HeadAsWritten, PieceAsWritten, PieceField, Trouble, change_costume,
    costume_mark, costume_text, look_for_faults, piece_as_written, take_back_change,
};

use super::frame::{self, Here, page as framed};
use super::opened;
use super::room::Room;
use super::routes::{In, answered};
use super::words::by_fields;
use super::{answer, costume, piece as piece_page};

type Fields = BTreeMap<String, String>;

fn field(fields: &Fields, name: &str) -> String {
    fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default()
}

/// The mark of the text that a page was made of; none where a form sends none.
fn since(fields: &Fields) -> Option<&str> {
    fields.get("since").map(String::as_str)
}

/// Does something to a costume's file, then shows the costume.
async fn done(
    room: Arc<Room>,
    key: String,
    what: impl FnOnce(&Room, &CostumeFound) -> Result<String, Trouble> + Send + 'static,
) -> Response {
    answered(room, Here::Costume, move |room| {
        what(room, &room.costume(&key)?)?;
        Ok(Redirect::to(&format!("/c/{key}")).into_response())
    })
    .await
}

/// A page that was refused: what is wrong, the form as it was typed, and a way out.
fn again(title: &str, why: Trouble, form: &Markup, out: &str, words: &str) -> Response {
    let why = &by_fields(why, LABELS.iter().copied());
    let body = html! {
        h1 { (title) }
        (frame::trouble(why))
        (form)
        p { a href=(out) { (words) } }
    };
    (frame::status(why), framed(title, Here::Costume, &body)).into_response()
}

/// What the keys of a costume file are called in forms.
const LABELS: &[(&str, &str)] = &[
    ("name", "What it is called"),
    ("note", "What is to be said of it"),
    ("day", "The day it must be ready"),
    ("cloth", "The cloth"),
    ("weight_g", "Its weight, dry"),
    ("target", "The colour it shall be"),
    ("undyed", "The cloth before dyeing"),
    ("seen_from", "From how near it is seen"),
    ("worth", "When time runs out"),
    ("shelf", "The shelf"),
    ("only", "Only these dyes"),
];

/// The fields a form may send for a piece, by their names in it.
const FIELDS: &[(&str, PieceField)] = &[
    ("name", PieceField::Name),
    ("cloth", PieceField::Cloth),
    ("weight", PieceField::Weight),
    ("target", PieceField::Target),
    ("undyed", PieceField::Undyed),
    ("seen_from", PieceField::SeenFrom),
    ("worth", PieceField::Worth),
    ("overrule", PieceField::Overrule),
];

/// `POST /c/{costume}/p/{piece}`.
pub(super) async fn piece(
    State(room): In,
    Of((key, id)): Of<(String, String)>,
    Form(fields_sent): Form<Fields>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let before = piece_as_written(&costume.path, &id)?;
        let mut fields_sent = fields_sent;
        if fields_sent.contains_key("advice") {
            let ids = fields_sent.keys().filter_map(|name| name.strip_prefix("overrule-"));
            let ids = ids.collect::<Vec<_>>().join(",");
            fields_sent.insert("overrule".to_owned(), ids);
        }
        let done = changes(&before, &fields_sent).and_then(|fields| {
            let change = Change::Piece { id: id.clone(), fields };
            change_costume(&costume.path, &change, since(&fields_sent), &room.recording())
        });
        let here = format!("/c/{key}/p/{id}");
        Ok(match done {
            Ok(_) => Redirect::to(&here).into_response(),
            Err(why) => {
                let typed = before.typed(|name| field(&fields_sent, name));
                let form = piece_page::form(&key, &id, &typed);
                again(&before.name, why, &form, &here, "Leave it as it was")
            }
        })
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
    Of(key): Of<String>,
    Form(fields): Form<Fields>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let given = FIELDS[1..4].iter().map(|(name, of)| (*of, field(&fields, name))).collect();
        let change = Change::NewPiece { name: field(&fields, "name"), fields: given };
        let done = answer::only_a_colour(&field(&fields, "target"))
            .and_then(|_| change_costume(&costume.path, &change, None, &room.recording()));
        Ok(match done {
            Ok(_) => Redirect::to(&format!("/c/{key}#pieces")).into_response(),
            Err(why) => {
                let form = costume::new_piece(&key, |name| field(&fields, name));
                again("Another piece", why, &form, &format!("/c/{key}"), "Leave it")
            }
        })
    })
    .await
}

/// `POST /c/{costume}/p/{piece}/drop`.
pub(super) async fn drop_piece(State(room): In, Of((key, id)): Of<(String, String)>) -> Response {
    done(room, key, |room, costume| {
        change_costume(&costume.path, &Change::DropPiece { id }, None, &room.recording())
    })
    .await
}

/// `POST /c/{costume}/undo`.
pub(super) async fn undo(
    State(room): In,
    Of(key): Of<String>,
    Form(fields): Form<Fields>,
) -> Response {
    done(room, key, move |room, costume| {
        take_back_change(&costume.path, since(&fields), &room.recording())
    })
    .await
}

/// `POST /c/{costume}`.
pub(super) async fn head(
    State(room): In,
    Of(key): Of<String>,
    Form(fields): Form<Fields>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let (name, note, day) =
            (field(&fields, "name"), field(&fields, "note"), field(&fields, "day"));
        let change = Change::Head { name: name.clone(), note: note.clone(), day: day.clone() };
        let done = change_costume(&costume.path, &change, since(&fields), &room.recording());
        let here = format!("/c/{key}");
        Ok(match done {
            Ok(_) => Redirect::to(&here).into_response(),
            Err(why) => {
                let mark = costume_mark(&costume.path)?;
                let form = costume::head_form(
                    &key,
                    &HeadAsWritten { name, note, day, mark, ..HeadAsWritten::default() },
                );
                again("Name, note and date", why, &form, &here, "Leave it as it was")
            }
        })
    })
    .await
}

/// `POST /c/{costume}/shelf`.
pub(super) async fn shelf(
    State(room): In,
    Of(key): Of<String>,
    Form(fields): Form<Fields>,
) -> Response {
    done(room, key, move |room, costume| {
        let wanted = field(&fields, "shelf");
        // Compared with what was found, never made into a path.
        let found = costume::shelves(room, costume)?;
        if !wanted.is_empty() && !found.contains(&wanted) {
            return Err(Trouble::Refused {
                says: format!("there is no shelf \"{wanted}\" beside this costume"),
                hint: "choose one of those that its page offers".to_owned(),
            });
        }
        let only = fields.keys().filter_map(|name| name.strip_prefix("have-").map(str::to_owned));
        let change = Change::Shelf { shelf: wanted, have: only.collect() };
        change_costume(&costume.path, &change, since(&fields), &room.recording())
    })
    .await
}

/// `/c/{costume}/file`.
pub(super) async fn file(State(room): In, Of(key): Of<String>) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let text = costume_text(&costume.path)?;
        let mark = costume_mark(&costume.path)?;
        // A text that was spoiled elsewhere comes with its faults: here they are mended.
        let why = look_for_faults(&costume.path).err();
        let why = why
            .filter(|why| matches!(why, Trouble::Faults(f) if Path::new(&f.file) == costume.path));
        let body = html! {
            (opened::ways(&key, &costume.name, "/file"))
            (text_form(&key, &costume.file, &text, &mark, why.as_ref()))
        };
        Ok(framed(&format!("The file of {}", costume.name), Here::Costume, &body).into_response())
    })
    .await
}

/// `POST /c/{costume}/file`.
pub(super) async fn write_file(
    State(room): In,
    Of(key): Of<String>,
    Form(fields): Form<Fields>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let text = fields.get("text").cloned().unwrap_or_default().replace("\r\n", "\n");
        let change = Change::Text(text.clone());
        match change_costume(&costume.path, &change, since(&fields), &room.recording()) {
            Ok(_) => Ok(Redirect::to(&format!("/c/{key}")).into_response()),
            Err(why) => {
                let mark = costume_mark(&costume.path)?;
                let body = html! {
                    (opened::ways(&key, &costume.name, "/file"))
                    (text_form(&key, &costume.file, &text, &mark, Some(&why)))
                };
                let page = framed("The file", Here::Costume, &body);
                Ok((frame::status(&why), page).into_response())
            }
        }
    })
    .await
}

fn text_form(key: &str, file: &str, text: &str, mark: &str, why: Option<&Trouble>) -> Markup {
    html! {
        h1 { "The file itself" }
        p { "Everything a costume can say stands in “" (file) "”. Faults are shown at their line; nothing is written while one \
            stands. " a href={ "/c/" (key) } { "Back to the costume" } }
        @if let Some(why) = why { (frame::trouble(why)) }
        form.whole method="post" action={ "/c/" (key) "/file" } {
            input type="hidden" name="since" value=(mark);
            label for="text" { "Its text" }
            textarea id="text" name="text" rows="30" spellcheck="false" autocomplete="off" { (text) }
            button type="submit" { "Save" }
        }
    }
}
