//! One dye of a shelf: its ladder on every fibre it was dyed on, drawn and in words.
//!
//! What thousands of swatches taught of it takes a while to work out: the page then shows that it is being done.

use std::collections::BTreeMap;

use axum::extract::{Query, State};
use axum::response::{IntoResponse as _, Response};
use maud::{Markup, html};
use paper::{LadderDrawn, RungDrawn, chip_style};
use workroom::{
    DyeLadder, LadderOn, RungSeen, ShelfFound, ShelfKind, Trouble, ladder_of_dye, shelf_as_written,
    shelves_in,
};

use super::frame::{self, Here, page as framed};
use super::routes::{In, answered};
use super::shelf::{book_beside, ways};
use super::words::{escaped, sentence};
use super::works::{self, Seen, as_it_is};

/// `/shelf/dye?of=…&id=…`: a dye of a shelf file of the folder, else of the starter shelf.
pub(super) async fn page(
    State(room): In,
    Query(fields): Query<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Shelf, move |room| {
        let field = |name: &str| fields.get(name).map(String::as_str).unwrap_or_default();
        let (wanted, id) = (field("of"), field("id").to_owned());
        let files = shelves_in(room.folder())?;
        // Compared with what was found, never made into a path; where none is named, the first shelf that has the dye.
        let has = |one: &&ShelfFound| {
            let written = shelf_as_written(&one.path).map(|(all, _)| all).unwrap_or_default();
            written.iter().any(|of| of.kind == ShelfKind::Dye && of.id == id)
        };
        let named =
            |one: &&ShelfFound| if wanted.is_empty() { has(one) } else { one.file == wanted };
        let file = files.iter().find(named);
        let wanted = file.map_or(wanted, |one| one.file.as_str());
        if file.is_none() && wanted != "starter" {
            return Err(Trouble::Refused {
                says: match wanted.is_empty() {
                    true => format!("there is no shelf with the dye \"{id}\" in this folder"),
                    false => format!("there is no shelf \"{wanted}\" in this folder"),
                },
                hint: "the page of the shelf shows those that are there".to_owned(),
            });
        }
        let shelf = file.map(|one| one.path.clone());
        let book = shelf.as_deref().and_then(|path| book_beside(room, path));
        let of = format!(
            "ladder {id} {:?} {:?}",
            shelf.as_deref().map(as_it_is),
            book.as_deref().map(as_it_is)
        );
        let asked = id.clone();
        let seen = room.works.look(&of, "reading the swatches", move |_| {
            ladder_of_dye(shelf.as_deref(), book.as_deref(), &asked)
        });
        let here = format!("/shelf/dye?of={}&id={}", escaped(wanted), escaped(&id));
        let (status, title, inner) = match &seen {
            Seen::Busy(work) => (
                axum::http::StatusCode::OK,
                "A dye".to_owned(),
                html! { h1 { "A dye" } (works::busy(*work, "Working the ladder out", &here)) },
            ),
            Seen::Stopped(work) => (
                axum::http::StatusCode::OK,
                "A dye".to_owned(),
                html! { h1 { "A dye" } (works::stopped(*work, &here)) },
            ),
            Seen::Refused(why) => (
                frame::status(why),
                "A dye".to_owned(),
                html! { h1 { "A dye" } (frame::trouble(why)) },
            ),
            Seen::Made(dye) => {
                (axum::http::StatusCode::OK, dye.name.clone(), told(dye, wanted, file.is_some()))
            }
        };
        let body = html! { (ways(&files, wanted)) (inner) };
        Ok((status, framed(&title, Here::Shelf, &body)).into_response())
    })
    .await
}

fn told(dye: &DyeLadder, file: &str, is_own: bool) -> Markup {
    html! {
        h1 { (sentence(&dye.name).trim_end_matches('.')) }
        p { (sentence(&dye.class_name)) " On the shelf it is known by: "
            span class=(if dye.known.contains("own") { "given" } else { "estimate" }) { b { (dye.known) } } "." }
        p { "A ladder is one dye alone at rising depths. How much of it is on the cloth is told by K/S, which is worked out from how \
            much light the cloth gives back where this dye takes most: twice the dye, about twice the K/S, until the fibre fills up." }
        @if dye.on.is_empty() { section { p.absent { "No cloth that this program knows takes this class of dye by itself." } } }
        @for (at, one) in dye.on.iter().enumerate() { (on(&dye.name, at, one)) }
        @if dye.mixes > 0 {
            p { @match dye.mixes { 1 => "1 swatch of a mix holds it too", n => { (n) " swatches of mixes hold it too" } }
                ": what they taught is in the line, and cannot be drawn as a rung." }
        }
        p.ways-on {
            a href={ "/shelf?of=" (escaped(file)) } { "The shelf" } " "
            a href={ "/book?dye=" (escaped(&dye.id)) } { "Its swatches in the book" } " "
            @if is_own { a href={ "/shelf/change?of=" (escaped(file)) "&kind=dye&id=" (escaped(&dye.id)) } { "Change it" } }
        }
    }
}

fn on(name: &str, at: usize, one: &LadderOn) -> Markup {
    let rungs: Vec<RungDrawn> = one
        .rungs
        .iter()
        .map(|r| RungDrawn { owf_pct: r.owf_pct, adds: r.adds, own: r.own })
        .collect();
    let what = format!("{name} on {}, at {} nm", one.cloth, one.nm);
    let drawn = LadderDrawn {
        id: &format!("on-{at}"),
        what: &what,
        line: &one.line,
        own: one.own,
        rungs: &rungs,
    };
    html! {
        section aria-labelledby={ "on-" (at) } {
            h2 id={ "on-" (at) } { "On " (one.cloth) }
            ul { @for line in &one.words { li { (line) } } }
            (paper::ladder(&drawn))
            @if !one.rungs.is_empty() { (table(one)) }
        }
    }
}

fn table(one: &LadderOn) -> Markup {
    html! {
        table.rows { caption { "The swatches, the palest first; K/S at " (one.nm) " nm" }
            thead { tr { th scope="col" { "Swatch" } th scope="col" { "Amount" } th scope="col" { "Adds to K/S" } th scope="col" { "Colour" } th scope="col" { "From" } } }
            tbody { @for (at, rung) in one.rungs.iter().enumerate() {
                tr {
                    th scope="row" data-head="Swatch" { div { (at + 1) ": " (rung.of) } }
                    td data-head="Amount" { div { (rung.owf_pct) " % owf" } }
                    td data-head="Adds to K/S" { div { (rung.adds) @if !rung.by_spectrum { " " span.estimate { "from its colour" } } } }
                    td data-head="Colour" { div { (chip(rung)) (rung.words) } }
                    td data-head="From" { div { @if rung.own { "your own" } @else { "another’s" }
                        @if rung.brought { span.quiet { ", brought to this cloth at 20:1" } } } }
                }
            } }
        }
        @if one.rungs.iter().any(|r| !r.by_spectrum) {
            p.quiet { "“From its colour”: no spectrum was read; the cloth is as deep as this dye must be to come nearest to the colour." }
        }
    }
}

fn chip(rung: &RungSeen) -> Markup {
    html! { @if let Some(style) = chip_style(&rung.hex) {
        div.mount.small { div.chips { span.chip.given role="img" aria-label={ "As read: " (rung.words) } style=(style) {} } }
    } }
}
