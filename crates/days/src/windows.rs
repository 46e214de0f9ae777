//! The hours there are: for every free day from when to when, and the daylight in it.

use crate::ask::Ask;
use crate::clock::{DAY, whole};

/// How far ahead a plan looks, in days: three years, longer than any costume waits.
pub(crate) const HORIZON_DAYS: i32 = 3 * 366;

/// The hours of one free day, in minutes of the planner's clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Window {
    pub(crate) start: i32,
    pub(crate) end: i32,
    pub(crate) light_start: i32,
    pub(crate) light_end: i32,
}

/// Which hours a step may lie in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Within {
    /// Any, day and night.
    Anytime,
    /// The hours of one day.
    Hours,
    /// The daylight of one day's hours.
    Daylight,
}

impl Window {
    /// From when to when; empty when the end is not after the start.
    pub(crate) const fn span(&self, within: Within) -> (i32, i32) {
        match within {
            Within::Daylight => (self.light_start, self.light_end),
            Within::Hours | Within::Anytime => (self.start, self.end),
        }
    }
}

/// The hours of all free days, in order.
pub(crate) fn windows(ask: &Ask) -> Vec<Window> {
    let hours = &ask.hours;
    let (from, length) = (whole(hours.from), whole(hours.length));
    let light = (whole(ask.judgement.daylight_from), whole(ask.judgement.daylight_until));
    let first = hours.first.map_or(0, |day| ask.today.days_until(day).max(0));
    let week = ask.today.weekday().from_monday();
    let off: Vec<i32> = hours.not_on.iter().map(|&day| ask.today.days_until(day)).collect();
    (first..first + HORIZON_DAYS)
        .filter(|day| {
            let weekday = (week + usize::try_from(day % 7).unwrap_or(0)) % 7;
            hours.weekdays[weekday] && !off.contains(day)
        })
        .map(|day| {
            let (start, end) = (day * DAY + from, day * DAY + from + length);
            let light_start = start.max(day * DAY + light.0);
            let light_end = end.min(day * DAY + light.1).max(light_start);
            Window { start, end, light_start, light_end }
        })
        .collect()
}

/// The same hours with time running backwards from `pivot`.
pub(crate) fn mirrored(windows: &[Window], pivot: i32) -> Vec<Window> {
    windows
        .iter()
        .rev()
        .filter(|window| window.start < pivot)
        .map(|window| Window {
            start: pivot - window.end,
            end: pivot - window.start,
            light_start: pivot - window.light_end,
            light_end: pivot - window.light_start,
        })
        .collect()
}
