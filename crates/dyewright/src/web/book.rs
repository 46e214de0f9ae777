//! The swatch book: what was dyed and read, a colour looked for, every entry, and an entry taken back.

use std::collections::BTreeMap;
use std::path::PathBuf;

use axum::extract::{Form, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use paper::chip_style;
use workroom::{
    SwatchSeen, SwatchesFound, SwatchesSought, Trouble, history, seek_swatches, undo_entry,
};

use super::answer::{is_hex, only_a_colour};
use super::frame::{self, Here, page as framed};
use super::routes::{In, answered};
use super::words::{apart, escaped};

/// `/book`.
pub(super) async fn page(
    State(room): In,
    Query(fields): Query<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Book, move |room| {
        let books = room.books()?;
        let wanted = fields.get("of").map(String::as_str).unwrap_or_default();
        // Compared with what was found, never made into a path.
        let of = books.iter().find(|(name, _)| name == wanted).or_else(|| books.first());
        let body = match of {
            Some(of) => shown(of, &books, &fields)?,
            None => html! {
                h1 { "The swatch book" }
                p { "There is no workbook in this folder yet. It begins with the first swatch that is recorded, and from then on \
                    every recipe learns from it." }
                p.ways-on { a href="/book/old" { "Take in an old swatch from a photograph" } a href="/charts" { "Charts and cards to read photographs by" } }
            },
        };
        Ok(framed("The swatch book", Here::Book, &body).into_response())
    })
    .await
}

/// What is looked for, as the page's address has it.
fn sought(fields: &BTreeMap<String, String>) -> SwatchesSought {
    let word = |name: &str| fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default();
    SwatchesSought {
        colour: word("colour"),
        within: word("within").parse().unwrap_or(WITHIN),
        dye: word("dye"),
        fibre: word("fibre"),
        class: word("class"),
        page: word("page").parse::<usize>().unwrap_or(1).saturating_sub(1),
    }
}

fn shown(
    (name, book): &(String, PathBuf),
    books: &[(String, PathBuf)],
    fields: &BTreeMap<String, String>,
) -> Result<Markup, Trouble> {
    let wanted = sought(fields);
    let asked = match wanted.colour.is_empty() {
        true => Ok(String::new()),
        false => only_a_colour(&wanted.colour),
    };
    // Where what was typed is no colour, the book is shown all the same, and what is wrong with it.
    let found = asked.and_then(|_| seek_swatches(book, &wanted));
    let (found, why) = match found {
        Ok(found) => (found, None),
        Err(why) => {
            let any = SwatchesSought { within: WITHIN, ..SwatchesSought::default() };
            (seek_swatches(book, &any)?, Some(why))
        }
    };
    let events = history(Some(book), None, None, 40)?;
    Ok(html! {
        @if books.len() > 1 {
            nav.ways.of-costume aria-label="Workbooks" { ul { @for (one, _) in books {
                li { a href={ "/book?of=" (escaped(one)) } aria-current=[(one == name).then_some("page")] { (one) } }
            } } }
        }
        h1 { "The swatch book" }
        section aria-labelledby="before" {
            h2 id="before" { "Have I dyed this before?" }
            @if let Some(why) = &why { (frame::trouble(why)) }
            (search(name, &wanted, &found))
        }
        section aria-labelledby="swatches" {
            h2 id="swatches" tabindex="-1" { (heading(&wanted, &found, why.is_some())) }
            p.ways-on { a href="/book/old" { "Take in an old swatch from a photograph" } a href="/charts" { "Charts and cards to read photographs by" } }
            @if !wanted.dye.is_empty() { p { a href={ "/shelf/dye?id=" (escaped(&wanted.dye)) } { "The ladder of " (wanted.dye.replace('-', " ")) } } }
            @if let Some((lab, hex, words)) = &found.colour {
                div.mount.small { div.chips { span.chip.given role="img" aria-label={ "Looked for, as given: " (words) } style=[hex.as_deref().and_then(chip_style)] {} } }
                p { "Looked for: " (words) span.quiet { " (L* " (lab[0]) ", a* " (lab[1]) ", b* " (lab[2]) ")" } }
            }
            ul.tiles { @for (one, apart) in &found.swatches { (tile(one, *apart, found.colour.as_ref().and_then(|c| c.1.as_deref()))) } }
            (pages(name, fields, &wanted, &found))
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

fn heading(wanted: &SwatchesSought, found: &SwatchesFound, refused: bool) -> String {
    let narrowed = [&wanted.colour, &wanted.dye, &wanted.fibre, &wanted.class];
    match (found.of, refused || narrowed.iter().all(|word| word.is_empty())) {
        (0, true) => "No swatch yet".to_owned(),
        (many, true) => format!("{many} swatches, the newest first"),
        (0, false) if !wanted.colour.is_empty() => {
            format!("No: nothing within {} of it was read", wanted.within)
        }
        (0, false) => "No such swatch".to_owned(),
        (1, false) => "Yes: 1 swatch".to_owned(),
        (many, false) if !wanted.colour.is_empty() => {
            format!("Yes: {many} swatches, the nearest first")
        }
        (many, false) => format!("Yes: {many} swatches, the newest first"),
    }
}

/// How far a search may go, and what that is in words.
const WITHINS: &[(f64, &str)] = &[
    (1.0, "1: the same, to nearly every eye"),
    (2.0, "2: the same, to most"),
    (5.0, "5: near it"),
    (10.0, "10: the same family"),
    (20.0, "20: anything like it"),
];

fn search(name: &str, wanted: &SwatchesSought, found: &SwatchesFound) -> Markup {
    let choice = |id: &str, label: &str, now: &str, all: &[(String, String, usize)]| {
        html! {
            div.field {
                label for=(id) { (label) }
                select id=(id) name=(id) {
                    option value="" { "any" }
                    @for (word, called, many) in all { option value=(word) selected[word == now] { (called) " (" (many) ")" } }
                    @if !now.is_empty() && !all.iter().any(|(word, ..)| word == now) { option value=(now) selected { (now) " (0)" } }
                }
            }
        }
    };
    html! {
        form.question method="get" action="/book" {
            input type="hidden" name="of" value=(name);
            div.field {
                label for="colour" { "The colour" }
                div.pick {
                    input id="colour" name="colour" value=(wanted.colour) autocomplete="off" aria-describedby="colour-how";
                    input.picker type="color" value=(if is_hex(&wanted.colour) { wanted.colour.as_str() } else { "#808080" }) aria-label="Pick a colour" data-fills="colour";
                }
                p.how id="colour-how" { "As #2f6f5a, or as L* a* b*: 45 -12.5 8; left empty: any." }
            }
            div.field {
                label for="within" { "How near (ΔE00)" }
                select id="within" name="within" { @for (far, words) in WITHINS {
                    option value=(far) selected[(far - wanted.within).abs() < 1e-9] { (words) }
                } }
            }
            (choice("dye", "With this dye", &wanted.dye, &found.dyes))
            (choice("fibre", "On this fibre", &wanted.fibre, &found.fibres))
            (choice("class", "Of this class of dyes", &wanted.class, &found.classes))
            button type="submit" { "Look for it" }
        }
    }
}

fn tile(one: &SwatchSeen, far: Option<f64>, beside: Option<&str>) -> Markup {
    html! {
        li.tile {
            h3 { @match &one.code { Some(code) => (code), None => { "Entry " (one.entry) } } }
            @if let Some(far) = far { p { b { (apart(far)) } " from it" } }
            @for read in &one.readings {
                (chip(read.hex.as_deref(), read.words.as_deref(), beside))
                @if let Some(words) = &read.words { p { (words) @if !read.finished { span.quiet { " (of unfinished cloth: it teaches nothing)" } } } }
            }
            @if one.readings.is_empty() { p.absent { "Not read yet." } }
            p { (one.cloth) ", " (one.goods_g) "\u{a0}g" @if let Some(piece) = &one.piece { ", for " (piece) } }
            ul.doses { @for dose in &one.doses { li { (dose.of) ": " (dose.amount) } } }
            @if let Some(day) = &one.day { p.quiet { (day) } }
        }
    }
}

/// The way from page to page.
fn pages(
    name: &str,
    fields: &BTreeMap<String, String>,
    wanted: &SwatchesSought,
    found: &SwatchesFound,
) -> Markup {
    let at = wanted.page + 1;
    let to = |page: usize| {
        let kept = ["colour", "within", "dye", "fibre", "class"].iter().filter_map(|field| {
            let value = fields.get(*field).filter(|v| !v.is_empty())?;
            Some(format!("&{field}={}", escaped(value)))
        });
        format!("/book?of={}&page={page}{}#swatches", escaped(name), kept.collect::<String>())
    };
    html! {
        @if found.pages > 1 {
            nav.beside-pieces aria-label="Pages of swatches" {
                @if at > 1 { a href=(to(at - 1)) rel="prev" { "Before" } }
                span { "Page " (at) " of " (found.pages) }
                @if at < found.pages { a href=(to(at + 1)) rel="next" { "Further" } }
            }
        }
    }
}

/// ΔE00 within which a colour counts as dyed before, unless another is asked for.
const WITHIN: f64 = 5.0;

/// A reading as a screen shows it, touching the colour looked for where there is one.
fn chip(hex: Option<&str>, words: Option<&str>, beside: Option<&str>) -> Markup {
    html! { @if let Some(style) = hex.and_then(chip_style) {
        div.mount.small { div.chips { @if let Some(other) = beside.and_then(chip_style) { span.chip.given role="img" aria-label="The colour looked for" style=(other) {} } span.chip.given role="img" aria-label={ "As read: " (words.unwrap_or("a colour")) } style=(style) {} } }
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
