//! The forms of a shelf, and what is done with them: a field changed, a dye more or less, the text, a change taken back.
//!
//! A change that is refused shows its form again with what was typed and what is wrong with it.

use std::collections::BTreeMap;
use std::path::PathBuf;

use axum::extract::{Form, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use workroom::{
    OnShelf, ShelfChange, ShelfField, ShelfKind, Trouble, auxiliaries_known, change_shelf,
    costume_mark, costume_text, shelf_as_written, shelves_in, starters_known,
    take_back_shelf_change,
};

use super::frame::{self, Here, page as framed};
use super::room::Room;
use super::routes::{In, answered};
use super::shelf::BEGUN;
use super::words::{by_fields, escaped, sentence};

type Fields = BTreeMap<String, String>;

/// What a field is called in a form, and how it is written.
const ASKED: &[(ShelfField, &str, &str)] = &[
    (ShelfField::Name, "What it is called", "as on its label; left empty: as the starter dye"),
    (ShelfField::Like, "The starter dye it is nearest to", ""),
    (ShelfField::Grams, "What is left, g", "weighed with the pack, less an empty one"),
    (ShelfField::PackG, "What a pack holds, g", "as 20"),
    (ShelfField::PackPrice, "What a pack costs", "a number, in the costume’s currency"),
    (
        ShelfField::Lot,
        "Lot",
        "as printed on the pack; another lot is another dye until its swatch says not",
    ),
    (ShelfField::Bought, "The day it was bought", ""),
    (ShelfField::Opened, "The day it was opened", ""),
    (ShelfField::Expires, "The last day its maker vouches for it", ""),
];

/// Fields that only a dye has.
const OF_A_DYE: &[ShelfField] =
    &[ShelfField::Name, ShelfField::Like, ShelfField::Lot, ShelfField::Opened];

fn asked(
    kind: ShelfKind,
) -> impl Iterator<Item = &'static (ShelfField, &'static str, &'static str)> {
    ASKED.iter().filter(move |(f, ..)| kind == ShelfKind::Dye || !OF_A_DYE.contains(f))
}

const fn kind_word(kind: ShelfKind) -> &'static str {
    match kind {
        ShelfKind::Dye => "dye",
        ShelfKind::Auxiliary => "other",
    }
}

fn field(field: ShelfField, label: &str, hint: &str, value: &str, within: &str) -> Markup {
    let id = format!("{within}-{}", field.key());
    let day = matches!(field, ShelfField::Bought | ShelfField::Opened | ShelfField::Expires);
    let number = matches!(field, ShelfField::Grams | ShelfField::PackG | ShelfField::PackPrice);
    // A word that is no day cannot be shown by a field of days, and must not be lost.
    let shows = !day || value.is_empty() || (value.len() == 10 && value.as_bytes()[4] == b'-');
    html! {
        div.field {
            label for=(id) { (label) }
            @if field == ShelfField::Like {
                select id=(id) name=(field.key()) {
                    option value="" selected[value.is_empty()] { "choose one" }
                    @for (known, name, class) in starters_known() {
                        option value=(known) selected[known == value] { (name) " (" (class) ")" }
                    }
                    @if !value.is_empty() && !starters_known().iter().any(|(known, ..)| known == value) {
                        option value=(value) selected { (value) }
                    }
                }
            } @else {
                input id=(id) name=(field.key()) value=(value) type=(if day && shows { "date" } else { "text" })
                    inputmode=[number.then_some("decimal")] autocomplete="off" aria-describedby=[(!hint.is_empty()).then(|| format!("{id}-how"))];
            }
            @if !hint.is_empty() { p.how id={ (id) "-how" } { (sentence(hint)) } }
        }
    }
}

/// The fields of what stands on a shelf.
fn fields_form(of: &OnShelf, file: &str, mark: &str) -> Markup {
    let value = |wanted: ShelfField| {
        of.fields.iter().find(|(f, _)| *f == wanted).map(|(_, v)| v.as_str()).unwrap_or_default()
    };
    html! {
        form.question method="post" action="/shelf" {
            (about("change", of.kind, &of.id, file, mark))
            @for (f, label, hint) in asked(of.kind) { (field(*f, label, hint, value(*f), &of.id)) }
            button type="submit" { "Save" }
        }
    }
}

/// Takes it off the shelf.
fn drop_form(of: &OnShelf, file: &str, mark: &str, name: &str) -> Markup {
    html! {
        form method="post" action="/shelf" {
            (about("drop", of.kind, &of.id, file, mark))
            button.second type="submit" { "Take it off the shelf" span.unseen { ": " (name) } }
        }
    }
}

/// One more, with what was typed.
pub(super) fn new_form(
    kind: ShelfKind,
    file: &str,
    mark: &str,
    typed: &dyn Fn(&str) -> String,
) -> Markup {
    let within = format!("new-{}", kind_word(kind));
    html! {
        form.question method="post" action="/shelf" {
            (about("new", kind, "", file, mark))
            @if kind == ShelfKind::Auxiliary {
                div.field {
                    label for="new-other-what" { "What it is" }
                    select id="new-other-what" name="what" required {
                        option value="" { "choose one" }
                        @for (id, name) in auxiliaries_known() { option value=(id) selected[id == typed("what")] { (name) } }
                    }
                }
            }
            @for (f, label, hint) in asked(kind) { (field(*f, label, hint, &typed(f.key()), &within)) }
            button type="submit" { "Put it on the shelf" }
        }
    }
}

fn about(what: &str, kind: ShelfKind, id: &str, file: &str, mark: &str) -> Markup {
    html! {
        input type="hidden" name="do" value=(what);
        input type="hidden" name="kind" value=(kind_word(kind));
        @if !id.is_empty() { input type="hidden" name="id" value=(id); }
        input type="hidden" name="of" value=(file);
        @if !mark.is_empty() { input type="hidden" name="since" value=(mark); }
    }
}

/// The shelf file a form names: compared with those found; none named: the one that is begun.
fn file_of(room: &Room, fields: &Fields) -> Result<(String, PathBuf), Trouble> {
    let wanted = fields.get("of").map(String::as_str).unwrap_or_default();
    if wanted.is_empty() {
        let path = room.folder().join(BEGUN);
        return match path.exists() {
            true => Err(Trouble::Refused {
                says: format!("there is a file \"{BEGUN}\" in this folder already"),
                hint: "put the dye on that shelf, or move the file away".to_owned(),
            }),
            false => Ok((BEGUN.to_owned(), path)),
        };
    }
    let found = shelves_in(room.folder())?.into_iter().find(|one| one.file == wanted);
    found.map(|one| (one.file, one.path)).ok_or_else(|| Trouble::Refused {
        says: format!("there is no shelf \"{wanted}\" in this folder"),
        hint: "the shelf page shows those that are there".to_owned(),
    })
}

/// `/shelf/change`: what stands on a shelf, to be changed or taken off.
pub(super) async fn one(State(room): In, Query(fields): Query<Fields>) -> Response {
    answered(room, Here::Shelf, move |room| {
        let (file, path) = file_of(room, &fields)?;
        let (all, mark) = shelf_as_written(&path)?;
        let wanted = fields.get("id").map(String::as_str).unwrap_or_default();
        let kind = kind_of(&fields);
        let found = all.iter().find(|one| one.kind == kind && one.id == wanted);
        let of = found.ok_or_else(|| Trouble::Refused {
            says: format!("there is no \"{wanted}\" on this shelf that a form can change"),
            hint: "the shelf page shows what is on it".to_owned(),
        })?;
        let name = of.fields.iter().find(|(f, v)| *f == ShelfField::Name && !v.is_empty());
        let name = name.map_or_else(|| wanted.replace('-', " "), |(_, name)| name.clone());
        let body = html! {
            h1 { "The shelf: " (name) }
            p { a href={ "/shelf?of=" (escaped(&file)) } { "Back to the shelf" } }
            (fields_form(of, &file, &mark))
            (drop_form(of, &file, &mark, &name))
        };
        Ok(framed(&format!("{name} – the shelf"), Here::Shelf, &body).into_response())
    })
    .await
}

fn kind_of(fields: &Fields) -> ShelfKind {
    match fields.get("kind").map(String::as_str) {
        Some("other") => ShelfKind::Auxiliary,
        _ => ShelfKind::Dye,
    }
}

/// `POST /shelf`.
pub(super) async fn change(State(room): In, Form(fields): Form<Fields>) -> Response {
    answered(room, Here::Shelf, move |room| changed(room, &fields)).await
}

fn changed(room: &Room, fields: &Fields) -> Result<Response, Trouble> {
    let (file, path) = file_of(room, fields)?;
    let typed = |name: &str| fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default();
    let kind = kind_of(fields);
    let id = typed("id");
    let sent = asked(kind).map(|(f, ..)| (*f, typed(f.key())));
    let change = match typed("do").as_str() {
        "drop" => ShelfChange::Drop { kind, id: id.clone() },
        "new" => ShelfChange::New {
            kind,
            id: typed("what"),
            fields: sent.filter(|(_, given)| !given.is_empty()).collect(),
        },
        _ => {
            let (all, _) = shelf_as_written(&path)?;
            let before = all.into_iter().find(|one| one.kind == kind && one.id == id);
            let same = |f: ShelfField, given: &str| {
                before
                    .as_ref()
                    .is_some_and(|b| b.fields.iter().any(|(of, was)| *of == f && was == given))
            };
            let fields = sent.filter(|(f, given)| !same(*f, given)).collect();
            ShelfChange::Fields { kind, id: id.clone(), fields }
        }
    };
    let here = format!("/shelf?of={}", escaped(&file));
    let since = fields.get("since").map(String::as_str);
    match change_shelf(&path, &change, since, &room.recording()) {
        Ok(_) => Ok(Redirect::to(&here).into_response()),
        Err(why) => {
            let why = by_fields(why, ASKED.iter().map(|(f, label, _)| (f.key(), *label)));
            let mark = if path.exists() { costume_mark(&path)? } else { String::new() };
            let of = if path.exists() { file.as_str() } else { "" };
            let form = match &change {
                ShelfChange::New { .. } => new_form(kind, of, &mark, &typed),
                ShelfChange::Drop { .. } | ShelfChange::Text(_) => html! {},
                ShelfChange::Fields { .. } => {
                    let fields = asked(kind).map(|(f, ..)| (*f, typed(f.key()))).collect();
                    fields_form(&OnShelf { kind, id: id.clone(), fields, chips: 0 }, of, &mark)
                }
            };
            let body = html! {
                h1 { @if id.is_empty() { "The shelf" } @else { "The shelf: " (id) } }
                (frame::trouble(&why))
                (form)
                p { a href=(here) { "Leave it as it was" } }
            };
            Ok((frame::status(&why), framed("The shelf", Here::Shelf, &body)).into_response())
        }
    }
}

/// `POST /shelf/undo`.
pub(super) async fn undo(State(room): In, Form(fields): Form<Fields>) -> Response {
    answered(room, Here::Shelf, move |room| {
        let (file, path) = file_of(room, &fields)?;
        let since = fields.get("since").map(String::as_str);
        take_back_shelf_change(&path, since, &room.recording())?;
        Ok(Redirect::to(&format!("/shelf?of={}", escaped(&file))).into_response())
    })
    .await
}

/// `/shelf/file`.
pub(super) async fn file(State(room): In, Query(fields): Query<Fields>) -> Response {
    answered(room, Here::Shelf, move |room| {
        let (file, path) = file_of(room, &fields)?;
        let (text, mark) = (costume_text(&path)?, costume_mark(&path)?);
        Ok(framed("The shelf’s file", Here::Shelf, &text_form(&file, &text, &mark, None))
            .into_response())
    })
    .await
}

/// `POST /shelf/file`.
pub(super) async fn write_file(State(room): In, Form(fields): Form<Fields>) -> Response {
    answered(room, Here::Shelf, move |room| {
        let (file, path) = file_of(room, &fields)?;
        let text = fields.get("text").cloned().unwrap_or_default().replace("\r\n", "\n");
        let since = fields.get("since").map(String::as_str);
        let done = change_shelf(&path, &ShelfChange::Text(text.clone()), since, &room.recording());
        match done {
            Ok(_) => Ok(Redirect::to(&format!("/shelf?of={}", escaped(&file))).into_response()),
            Err(why) => {
                let body = text_form(&file, &text, &costume_mark(&path)?, Some(&why));
                let page = framed("The shelf’s file", Here::Shelf, &body);
                Ok((frame::status(&why), page).into_response())
            }
        }
    })
    .await
}

fn text_form(file: &str, text: &str, mark: &str, why: Option<&Trouble>) -> Markup {
    html! {
        h1 { "The shelf’s file itself" }
        p { "Everything a shelf can say stands in “" (file) "”. Faults are shown at their line; nothing is written while one \
            stands. " a href={ "/shelf?of=" (escaped(file)) } { "Back to the shelf" } }
        @if let Some(why) = why { (frame::trouble(why)) }
        form.whole method="post" action="/shelf/file" {
            input type="hidden" name="of" value=(file);
            input type="hidden" name="since" value=(mark);
            label for="text" { "Its text" }
            textarea id="text" name="text" rows="30" spellcheck="false" autocomplete="off" { (text) }
            button type="submit" { "Save" }
        }
    }
}
