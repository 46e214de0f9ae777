//! How a plan stands to its date: slack, last days to order, and what to drop when it is missed.

use std::collections::HashMap;

use units::Day;

use crate::ask::Ask;
use crate::clock::{DAY, day_of, whole};
use crate::place::Placed;
use crate::schedule::{Planner, Schedule};
use crate::timetable::{Date, OrderBy, Rescue, Slack, Timetable, WhyDropped};
use crate::unit::Unit;

/// The minute everything must be dry: the end of hours on the day it is due.
pub(crate) fn deadline(ask: &Ask) -> Option<i32> {
    let due = ask.due?;
    Some(ask.today.days_until(due) * DAY + whole(ask.hours.from) + whole(ask.hours.length))
}

/// The minute everything must be dry, where a plan misses it.
pub(crate) fn missed(ask: &Ask, plan: &Schedule) -> Option<i32> {
    deadline(ask).filter(|&deadline| !plan.done_by(deadline))
}

/// Where the units of the pieces that can be ready stand when these are planned alone; none for the others.
pub(crate) fn kept_alone(
    ask: &Ask,
    rescue: &Rescue,
    (parted, all): (&Ask, &[Unit]),
) -> Vec<Option<Placed>> {
    let kept = ask.without(&gone(rescue));
    let names = |ask: &Ask, unit: &Unit| -> Vec<String> {
        unit.members.iter().map(|&job| ask.jobs[job].id.clone()).collect()
    };
    let mut stand: HashMap<Vec<String>, Placed> = HashMap::new();
    if let Ok(units) = crate::read::units(&kept) {
        let plan = Planner::new(&kept, &units).plan(deadline(ask));
        let placed = units.iter().zip(plan.placed);
        stand.extend(placed.filter_map(|(unit, there)| Some((names(&kept, unit), there.ok()?))));
    }
    // All of it or none: a place holds only as long as all that was planned before it stands. One that waits for a
    // dropped piece does not, nor do jars that go together otherwise without it.
    let dropped = gone(rescue);
    let of_dropped = |&job: &usize| dropped.contains(&ask.jobs[job].piece);
    let here = |unit: &Unit| {
        if unit.members.iter().all(of_dropped) {
            return Some(None);
        }
        let waits = unit.before.iter().any(|&b| all[b].members.iter().any(of_dropped));
        stand.get(&names(parted, unit)).filter(|_| !waits).cloned().map(Some)
    };
    let standing: Option<Vec<Option<Placed>>> = all.iter().map(here).collect();
    standing.unwrap_or_else(|| vec![None; all.len()])
}

/// Fills in what a timetable says about the date.
pub(crate) fn stand(
    ask: &Ask,
    planner: &Planner<'_>,
    plan: &Schedule,
    rescue: Option<Rescue>,
    written: &mut Timetable,
) {
    let Some(deadline) = deadline(ask) else {
        written.orders = orders(ask, &HashMap::new(), None);
        return;
    };
    let Some(rescue) = rescue else {
        let late = latest(planner, plan, deadline);
        written.slack = slack(ask, planner.units, plan, &late);
        written.date = kept(ask, plan, &late);
        written.orders = orders(ask, &by_job(ask, planner.units, &late), None);
        return;
    };
    let reduced = ask.without(&gone(&rescue));
    let latest_of_kept = match crate::read::units(&reduced) {
        Ok(units) if !units.is_empty() => {
            let planner = Planner::new(&reduced, &units);
            let plan = planner.plan(Some(deadline));
            by_job(&reduced, &units, &latest(&planner, &plan, deadline))
        }
        _ => HashMap::new(),
    };
    written.orders = orders(ask, &latest_of_kept, Some(&rescue));
    written.date = Date::Missed { rescue };
}

/// The pieces that are dropped.
pub(crate) fn gone(rescue: &Rescue) -> Vec<String> {
    rescue.drop.iter().map(|dropped| dropped.piece.clone()).collect()
}

/// The latest start of each unit; its planned start when no later plan is found.
fn latest(planner: &Planner<'_>, plan: &Schedule, deadline: i32) -> Vec<i32> {
    let planned = |unit: usize| plan.placed[unit].as_ref().map_or(deadline, Placed::start);
    let late = planner.late(plan, deadline);
    (0..planner.units.len())
        .map(|unit| late.as_ref().map_or(planned(unit), |late| late[unit].max(planned(unit))))
        .collect()
}

fn whole_days(from: i32, to: i32) -> u32 {
    u32::try_from(to.div_euclid(DAY) - from.div_euclid(DAY)).unwrap_or(0)
}

fn slack(ask: &Ask, units: &[Unit], plan: &Schedule, late: &[i32]) -> Vec<Slack> {
    let mut all: Vec<Slack> = units
        .iter()
        .zip(&plan.placed)
        .zip(late)
        .filter_map(|((unit, placed), &late)| Some((unit, placed.as_ref().ok()?.start(), late)))
        .flat_map(|(unit, start, late)| {
            unit.members.iter().map(move |&job| Slack {
                job,
                latest_start: day_of(ask.today, late),
                days: whole_days(start, late),
            })
        })
        .collect();
    all.sort_by_key(|slack| slack.job);
    all
}

fn kept(ask: &Ask, plan: &Schedule, late: &[i32]) -> Date {
    let starts = plan.placed.iter().flatten().map(Placed::start);
    let (first, latest) = (starts.min().unwrap_or(0), late.iter().copied().min().unwrap_or(0));
    Date::Kept {
        latest_start: day_of(ask.today, latest),
        slack_days: whole_days(first, latest.max(first)),
    }
}

/// The latest start of each job, by its name.
fn by_job(ask: &Ask, units: &[Unit], late: &[i32]) -> HashMap<String, Day> {
    let each = units.iter().zip(late).flat_map(|(unit, &late)| {
        unit.members.iter().map(move |&job| (job, day_of(ask.today, late)))
    });
    each.map(|(job, day)| (ask.jobs[job].id.clone(), day)).collect()
}

/// The items with the day they come, the last day to order them, and whom they fail.
fn orders(ask: &Ask, latest: &HashMap<String, Day>, rescue: Option<&Rescue>) -> Vec<OrderBy> {
    ask.items
        .iter()
        .enumerate()
        .map(|(item, it)| {
            let days = i32::try_from(it.days).unwrap_or(i32::MAX).min(100_000);
            let waiting = ask.jobs.iter().filter(|job| job.needs.contains(&it.name));
            let last = waiting.filter_map(|job| latest.get(&job.id)).min();
            let failed = rescue.into_iter().flat_map(|rescue| &rescue.drop).filter(|dropped| {
                matches!(&dropped.why, WhyDropped::DeliveryTooLate(items) if items.contains(&it.name))
            });
            OrderBy {
                item,
                arrives: ask.today.plus_days(days),
                last_day: last.map(|day| day.plus_days(-days)).filter(|&day| day >= ask.today),
                too_late_for: failed.map(|dropped| dropped.piece.clone()).collect(),
            }
        })
        .collect()
}
