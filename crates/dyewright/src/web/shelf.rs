//! The shelf: what there is to dye with, how well each dye is known, what a look at it shows.

use std::collections::BTreeMap;

use axum::extract::{Query, State};
use axum::response::{IntoResponse as _, Response};
use maud::{Markup, html};
use paper::chip_style;
use workroom::{DyeSeen, ShelfSeen, list_shelf, shelves_in};

use super::frame::{Here, page as framed};
use super::routes::{In, answered};
use super::words::{escaped, sentence};

/// `/shelf`: the starter shelf, or a shelf file of the folder.
pub(super) async fn page(
    State(room): In,
    Query(fields): Query<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Shelf, move |room| {
        let files = shelves_in(room.folder())?;
        let wanted = fields.get("of").map(String::as_str).unwrap_or_default();
        // Compared with what was found, never made into a path.
        let file = files.iter().find(|one| one.file == wanted).or_else(|| files.first().filter(|_| wanted.is_empty()));
        let seen = list_shelf(file.map(|one| one.path.as_path()), None, room.today()?)?;
        let of = file.map_or("starter", |one| one.file.as_str());
        let body = html! {
            h1 { @if file.is_some() { "The shelf" } @else { "The starter shelf" } }
            nav.ways.of-costume aria-label="Shelves" { ul {
                @for one in &files { li { a href={ "/shelf?of=" (escaped(&one.file)) } aria-current=[(one.file == of).then_some("page")] { (one.file) } } }
                li { a href="/shelf?of=starter" aria-current=[(of == "starter").then_some("page")] { "Starter shelf" } }
            } }
            (shelf(&seen))
        };
        Ok(framed("The shelf", Here::Shelf, &body).into_response())
    })
    .await
}

fn shelf(seen: &ShelfSeen) -> Markup {
    let mut classes: Vec<&str> = vec![];
    for dye in &seen.dyes {
        if !classes.contains(&dye.class_name.as_str()) {
            classes.push(&dye.class_name);
        }
    }
    html! {
        @if !seen.advice.is_empty() {
            section aria-labelledby="advice" { h2 id="advice" { "What to look at" } ul { @for line in &seen.advice { li { (line) } } } }
        }
        @for class in classes {
            section { h2 { (sentence(class)) }
                ul.tiles { @for dye in seen.dyes.iter().filter(|d| d.class_name == class) { (one(dye)) } }
            }
        }
        @if !seen.auxiliaries.is_empty() {
            section { h2 { "What else there is" }
                ul { @for one in &seen.auxiliaries { li { (one.id.replace('-', " ")) @if let Some(left) = one.left_g { ": " (left) "\u{a0}g left" } } } }
            }
        }
    }
}

fn one(dye: &DyeSeen) -> Markup {
    html! {
        li.tile {
            h3 { (dye.name) }
            @if let Some(look) = &dye.look {
                div.mount.small { div.chips {
                    span class={ "chip " (if dye.known.contains("own") { "given" } else { "estimate" }) } role="img"
                        aria-label={ "At 1 % on white " (look.on) ": " (look.words) } style=[chip_style(&look.hex)] {}
                } }
                p { (look.words) span.quiet { " at 1 % on white " (look.on) } }
            }
            p { "Known by: " b { (dye.known) } }
            p.quiet {
                @if let Some(left) = dye.left_g { (left) "\u{a0}g left. " }
                @if let Some(lot) = &dye.lot { "Lot " (lot) ". " }
                @if let Some(ci) = &dye.ci { (ci) ". " }
                @if let Some(until) = &dye.expires { "Vouched for until " (until) ". " }
            }
            @if let Some(note) = &dye.note { p.quiet { (note) } }
        }
    }
}
