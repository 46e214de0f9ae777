//! The day plan: the verdict, each day by the clock with its drawing, orders, what to drop first, leftovers.

use maud::{Markup, html};
use plan::document::{DayItem, DayLimits, DayPlan, DaySeen, Plan};

use crate::number::{names, number};
use crate::table::{say, say_or, table};
use crate::timeline;

/// The section; nothing when there is no day plan.
pub(crate) fn days(plan: &Plan) -> Markup {
    whole(plan, &|days| {
        html! { @for (at, day) in days.days.iter().enumerate() { (one(at, day, &days.limits)) } }
    })
}

/// The same with one day only, counted from 0, and ways to the others, each made by `way`.
pub(crate) fn day(plan: &Plan, only: usize, way: &dyn Fn(usize) -> String) -> Markup {
    whole(plan, &|days| {
        let only = only.min(days.days.len().saturating_sub(1));
        html! {
            nav.lamps aria-label="The days" { ul {
                @for (at, day) in days.days.iter().enumerate() {
                    li { a href=(way(at)) aria-current=[(at == only).then_some("true")] { (day.weekday.get(..3).unwrap_or(day.weekday)) " " (day.day) } }
                }
            } }
            @if let Some(day) = days.days.get(only) { (one(only, day, &days.limits)) }
        }
    })
}

fn whole(plan: &Plan, each: &dyn Fn(&DayPlan) -> Markup) -> Markup {
    html! {
        @if let Some(days) = &plan.days {
            section.days aria-labelledby="days" {
                h2 id="days" tabindex="-1" { "Which day, which pot" }
                p.verdict { b { (days.verdict) } }
                dl.facts {
                    div { dt { "Fits" } dd { @if days.fits { "yes" } @else { "no" } } }
                    @if let Some(done) = &days.done { div { dt { "Everything done on" } dd { (done) } } }
                    @if let Some(latest) = &days.latest_start { div { dt { "Begin at the latest on" } dd { (latest) } } }
                    (limits(&days.limits))
                }
                (orders(days, plan))
                (trouble(days, plan))
                @if !days.days.is_empty() { p.quiet.print-only { "In the drawings " (timeline::KEY) } }
                (each(days))
                (leftovers(days, plan))
                @if !days.rules.is_empty() {
                    h3 { "What holds on every day" }
                    ul { @for rule in &days.rules { li { (rule) } } }
                }
            }
        }
    }
}

fn limits(limits: &DayLimits) -> Markup {
    html! {
        div { dt { "Working hours" } dd { (limits.from) " to " (limits.until) } }
        div { dt { "Pots and tubs" } dd { (limits.vessels.join(", ")) } }
        div { dt { "Burners" } dd { (limits.burners) } }
        div { dt { "People at the pots" } dd { (limits.hands) } }
        div { dt { "Sinks" } dd { (limits.sinks) } }
        div { dt { "Pieces that can hang" } dd { (limits.drying) } }
        div { dt { "Days a delivery takes" } dd { (limits.delivery_days) } }
    }
}

fn orders(days: &DayPlan, plan: &Plan) -> Markup {
    let rows: Vec<Vec<Markup>> = days
        .orders
        .iter()
        .map(|order| {
            vec![
                html! { (order.name) br; span.quiet { code { (order.item) } } },
                html! { b { (order.order_by) } },
                say(&order.comes),
                html! { @if order.in_time { "in time" } @else { strong { "too late" } } },
                say(names(plan, &order.pieces)),
            ]
        })
        .collect();
    let heads =
        ["What", "Order by", "Ordered today it comes", "Is that in time?", "Waiting for it"];
    html! {
        @if !rows.is_empty() {
            h3 { "What to order, and until when" }
            (table("orders", "The last day to order, so that no piece waits", &heads, &rows))
        }
        @if !days.at_hand.is_empty() {
            h3 { "What else must be at hand" }
            ul { @for one in &days.at_hand { li {
                @if one.ask { "Do you have " } @else { "Buy " }
                b { (one.name) } ", " (one.need) @if one.ask { "? If not, " } @else { ": " }
                @if one.too_late { "it is too late by post: get it near you, or begin later; by" }
                @else if one.food_shop { "any food shop has it by" } @else { "order it by" } " " b { (one.by) }
                ". First used on " (one.used) "."
            } } }
        }
    }
}

fn trouble(days: &DayPlan, plan: &Plan) -> Markup {
    html! {
        @if !days.no_place.is_empty() {
            h3 { "What has no place" }
            ul { @for one in &days.no_place { li { b { (one.name) ": " } (one.why) } } }
        }
        @if !days.drop_first.is_empty() {
            h3 { "What to drop first" }
            ol { @for one in &days.drop_first { li { b { (one.name) ": " } (one.why) } } }
        }
        @if !days.still_possible.is_empty() {
            p { "What can still be done in time: " b { (names(plan, &days.still_possible)) } "." }
        }
    }
}

fn one(at: usize, day: &DaySeen, limits: &DayLimits) -> Markup {
    let id = format!("day-{}", at + 1);
    let rows: Vec<Vec<Markup>> = works(day).iter().map(cells).collect();
    let heads = ["Clock", "Piece", "What to do, by the clock", "Pot or tub", "Into the sink"];
    html! {
        div.day {
            h3 id=(id) { (day.weekday) ", " (day.day) ": " (day.kind) }
            p { "From " (day.begins) " to " (day.ends) "." }
            (timeline::timeline(&id, day, limits))
            (table("clock", "The day by the clock", &heads, &rows))
        }
    }
}

/// One job on one day: its stretches one after the other, for every piece that goes through them together.
struct Work<'d> {
    pieces: Vec<&'d str>,
    items: Vec<&'d DayItem>,
    dries: Option<&'d DayItem>,
}

/// A day's items gathered by job; pieces in jars of one pot are told together.
fn works(day: &DaySeen) -> Vec<Work<'_>> {
    let mut works: Vec<Work> = vec![];
    for item in &day.items {
        let name = item.piece_name.as_deref().unwrap_or("the kitchen");
        let mine = works.iter_mut().rev().find(|w| {
            w.pieces == [name]
                && (item.job == "drying" || w.items.last().is_some_and(|last| last.job == item.job))
        });
        match mine {
            Some(work) if item.job == "drying" => work.dries = Some(item),
            Some(work) if item.piece.is_some() => work.items.push(item),
            _ => works.push(Work { pieces: vec![name], items: vec![item], dries: None }),
        }
    }
    let mut told: Vec<Work> = vec![];
    for work in works {
        match told.iter_mut().find(|other| alike(other, &work)) {
            Some(other) => other.pieces.extend(work.pieces),
            None => told.push(work),
        }
    }
    told
}

/// The same stretches at the same time in the same pot.
fn alike(a: &Work, b: &Work) -> bool {
    let same = |(x, y): (&&DayItem, &&DayItem)| {
        (x.start_min, x.end_min, &x.what, &x.vessel, x.job)
            == (y.start_min, y.end_min, &y.what, &y.vessel, y.job)
    };
    a.items.len() == b.items.len()
        && a.items.iter().zip(&b.items).all(same)
        && a.items.first().is_some_and(|item| {
            item.piece.is_some() && item.vessel.is_none() || item.piece.is_some()
        })
        && b.items.iter().any(|item| item.vessel.is_some())
}

fn cells(work: &Work) -> Vec<Markup> {
    let (first, last) = (work.items.first(), work.items.last());
    let vessel = work.items.iter().find_map(|item| item.stands.as_ref().or(item.vessel.as_ref()));
    let vessel = vessel.cloned();
    let mut sink: Vec<&str> =
        work.items.iter().flat_map(|item| &item.sink).map(String::as_str).collect();
    sink.sort_unstable();
    sink.dedup();
    vec![
        html! { span.nowrap { (first.map_or("", |i| i.start.as_str())) "–" (last.map_or("", |i| i.end.as_str())) }
        @if last.is_some_and(|i| i.over_night) { br; span.quiet { "on a later day" } } },
        html! { @for (at, name) in work.pieces.iter().enumerate() { @if at > 0 { ", " } span.nowrap { (name) } } },
        html! {
            b { (first.map_or("", |i| i.job)) ": " }
            @for (at, item) in work.items.iter().enumerate() {
                @if at > 0 { "; " }
                b.nowrap { (item.start) } " " (item.what)
                @if let Some(asks) = stretch(work, at) { " " span.quiet { "(" (asks) ")" } }
            }
            @if let Some(dries) = work.dries { "; hangs to dry from " (dries.start) }
            "."
        },
        html! {
            (say_or(vessel, "none"))
            @if work.items.iter().any(|item| item.burner) { span.quiet { ", on a burner" } }
        },
        say_or((!sink.is_empty()).then(|| sink.join(", ")), "nothing"),
    ]
}

/// What a stretch asks of the maker, where that is not what the one before asked.
fn stretch(work: &Work, at: usize) -> Option<String> {
    let item = work.items.get(at)?;
    let before = at.checked_sub(1).and_then(|at| work.items.get(at));
    let mut said = vec![];
    if before.is_none_or(|b| b.hands != item.hands) {
        said.push(match item.hands {
            "alone" => "the kitchen to itself, nothing lit",
            "all" => "hands full",
            "near" => "stay near",
            _ => "needs nobody",
        });
    }
    if item.powder {
        said.push("powder is open");
    }
    if item.burner && before.is_none_or(|b| !b.burner) {
        said.push("burner on");
    }
    (!said.is_empty()).then(|| said.join(", "))
}

fn leftovers(days: &DayPlan, plan: &Plan) -> Markup {
    html! {
        @if !days.leftovers.is_empty() {
            h3 { "Baths left over" }
            ul { @for one in &days.leftovers {
                li { b { (names(plan, std::slice::from_ref(&one.from))) " → "
                    (names(plan, std::slice::from_ref(&one.to))) ": " } (one.words) }
            } }
        }
    }
}

/// Minutes as a clock, for what the drawing says: 615 is "10:15".
pub(crate) fn clock(minutes: f64) -> String {
    let hours = (minutes / 60.0).floor();
    format!("{}:{:0>2}", number(hours), number((minutes - 60.0 * hours).round()))
}
