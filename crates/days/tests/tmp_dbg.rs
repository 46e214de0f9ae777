mod invented;
#[test]
fn each() {
    for seed in 0..300 {
        let ask = invented::random(seed);
        eprintln!("seed {seed} jobs {} due {:?}", ask.jobs.len(), ask.due);
        let t = std::time::Instant::now();
        let table = days::timetable(&ask).unwrap();
        eprintln!("   {:?} unplaced {} {:?}", t.elapsed(), table.unplaced.len(), days::faults(&ask,&table));
    }
}
