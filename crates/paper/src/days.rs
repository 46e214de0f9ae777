//! The day plan: the verdict, each day by the clock with its drawing, orders, what to drop first, leftovers.

use maud::{Markup, html};
use plan::document::{DayItem, DayLimits, DayPlan, DaySeen, Plan};

use crate::calendar::hands;
use crate::number::{names, number};
use crate::table::{say, say_or, table};
use crate::timeline;

/// The section; nothing when there is no day plan.
pub(crate) fn days(plan: &Plan) -> Markup {
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
                @for (at, day) in days.days.iter().enumerate() { (one(at, day, &days.limits)) }
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
    let rows: Vec<Vec<Markup>> = day.items.iter().map(cells).collect();
    let heads = ["Clock", "Piece", "What to do", "Pot or tub", "Hands", "Into the sink"];
    html! {
        div.day {
            h3 id=(id) { (day.weekday) ", " (day.day) ": " (day.kind) }
            p { "From " (day.begins) " to " (day.ends) "." }
            (timeline::timeline(&id, day, limits))
            (table("clock", "The day by the clock", &heads, &rows))
        }
    }
}

fn cells(item: &DayItem) -> Vec<Markup> {
    vec![
        html! { span.nowrap { (item.start) "–" (item.end) } @if item.over_night { br; span.quiet { "on a later day" } } },
        say_or(item.piece_name.clone(), "the kitchen"),
        html! {
            span.quiet { (item.job) ": " } (item.what)
            @if item.powder { " " strong { "Powder is open." } }
            @if item.changing { " " span.quiet { "(being heated, cooled or added to)" } }
        },
        html! {
            (say_or(item.vessel.clone(), "none"))
            @if item.burner { br; span.quiet { "on a burner" } }
        },
        say(hands(item.hands)),
        say_or((!item.sink.is_empty()).then(|| item.sink.join(", ")), "nothing"),
    ]
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
