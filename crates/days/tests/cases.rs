//! One limit at a time, on costumes small enough to reckon by hand.

mod invented;

use days::{
    Ask, AskRefusal, Attention, Date, Family, Fault, Heat, Item, Job, JobKind, JobPlace, Stage,
    Timetable, WashReason, Washed, WhyDropped, WhyUnplaced, Worth, faults, timetable,
};
use invented::{heated, job, kitchen, minutes, share, stage};

fn planned(ask: &Ask) -> Timetable {
    let table = timetable(ask).unwrap_or_else(|no| panic!("{no}"));
    assert_eq!(faults(ask, &table), []);
    table
}

fn refused(ask: &Ask) -> AskRefusal {
    timetable(ask).map(|_| ()).expect_err("this ask makes no sense")
}

/// Start and end of a stage as text.
fn when(table: &Timetable, job: usize, stage: usize) -> (String, String) {
    let entry = table.entries.iter().find(|it| it.jobs.contains(&job) && it.stage == stage);
    let entry = entry.unwrap_or_else(|| panic!("job {job} stage {stage} is placed"));
    (entry.start.to_string(), entry.end.to_string())
}

fn table_work(id: &str, lasts: usize) -> Job {
    job(id, id, JobKind::Finish, vec![stage("work", lasts, Attention::All)])
}

fn drained(id: &str, family: Family) -> Job {
    let stages = vec![Stage { sink: vec![family], ..stage("drain", 20, Attention::All) }];
    job(id, id, JobKind::Scour, stages)
}

fn bath(id: &str, darkness: f64) -> Job {
    Job {
        place: JobPlace::Pot(0),
        darkness: share(darkness),
        ..job(id, id, JobKind::Bulk, vec![heated("heat", 60, true), heated("hold", 60, false)])
    }
}

#[test]
fn one_pair_of_hands_does_one_thing_after_the_other() {
    let table = planned(&kitchen(vec![table_work("a", 30), table_work("b", 30)]));
    assert_eq!(when(&table, 0, 0).0, "2027-02-01 10:00");
    assert_eq!(when(&table, 1, 0).0, "2027-02-01 10:30");
    let mut two = kitchen(vec![table_work("a", 30), table_work("b", 30)]);
    two.kitchen.hands = 2;
    assert_eq!(when(&planned(&two), 1, 0).0, "2027-02-01 10:00");
}

#[test]
fn powder_waits_until_nothing_needs_attention_even_with_hands_to_spare() {
    let weigh = vec![Stage { powder: true, ..stage("weigh", 10, Attention::All) }];
    let mut ask = kitchen(vec![
        Job { worth: Worth::Must, ..bath("hot", 0.5) },
        job("cold", "cold", JobKind::Finish, weigh),
    ]);
    ask.kitchen.hands = 3;
    let table = planned(&ask);
    assert_eq!(when(&table, 0, 0), ("2027-02-01 10:00".into(), "2027-02-01 11:00".into()));
    assert_eq!(when(&table, 1, 0).0, "2027-02-01 11:00");
}

#[test]
fn nobody_alone_judges_or_weighs_powder_beside_a_burner() {
    let beside = |kind, powder, heat, hands| {
        let work = Stage { powder, ..stage("look", 10, Attention::All) };
        let hold = Stage { heat, ..heated("hold", 60, false) };
        let hot = Job {
            place: JobPlace::Pot(0),
            worth: Worth::Must,
            ..job("hot", "hot", JobKind::Bulk, vec![hold])
        };
        let mut ask = kitchen(vec![hot, job("table", "table", kind, vec![work])]);
        ask.kitchen.hands = hands;
        let table = planned(&ask);
        (ask, table)
    };
    let starts = |kind, powder, heat, hands| when(&beside(kind, powder, heat, hands).1, 1, 0).0;
    let at_once = "2027-02-01 10:00";
    // One goes before the other, whichever is first.
    let apart = |kind, powder| {
        let table = beside(kind, powder, Heat::Burner, 1).1;
        let (hot, work) = (when(&table, 0, 0), when(&table, 1, 0));
        assert!(hot.1 <= work.0 || work.1 <= hot.0, "{hot:?} {work:?}");
    };
    apart(JobKind::Judge, false);
    apart(JobKind::Finish, true);
    // A steady bath without a burner leaves the eyes free; so does somebody else who minds it.
    assert_eq!(starts(JobKind::Judge, false, Heat::None, 1), at_once);
    assert_eq!(starts(JobKind::Judge, false, Heat::Burner, 2), at_once);
    assert_eq!(starts(JobKind::Finish, false, Heat::Burner, 1), at_once);
    // And the check finds what a careless timetable would do.
    let (ask, mut table) = beside(JobKind::Judge, false, Heat::Burner, 1);
    let judged = table.entries.iter_mut().find(|it| it.jobs.contains(&1)).expect("it is placed");
    (judged.start.clock, judged.end.clock) = (minutes(620), minutes(630));
    assert!(faults(&ask, &table).iter().any(|it| matches!(it, Fault::TooFewHands(_))));
}

#[test]
fn what_has_the_kitchen_to_itself_stands_beside_no_bath_and_no_other_hands() {
    for (heat, changing, hands) in [
        (Heat::Burner, false, 3),
        (Heat::None, false, 3),
        (Heat::Own, true, 3),
        (Heat::None, false, 1),
    ] {
        let hold = Stage { heat, ..heated("hold", 60, changing) };
        let bath = Job {
            place: JobPlace::Pot(0),
            worth: Worth::Must,
            ..job("hot", "hot", JobKind::Bulk, vec![hold])
        };
        let test = vec![stage("a snip in acetone", 20, Attention::Alone)];
        let test = job("test", "test", JobKind::Test, test);
        let mut ask = kitchen(vec![bath, test]);
        ask.kitchen.hands = hands;
        let mut table = planned(&ask);
        let (hot, work) = (when(&table, 0, 0), when(&table, 1, 0));
        assert!(hot.1 <= work.0 || work.1 <= hot.0, "{heat:?}: {hot:?} {work:?}");
        // And the check finds what a careless timetable would do.
        for entry in &mut table.entries {
            entry.start.clock = minutes(600);
            let lasts = if entry.jobs.contains(&1) { 20 } else { 60 };
            (entry.end.clock, entry.end.day) = (minutes(600 + lasts), entry.start.day);
        }
        let found = faults(&ask, &table);
        assert!(found.iter().any(|it| matches!(it, Fault::BesideAlone(_))), "{found:?}");
    }
    // What soaks cold and needs nobody is beside nothing.
    let soak = Stage { vessel: true, ..stage("soak", 60, Attention::Away) };
    let cold = Job {
        place: JobPlace::Pot(0),
        worth: Worth::Must,
        ..job("cold", "cold", JobKind::Bulk, vec![soak])
    };
    let test = vec![stage("a snip in acetone", 20, Attention::Alone)];
    let table = planned(&kitchen(vec![cold, job("test", "test", JobKind::Test, test)]));
    assert_eq!(when(&table, 1, 0).0, "2027-02-01 10:00");
}

#[test]
fn heat_ends_within_the_hours_and_too_long_a_heat_is_said() {
    let mut late = kitchen(vec![table_work("a", 300), bath("b", 0.5)]);
    late.jobs[0].worth = Worth::Must;
    assert_eq!(when(&planned(&late), 1, 0).0, "2027-02-02 10:00");
    let long =
        kitchen(vec![job("c", "c", JobKind::Scour, vec![table_work("c", 361).stages.remove(0)])]);
    let why = WhyUnplaced::LongerThanADay { needs: minutes(361), day: minutes(360) };
    assert_eq!(planned(&long).unplaced[0].why, why);
}

#[test]
fn a_cold_hold_may_last_overnight_and_stretch_to_the_morning() {
    let hold = Stage {
        vessel: true,
        at_most: Some(minutes(24 * 60)),
        ..stage("cold batch", 8 * 60, Attention::Away)
    };
    let stages = vec![stage("pad", 20, Attention::All), hold, stage("rinse", 20, Attention::All)];
    let mut ask =
        kitchen(vec![Job { place: JobPlace::Pot(2), ..job("a", "a", JobKind::Bulk, stages) }]);
    let table = planned(&ask);
    assert_eq!(when(&table, 0, 1), ("2027-02-01 10:20".into(), "2027-02-02 10:00".into()));
    ask.jobs[0].stages[1].at_most = None;
    assert_eq!(planned(&ask).unplaced[0].why, WhyUnplaced::NoFittingDays);
}

#[test]
fn bleach_and_acid_meet_only_with_a_rinse_between() {
    let ask = kitchen(vec![drained("a", Family::Hypochlorite), drained("b", Family::Acid)]);
    let table = planned(&ask);
    assert_eq!(table.washes.len(), 1);
    assert_eq!(table.washes[0].what, Washed::Sink(0));
    let mut bare = table.clone();
    bare.washes.clear();
    assert!(matches!(faults(&ask, &bare)[..], [Fault::MeetInSink { sink: 0, .. }]));
    let mut two = ask.clone();
    two.kitchen.sinks = 2;
    assert_eq!(planned(&two).washes, []);
    let mut friends = ask;
    friends.never_together.clear();
    assert_eq!(planned(&friends).washes, []);
}

#[test]
fn a_pot_is_used_pale_to_dark_and_scrubbed_the_other_way() {
    let table = planned(&kitchen(vec![bath("dark", 0.9), bath("pale", 0.2)]));
    assert_eq!(table.washes, []);
    assert!(when(&table, 1, 0) < when(&table, 0, 0));
    let mut ask = kitchen(vec![bath("dark", 0.9), bath("pale", 0.2)]);
    ask.jobs[1].after.push("dark".to_owned());
    let table = planned(&ask);
    assert_eq!(table.washes[0].why, WashReason::DarkToPale);
    let mut bare = table.clone();
    bare.washes.clear();
    assert!(matches!(faults(&ask, &bare)[..], [Fault::PotNotScrubbed { pot: 0, .. }]));
}

#[test]
fn swatches_share_a_bath_and_come_dry_and_judged_by_daylight_before_the_piece() {
    let mut jobs = Vec::new();
    for piece in ["coat", "sash"] {
        let stages = vec![
            Stage { powder: true, ..stage("weigh", 5, Attention::All) },
            heated("hold", 60, false),
        ];
        jobs.push(Job {
            place: JobPlace::Jar { pot: 0, together: "acid".to_owned() },
            drying: minutes(8 * 60),
            ..job(&format!("{piece} swatch"), piece, JobKind::Swatch, stages)
        });
        let look = vec![stage("judge", 10, Attention::All)];
        jobs.push(job(&format!("{piece} judge"), piece, JobKind::Judge, look));
        jobs.push(Job { piece: piece.to_owned(), ..bath(&format!("{piece} bulk"), 0.5) });
    }
    let mut ask = kitchen(jobs);
    ask.hours.length = minutes(600);
    let table = planned(&ask);
    assert_eq!(table.entries[0].jobs, [0, 3]);
    assert_eq!(when(&table, 0, 0).1, "2027-02-01 10:10", "five minutes for each jar");
    // Dry at 19:10, and dark: judged in the morning.
    assert_eq!(when(&table, 1, 0).0, "2027-02-02 10:00");
    assert!(when(&table, 2, 0).0 >= when(&table, 1, 0).1);
}

#[test]
fn work_waits_for_free_days_and_for_the_post() {
    let mut ask = kitchen(vec![table_work("a", 30), table_work("b", 30)]);
    ask.hours.weekdays = [false, false, false, false, false, true, true];
    ask.hours.not_on = vec![invented::day("2027-02-06")];
    ask.items = vec![Item { name: "dye".to_owned(), days: 8 }];
    ask.jobs[1].needs.push("dye".to_owned());
    let table = planned(&ask);
    assert_eq!(when(&table, 0, 0).0, "2027-02-07 10:00", "the first Sunday");
    assert_eq!(when(&table, 1, 0).0, "2027-02-13 10:00", "the Saturday after the post");
    ask.due = Some(invented::day("2027-02-20"));
    let table = planned(&ask);
    assert_eq!(table.orders[0].last_day, Some(invented::day("2027-02-12")));
    assert_eq!(
        table.date,
        Date::Kept { latest_start: invented::day("2027-02-20"), slack_days: 13 }
    );
    ask.due = Some(invented::day("2027-02-12"));
    let table = planned(&ask);
    assert_eq!(table.orders[0].too_late_for, ["b"]);
    let Date::Missed { rescue } = table.date else { panic!("the dye comes too late") };
    assert_eq!(rescue.drop[0].why, WhyDropped::DeliveryTooLate(vec!["dye".to_owned()]));
}

#[test]
fn what_is_worth_least_and_frees_most_goes_first() {
    // Six hours, nine hours' work: the shorter 'could' is not enough, the longer is.
    let worth = |id, lasts, worth| Job { worth, ..table_work(id, lasts) };
    let mut ask = kitchen(vec![
        worth("must", 180, Worth::Must),
        worth("should", 120, Worth::Should),
        worth("long", 200, Worth::Could),
        worth("short", 40, Worth::Could),
    ]);
    ask.due = Some(ask.today);
    let Date::Missed { rescue } = planned(&ask).date else { panic!("it cannot all be done") };
    let dropped: Vec<&str> = rescue.drop.iter().map(|it| it.piece.as_str()).collect();
    assert_eq!((dropped, rescue.enough), (vec!["long"], true));
    assert_eq!(rescue.kept, ["must", "should", "short"]);
}

#[test]
fn what_must_be_done_is_never_dropped_before_others() {
    let mut ask = kitchen(vec![
        Job { worth: Worth::Must, needs: vec!["dye".to_owned()], ..table_work("must", 30) },
        Job { worth: Worth::Should, ..table_work("long", 200) },
        Job { worth: Worth::Could, ..table_work("short", 190) },
    ]);
    ask.items = vec![Item { name: "dye".to_owned(), days: 8 }];
    ask.due = Some(ask.today);
    let Date::Missed { rescue } = planned(&ask).date else { panic!("it cannot all be done") };
    let dropped: Vec<&str> = rescue.drop.iter().map(|it| it.piece.as_str()).collect();
    assert_eq!(dropped, ["short", "must"]);
    assert!(!rescue.enough);
}

#[test]
fn asks_that_make_no_sense_are_refused_in_words() {
    let sound = || kitchen(vec![table_work("a", 30), table_work("b", 30)]);
    let with = |change: &dyn Fn(&mut Ask)| {
        let mut ask = sound();
        change(&mut ask);
        refused(&ask).to_string()
    };
    let says = |change: &dyn Fn(&mut Ask), words: &str| {
        let said = with(change);
        assert!(said.contains(words), "{said}");
    };
    says(&|ask| ask.kitchen.hands = 0, "no hands");
    says(&|ask| ask.hours.length = minutes(0), "0 minutes");
    says(&|ask| ask.hours.length = minutes(900), "by midnight");
    says(&|ask| ask.hours.weekdays = [false; 7], "no day of the week");
    says(&|ask| ask.judgement.heats_a_person = 0, "heats_a_person");
    says(&|ask| ask.jobs[1].id = "a".to_owned(), "two jobs are called 'a'");
    says(&|ask| ask.jobs[1].after.push("z".to_owned()), "'z', which is no job");
    says(&|ask| ask.jobs[1].needs.push("dye".to_owned()), "needs 'dye'");
    says(&|ask| ask.jobs[1].stages.clear(), "no stages");
    says(&|ask| ask.jobs[1].place = JobPlace::Pot(7), "pot 7");
    says(&|ask| ask.jobs[1].stages[0].vessel = true, "stands nowhere");
    let jar = |pot| JobPlace::Jar { pot, together: "k".to_owned() };
    says(&|ask| ask.jobs[1].place = jar(2), "holds no jars");
    says(
        &|ask| {
            (0..2).for_each(|i| {
                ask.jobs[i].place = jar(0);
                ask.jobs[i].stages[0].minutes = minutes(i + 1);
            })
        },
        "one bath has one programme",
    );
    says(
        &|ask| {
            ask.jobs[0].stages[0] =
                Stage { attention: Attention::Away, ..heated("boil", 10, false) };
            ask.jobs[0].place = JobPlace::Pot(0);
        },
        "never unattended",
    );
    says(
        &|ask| {
            ask.jobs[0].stages[0].sink = vec![Family::Hypochlorite, Family::Acid];
        },
        "never meet",
    );
    says(&|ask| ask.jobs[0].stages[0].at_most = Some(minutes(5)), "at most 5");
    says(
        &|ask| {
            ask.jobs[0].after.push("b".to_owned());
            ask.jobs[1].after.push("a".to_owned());
        },
        "in a ring",
    );
}

#[test]
fn goods_of_one_load_lie_in_one_bath_and_a_dropped_piece_leaves_the_others_theirs() {
    let scour = |id: &str, together: &str| Job {
        kind: JobKind::Scour,
        place: JobPlace::Load { pot: 0, together: together.to_owned() },
        drying: minutes(60),
        ..bath(id, 0.0)
    };
    let ask = kitchen(vec![scour("a", "one"), scour("b", "one"), scour("c", "two")]);
    let table = planned(&ask);
    assert_eq!(when(&table, 0, 0), when(&table, 1, 0));
    assert!(when(&table, 0, 1).1 <= when(&table, 2, 0).0, "another load waits for the pot");
    let one = table.entries.iter().find(|it| it.jobs.contains(&0));
    assert_eq!(one.map(|it| it.jobs.clone()), Some(vec![0, 1]));
    // Full hands are full once for the whole bath: no jar is done after another.
    let mut full = ask.clone();
    for job in &mut full.jobs {
        job.stages
            .insert(0, Stage { vessel: true, ..stage("enter the goods", 10, Attention::All) });
    }
    let entered = planned(&full);
    assert_eq!(when(&entered, 0, 0), ("2027-02-01 10:00".into(), "2027-02-01 10:10".into()));
    let without = planned(&ask.without(&["a".to_owned()]));
    assert_eq!(without.entries.iter().filter(|it| it.jobs.contains(&0)).count(), 2);
    // Unlike work under one name makes no sense.
    let mut unlike = ask;
    unlike.jobs[1].stages[0].minutes = minutes(50);
    assert!(matches!(refused(&unlike), AskRefusal::UnlikeTogether { .. }));
}
