//! Moments: what the clock says, and how an instant is told on this machine's own clock.

use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};
use workroom::Stamp;

/// Now, in milliseconds since 1970 (UTC).
pub(super) fn now_ms() -> i64 {
    Timestamp::now().as_millisecond()
}

/// Minutes in milliseconds; a bath never takes a month.
pub(super) fn ms(minutes: f64) -> i64 {
    const MONTH_MIN: f64 = 31.0 * 24.0 * 60.0;
    #[expect(clippy::cast_possible_truncation, reason = "at most a month of milliseconds")]
    let ms = (minutes.clamp(-MONTH_MIN, MONTH_MIN) * 60_000.0).round() as i64;
    ms
}

fn here(ms: i64) -> Option<ZonedDateTime> {
    Timestamp::from_millisecond(ms).ok().map(|at| ZonedDateTime::new(at, TimeZone::system()))
}

/// An instant as a clock of this machine shows it, to the second.
pub(super) fn to_the_second(ms: i64) -> String {
    here(ms).map_or_else(|| "?".to_owned(), |at| at.strftime("%H:%M:%S").to_string())
}

/// An instant as a clock of this machine shows it, to the minute; with its day where that is not today.
pub(super) fn clock(ms: i64) -> String {
    let Some(at) = here(ms) else { return "?".to_owned() };
    let today = ZonedDateTime::now().date();
    let form = if at.date() == today { "%H:%M" } else { "%A %H:%M" };
    at.strftime(form).to_string()
}

/// The day of an instant, year-month-day.
pub(super) fn day(ms: i64) -> String {
    here(ms).map_or_else(String::new, |at| at.date().to_string())
}

/// Minutes between the last midnight here and an instant; below zero where it was before.
pub(super) fn of_today_min(ms: i64) -> f64 {
    let midnight =
        ZonedDateTime::now().start_of_day().map_or(ms, |at| at.timestamp().as_millisecond());
    #[expect(clippy::cast_precision_loss, reason = "a few days of milliseconds")]
    let since = (ms - midnight) as f64;
    since / 60_000.0
}

/// An instant as a calendar takes it.
pub(super) fn stamp(ms: i64) -> Option<Stamp> {
    let at = Timestamp::from_millisecond(ms).ok()?;
    Stamp::try_utc(&at.strftime("%Y%m%dT%H%M%SZ").to_string()).ok()
}

/// Minutes in words: "4 min", "1 h 20 min".
pub(super) fn span(minutes: f64) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "minutes of a few days")]
    let all = minutes.abs().round() as i64;
    match (all / 60, all % 60) {
        (0, min) => format!("{min}\u{a0}min"),
        (h, 0) => format!("{h}\u{a0}h"),
        (h, min) => format!("{h}\u{a0}h {min}\u{a0}min"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_are_said_in_hours_where_there_are_hours() {
        assert_eq!(span(4.4), "4\u{a0}min");
        assert_eq!(span(120.0), "2\u{a0}h");
        assert_eq!(span(-80.0), "1\u{a0}h 20\u{a0}min");
    }

    #[test]
    fn an_instant_becomes_a_stamp() {
        assert!(stamp(1_935_000_000_000).is_some());
        assert!(stamp(i64::MAX).is_none(), "no such year");
        assert_eq!(clock(i64::MAX), "?");
    }
}
