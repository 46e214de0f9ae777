//! Whatever is asked, no limit is broken and no job is lost.

mod invented;

use days::{Date, WhyDropped, faults, timetable};

fn holds(seed: u64) {
    let ask = invented::random(seed);
    let table = timetable(&ask).unwrap_or_else(|no| panic!("seed {seed}: {no}"));
    let found = faults(&ask, &table);
    assert!(found.is_empty(), "seed {seed}: {found:#?}");
    assert_eq!(table, timetable(&ask).unwrap_or_else(|no| panic!("seed {seed}: {no}")));
    if let Date::Missed { rescue } = &table.date {
        let gone: Vec<String> = rescue.drop.iter().map(|it| it.piece.clone()).collect();
        let reduced = ask.without(&gone);
        let again = timetable(&reduced).unwrap_or_else(|no| panic!("seed {seed}: {no}"));
        assert!(faults(&reduced, &again).is_empty(), "seed {seed}");
        assert!(matches!(again.date, Date::Kept { .. }), "seed {seed}: {:?}", again.date);
        for piece in &rescue.kept {
            assert!(!gone.contains(piece), "seed {seed}: {piece} is kept and dropped");
        }
        let crowded = rescue.drop.iter().filter(|it| it.why == WhyDropped::Crowded);
        assert!(crowded.count() == 0 || !rescue.kept.is_empty(), "seed {seed}: nothing kept");
    }
}

#[test]
fn three_hundred_costumes_in_as_many_kitchens() {
    (0..300).for_each(holds);
}

/// What can still be ready is so in the very plan that is shown, whatever else stands in it. (Not where a kept piece
/// waits for a dropped one, or where jars go together otherwise without it: rare, and the plan then is a plain one.)
#[test]
fn a_kept_piece_is_ready_in_the_plan_that_is_shown() {
    let (mut missed, mut late) = (0, 0);
    for seed in 0..600 {
        let ask = invented::random(seed);
        let table = timetable(&ask).unwrap_or_else(|no| panic!("seed {seed}: {no}"));
        let Date::Missed { rescue } = &table.date else { continue };
        missed += 1;
        let kept = |job: &usize| rescue.kept.contains(&ask.jobs[*job].piece);
        let entries = table.entries.iter().filter(|e| e.jobs.iter().any(kept)).map(|e| e.end.day);
        let dry = table.drying.iter().filter(|d| kept(&d.job)).map(|d| d.end.day);
        let mut days = entries.chain(dry);
        late += usize::from(days.any(|day| ask.due.is_some_and(|due| day.days_until(due) < 0)));
    }
    assert!(missed > 100 && 50 * late < missed, "{late} of {missed}");
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(64))]
    #[test]
    fn and_any_other(seed in proptest::prelude::any::<u64>()) {
        holds(seed);
    }
}
