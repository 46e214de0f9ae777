//! The check finds what is wrong: a sound timetable, spoilt in one place, is never called sound.

mod invented;

use days::{Ask, Date, Fault, Timetable, faults, timetable};
use invented::minutes;

/// Timetables of invented costumes to which a spoiling can be done, and what the check says then.
fn spoilt(spoil: impl Fn(&Ask, &mut Timetable) -> bool, expected: impl Fn(&Fault) -> bool) {
    let mut tried = 0;
    for seed in 0..60 {
        let ask = invented::random(seed);
        let mut table = timetable(&ask).unwrap_or_else(|no| panic!("seed {seed}: {no}"));
        if spoil(&ask, &mut table) {
            tried += 1;
            let found = faults(&ask, &table);
            assert!(found.iter().any(&expected), "seed {seed}: {found:?}");
        }
    }
    assert!(tried >= 5, "only {tried} timetables could be spoilt");
}

#[test]
fn a_lost_or_doubled_stage() {
    spoilt(
        |_, table| table.entries.pop().is_some(),
        |it| matches!(it, Fault::NotOnce { .. } | Fault::Lost { .. }),
    );
    let double = |_: &Ask, table: &mut Timetable| {
        let Some(last) = table.entries.last().cloned() else { return false };
        table.entries.push(last);
        true
    };
    spoilt(double, |it| matches!(it, Fault::NotOnce { .. }));
    spoilt(|_, table| table.unplaced.pop().is_some(), |it| matches!(it, Fault::Lost { .. }));
}

#[test]
fn work_at_midnight_or_cut_short() {
    let night = |_: &Ask, table: &mut Timetable| {
        let Some(it) = table.entries.first_mut() else { return false };
        (it.start.clock, it.end.clock) = (minutes(0), minutes(30));
        true
    };
    spoilt(night, |it| matches!(it, Fault::OutsideHours { .. } | Fault::WrongLength { .. }));
    let short = |_: &Ask, table: &mut Timetable| {
        let Some(it) = table.entries.iter_mut().find(|it| it.end != it.start) else { return false };
        it.end = it.start;
        true
    };
    spoilt(short, |it| matches!(it, Fault::WrongLength { .. }));
}

#[test]
fn a_missing_wash_or_drying() {
    let unwashed = |_: &Ask, table: &mut Timetable| {
        let some = !table.washes.is_empty();
        table.washes.clear();
        some
    };
    spoilt(unwashed, |it| {
        matches!(
            it,
            Fault::MeetInSink { .. } | Fault::PotNotScrubbed { .. } | Fault::Interrupted { .. }
        )
    });
    let wet = |_: &Ask, table: &mut Timetable| table.drying.pop().is_some();
    spoilt(wet, |it| matches!(it, Fault::NotDried { .. }));
}

#[test]
fn a_smaller_kitchen_than_the_plan_was_made_for() {
    let mut seen = [0; 4];
    for seed in 0..100 {
        let ask = invented::random(seed);
        let table = timetable(&ask).unwrap_or_else(|no| panic!("seed {seed}: {no}"));
        let mut less = ask.clone();
        (less.kitchen.hands, less.kitchen.burners, less.kitchen.drying) = (0, 0, 0);
        less.hours.not_on.extend(table.entries.iter().map(|it| it.start.day));
        for fault in faults(&less, &table) {
            match fault {
                Fault::TooFewHands(_) => seen[0] += 1,
                Fault::TooFewBurners(_) => seen[1] += 1,
                Fault::TooFewDryingPlaces(_) => seen[2] += 1,
                Fault::OutsideHours { .. } => seen[3] += 1,
                _ => {}
            }
        }
    }
    assert!(seen.iter().all(|&count| count > 20), "{seen:?}");
}

#[test]
fn an_untrue_word_about_the_date() {
    let untrue = |ask: &Ask, table: &mut Timetable| {
        table.date = Date::Kept { latest_start: ask.today, slack_days: 0 };
        ask.due.is_none()
    };
    spoilt(untrue, |it| matches!(it, Fault::DateUntrue));
}
