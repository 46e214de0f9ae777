//! The swatch book: what was dyed and read, a colour looked for, every entry, and an entry taken back.

use std::collections::BTreeMap;
use std::path::PathBuf;

use axum::extract::{Form, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use paper::chip_style;
use workroom::{Trouble, find_colour, history, list_swatches, undo_entry};

use super::answer::only_a_colour;
use super::frame::{self, Here, page as framed};
use super::routes::{In, answered};
use super::words::{apart, escaped};

/// Entries shown at once.
const MOST_ENTRIES: usize = 60;

/// `/book`.
pub(super) async fn page(
    State(room): In,
    Query(fields): Query<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Book, move |room| {
        let colour = fields.get("colour").map(|c| c.trim().to_owned()).unwrap_or_default();
        let books = room.books()?;
        let wanted = fields.get("of").map(String::as_str).unwrap_or_default();
        // Compared with what was found, never made into a path.
        let of = books.iter().find(|(name, _)| name == wanted).or_else(|| books.first());
        let body = match of {
            Some(of) => shown(of, &books, &colour)?,
            None => html! {
                h1 { "The swatch book" }
                p { "There is no workbook in this folder yet. It begins with the first swatch that is recorded, and from then on \
                    every recipe learns from it." }
                p { a href="/book/old" { "Take in an old swatch from a photograph" } }
            },
        };
        Ok(framed("The swatch book", Here::Book, &body).into_response())
    })
    .await
}

fn shown(
    (name, book): &(String, PathBuf),
    books: &[(String, PathBuf)],
    colour: &str,
) -> Result<Markup, Trouble> {
    let swatches = list_swatches(Some(book))?;
    let events = history(Some(book), None, None, 40)?;
    let asked = (!colour.is_empty()).then(|| {
        only_a_colour(colour).and_then(|colour| find_colour(Some(book), &colour, WITHIN, 12))
    });
    Ok(html! {
        h1 { "The swatch book" }
        @if books.len() > 1 {
            nav.ways.of-costume aria-label="Workbooks" { ul { @for (one, _) in books {
                li { a href={ "/book?of=" (escaped(one)) } aria-current=[(one == name).then_some("page")] { (one) } }
            } } }
        }
        section aria-labelledby="before" {
            h2 id="before" { "Have I dyed this colour before?" }
            form.row method="get" action="/book" {
                input type="hidden" name="of" value=(name);
                div.field {
                    label for="colour" { "The colour" }
                    div.pick {
                        input id="colour" name="colour" value=(colour) required autocomplete="off" aria-describedby="colour-how";
                        input.picker type="color" value="#808080" aria-label="Pick a colour" data-fills="colour";
                    }
                    p.how id="colour-how" { "As #2f6f5a, or as L* a* b*: 45 -12.5 8." }
                }
                button type="submit" { "Look for it" }
            }
            @match &asked {
                None => {},
                Some(Err(why)) => (frame::trouble(why)),
                Some(Ok(found)) if found.found.is_empty() => p.verdict { "No: nothing within " (found.within) " of it was read." },
                Some(Ok(found)) => ul.tiles { @for near in &found.found {
                    li.tile { h3 { (near.of) } (chip(near.reading.hex.as_deref(), near.reading.words.as_deref()))
                        p { b { (apart(near.de00)) } " from it" @if let Some(words) = &near.reading.words { ": " (words) } } }
                } }
            }
        }
        section aria-labelledby="swatches" {
            h2 id="swatches" { "Swatches" }
            p { a href="/book/old" { "Take in an old swatch from a photograph" } }
            @if swatches.swatches.is_empty() { p { "None yet." } }
            ul.tiles { @for one in swatches.swatches.iter().rev().take(MOST_ENTRIES) {
                li.tile {
                    h3 { @match &one.code { Some(code) => (code), None => { "Entry " (one.entry) } } }
                    @for read in &one.readings { (chip(read.hex.as_deref(), read.words.as_deref())) @if let Some(words) = &read.words { p { (words) } } }
                    p { (one.cloth) ", " (one.goods_g) "\u{a0}g" @if let Some(piece) = &one.piece { ", for " (piece) } }
                    ul.doses { @for dose in &one.doses { li { (dose.of) ": " (dose.amount) } } }
                    @if let Some(day) = &one.day { p.quiet { (day) } }
                }
            } }
            @if swatches.swatches.len() > MOST_ENTRIES { p { "… and " (swatches.swatches.len() - MOST_ENTRIES) " older ones; look for them by their colour." } }
        }
        section aria-labelledby="entries" {
            h2 id="entries" { "The last entries" }
            p { "Nothing is ever wiped out: taking an entry back adds one, which can be taken back too." }
            ul.entries { @for event in events.events.iter().rev() {
                li {
                    span { "Entry " (event.entry) ", " (event.did) " "
                        @if let Some(kind) = event.kind { (kind) " " } @if let Some(about) = event.about { "entry " (about) " " }
                        @if let Some(name) = &event.name { b { (name) } " " } span.quiet { (event.at) " by " (event.who) } }
                    @if event.did == "recorded" || event.did == "undid" {
                        form method="post" action="/book/undo" {
                            input type="hidden" name="of" value=(name);
                            input type="hidden" name="entry" value=(event.entry);
                            button.second type="submit" { "Take back" span.unseen { " entry " (event.entry) } }
                        }
                    }
                }
            } }
        }
    })
}

/// ΔE00 within which a colour counts as dyed before.
const WITHIN: f64 = 5.0;

fn chip(hex: Option<&str>, words: Option<&str>) -> Markup {
    html! { @if let Some(style) = hex.and_then(chip_style) {
        div.mount.small { div.chips { span.chip.given role="img" aria-label={ "As read: " (words.unwrap_or("a colour")) } style=(style) {} } }
    } }
}

/// `POST /book/undo`.
pub(super) async fn undo(
    State(room): In,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Book, move |room| {
        let entry =
            fields.get("entry").and_then(|n| n.parse().ok()).ok_or_else(|| Trouble::Refused {
                says: "no entry was named".to_owned(),
                hint: "take it back from the list of entries".to_owned(),
            })?;
        let wanted = fields.get("of").map(String::as_str).unwrap_or_default();
        let books = room.books()?;
        let (name, book) = books.iter().find(|(name, _)| name == wanted).ok_or_else(|| {
            let says = format!("there is no workbook \"{wanted}\" in this folder");
            Trouble::Refused { says, hint: "the swatch book shows those that are there".to_owned() }
        })?;
        undo_entry(Some(book), Some(entry), &room.recording())?;
        Ok(Redirect::to(&format!("/book?of={}#entries", escaped(name))).into_response())
    })
    .await
}
