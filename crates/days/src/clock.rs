//! The planner's own clock: whole minutes since the midnight that begins the day of the ask.

use units::{Day, Minutes};

use crate::timetable::Moment;

pub(crate) const DAY: i32 = 24 * 60;
/// Jobs begin on a grid of this many minutes from the beginning of a day's hours: nobody reads
/// 10:37 off a kitchen clock.
pub(crate) const GRID: i32 = 5;

/// Whole minutes, rounded up: time that is needed is never cut short.
pub(crate) fn whole(minutes: Minutes) -> i32 {
    let up = minutes.to_minutes().ceil();
    #[expect(clippy::cast_possible_truncation, reason = "Minutes holds at most 100 000")]
    let whole = up as i32;
    whole
}

pub(crate) fn minutes(whole: i32) -> Minutes {
    Minutes::try_minutes(f64::from(whole.max(0))).unwrap_or(Minutes::ZERO)
}

pub(crate) fn day_of(today: Day, at: i32) -> Day {
    today.plus_days(at.div_euclid(DAY))
}

pub(crate) fn moment(today: Day, at: i32) -> Moment {
    Moment { day: day_of(today, at), clock: minutes(at.rem_euclid(DAY)) }
}

/// The first minute not before `at` on the grid through `anchor`.
pub(crate) fn on_grid(at: i32, anchor: i32) -> i32 {
    at + (anchor - at).rem_euclid(GRID)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_grid_goes_through_its_anchor_and_never_back() {
        for anchor in -7..8 {
            for at in -20..20 {
                let on = on_grid(at, anchor);
                assert!(on >= at && on < at + GRID && (on - anchor) % GRID == 0);
            }
        }
    }

    #[test]
    fn part_minutes_are_rounded_up() {
        assert_eq!(Minutes::try_minutes(10.2).map(whole), Ok(11));
        assert_eq!(Minutes::try_minutes(10.0).map(whole), Ok(10));
    }
}
