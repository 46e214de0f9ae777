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

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(64))]
    #[test]
    fn and_any_other(seed in proptest::prelude::any::<u64>()) {
        holds(seed);
    }
}
