//! A bath beside the pot: where it is, the sheet, what goes in, the clock of its steps, what is ticked off.
//!
//! A timer is an instant kept by the workroom, not a count in the page: it is right after a reload, on another page,
//! or when the screen was locked.

use std::collections::{BTreeMap, BTreeSet};

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use paper::bath_part;
use workroom::document::{Caution, PiecePlan, Plan, Sheet};
use workroom::{
    BathClock, BathMark, BathNow, Trouble, amount_of, bath_clock, bath_clocks, bath_now, mark_bath,
};

use super::frame::{self, Here};
use super::late;
use super::opened::Opened;
use super::photograph;
use super::piece::{bath_name, wrong};
use super::room::Room;
use super::routes::{In, answered};
use super::{bath_amounts, bath_done, bath_steps, moment};

/// Costume, piece, and which of its baths, from 0.
pub(super) type Place = (String, String, usize);

/// A bath with all that its page is made of.
pub(super) struct AtPot<'a> {
    pub(super) plan: &'a Plan,
    pub(super) piece: &'a PiecePlan,
    pub(super) sheet: &'a Sheet,
    pub(super) clock: BathClock,
    /// Where it is; none while it has not begun.
    pub(super) now: Option<BathNow>,
    /// What the clock says, in milliseconds since 1970 (UTC).
    pub(super) at_ms: i64,
    /// The page's own address.
    pub(super) here: String,
}

/// What was refused, and what was typed.
#[derive(Default)]
pub(super) struct Typed<'a> {
    pub(super) why: Option<&'a Trouble>,
    pub(super) fields: BTreeMap<String, String>,
}

impl<'a> AtPot<'a> {
    /// The bath at a place of a plan.
    pub(super) fn of(
        opened: &Opened,
        plan: &'a Plan,
        (key, id, at): &Place,
    ) -> Result<Self, Trouble> {
        let (piece, sheet) = found(plan, id, *at)?;
        let clock = bath_clock(&opened.costume.path, &name_of(piece, sheet))?;
        let at_ms = moment::now_ms();
        let now = bath_now(piece, sheet, &clock, at_ms);
        let here = format!("/c/{key}/p/{id}/bath/{at}");
        Ok(Self { plan, piece, sheet, clock, now, at_ms, here })
    }
}

/// The piece and the sheet of a place.
pub(super) fn found<'p>(
    plan: &'p Plan,
    id: &str,
    at: usize,
) -> Result<(&'p PiecePlan, &'p Sheet), Trouble> {
    let piece = plan.pieces.iter().find(|p| p.id == id).ok_or_else(|| no_bath(id))?;
    Ok((piece, piece.sheets.get(at).ok_or_else(|| no_bath(id))?))
}

pub(super) fn no_bath(id: &str) -> Trouble {
    Trouble::Refused {
        says: format!("there is no such bath of \"{id}\""),
        hint: "its page shows the baths it has".to_owned(),
    }
}

/// By what a bath's clock is found again.
pub(super) fn name_of(piece: &PiecePlan, sheet: &Sheet) -> String {
    let code = sheet.code.as_deref().unwrap_or("bulk");
    format!("{}/{}/{}/{code}", piece.id, sheet.procedure, sheet.kind)
}

/// `/c/{costume}/p/{piece}/bath/{at}`.
pub(super) async fn page(State(room): In, Path(place): Path<Place>) -> Response {
    answered(room, Here::Costume, move |room| shown(room, &place, &Typed::default())).await
}

/// The page, with what was refused on top and what was typed in its field.
pub(super) fn shown(room: &Room, place: &Place, typed: &Typed<'_>) -> Result<Response, Trouble> {
    let (key, id, at) = place;
    let opened = Opened::at_pot(room, place)?;
    let anew = room.desks.made(key);
    let clocks = bath_clocks(&opened.costume.path)?;
    let today = room.today()?;
    let mut page = opened.page("Beside the pot", "/p", |plan| {
        let pot = AtPot::of(&opened, plan, place)?;
        let read = read_before(plan, &pot, &clocks);
        let known = |caution: &Caution| read.contains(&(caution.id.clone(), caution.text.clone()));
        let sheet = bath_part(plan, id, *at, &known).ok_or_else(|| no_bath(id))?;
        let begun = pot.clock.begun.is_some();
        let ways = html! {
            p.ways-on {
                a href={ "/c/" (key) "/p/" (id) } { "The piece" } " "
                a href="#clock" { "The clock" } " "
                a href="#amounts" { "The amounts" } " "
                a href="#late" { "I am late" } " "
                a href={ (pot.here) "/wrong" @if let Some(step) = step_now(&pot) { "?step=" (step) } } { "It went wrong" }
            }
        };
        Ok(html! {
            @if let Some(why) = typed.why { (frame::trouble(why)) }
            h1 { (pot.piece.name) ": " (bath_name(pot.sheet)) }
            @if anew.as_ref().is_some_and(|made| !std::ptr::eq(&raw const made.plan, plan)) {
                p.absent { "The plan was made anew since this bath was begun, and may have another recipe for this place by now. This page stays with the bath you began." }
                form method="post" action={ (pot.here) "/aside" } { button.second type="submit" { "Set it aside: show the plan’s bath as it is now" } }
            }
            @if begun {
                // Whoever comes back with wet hands sees first where it is.
                (bath_steps::now(&pot))
                (ways)
                details.after.sheet-again { summary { "The sheet: cautions, goods, dyes" } (sheet) }
            } @else {
                (ways)
                h2.over-part { "Before the pot is filled" }
                (sheet)
            }
            (bath_amounts::amounts(&pot, typed))
            (bath_steps::steps(&pot))
            (late::late(&pot, today, typed))
            (bath_done::done(&pot, typed))
            @if let Some(code) = &pot.sheet.code { section.by-photo { h2 { "Dyed, dry and cool?" } (photograph::way(key, id, code)) } }
            (wrong(pot.piece))
        })
    })?;
    if let Some(why) = typed.why {
        *page.status_mut() = frame::status(why);
    }
    Ok(page)
}

/// The number of the step that is being done.
pub(super) fn step_now(pot: &AtPot<'_>) -> Option<usize> {
    pot.now.as_ref()?.step.as_ref().map(|step| step.n)
}

/// Cautions of the pots that were begun before this one: they were read there in full.
fn read_before(
    plan: &Plan,
    pot: &AtPot<'_>,
    clocks: &BTreeMap<String, BathClock>,
) -> BTreeSet<(String, String)> {
    let before = |piece: &PiecePlan, sheet: &Sheet| {
        let begun = clocks.get(&name_of(piece, sheet)).and_then(|clock| clock.begun);
        begun.is_some_and(|begun| begun < pot.clock.begun.unwrap_or(i64::MAX))
    };
    let sheets = plan.pieces.iter().flat_map(|p| p.sheets.iter().map(move |s| (p, s)));
    let read = sheets.filter(|(piece, sheet)| before(piece, sheet));
    read.flat_map(|(_, sheet)| &sheet.cautions).map(|c| (c.id.clone(), c.text.clone())).collect()
}

/// `POST /c/{costume}/p/{piece}/bath/{at}`: a tick, a clock, an amount.
pub(super) async fn mark(
    State(room): In,
    Path(place): Path<Place>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let (key, id, at) = &place;
        let opened = Opened::at_pot(room, &place)?;
        let plan = opened.look.plan().ok_or_else(|| no_bath(id))?;
        let (piece, sheet) = found(plan, id, *at)?;
        let here = format!("/c/{key}/p/{id}/bath/{at}");
        let (marks, to) = match marked(sheet, &fields) {
            Ok(marked) => marked,
            Err(why) => {
                let typed = Typed { why: Some(&why), fields };
                return shown(room, &place, &typed);
            }
        };
        for (mark, begun) in marks {
            mark_bath(&opened.costume.path, &name_of(piece, sheet), mark, begun)?;
        }
        room.desks.hold(key, (id.clone(), *at), opened.look.made.clone());
        Ok(Redirect::to(&format!("{here}#{to}")).into_response())
    })
    .await
}

/// `POST /c/{costume}/p/{piece}/bath/{at}/aside`: the bath as the plan has it now, in place of the one begun.
pub(super) async fn aside(State(room): In, Path((key, id, at)): Path<Place>) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        room.desks.hold(&costume.key, (id.clone(), at), None);
        Ok(Redirect::to(&format!("/c/{key}/p/{id}/bath/{at}")).into_response())
    })
    .await
}

/// The marks that a form asks for, each with when the bath began if it is the first one; and where to go then.
fn marked(
    sheet: &Sheet,
    fields: &BTreeMap<String, String>,
) -> Result<(Vec<(BathMark, i64)>, String), Trouble> {
    let field = |name: &str| fields.get(name).map(|v| v.trim()).unwrap_or_default();
    let now = moment::now_ms();
    let unknown = || Trouble::Refused {
        says: "there is no such mark".to_owned(),
        hint: "load the page again".to_owned(),
    };
    let amount = |of: &str, given: &str| {
        amount_of(sheet, of, given).map(|_| (BathMark::In(of.to_owned(), given.to_owned()), now))
    };
    match field("mark") {
        "in" => {
            let of = field("of");
            return Ok((vec![amount(of, field("amount"))?], format!("in-{of}")));
        }
        "out" => {
            let of = field("of").to_owned();
            let to = format!("in-{of}");
            return Ok((vec![(BathMark::Out(of), now)], to));
        }
        "all" => {
            let planned = bath_amounts::planned(sheet);
            let all = planned.iter().filter(|one| !fields.contains_key(&format!("is-{}", one.id)));
            let marks = all.map(|one| amount(&one.id, &one.planned)).collect::<Result<_, _>>()?;
            return Ok((marks, "amounts".to_owned()));
        }
        _ => {}
    }
    let n: usize = field("step").parse().map_err(|_| unknown())?;
    let step = sheet.steps.iter().find(|step| step.n == n).ok_or_else(unknown)?;
    // The first mark says when it began: a clock at its step's begin, a tick at its step's end.
    let (begins, ends) =
        (now - moment::ms(step.at_min), now - moment::ms(step.at_min + step.minutes));
    let (mark, begun, to) = match field("mark") {
        "done" => (BathMark::Done(n, now), ends, n + 1),
        "undo" => (BathMark::NotDone(n), now, n),
        "start" => (BathMark::RingsAt(n, now + moment::ms(step.minutes)), begins, n),
        "silence" => (BathMark::Silent(n), now, n),
        _ => return Err(unknown()),
    };
    Ok((vec![(mark, begun)], format!("step-{to}")))
}

/// `/c/{costume}/p/{piece}/bath/{at}/now`: what stands for the bath as it is, so that a page knows when another ticked.
pub(super) async fn watched(State(room): In, Path(place): Path<Place>) -> Response {
    answered(room, Here::Costume, move |room| {
        let (_, id, at) = &place;
        let opened = Opened::at_pot(room, &place)?;
        let plan = opened.look.plan().ok_or_else(|| no_bath(id))?;
        let (piece, sheet) = found(plan, id, *at)?;
        let clock = bath_clock(&opened.costume.path, &name_of(piece, sheet))?;
        Ok(axum::Json(serde_json::json!({ "now": stands_for(&clock) })).into_response())
    })
    .await
}

/// A short text that is another one after every mark.
pub(super) fn stands_for(clock: &BathClock) -> String {
    let done: Vec<String> = clock.done.iter().map(usize::to_string).collect();
    let rings: Vec<String> = clock.rings.iter().map(|(n, at)| format!("{n}:{at}")).collect();
    let really: Vec<String> = clock.really.iter().map(|(of, a)| format!("{of}={a}")).collect();
    let late = clock.late.len();
    let recorded = clock.recorded.is_some();
    format!("{};{};{};{late};{recorded}", done.join(","), rings.join(","), really.join(","))
}

/// A form with one button that puts a mark at a step.
pub(super) fn button(here: &str, step: usize, what: &str, words: &str) -> Markup {
    html! {
        form method="post" action=(here) {
            input type="hidden" name="step" value=(step);
            button.second[what != "done" && what != "start"] type="submit" name="mark" value=(what) { (words) span.unseen { ", step " (step) } }
        }
    }
}
