//! The day plan as it is told: whether it fits, a line for each day, what to order, what to drop.

use workroom::Plan;
use workroom::document::{DayItem, DayPlan, DaySeen};

use super::{name, names};
use crate::cli::speech::{columns, say, say_wrapped};

/// Days told: the weeks that come first.
const MOST_DAYS: usize = 12;

/// Told of each list of troubles; the page has them all.
const MOST_NAMED: usize = 6;

/// The verdict, the days, and what hangs on them.
pub(super) fn tell(plan: &Plan) {
    let Some(days) = &plan.days else { return };
    say("");
    say("The days");
    say_wrapped("  ", 2, &days.verdict);
    for day in days.days.iter().take(MOST_DAYS) {
        one(day);
    }
    if let Some(last) = days.days.last().filter(|_| days.days.len() > MOST_DAYS) {
        let more = days.days.len() - MOST_DAYS;
        say_wrapped("  ", 6, &format!("and {more} more, to {}", last.day));
    }
    if !days.days.is_empty() {
        say_wrapped("  ", 2, "The page has every day by the clock.");
    }
    no_place(days);
    orders(plan, days);
    at_hand(days);
    drops(plan, days);
}

/// "  2027-01-16 Saturday 10:00-15:30  swatches: coat, sash".
fn one(day: &DaySeen) {
    let mut who: Vec<&str> = vec![];
    for item in day.items.iter().filter(|item| !waits(item)) {
        let name = item.piece_name.as_deref().unwrap_or_default();
        if !name.is_empty() && !who.contains(&name) {
            who.push(name);
        }
    }
    let weekday: String = day.weekday.chars().take(3).collect();
    let first = format!("  {} {weekday} {}-{} ", day.day, day.begins, day.ends);
    let room = columns().saturating_sub(first.chars().count() + day.kind.chars().count());
    say_wrapped(&first, 6, &format!("{}{}", day.kind, fitted(&who, room)));
}

/// As many names as a line holds, and how many more there are.
fn fitted(names: &[&str], room: usize) -> String {
    if names.is_empty() {
        return String::new();
    }
    let shown = |n: usize| {
        let more = names.len() - n;
        let rest = if more == 0 { String::new() } else { format!(" and {more} more") };
        format!(": {}{rest}", names[..n].join(", "))
    };
    let fits = |n: &usize| shown(*n).chars().count() <= room;
    let most = (1..=names.len()).rev().find(fits);
    most.map_or_else(|| format!(": {} pieces", names.len()), shown)
}

/// Hanging to dry and standing overnight name no piece a second time.
fn waits(item: &DayItem) -> bool {
    item.job == "drying"
}

fn no_place(days: &DayPlan) {
    for one in days.no_place.iter().take(MOST_NAMED) {
        say_wrapped("  No day for ", 6, &format!("{}: {}", one.name, one.why));
    }
    and_more(days.no_place.len());
}

/// Things to order by the last day to order them; what comes too late first.
fn orders(plan: &Plan, days: &DayPlan) {
    let mut by_day: Vec<(&str, Vec<&str>)> = vec![];
    let late: Vec<_> = days.orders.iter().filter(|o| !o.in_time).collect();
    let mut in_time: Vec<_> = days.orders.iter().filter(|o| o.in_time).collect();
    in_time.sort_by(|a, b| a.order_by.cmp(&b.order_by));
    for order in in_time {
        match by_day.iter_mut().find(|(day, _)| *day == order.order_by) {
            Some((_, items)) => items.push(&order.name),
            None => by_day.push((&order.order_by, vec![&order.name])),
        }
    }
    let too_late = late.len();
    for order in late.into_iter().take(MOST_NAMED) {
        let says = format!(
            "{} on {} for {}: ordered today",
            order.name,
            order.comes,
            names(plan, &order.pieces)
        );
        say_wrapped("  Comes too late: ", 6, &says);
    }
    and_more(too_late);
    for (day, items) in by_day {
        say_wrapped(&format!("  Order by {day}: "), 6, &items.join("; "));
    }
}

/// What is said of a thing that no parcel brings in time.
const LATE: &str = " (too late by post: get it near you, or begin later)";

/// What comes by no parcel: bought in a food shop, or to be looked for.
fn at_hand(days: &DayPlan) {
    let each = |ask: bool| -> Vec<String> {
        let mut said: Vec<String> = vec![];
        let mut day = "";
        for one in days.at_hand.iter().filter(|one| one.ask == ask) {
            let by = if one.by == day { String::new() } else { format!("by {}: ", one.by) };
            let late = if one.too_late { LATE } else { "" };
            said.push(format!("{by}{}, {}{late}", one.name, one.need));
            day = &one.by;
        }
        said
    };
    let (buy, look) = (each(false), each(true));
    if !buy.is_empty() {
        say_wrapped("  Buy in a food shop: ", 6, &format!("{}.", buy.join("; ")));
    }
    if !look.is_empty() {
        say_wrapped("  Do you have it? ", 6, &format!("{}.", look.join("; ")));
    }
}

fn drops(plan: &Plan, days: &DayPlan) {
    for (i, one) in days.drop_first.iter().enumerate().take(MOST_NAMED) {
        let first = if i == 0 { "  Drop first: " } else { "  then: " };
        say_wrapped(first, 6, &format!("{}: {}", name(plan, &one.piece), one.why));
    }
    and_more(days.drop_first.len());
    if !days.still_possible.is_empty() {
        say_wrapped("  Still possible: ", 6, &names(plan, &days.still_possible));
    }
}

/// Says how many of a list were not told.
fn and_more(of: usize) {
    if of > MOST_NAMED {
        say(&format!("      and {} more", of - MOST_NAMED));
    }
}
