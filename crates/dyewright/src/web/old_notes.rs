//! Old swatches taken into the swatch book from a photograph: the cloth's place shown, the colour read, what the note
//! says of dyes and cloth typed beside it.

use std::collections::BTreeMap;
use std::path::PathBuf;

use axum::extract::{Form, Multipart, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use workroom::{
    DyeSeen, OldDose, OldSwatch, Trouble, WORKBOOK, cloths_known, keep_photo, list_shelf,
    record_old, shelves_in,
};

use super::answer::only_a_colour;
use super::frame::{self, Here, page as framed};
use super::photograph::{self, Asked, Looked, laid, reading};
use super::room::Room;
use super::routes::{In, answered};
use super::words::escaped;

type Fields = BTreeMap<String, String>;

/// Dyes a form has rows for: recipes of more are not proposed, and hardly noted.
const ROWS: usize = 4;

/// `/book/old`.
pub(super) async fn ask(State(room): In) -> Response {
    answered(room, Here::Book, |_| Ok(asking(None))).await
}

fn asking(why: Option<&Trouble>) -> Response {
    let body = html! {
        h1 { "An old swatch from a photograph" }
        @if let Some(why) = why { (frame::trouble(why)) }
        @else { p { "Lay it beside a chart, or what you have in its place, photograph both, and say what its note tells of dyes and cloth. Recipes then learn from it, a little \
            less than from your own fresh swatches: nobody knows that water and scale any more." } }
        (photograph::upload("/book/old", "old-photo"))
        p { a href="/book" { "Back to the swatch book" } }
    };
    let status = why.map_or(StatusCode::OK, frame::status);
    (status, framed("An old swatch", Here::Book, &body)).into_response()
}

/// `POST /book/old`.
pub(super) async fn send(State(room): In, form: Multipart) -> Response {
    let laid = laid(&room, form, "/book/old").await;
    answered(room, Here::Book, move |_| {
        Ok(match &laid {
            Ok(to) => Redirect::to(to).into_response(),
            Err(why) => asking(Some(why)),
        })
    })
    .await
}

/// `/book/old/{number}`.
pub(super) async fn page(
    State(room): In,
    Path(number): Path<u64>,
    Query(fields): Query<Fields>,
) -> Response {
    answered(room, Here::Book, move |room| {
        let photo = room.tray.numbered(number)?;
        let asked = Asked::of(&fields);
        let book = room.books()?.into_iter().next().map(|(_, path)| path);
        let looked = Looked::at(room, &photo, &asked, book.as_deref());
        let here = format!("/book/old/{number}");
        let read = looked.colour();
        let form = match &read {
            None => html! {},
            Some((_, colour)) => {
                let [l, a, b] = colour.lab;
                let told = OldSwatch {
                    code: format!("old-{}", number % 1_000_000_000),
                    colour: format!("{l} {a} {b}"),
                    spread: colour.spread_rms.to_string(),
                    light: asked.light.clone(),
                    ..OldSwatch::default()
                };
                form(room, number, &told, &fields)?
            }
        };
        let body = html! {
            h1 { "An old swatch from a photograph" }
            (looked.part(room, number, &here, &asked)?)
            @if let Some((read, colour)) = &read { (reading(read, colour, None)) (form) }
            details.after id="another" { summary { "Send another photograph" } (photograph::upload("/book/old", "old-photo")) }
            p { a href="/book" { "Leave it: nothing is recorded" } }
            script type="module" src="/picking.js" {}
        };
        Ok((looked.status(), framed("An old swatch", Here::Book, &body)).into_response())
    })
    .await
}

/// The shelf whose dyes are offered: the one named, compared with those that are there, else the first.
fn shelf(room: &Room, fields: &Fields) -> Result<(String, Option<PathBuf>), Trouble> {
    let files = shelves_in(room.folder())?;
    let wanted = fields.get("shelf").map(String::as_str).unwrap_or_default();
    let found = files.iter().find(|one| one.file == wanted);
    let found = found.or_else(|| files.first().filter(|_| wanted.is_empty()));
    Ok(found.map_or_else(
        || ("starter".to_owned(), None),
        |one| (one.file.clone(), Some(one.path.clone())),
    ))
}

fn form(room: &Room, number: u64, told: &OldSwatch, fields: &Fields) -> Result<Markup, Trouble> {
    let (shelf, path) = shelf(room, fields)?;
    let seen = list_shelf(path.as_deref(), None, room.today()?)?;
    let field = |name: &str, label: &str, value: &str, hint: &str, required: bool| {
        html! { div.field {
            label for={ "old-" (name) } { (label) }
            input id={ "old-" (name) } name=(name) value=(value) required[required] autocomplete="off" list=[(name == "cloth").then_some("cloths")] aria-describedby={ "old-" (name) "-how" };
            p.how id={ "old-" (name) "-how" } { (hint) }
        } }
    };
    let books = room.books()?;
    Ok(html! {
        section aria-labelledby="old-form" {
            h2 id="old-form" { "What the note says" }
            form.question method="post" action={ "/book/old/" (number) } {
                input type="hidden" name="shelf" value=(shelf);
                @if books.len() > 1 {
                    div.field { label for="old-of" { "Into which workbook" }
                        select id="old-of" name="of" { @for (name, _) in &books {
                            option value=(name) selected[fields.get("of") == Some(name)] { (name) }
                        } } }
                }
                (field("code", "What stands on it", &told.code, "A code or a name that no other swatch has.", true))
                (field("note", "Where the note stands", &told.note, "As: blue notebook, page 12.", true))
                (field("cloth", "The cloth", &told.cloth, "A fibre, as cotton; or a blend.", true))
                (field("undyed", "The cloth before dyeing", &told.undyed, "White, natural, or a colour; empty: nobody knows.", false))
                (field("weight", "Dry weight of the cutting, g", &told.weight, "As 2.0.", true))
                (field("ratio", "Litres of water to a kilogram of cloth", &told.ratio, "As 20; empty: nobody knows.", false))
                (field("day", "The day it was dyed", &told.day, "As 2024-05-02; empty: nobody knows.", false))
                datalist id="cloths" { @for name in cloths_known() { option value=(name) {} } }
                fieldset {
                    legend { "The dyes, of one class, and how much of each" }
                    @for row in 0..ROWS { (dose(row, told.doses.get(row), &seen.dyes)) }
                    p.how { "As 1.2 % of the cloth’s weight, or 0.24 g. The dyes are those of " @if shelf == "starter" { "the starter shelf" } @else { (shelf) } "." }
                }
                (field("colour", "How it reads", &told.colour, "As the photograph was read; L* a* b* for daylight.", true))
                (field("spread", "How far that may be off (ΔE00)", &told.spread, "As the photograph was read.", false))
                input type="hidden" name="light" value=(told.light);
                label.check { input type="checkbox" name="keep" checked[fields.is_empty() || !fields.contains_key("code") || fields.contains_key("keep")];
                    span { "Keep the photograph in the workbook too" } }
                button type="submit" { "Record the old swatch" }
            }
        }
    })
}

fn dose(row: usize, told: Option<&OldDose>, dyes: &[DyeSeen]) -> Markup {
    let mut classes: Vec<&str> = vec![];
    for dye in dyes {
        if !classes.contains(&dye.class_name.as_str()) {
            classes.push(&dye.class_name);
        }
    }
    html! {
        div.row {
            div.field { label for={ "dye-" (row) } { "Dye " (row + 1) }
                select id={ "dye-" (row) } name={ "dye-" (row) } {
                    option value="" { "none" }
                    @for class in classes { optgroup label=(class) { @for dye in dyes.iter().filter(|d| d.class_name == class) {
                        option value=(dye.id) selected[told.is_some_and(|t| t.dye == dye.id)] { (dye.name) }
                    } } }
                } }
            div.field { label for={ "amount-" (row) } { "How much of dye " (row + 1) }
                input id={ "amount-" (row) } name={ "amount-" (row) } value=(told.map(|t| t.amount.as_str()).unwrap_or_default()) autocomplete="off"; }
        }
    }
}

fn told(fields: &Fields, number: u64, job: &str, today: &str) -> OldSwatch {
    let field = |name: &str| fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default();
    let dose = |row| OldDose {
        dye: field(&format!("dye-{row}")),
        amount: field(&format!("amount-{row}")),
    };
    let code = field("code");
    OldSwatch {
        code: if code.is_empty() { format!("old-{number}") } else { code },
        note: field("note"),
        day: field("day"),
        cloth: field("cloth"),
        undyed: field("undyed"),
        weight: field("weight"),
        ratio: field("ratio"),
        doses: (0..ROWS).map(dose).collect(),
        colour: field("colour"),
        spread: field("spread"),
        by: "photograph".to_owned(),
        light: field("light"),
        job: job.to_owned(),
        read_on: today.to_owned(),
    }
}

/// `POST /book/old/{number}`.
pub(super) async fn record(
    State(room): In,
    Path(number): Path<u64>,
    Form(fields): Form<Fields>,
) -> Response {
    answered(room, Here::Book, move |room| {
        let photo = room.tray.numbered(number)?;
        let told = told(&fields, number, &photo.job, &room.today()?.to_string());
        let (_, shelf) = shelf(room, &fields)?;
        let wanted = fields.get("of").map(String::as_str).unwrap_or_default();
        let books = room.books()?;
        // Compared with what was found, never made into a path.
        let of = books.iter().find(|(name, _)| name == wanted).or_else(|| books.first());
        let begun = (WORKBOOK.to_owned(), room.folder().join(WORKBOOK));
        let (name, book) = of.unwrap_or(&begun);
        let only_words = [&told.colour, &told.undyed].into_iter().filter(|c| !c.is_empty());
        let sound = only_words
            .map(|colour| only_a_colour(colour))
            .find_map(Result::err)
            .map_or(Ok(()), Err);
        let done = sound.and_then(|()| {
            let made = record_old(Some(book), shelf.as_deref(), &told, &room.recording())?;
            if fields.contains_key("keep") && made.swatches > 0 {
                let note = format!("swatch {}: {}", told.code, photo.job);
                keep_photo(&photo, Some(book), None, &note, &room.recording())?;
            }
            room.tray.take_away(number)
        });
        match done {
            Ok(()) => {
                Ok(Redirect::to(&format!("/book?of={}#swatches", escaped(name))).into_response())
            }
            Err(why) => {
                let body = html! {
                    h1 { "An old swatch from a photograph" }
                    (frame::trouble(&why))
                    (form(room, number, &told, &fields)?)
                    p { a href="/book" { "Leave it: nothing is recorded" } }
                };
                Ok((frame::status(&why), framed("An old swatch", Here::Book, &body))
                    .into_response())
            }
        }
    })
    .await
}
