//! A timetable held against its ask, by rules written out anew: nothing of the planner is used.

mod kitchen;
mod stages;

use units::{Day, Minutes};

use crate::ask::Ask;
use crate::fault::Fault;
use crate::job::{Family, JobKind, JobPlace, Leftover};
use crate::timetable::{Date, Moment, Timetable};

/// All faults of a timetable; empty when it keeps every limit of the ask.
///
/// The ask itself must be one that [`crate::timetable()`] does not refuse.
#[must_use]
pub fn faults(ask: &Ask, table: &Timetable) -> Vec<Fault> {
    let mut found = Vec::new();
    stages::check(ask, table, &mut found);
    kitchen::check(ask, table, &mut found);
    order(ask, table, &mut found);
    offers(ask, table, &mut found);
    date(ask, table, &mut found);
    found
}

/// Minutes from the midnight that begins the day of the ask.
fn at(ask: &Ask, moment: Moment) -> f64 {
    f64::from(ask.today.days_until(moment.day)) * 1440.0 + moment.clock.to_minutes()
}

fn moment(ask: &Ask, minutes: f64) -> Moment {
    let mut day = ask.today;
    let mut left = minutes;
    while left >= 1440.0 {
        day = day.plus_days(1);
        left -= 1440.0;
    }
    Moment { day, clock: Minutes::try_minutes(left).unwrap_or(Minutes::ZERO) }
}

/// From when to when a job takes, drying included; none: it is not placed.
fn span(ask: &Ask, table: &Timetable, job: usize) -> Option<(f64, f64)> {
    let entries = table.entries.iter().filter(|entry| entry.jobs.contains(&job));
    let ends = entries.clone().map(|entry| at(ask, entry.end));
    let dries = table.drying.iter().filter(|it| it.job == job).map(|it| at(ask, it.end));
    let start = entries.map(|entry| at(ask, entry.start)).reduce(f64::min)?;
    Some((start, ends.chain(dries).fold(start, f64::max)))
}

fn free_day(ask: &Ask, day: Day) -> bool {
    ask.hours.weekdays[day.weekday().from_monday()]
        && !ask.hours.not_on.contains(&day)
        && day >= ask.hours.first.unwrap_or(ask.today)
        && day >= ask.today
}

/// Whether from one moment to another lies within the hours of one free day.
fn within_hours(ask: &Ask, start: Moment, end: Moment) -> bool {
    let from = ask.hours.from.to_minutes();
    let until = from + ask.hours.length.to_minutes();
    let (begin, finish) = (start.clock.to_minutes(), at(ask, end) - at(ask, start));
    free_day(ask, start.day) && begin >= from && begin + finish <= until.ceil()
}

fn never(ask: &Ask, one: Family, other: Family) -> bool {
    ask.never_together.iter().any(|&pair| pair == (one, other) || pair == (other, one))
}

fn meet(ask: &Ask, some: &[Family], others: &[Family]) -> bool {
    some.iter().any(|&one| others.iter().any(|&other| never(ask, one, other)))
}

fn order(ask: &Ask, table: &Timetable, found: &mut Vec<Fault>) {
    let spans: Vec<_> = (0..ask.jobs.len()).map(|job| span(ask, table, job)).collect();
    for (index, job) in ask.jobs.iter().enumerate() {
        let Some((start, _)) = spans[index] else { continue };
        for (other, it) in ask.jobs.iter().enumerate() {
            let same = it.piece == job.piece;
            let first = job.after.contains(&it.id)
                || (same && job.kind == JobKind::Judge && it.kind == JobKind::Swatch)
                || (same
                    && matches!(job.kind, JobKind::Bulk | JobKind::Finish)
                    && matches!(it.kind, JobKind::Swatch | JobKind::Judge));
            if first && spans[other].is_none_or(|(_, end)| end > start) {
                found.push(Fault::TooEarly { job: index, after: other });
            }
        }
        for (item, it) in ask.items.iter().enumerate() {
            if job.needs.contains(&it.name) && start < f64::from(it.days) * 1440.0 {
                found.push(Fault::NotDelivered { job: index, item });
            }
        }
    }
}

fn offers(ask: &Ask, table: &Timetable, found: &mut Vec<Fault>) {
    for offer in &table.leftovers {
        let (from, to) = (&ask.jobs[offer.from], &ask.jobs[offer.to]);
        let key = |leftover: &Leftover| match leftover {
            Leftover::Key { key, .. } => Some(key.clone()),
            Leftover::Never => None,
        };
        let alike = key(&from.leftover).is_some_and(|it| Some(it) == key(&to.leftover));
        let matched = matches!(to.leftover, Leftover::Key { matched: true, .. });
        let in_pot = table.entries.iter().filter(|it| it.jobs == [offer.from] && it.pot.is_some());
        let left = in_pot.map(|entry| at(ask, entry.end)).reduce(f64::max);
        let begun = span(ask, table, offer.to).map(|(start, _)| start);
        let later = left.zip(begun).is_some_and(|(left, begun)| begun >= left);
        if !alike || matched || from.darkness <= to.darkness || !later {
            found.push(Fault::BadOffer { from: offer.from, to: offer.to });
        }
    }
}

fn date(ask: &Ask, table: &Timetable, found: &mut Vec<Fault>) {
    let ends = (0..ask.jobs.len()).filter_map(|job| span(ask, table, job)).map(|(_, end)| end);
    let finish = ends.reduce(f64::max);
    let deadline = ask.due.map(|due| {
        let until = ask.hours.from.to_minutes() + ask.hours.length.to_minutes();
        f64::from(ask.today.days_until(due)) * 1440.0 + until.ceil()
    });
    let kept = table.unplaced.is_empty()
        && deadline.is_none_or(|deadline| finish.is_none_or(|finish| finish <= deadline));
    let said = match &table.date {
        Date::Open => deadline.is_none(),
        Date::Kept { .. } => deadline.is_some() && kept,
        Date::Missed { .. } => deadline.is_some() && !kept,
    };
    if !said || table.finish.map(|finish| at(ask, finish)) != finish {
        found.push(Fault::DateUntrue);
    }
}

/// Goods of several jobs in one entry: jars of one key in one pot, no more than it holds, or one load.
fn one_bath(ask: &Ask, jobs: &[usize]) -> bool {
    let places: Vec<&JobPlace> = jobs.iter().map(|&job| &ask.jobs[job].place).collect();
    let alike = places.iter().all(|place| *place == places[0]);
    match places[0] {
        JobPlace::Jar { pot, .. } => alike && jobs.len() <= ask.kitchen.pots[*pot].jars,
        JobPlace::Load { .. } => alike,
        JobPlace::Pot(_) | JobPlace::Nowhere => jobs.len() == 1,
    }
}
