//! When there is time to dye: days of the week, hours of the day, days off, how long a parcel takes.

use units::{Day, Minutes, Weekday};

use crate::reader::{Any, At, Table};

/// When the maker can be at the pots.
#[derive(Debug, Clone, PartialEq)]
pub struct Calendar {
    /// Days of the week to dye on, by [`Weekday::from_monday`].
    pub weekdays: [bool; 7],
    /// When a day of dyeing begins, after midnight.
    pub from: Minutes,
    /// How long a day of dyeing is.
    pub hours: Minutes,
    /// Days that are taken, in order, each once.
    pub not_on: Vec<Day>,
    /// Days from an order to the parcel.
    pub delivery_days: u32,
    /// The first day there is time; none: the day the plan is made.
    pub start: Option<Day>,
}

/// A day of dyeing begins at ten in the morning when the file says nothing (judgement).
const USUAL_FROM_MIN: f64 = 600.0;
/// A day of dyeing has six hours when the file says nothing (judgement).
const USUAL_HOURS: f64 = 6.0;
/// Days from an order to the parcel when the file says nothing (judgement).
const USUAL_DELIVERY_DAYS: u32 = 5;

impl Default for Calendar {
    fn default() -> Self {
        let minutes = |m| Minutes::try_minutes(m).unwrap_or(Minutes::ZERO);
        Self {
            weekdays: [true; 7],
            from: minutes(USUAL_FROM_MIN),
            hours: minutes(USUAL_HOURS * 60.0),
            not_on: vec![],
            delivery_days: USUAL_DELIVERY_DAYS,
            start: None,
        }
    }
}

/// Longest day at the pots, hours: who dyes longer makes mistakes (judgement).
const LONGEST_H: f64 = 16.0;
/// Longest wait for a parcel, days.
const LONGEST_DELIVERY: u32 = 120;
/// Minutes of a day.
const DAY_MIN: f64 = 1440.0;

/// Reads `[calendar]`; an absent table is every day from ten, six hours. `ready` is the day the costume
/// must be ready.
pub(crate) fn calendar(table: Option<&Table>, ready: Option<Day>) -> Calendar {
    let usual = Calendar::default();
    let Some(table) = table else { return usual };
    let from = table.any("from").and_then(|at| clock(table, &at));
    let span = table.any("hours").map_or(table.span.clone(), |h| h.span);
    let hours = table.number("hours").and_then(|h| hours(table, &h));
    let calendar = Calendar {
        weekdays: weekdays(table).unwrap_or(usual.weekdays),
        from: from.unwrap_or(usual.from),
        hours: hours.unwrap_or(usual.hours),
        not_on: days_off(table),
        delivery_days: table
            .count("delivery_days", 0..=LONGEST_DELIVERY, "days from an order to the parcel")
            .unwrap_or(usual.delivery_days),
        start: table.day("start").map(|d| d.it),
    };
    if (calendar.from + calendar.hours).to_minutes() > DAY_MIN {
        let hint = "begin earlier or write fewer hours: a bath is not left over midnight";
        table.fault(span, "the day of dyeing ends after midnight", hint);
    }
    if let (Some(start), Some(ready)) = (calendar.start, ready)
        && start > ready
    {
        let span = table.any("start").map_or(table.span.clone(), |s| s.span);
        let says = format!("`start` is {start}, after the day it must be ready, {ready}");
        table.fault(span, says, "correct one of the two days");
    }
    table.finish();
    calendar
}

fn hours(table: &Table, at: &At<f64>) -> Option<Minutes> {
    if at.it > 0.0 && at.it <= LONGEST_H {
        return Minutes::try_minutes(at.it * 60.0).ok();
    }
    let hint = format!("above 0, at most {LONGEST_H}");
    table.fault(at.span.clone(), format!("`hours` is {}", at.it), hint);
    None
}

/// A time of day, `"10:00"` or `10:00:00`.
fn clock(table: &Table, at: &At<Any>) -> Option<Minutes> {
    let hint = "write the time of day as in from = \"10:00\"";
    let (Any::Text(text) | Any::Day(text)) = &at.it else {
        table.fault(at.span.clone(), format!("`from` is {}", at.it.kind()), hint);
        return None;
    };
    let read = |text: &str| {
        let (hours, minutes) = text.split_once(':')?;
        let minutes = minutes.strip_suffix(":00").unwrap_or(minutes);
        let two = |digits: &str| {
            let plain =
                (1..=2).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
            plain.then(|| digits.parse::<u32>().ok()).flatten()
        };
        let (hours, minutes) = (two(hours)?, two(minutes)?);
        (hours < 24 && minutes < 60).then(|| f64::from(hours * 60 + minutes))
    };
    match read(text.trim()) {
        Some(minutes) => Minutes::try_minutes(minutes).ok(),
        None => {
            table.fault(at.span.clone(), format!("`from` is \"{text}\""), hint);
            None
        }
    }
}

/// A day of the week as written.
const fn name(day: Weekday) -> &'static str {
    match day {
        Weekday::Monday => "monday",
        Weekday::Tuesday => "tuesday",
        Weekday::Wednesday => "wednesday",
        Weekday::Thursday => "thursday",
        Weekday::Friday => "friday",
        Weekday::Saturday => "saturday",
        Weekday::Sunday => "sunday",
    }
}

fn weekdays(table: &Table) -> Option<[bool; 7]> {
    let at = table.any("weekdays")?;
    let mut on = [false; 7];
    for day in table.texts("weekdays") {
        if let Some(day) = table.one_of("weekdays", &day, &Weekday::ALL, name) {
            on[day.from_monday()] = true;
        }
    }
    if matches!(&at.it, Any::List(list) if list.is_empty()) {
        let hint = "leave it out for every day, or name the days there is time";
        table.fault(at.span, "`weekdays` is empty: there is no day to dye on", hint);
    }
    Some(on)
}

fn days_off(table: &Table) -> Vec<Day> {
    let mut days: Vec<Day> = table
        .list("not_on")
        .into_iter()
        .filter_map(|At { it, span }| match it {
            Any::Day(text) | Any::Text(text) => {
                table.keep(&span, text.parse(), "days are written year-month-day")
            }
            other => {
                let hint = "write days, as in not_on = [2027-03-06, 2027-03-07]";
                table.fault(span, format!("`not_on` holds {}", other.kind()), hint);
                None
            }
        })
        .collect();
    days.sort_unstable();
    days.dedup();
    days
}
