//! What comes by parcel, and the day it is counted on.

use lore::Spoons;
use units::{Day, Weekday};

use crate::Request;
use crate::document::ShoppingRow;

/// Working days a parcel may be late before the plan is upset (judgement).
const LATE_WORKING_DAYS: u32 = 2;

/// The day a parcel ordered on a day is counted on: its promised time and two working days more, and no Sunday is one.
pub(crate) fn counted_on(ordered: Day, promised: u32) -> Day {
    let sunday = |day: Day| day.weekday() == Weekday::Sunday;
    let mut day = ordered.plus_days(i32::try_from(promised).unwrap_or(i32::MAX));
    let mut late = LATE_WORKING_DAYS;
    while late > 0 || sunday(day) {
        day = day.plus_days(1);
        if !sunday(day) {
            late = late.saturating_sub(1);
        }
    }
    day
}

/// How many days that is.
pub(super) fn counted_days(ordered: Day, promised: u32) -> u32 {
    u32::try_from(ordered.days_until(counted_on(ordered, promised))).unwrap_or(promised)
}

/// The last day to order what is needed on a day; none where even today's parcel comes too late.
pub(super) fn last_order(today: Day, promised: u32, needed: Day) -> Option<Day> {
    let mut last = (counted_on(today, promised) <= needed).then_some(today)?;
    while counted_on(last.plus_days(1), promised) <= needed {
        last = last.plus_days(1);
    }
    Some(last)
}

/// Whether a thing has to come by parcel: it is short, and no kitchen shop has it.
pub(crate) fn waits(request: &Request, row: &ShoppingRow) -> bool {
    row.short_g.is_some() && !in_food_shops(request, row)
}

/// Whether any food shop has it: what the trade knows a household measure of.
pub(crate) fn in_food_shops(request: &Request, row: &ShoppingRow) -> bool {
    let some = units::Mass::try_grams(10.0).unwrap_or(units::Mass::ZERO);
    let kitchen = |id: &str| !request.lore.household(id, some, Spoons::Metric).is_empty();
    row.kind == "auxiliary" && kitchen(&row.item)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_no_parcel_brings_in_time_has_no_last_day() {
        let day = |text: &str| text.parse::<Day>().ok();
        for (needed, want) in [
            ("2027-03-05", None), // ordered on Monday 1 March it comes on the 6th
            ("2027-03-06", Some("2027-03-01")),
            ("2027-03-08", Some("2027-03-02")), // the 7th is a Sunday
        ] {
            let last = day("2027-03-01").zip(day(needed));
            let last = last.and_then(|(today, needed)| last_order(today, 3, needed));
            assert_eq!(last, want.and_then(day), "{needed}");
        }
    }

    #[test]
    fn a_parcel_is_counted_on_two_working_days_late_and_on_no_sunday() {
        // 2027-03-01 is a Monday.
        for (ordered, promised, want) in [
            ("2027-03-01", 3, "2027-03-06"), // Thursday, then Friday and Saturday
            ("2027-03-01", 5, "2027-03-09"), // Saturday, then Monday and Tuesday
            ("2027-03-01", 6, "2027-03-09"), // Sunday is no day: Monday, Tuesday
            ("2027-03-01", 0, "2027-03-03"),
        ] {
            let day = |text: &str| text.parse::<Day>().ok();
            let counted = day(ordered).map(|ordered| counted_on(ordered, promised));
            assert_eq!(counted, day(want), "{ordered} and {promised} days");
        }
    }
}
