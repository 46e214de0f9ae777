//! I am late: by how much, what moves, and what must not.

use std::collections::BTreeMap;

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use units::Day;
use workroom::document::{PiecePlan, Plan, Sheet};
use workroom::{
    BathMark, BathNow, Change, DayLate, LateBath, SaidLate, StepNow, Trouble, bath_clocks,
    change_costume, day_late, mark_bath, may_move,
};

use super::bath::{AtPot, Place, Typed, found, name_of, no_bath, shown};
use super::frame::Here;
use super::moment;
use super::opened::Opened;
use super::piece::bath_name;
use super::routes::{In, answered};

/// Less than this is in time, minutes: nobody pours by the second.
const IN_TIME_MIN: f64 = 1.0;

/// Most minutes that can be asked for at once: a day.
const MOST_MIN: u32 = 1440;

/// How late it is, in a sentence.
pub(super) fn sentence_of(now: &BathNow) -> String {
    let through = moment::clock(now.ends);
    match (&now.step, now.behind_min) {
        (None, behind) if behind.abs() < IN_TIME_MIN => "It was done in its time.".to_owned(),
        (None, behind) if behind > 0.0 => {
            format!("It took {} longer than the sheet.", moment::span(behind))
        }
        (None, behind) => format!("It took {} less than the sheet.", moment::span(behind)),
        (_, behind) if behind.abs() < IN_TIME_MIN => {
            format!("In time by the sheet’s clock. All but the drying is through at {through}.")
        }
        (_, behind) if behind > 0.0 => {
            format!(
                "{} behind the sheet’s clock: all but the drying is through at {through}.",
                moment::span(behind)
            )
        }
        (_, behind) => {
            format!(
                "{} ahead of the sheet’s clock: all but the drying is through at {through}.",
                moment::span(behind)
            )
        }
    }
}

/// The part of the page.
pub(super) fn late(pot: &AtPot<'_>, today: Day, typed: &Typed<'_>) -> Markup {
    html! {
        section.lateness aria-labelledby="late" {
            h2 id="late" tabindex="-1" { "I am late" }
            @match &pot.now {
                None => p { "This bath has not begun: its clock begins with the first step that is started or done. Until the goods are in, \
                    everything can wait." },
                Some(now) => {
                    p.verdict { (sentence_of(now)) }
                    @match &now.step {
                        None => p { "Every step is done: nothing can be late any more." },
                        Some(step) => (this_step(pot, step, typed)),
                    }
                    (said(pot))
                    (later(now))
                }
            }
            @if let Some(day) = of_the_day(pot, today) { (the_day(&day, costume_of(&pot.here))) }
        }
    }
}

/// The step that is being done: whether it is over its time, whether it may wait, and the button.
fn this_step(pot: &AtPot<'_>, step: &StepNow, typed: &Typed<'_>) -> Markup {
    let waiting = &step.waiting;
    let refused = typed.why.is_some() && typed.fields.contains_key("minutes_more");
    let value = typed.fields.get("minutes_more").map(String::as_str).unwrap_or_default();
    let usual = if step.over_min >= IN_TIME_MIN { step.over_min.ceil() } else { 10.0 };
    html! {
        div.may[!waiting.must_not].must-not[waiting.must_not] {
            h3 { "Step " (step.n) @if waiting.must_not { ": this must not wait" } @else { ": this may wait" } }
            @if step.over_min >= IN_TIME_MIN { p { b { "It is " (moment::span(step.over_min)) " over its time." } } }
            p { (waiting.says) }
            p { @match waiting.bears_min {
                _ if waiting.freely => { "There is no clock on it, as long as you keep to that." }
                Some(most) => { "It may take up to " b { (most) "\u{a0}min" } " longer without harm." }
                None => { "It bears no minute more: keep to the clock." }
            } }
        }
        form.row method="post" action={ (pot.here) "/late" } {
            div.field {
                label for="minutes_more" { "Minutes more that I need in step " (step.n) }
                input id="minutes_more" name="minutes_more" type="text" inputmode="numeric" required autocomplete="off"
                    value=(if refused { value.to_owned() } else { usual.to_string() }) aria-invalid=[refused.then_some("true")];
            }
            button type="submit" { "I am late" }
        }
    }
}

/// What was said of being late, and the way back.
fn said(pot: &AtPot<'_>) -> Markup {
    html! {
        @if let Some(said) = pot.clock.late.last() {
            div.changed {
                p { "You said " b { (said.asked_min) "\u{a0}min" } " in step " (said.step) ". "
                    @if said.moved_min == said.asked_min { "Its clock and all that follows moved by as much." }
                    @else if said.moved_min == 0 { b { "Its clock did not move" } ": the step bears no more. Do what stands above instead of leaving it." }
                    @else { "Its clock moved by " b { (said.moved_min) "\u{a0}min" } ", which is all that the step bears. The other "
                        (said.asked_min - said.moved_min) "\u{a0}min must not be: do what stands above instead of leaving it." } }
                form method="post" action={ (pot.here) "/late" } { button.second type="submit" name="undo" value="yes" { "Take that back" } }
            }
        }
    }
}

/// The later steps at the times they have now; what must not wait says so.
fn later(now: &BathNow) -> Markup {
    html! {
        @if !now.later.is_empty() {
            details {
                summary { "The later steps as it goes now" }
                ol.later { @for step in &now.later {
                    li value=(step.n) { b { (moment::clock(step.begins)) } " " (step.kind) @if step.must_not { ", " strong { "must not wait once it has begun" } } }
                } }
            }
        }
    }
}

/// What becomes of the day plan, where the plan has this bath today.
fn of_the_day(pot: &AtPot<'_>, today: Day) -> Option<DayLate> {
    let days = pot.plan.days.as_ref()?;
    // A bath that is through moves nothing any more.
    if pot.now.as_ref().is_some_and(|now| now.step.is_none()) {
        return None;
    }
    let ready = pot.plan.costume.day.as_ref().and_then(|day| day.parse().ok());
    let late = LateBath {
        piece: &pot.piece.id,
        job: pot.sheet.kind,
        bath: place_among(pot.piece, pot.sheet),
        begun_min: pot.clock.begun.map(moment::of_today_min),
        behind_min: pot.now.as_ref().map_or(0.0, |now| now.behind_min),
        now_min: moment::of_today_min(pot.at_ms),
    };
    day_late(days, today, ready, &late)
}

/// Which of the baths of its kind it is, from 1.
fn place_among(piece: &PiecePlan, sheet: &Sheet) -> usize {
    let same = piece.sheets.iter().filter(|other| other.kind == sheet.kind);
    same.take_while(|other| !std::ptr::eq(*other, sheet)).count() + 1
}

/// The address of the costume that a bath is of.
fn costume_of(here: &str) -> &str {
    here.split("/p/").next().unwrap_or_default()
}

fn the_day(day: &DayLate, costume: &str) -> Markup {
    html! {
        h3 { "The rest of the day" }
        p { "The day plan has this bath from " (day.begins) " to " (day.planned) ". "
            @if day.by_min >= IN_TIME_MIN { "You are " b { (moment::span(day.by_min)) " behind the day plan. " } }
            (day.verdict) }
        @if !day.moved.is_empty() {
            ul { @for one in &day.moved {
                li { b { (one.name) } ", " (one.job) ": " (one.was) " → "
                    @match &one.to { Some(on) => { b { (on) ", " (one.now) } } None => { b { (one.now) } } } }
            } }
            p.quiet { "Reckoned by pots, burners, sinks and hands; nothing is written. A pot that has begun is not moved." }
        }
        @if let Some(from) = &day.anew_from {
            form method="post" action={ (costume) "/days/from" } {
                input type="hidden" name="day" value=(from);
                button.second type="submit" { "Plan what is left from " (from) " on" }
            }
            p.quiet { "That is written into the costume’s calendar, and the days are worked out anew; it can be taken back. First record \
                what was dyed today: what is not on record is planned once more." }
        }
    }
}

/// `POST /c/{costume}/days/from`: what is left is planned from another day on.
pub(super) async fn from(
    State(room): In,
    Path(key): Path<String>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let day = fields.get("day").map(|day| day.trim()).unwrap_or_default();
        let day: Day = day.parse().map_err(|_| Trouble::Refused {
            says: format!("\"{day}\" is no day"),
            hint: "write it as year-month-day: 2031-05-11".to_owned(),
        })?;
        change_costume(&costume.path, &Change::From(day.to_string()), None, &room.recording())?;
        Ok(Redirect::to(&format!("/c/{key}/days")).into_response())
    })
    .await
}

/// On the page of the days: what today's pots that are on do to the rest of it.
pub(super) fn on_the_days(opened: &Opened, plan: &Plan, today: Day) -> Result<Markup, Trouble> {
    let clocks = bath_clocks(&opened.costume.path)?;
    let key = &opened.costume.key;
    let mut told = vec![];
    for piece in &plan.pieces {
        for (at, sheet) in piece.sheets.iter().enumerate() {
            if clocks.get(&name_of(piece, sheet)).is_none_or(|clock| clock.begun.is_none()) {
                continue;
            }
            let pot = AtPot::of(opened, plan, &(key.clone(), piece.id.clone(), at))?;
            if let Some(day) = of_the_day(&pot, today).filter(|day| day.by_min >= IN_TIME_MIN) {
                told.push((pot.here, format!("{}, {}", piece.name, bath_name(sheet)), day));
            }
        }
    }
    Ok(html! {
        @if !told.is_empty() {
            section.lateness aria-labelledby="today" {
                h2 id="today" { "As it goes today" }
                @for (to, words, day) in &told { p { a href={ (to) "#late" } { (words) } } (the_day(day, costume_of(to))) }
            }
        }
    })
}

/// `POST /c/{costume}/p/{piece}/bath/{at}/late`.
pub(super) async fn say(
    State(room): In,
    Path(place): Path<Place>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let (_, id, at) = &place;
        let opened = Opened::at_pot(room, &place)?;
        let plan = opened.look.plan().ok_or_else(|| no_bath(id))?;
        let (piece, sheet) = found(plan, id, *at)?;
        let pot = AtPot::of(&opened, plan, &place)?;
        let mark = match fields.contains_key("undo") {
            true => Ok((BathMark::NotLate, pot.at_ms)),
            false => {
                asked(&pot, fields.get("minutes_more").map(String::as_str).unwrap_or_default())
            }
        };
        match mark {
            Ok((mark, begun)) => {
                mark_bath(&opened.costume.path, &name_of(piece, sheet), mark, begun)?;
                Ok(Redirect::to(&format!("{}#late", pot.here)).into_response())
            }
            Err(why) => shown(room, &place, &Typed { why: Some(&why), fields }),
        }
    })
    .await
}

fn asked(pot: &AtPot<'_>, given: &str) -> Result<(BathMark, i64), Trouble> {
    let refused = |says: String, hint: &str| Trouble::Refused { says, hint: hint.to_owned() };
    let minutes = given.trim().trim_end_matches("min").trim().parse::<u32>().ok();
    let asked_min = minutes.filter(|m| (1..=MOST_MIN).contains(m)).ok_or_else(|| {
        let says = format!("\"{given}\" is not a number of minutes");
        refused(says, "write whole minutes, as 15, up to a day")
    })?;
    let step = pot.now.as_ref().and_then(|now| now.step.as_ref()).ok_or_else(|| {
        let says = "no step is running that could be late".to_owned();
        refused(says, "start or tick the first step; before that everything can wait")
    })?;
    let of_step = pot.clock.late.iter().filter(|said| said.step == step.n);
    let before: u32 = of_step.map(|said| said.moved_min).sum();
    // What it is over already counts as well: the clock is moved from when it should have rung.
    let moved_min = may_move(step, asked_min, before);
    let rang = pot.clock.rings.get(&step.n).copied();
    let ends = rang.or(step.ends).unwrap_or(pot.at_ms);
    let said = SaidLate { step: step.n, moved_min, asked_min, rang };
    let rings = ends + moment::ms(f64::from(moved_min));
    Ok((BathMark::Late(said, rings), pot.at_ms))
}
