//! A bath beside the pot: the sheet, the clock of its steps, what is ticked off.
//!
//! A timer is an instant kept by the workroom, not a count in the page: it is right after a reload, on another page,
//! or when the screen was locked.

use std::collections::BTreeMap;

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use paper::bath_part;
use workroom::document::{PiecePlan, Sheet, SheetStep};
use workroom::{BathClock, BathMark, Trouble, bath_clock, mark_bath};

use super::costume::Opened;
use super::frame::Here;
use super::piece::{bath_name, wrong};
use super::room::Room;
use super::routes::{In, answered};
use super::words::sentence;

type Place = (String, String, usize);

/// `/c/{costume}/p/{piece}/bath/{at}`.
pub(super) async fn page(State(room): In, Path((key, id, at)): Path<Place>) -> Response {
    answered(room, Here::Costume, move |room| shown(room, &key, &id, at)).await
}

fn no_bath(id: &str) -> Trouble {
    Trouble::Refused {
        says: format!("there is no such bath of \"{id}\""),
        hint: "its page shows the baths it has".to_owned(),
    }
}

fn shown(room: &Room, key: &str, id: &str, at: usize) -> Result<Response, Trouble> {
    let opened = Opened::of(room, key)?;
    let path = opened.costume.path.clone();
    opened.page("Beside the pot", "/p", |plan| {
        let piece = plan.pieces.iter().find(|p| p.id == id).ok_or_else(|| no_bath(id))?;
        let (sheet, all) =
            piece.sheets.get(at).zip(bath_part(plan, id, at)).ok_or_else(|| no_bath(id))?;
        let clock = bath_clock(&path, &name_of(piece, sheet))?;
        let here = format!("/c/{key}/p/{id}/bath/{at}");
        let now = jiff::Timestamp::now().as_millisecond();
        Ok(html! {
            h1 { (piece.name) ": " (bath_name(sheet)) }
            p.ways-on {
                a href={ "/c/" (key) "/p/" (id) } { "The piece" } " "
                a href="#clock" { "The clock" } " "
                a href="#wrong" { "It went wrong" }
            }
            h2.over-part { "Before the pot is filled" }
            (all)
            (steps(sheet, &clock, &here, now))
            (wrong(piece))
        })
    })
}

/// By what a bath's clock is found again.
fn name_of(piece: &PiecePlan, sheet: &Sheet) -> String {
    let code = sheet.code.as_deref().unwrap_or("bulk");
    format!("{}/{}/{}/{code}", piece.id, sheet.procedure, sheet.kind)
}

fn steps(sheet: &Sheet, clock: &BathClock, here: &str, now: i64) -> Markup {
    let next = sheet.steps.iter().find(|step| !clock.done.contains(&step.n));
    html! {
        section.clock aria-labelledby="clock" data-now=(now) {
            h2 id="clock" tabindex="-1" { "Step by step" }
            p { (clock.done.len()) " of " (sheet.steps.len()) " steps done." }
            ol.steps-now {
                @for step in &sheet.steps {
                    (one(step, clock, here, next.is_some_and(|n| n.n == step.n)))
                }
            }
            p.quiet { "The clock is kept by this machine. A page cannot wake a sleeping phone: for an alarm that can, take the \
                costume’s calendar." }
        }
    }
}

fn one(step: &SheetStep, clock: &BathClock, here: &str, is_next: bool) -> Markup {
    let done = clock.done.contains(&step.n);
    let rings = clock.rings.get(&step.n);
    html! {
        li.done[done].now[is_next] id={ "step-" (step.n) } {
            details open[is_next || rings.is_some()] {
                summary {
                    b { "Step " (step.n) ": " (step.kind) }
                    " " span.quiet { (temperature(step)) @if step.minutes > 0.0 { ", " (step.minutes) "\u{a0}min" } }
                    @if done { span.mark { " done" } } @else if is_next { span.mark { " now" } }
                }
                p { (step.text) }
                @for add in &step.adds { p.goes-in { "In goes " b { (add.words) } @if add.dissolved { ", dissolved or diluted first" } } }
                @if let Some(until) = &step.until { p { b { "Until: " } (sentence(until)) } }
                @if let Some(look) = &step.look_for { p { b { "Look for: " } (sentence(look)) } }
                p.late { b { "If you are late: " }
                    @match step.stretch_min { Some(most) if most > 0.0 => { "this step may take up to " (most) "\u{a0}min longer." }
                        _ if step.minutes <= 0.0 => { "it takes as long as it takes." }
                        _ => { "keep to the clock here; do not leave it longer." } } }
                @if let Some(ends) = rings {
                    p.timer role="timer" data-ends=(ends) data-step=(step.n) { "Rings at " (clock_time(*ends)) }
                }
            }
            div.row {
                (button(here, step.n, if done { "undo" } else { "done" }, if done { "Not done after all" } else { "Done" }))
                @if !done && step.minutes > 0.0 {
                    @if rings.is_some() { (button(here, step.n, "silence", "Stop the clock")) }
                    @else { (button(here, step.n, "start", &format!("Start {} min", step.minutes))) }
                }
            }
        }
    }
}

fn button(here: &str, step: usize, what: &str, words: &str) -> Markup {
    html! {
        form method="post" action=(here) {
            input type="hidden" name="step" value=(step);
            button.second[what != "done" && what != "start"] type="submit" name="mark" value=(what) { (words) span.unseen { ", step " (step) } }
        }
    }
}

fn temperature(step: &SheetStep) -> String {
    if (step.from_c - step.to_c).abs() < 0.05 {
        format!("{} °C", step.to_c)
    } else {
        format!("{} → {} °C", step.from_c, step.to_c)
    }
}

/// An instant as a clock of this machine shows it.
fn clock_time(ms: i64) -> String {
    let zone = jiff::tz::TimeZone::system();
    jiff::Timestamp::from_millisecond(ms).map_or_else(
        |_| "?".to_owned(),
        |at| jiff::ZonedDateTime::new(at, zone).strftime("%H:%M:%S").to_string(),
    )
}

/// `POST /c/{costume}/p/{piece}/bath/{at}`.
pub(super) async fn mark(
    State(room): In,
    Path((key, id, at)): Path<Place>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let opened = Opened::of(room, &key)?;
        let plan = opened.look.plan().ok_or_else(|| no_bath(&id))?;
        let piece = plan.pieces.iter().find(|p| p.id == id).ok_or_else(|| no_bath(&id))?;
        let sheet = piece.sheets.get(at).ok_or_else(|| no_bath(&id))?;
        let n: usize = fields.get("step").and_then(|n| n.parse().ok()).unwrap_or(0);
        let step = sheet.steps.iter().find(|step| step.n == n).ok_or_else(|| no_bath(&id))?;
        let now = jiff::Timestamp::now().as_millisecond();
        let mark = match fields.get("mark").map(String::as_str) {
            Some("done") => BathMark::Done,
            Some("undo") => BathMark::NotDone,
            Some("start") => BathMark::RingsAt(now + minutes_ms(step.minutes)),
            Some("silence") => BathMark::Silent,
            _ => return Err(no_bath(&id)),
        };
        mark_bath(&opened.costume.path, &name_of(piece, sheet), n, mark)?;
        let to = match mark {
            BathMark::Done => n + 1,
            _ => n,
        };
        Ok(Redirect::to(&format!("/c/{key}/p/{id}/bath/{at}#step-{to}")).into_response())
    })
    .await
}

/// Minutes of a step in milliseconds; a step never takes a week.
fn minutes_ms(minutes: f64) -> i64 {
    const WEEK_MIN: f64 = 7.0 * 24.0 * 60.0;
    #[expect(clippy::cast_possible_truncation, reason = "at most a week of milliseconds")]
    let ms = (minutes.clamp(0.0, WEEK_MIN) * 60_000.0).round() as i64;
    ms
}
