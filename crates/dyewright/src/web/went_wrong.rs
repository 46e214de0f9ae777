//! It went wrong: what to do in the next five minutes, from any page and from any step.

use std::collections::BTreeMap;

use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse as _, Response};
use maud::{Markup, html};
use workroom::{WentWrong, bath_clocks, means_for_the_plan, went_wrong, went_wrong_at};

use super::bath::{AtPot, Place, name_of};
use super::frame::{Here, page as framed};
use super::late;
use super::opened::Opened;
use super::piece::{bath_name, wrong};
use super::room::Room;
use super::routes::{In, answered};

/// Who is struck, in the order in which it is told: the word of the knowledge, and the heading.
const STRUCK: [(&str, &str); 4] = [
    ("people", "Somebody is hurt, or may be"),
    ("room", "The room, the burner, the floor"),
    ("bath", "The bath"),
    ("cloth", "The cloth"),
];

/// `/wrong`: at no pot in particular.
pub(super) async fn page(State(room): In) -> Response {
    answered(room, Here::Wrong, |room| {
        let running = running(room);
        let all = went_wrong();
        let body = html! {
            h1 { "It went wrong" }
            (before_all())
            @if !running.is_empty() {
                section aria-labelledby="pots" {
                    h2 id="pots" { "At which pot?" }
                    ul.tiles { @for (to, words) in &running { li.tile { h3 { a href=(to) { (words) } } p { "What to do at this pot, in the step it is in" } } } }
                }
            }
            @for (of, heading) in STRUCK { (group(of, heading, all.iter().filter(|one| one.strikes == of))) }
            (last_word())
        };
        Ok(framed("It went wrong", Here::Wrong, &body).into_response())
    })
    .await
}

/// `/c/{costume}/p/{piece}/bath/{at}/wrong`: at this pot, in the step named, else in the one it is in.
pub(super) async fn at_the_pot(
    State(room): In,
    Path(place): Path<Place>,
    Query(fields): Query<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Wrong, move |room| {
        let (key, id, _) = &place;
        let opened = Opened::at_pot(room, &place)?;
        opened.page("It went wrong", "/p", |plan| {
            let pot = AtPot::of(&opened, plan, &place)?;
            let asked = fields.get("step").and_then(|n| n.parse().ok());
            let step = asked.or_else(|| super::bath::step_now(&pot));
            let told = step.and_then(|n| pot.sheet.steps.iter().find(|s| s.n == n));
            let all = went_wrong_at(pot.piece, pot.sheet, told.map(|s| s.n));
            let (people, rest): (Vec<&WentWrong>, Vec<&WentWrong>) =
                all.iter().partition(|one| one.strikes == "people");
            let (of_step, rest): (Vec<&WentWrong>, Vec<&WentWrong>) =
                rest.into_iter().partition(|one| one.of_step);
            Ok(html! {
                h1 { "It went wrong" }
                p { (pot.piece.name) ", " (bath_name(pot.sheet).to_lowercase())
                    @if let Some(step) = told { ", step " (step.n) ": " (step.kind) ", " (super::bath_steps::temperature(step)) }
                    ". " a href={ (pot.here) } { "Back to the bath" } }
                (before_all())
                (group("people", STRUCK[0].1, people.into_iter()))
                @if let Some(step) = told { (group("step", &format!("In this step ({})", step.kind), of_step.into_iter())) }
                @for (of, heading) in &STRUCK[1..] { (group(of, heading, rest.iter().copied().filter(|one| one.strikes == *of))) }
                @if let Some(step) = pot.now.as_ref().and_then(|now| now.step.as_ref()) {
                    section aria-labelledby="meanwhile" {
                        h2 id="meanwhile" { "What the bath does meanwhile" }
                        p { (step.waiting.says) }
                        @if let Some(now) = &pot.now { p { (late::sentence_of(now)) " " a href={ (pot.here) "#late" } { "I am late" } } }
                    }
                }
                (wrong(pot.piece))
                section aria-labelledby="plan" {
                    h2 id="plan" { "What it means for the plan" }
                    ul { @for line in means_for_the_plan(plan, pot.piece, pot.sheet) { li { (line) } } }
                    p { a href={ (pot.here) "#amounts" } { "Tick what really went in" } ", " a href={ "/c/" (key) "/p/" (id) } { "the piece" } "." }
                }
                (last_word())
            })
        })
    })
    .await
}

/// Safety first: what holds whatever it is.
fn before_all() -> Markup {
    html! {
        div.cautions.before-all {
            p { b { "People before cloth." } " Somebody hurt: help them first. Heat off, if it is within reach. Then find what you see; \
                nothing is made better by haste but a scald." }
            p { "In danger, or in doubt about breathing, eyes or a burn: call your emergency number (112 in all of Europe). Poisoned, or \
                something swallowed: your country’s poison centre." }
        }
    }
}

fn last_word() -> Markup {
    html! {
        p.quiet { "Where it can hurt, the doctor, the emergency service and the dye maker’s own safety sheet have the last word. Each answer \
            says where it is from and how sure that is." }
    }
}

fn group<'a>(id: &str, heading: &str, all: impl Iterator<Item = &'a WentWrong>) -> Markup {
    let all: Vec<&WentWrong> = all.collect();
    html! {
        @if !all.is_empty() {
            section.wrong-group aria-labelledby={ "of-" (id) } {
                h2 id={ "of-" (id) } { (heading) }
                @for one in all { (what_to_do(one)) }
            }
        }
    }
}

fn what_to_do(one: &WentWrong) -> Markup {
    html! {
        details id={ "wrong-" (one.id) } {
            summary { (one.sight) @if let Some(of) = &one.of { span.quiet { " (" (of) ")" } } }
            ol { @for step in &one.first { li { (step) } } }
            @if let Some(never) = &one.never { p { b { "Never: " } (never) } }
            @if let Some(call) = &one.call { p.call { b { "Call: " } (call) } }
            @if let Some(after) = &one.after { p { b { "Afterwards: " } (after) } }
            p.quiet { (one.from) "." }
        }
    }
}

/// The pots that are on: where each is told of, and what it is called. A costume that was not looked at yet since the
/// workroom was opened is named as a whole: its plan is not made for this page.
fn running(room: &Room) -> Vec<(String, String)> {
    let mut all = vec![];
    for costume in room.costumes().unwrap_or_default() {
        let Ok(clocks) = bath_clocks(&costume.path) else { continue };
        let on: Vec<&String> = clocks
            .iter()
            .filter(|(_, c)| c.begun.is_some() && c.recorded.is_none())
            .map(|(n, _)| n)
            .collect();
        if on.is_empty() {
            continue;
        }
        let Some(made) = room.desks.made(&costume.key) else {
            all.push((format!("/c/{}", costume.key), costume.name.clone()));
            continue;
        };
        for piece in &made.plan.pieces {
            for (at, sheet) in piece.sheets.iter().enumerate() {
                let Some(clock) = clocks.get(&name_of(piece, sheet)) else { continue };
                let over = sheet.steps.iter().all(|step| clock.done.contains(&step.n));
                if on.contains(&&name_of(piece, sheet)) && !over {
                    let to = format!("/c/{}/p/{}/bath/{at}/wrong", costume.key, piece.id);
                    let words = format!("{}, {}", piece.name, bath_name(sheet).to_lowercase());
                    all.push((to, words));
                }
            }
        }
    }
    all
}
