//! Which swatch to dye next for a whole costume, what each would settle, and what a ladder of one dye would tell.
//!
//! Thinking it through takes a while with many pieces: the page shows how far it is, and it can be stopped.

use std::collections::BTreeMap;

use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse as _, Response};
use maud::{Markup, html};
use workroom::document::{LadderSeen, SwatchPlan, SwatchTurn};
use workroom::{SwatchPlanWanted, SwatchesPlanned, plan_swatches};

use super::desk::Files;
use super::frame::{self, Here, page as framed};
use super::opened;
use super::routes::{In, answered};
use super::words::{apart, escaped};
use super::works::{self, Seen};

/// What a swatch is taken to be read to, rms ΔE00: a photograph with a chart, with care (common practice).
const READ: f64 = 1.0;

/// Rungs of a ladder that is asked for.
const RUNGS: usize = 3;

/// `/c/{costume}/swatches`.
pub(super) async fn page(
    State(room): In,
    Path(key): Path<String>,
    Query(fields): Query<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let of_it = room.costume(&key)?;
        let dye = fields.get("dye").cloned().filter(|d| !d.is_empty());
        let book = room.book().map(std::path::Path::to_path_buf);
        let files = Files::now(&of_it.path, book.as_deref(), room.today()?);
        let of = format!("swatches {key} {dye:?} {files:?}");
        let wanted = SwatchPlanWanted {
            file: of_it.path.clone(),
            shelf: None,
            book,
            read: READ,
            ladder: dye.clone(),
            rungs: RUNGS,
            today: room.today()?,
        };
        let seen = room.works.look(&of, "thinking", move |tell| plan_swatches(&wanted, tell));
        let here = match &dye {
            Some(dye) => format!("/c/{key}/swatches?dye={}", escaped(dye)),
            None => format!("/c/{key}/swatches"),
        };
        let status = match &seen {
            Seen::Refused(why) => frame::status(why),
            _ => axum::http::StatusCode::OK,
        };
        let body = html! {
            (opened::ways(&of_it.key, &of_it.name, "/swatches"))
            h1 { "Which swatch next" }
            @match &seen {
                Seen::Busy(id) => (works::busy(*id, "Thinking", &here)),
                Seen::Stopped(id) => (works::stopped(*id, &here)),
                Seen::Refused(why) => (frame::trouble(why)),
                Seen::Made(done) => (told(&key, done, dye.as_deref())),
            }
        };
        let title = format!("Which swatch next – {}", of_it.name);
        Ok((status, framed(&title, Here::Costume, &body)).into_response())
    })
    .await
}

fn told(key: &str, of: &SwatchesPlanned, dye: Option<&str>) -> Markup {
    let it: &SwatchPlan = &of.it;
    let asked = |ladder: &&LadderSeen| dye == Some(ladder.dye.as_str());
    html! {
        @if let Some(ladder) = it.ladders.iter().find(asked) {
            section aria-labelledby="asked" { h2 id="asked" { "One more of " (ladder.name) } (rungs(ladder)) }
        } @else if let Some(dye) = dye {
            section { p { "A ladder of " b { (dye) } " would tell this costume nothing it does not know: no piece of it hangs on that dye." } }
        }
        @if !it.to_read.is_empty() {
            section aria-labelledby="to-read" { h2 id="to-read" { "Dyed, and waiting to be read" }
                ul { @for one in &it.to_read { li { a href={ "/c/" (key) "/p/" (one.piece) } { (one.name) } ": " (one.words) } } } }
        }
        section aria-labelledby="turns" {
            h2 id="turns" { "The swatches to come, the most telling first" }
            @if it.turns.is_empty() { p { "None is needed: every recipe is as sure as a swatch could make it." } }
            ol.turns { @for turn in &it.turns { (one(key, turn)) } }
            @for line in &it.words { p { (line) } }
            p.quiet { "Reckoned for swatches read to " (apart(it.read)) ": a photograph with a chart, taken with care." }
        }
        @if it.ladders.iter().any(|ladder| dye != Some(ladder.dye.as_str())) {
            section aria-labelledby="ladders" { h2 id="ladders" { "Ladders worth more than a mix" }
                @for ladder in it.ladders.iter().filter(|l| !asked(l)) { h3 { (ladder.name) } (rungs(ladder)) } }
        }
        section aria-labelledby="stand" {
            h2 id="stand" { "How every piece stands" }
            ul { @for piece in &it.pieces { li { a href={ "/c/" (key) "/p/" (piece.piece) } { (piece.name) } ": " (piece.words) } } }
            @if !it.left_out.is_empty() { h3 { "Not in it" } ul { @for one in &it.left_out { li { b { (one.name) } ": " (one.why) } } } }
        }
        @if !of.notes.is_empty() { details.after { summary { "About the files and the workbook" } ul { @for note in &of.notes { li { (note) } } } } }
    }
}

fn one(key: &str, turn: &SwatchTurn) -> Markup {
    html! {
        li {
            p { a href={ "/c/" (key) "/p/" (turn.piece) } { (turn.name) } @if let Some(code) = &turn.code { ", card " b { (code) } } }
            p { (turn.words) }
            @if !turn.doubts.is_empty() {
                details { summary { "What it takes off the doubt" }
                    table.rows { caption { "What is in doubt of each recipe, ΔE00" }
                        thead { tr { th scope="col" { "Piece" } th scope="col" { "Before" } th scope="col" { "After" } } }
                        tbody { @for doubt in &turn.doubts { tr { th scope="row" { div { (doubt.piece) } } td data-head="Before" { (apart(doubt.before)) } td data-head="After" { (apart(doubt.after)) } } } }
                    }
                }
            }
        }
    }
}

/// A ladder's rungs: what is in doubt of the dye before any, and after each.
fn rungs(ladder: &LadderSeen) -> Markup {
    let most = ladder.before.max(0.1);
    let step = 420.0 / (ladder.rungs.len().max(1) + 1) as f64;
    let bars = std::iter::once(("now".to_owned(), ladder.before))
        .chain(ladder.rungs.iter().map(|r| (format!("{} %", r.owf_pct), r.after)));
    html! {
        p { (ladder.words) }
        figure {
            svg viewBox="0 0 420 150" role="img" aria-labelledby={ "l-" (ladder.dye) " lw-" (ladder.dye) } {
                title id={ "l-" (ladder.dye) } { "What is in doubt of " (ladder.name) ", before and after each rung" }
                desc id={ "lw-" (ladder.dye) } { "The same as in the table beneath." }
                @for (at, (name, doubt)) in bars.enumerate() {
                    @let high = 90.0 * doubt / most;
                    @let left = at as f64 * step + step * 0.2;
                    rect.bar x=(format!("{left:.1}")) y=(format!("{:.1}", 115.0 - high)) width=(format!("{:.1}", step * 0.6)) height=(format!("{:.1}", high.max(1.0))) {}
                    text x=(format!("{:.1}", left + step * 0.3)) y=(format!("{:.1}", 109.0 - high)) text-anchor="middle" { (apart(doubt)) }
                    text x=(format!("{:.1}", left + step * 0.3)) y="134" text-anchor="middle" { (name) }
                }
                line.grid x1="0" x2="420" y1="115" y2="115" {}
            }
            figcaption { "Doubt of the dye, ΔE00: now, and after each rung in turn (" span.estimate { "estimate" } ")." }
        }
        table.rows { caption { "The rungs, the most telling first" }
            thead { tr { th scope="col" { "Depth" } th scope="col" { "On" } th scope="col" { "Left in doubt" } } }
            tbody { @for rung in &ladder.rungs { tr { th scope="row" { div { (rung.owf_pct) " % owf" } } td data-head="On" { (rung.fibre) } td data-head="Left in doubt" { (apart(rung.after)) } } } }
        }
    }
}
