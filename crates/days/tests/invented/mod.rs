//! Invented costumes for the tests and the speed example: pieces with tests, scours, swatches in
//! jars, judging, bulk baths and finishing, drawn from a seed. No figure here is a trade fact.

#![allow(dead_code, reason = "each test uses its own part of the module")]

use days::{
    Ask, Attention, Family, Heat, Hours, Item, Job, JobKind, JobPlace, Judgement, Kitchen,
    Leftover, Pot, Stage, Worth,
};
use units::{Day, Minutes, Share};

/// A small generator (splitmix64), so that a seed gives the same costume everywhere.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn up_to(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        usize::try_from((z ^ (z >> 31)) % (most as u64 + 1)).unwrap_or(0)
    }

    pub(crate) fn one_in(&mut self, of: usize) -> bool {
        self.up_to(of - 1) == 0
    }

    pub(crate) fn pick<T: Clone>(&mut self, from: &[T]) -> T {
        from[self.up_to(from.len() - 1)].clone()
    }
}

pub(crate) fn minutes(given: usize) -> Minutes {
    Minutes::try_minutes(given as f64).unwrap_or(Minutes::ZERO)
}

fn whole(given: usize) -> i32 {
    i32::try_from(given).unwrap_or(0)
}

pub(crate) fn share(given: f64) -> Share {
    Share::try_fraction(given).unwrap_or(Share::WHOLE)
}

pub(crate) fn day(text: &str) -> Day {
    text.parse().unwrap_or_else(|_| panic!("{text} is a day"))
}

pub(crate) fn stage(name: &str, lasts: usize, attention: Attention) -> Stage {
    Stage {
        name: name.to_owned(),
        minutes: minutes(lasts),
        at_most: None,
        attention,
        heat: Heat::None,
        changing: false,
        vessel: false,
        powder: false,
        sink: Vec::new(),
        may_wait: false,
    }
}

pub(crate) fn heated(name: &str, lasts: usize, changing: bool) -> Stage {
    Stage { heat: Heat::Burner, changing, vessel: true, ..stage(name, lasts, Attention::Near) }
}

pub(crate) fn job(id: &str, piece: &str, kind: JobKind, stages: Vec<Stage>) -> Job {
    Job {
        id: id.to_owned(),
        piece: piece.to_owned(),
        kind,
        place: JobPlace::Nowhere,
        stages,
        drying: Minutes::ZERO,
        after: Vec::new(),
        worth: Worth::Should,
        darkness: share(0.5),
        needs: Vec::new(),
        leftover: Leftover::Never,
    }
}

pub(crate) fn never_together() -> Vec<(Family, Family)> {
    use Family::{Acid, Ammonia, Hypochlorite, Peroxide, Reducer};
    vec![
        (Hypochlorite, Acid),
        (Hypochlorite, Ammonia),
        (Hypochlorite, Peroxide),
        (Hypochlorite, Reducer),
        (Peroxide, Reducer),
        (Reducer, Acid),
    ]
}

/// An ordinary kitchen: every day ten to four, two burners, one person, one sink.
pub(crate) fn kitchen(jobs: Vec<Job>) -> Ask {
    Ask {
        today: day("2027-02-01"),
        due: None,
        hours: Hours {
            weekdays: [true; 7],
            from: minutes(600),
            length: minutes(360),
            not_on: Vec::new(),
            first: None,
        },
        kitchen: Kitchen {
            pots: vec![
                Pot { name: "big pot".to_owned(), jars: 6 },
                Pot { name: "small pot".to_owned(), jars: 3 },
                Pot { name: "tub".to_owned(), jars: 0 },
            ],
            burners: 2,
            hands: 1,
            sinks: 1,
            drying: 6,
        },
        items: Vec::new(),
        never_together: never_together(),
        judgement: Judgement::default(),
        jobs,
    }
}

/// The jobs of one piece: swatch in a jar, judging, bulk, and now and then more.
pub(crate) fn piece(dice: &mut Dice, name: &str, pots: usize, wild: bool) -> Vec<Job> {
    let worth = dice.pick(&[Worth::Must, Worth::Should, Worth::Should, Worth::Could]);
    let class = dice.up_to(2);
    let families = [Family::Acid, Family::Alkali, Family::Plain];
    let drains = |stage: Stage, family: Family| Stage { sink: vec![family], ..stage };
    let mut jobs = Vec::new();
    if dice.one_in(4) {
        jobs.push(job(
            &format!("{name} test"),
            name,
            JobKind::Test,
            vec![stage("look and burn", 5 + dice.up_to(20), Attention::All)],
        ));
    }
    if dice.one_in(3) {
        let bleach = dice.one_in(3);
        let soak = Stage { vessel: true, ..stage("soak", 20 + dice.up_to(60), Attention::Away) };
        let first = if bleach { Family::Hypochlorite } else { Family::Alkali };
        let mut stages = vec![soak, drains(stage("drain and rinse", 10, Attention::All), first)];
        if bleach {
            stages.push(stage("wait", dice.up_to(5), Attention::Away));
            stages.push(drains(stage("antichlor", 15, Attention::Near), Family::Reducer));
        }
        jobs.push(Job {
            place: JobPlace::Pot(dice.up_to(pots - 1)),
            drying: minutes(dice.up_to(10) * 60),
            after: jobs.iter().map(|job: &Job| job.id.clone()).collect(),
            darkness: share(0.0),
            ..job(&format!("{name} scour"), name, JobKind::Scour, stages)
        });
    }
    let before: Vec<String> = jobs.iter().map(|job| job.id.clone()).collect();
    for number in 0..=usize::from(dice.one_in(3)) {
        jobs.push(Job {
            place: JobPlace::Jar { pot: 0, together: format!("class {class}") },
            drying: minutes(120),
            after: before.clone(),
            ..job(
                &format!("{name} swatch {number}"),
                name,
                JobKind::Swatch,
                vec![
                    Stage { powder: true, ..stage("weigh", 4, Attention::All) },
                    heated("heat", 20 + class * 10, true),
                    heated("hold", 30 + class * 15, false),
                    drains(stage("rinse", 5, Attention::All), families[class]),
                ],
            )
        });
    }
    jobs.push(job(
        &format!("{name} judge"),
        name,
        JobKind::Judge,
        vec![stage("judge by the window", 10, Attention::All)],
    ));
    jobs.push(bulk(dice, name, pots, class, wild));
    if dice.one_in(3) {
        jobs.push(Job {
            after: vec![format!("{name} bulk")],
            ..job(
                &format!("{name} press"),
                name,
                JobKind::Finish,
                vec![stage("press", 10 + dice.up_to(30), Attention::All)],
            )
        });
    }
    for job in &mut jobs {
        job.worth = worth;
    }
    jobs
}

fn bulk(dice: &mut Dice, name: &str, pots: usize, class: usize, wild: bool) -> Job {
    let mut stages = vec![
        Stage { powder: true, ..stage("weigh", 5 + dice.up_to(10), Attention::All) },
        Stage { vessel: true, ..stage("wet out", 30, Attention::Away) },
        heated("heat", 30 + dice.up_to(40), true),
        heated("hold", 30 + dice.up_to(40), false),
        Stage {
            sink: vec![[Family::Acid, Family::Alkali, Family::Plain][class]],
            ..stage("rinse", 15, Attention::All)
        },
        Stage {
            sink: vec![Family::Plain],
            may_wait: dice.one_in(2),
            ..stage("soap", 20, Attention::Near)
        },
    ];
    if dice.one_in(4) {
        // Cold, overnight, for as long as it likes up to a day and a half.
        stages[2] = Stage {
            at_most: Some(minutes(36 * 60)),
            vessel: true,
            ..stage("cold batch", 8 * 60 + dice.up_to(300), Attention::Away)
        };
        stages[3] = stage("unwrap", 5, Attention::All);
    }
    if wild && dice.one_in(12) {
        stages[3].minutes = minutes(900);
    }
    if wild && dice.one_in(6) {
        stages[1].may_wait = true;
        stages[2].may_wait = true;
    }
    Job {
        place: JobPlace::Pot(dice.up_to(pots - 1)),
        drying: minutes(60 + dice.up_to(20) * 60),
        darkness: share(dice.up_to(20) as f64 / 20.0),
        leftover: match dice.up_to(2) {
            0 => Leftover::Never,
            it => Leftover::Key { key: format!("class {class}"), matched: it == 1 },
        },
        ..job(&format!("{name} bulk"), name, JobKind::Bulk, stages)
    }
}

/// A costume and a kitchen drawn from a seed, sane or odd.
pub(crate) fn random(seed: u64) -> Ask {
    let mut dice = Dice(seed);
    let mut ask = kitchen(Vec::new());
    ask.today = ask.today.plus_days(i32::try_from(dice.up_to(400)).unwrap_or(0));
    ask.hours.from = minutes(dice.pick(&[480, 600, 602, 1020]));
    ask.hours.length = minutes(180 + dice.up_to(240));
    for day in &mut ask.hours.weekdays {
        *day = !dice.one_in(2);
    }
    ask.hours.weekdays[dice.up_to(6)] = true;
    ask.hours.not_on =
        (0..dice.up_to(6)).map(|_| ask.today.plus_days(whole(dice.up_to(30)))).collect();
    ask.hours.first = dice.one_in(3).then(|| ask.today.plus_days(whole(dice.up_to(20))));
    ask.kitchen.hands = 1 + dice.up_to(2);
    ask.kitchen.burners = dice.pick(&[0, 1, 1, 1, 2, 2, 2, 3, 3, 3]);
    ask.kitchen.sinks = dice.pick(&[0, 1, 1, 1, 1, 1, 1, 2, 2, 3]);
    ask.kitchen.drying = dice.pick(&[0, 1, 2, 3, 3, 4, 6, 6, 8, 12]);
    ask.judgement.heats_a_person = 1 + dice.up_to(2);
    ask.judgement.steady_beside = dice.up_to(2);
    ask.items = (0..3)
        .map(|item| Item {
            name: format!("item {item}"),
            days: whole(dice.up_to(4) * 3).unsigned_abs(),
        })
        .collect();
    for number in 0..1 + dice.up_to(9) {
        ask.jobs.extend(piece(&mut dice, &format!("piece {number}"), 3, true));
    }
    for index in 0..ask.jobs.len() {
        if dice.one_in(6) {
            ask.jobs[index].needs.push(format!("item {}", dice.up_to(2)));
        }
        if dice.one_in(10) && index > 0 && ask.jobs[index].kind == JobKind::Bulk {
            let after = ask.jobs[dice.up_to(index - 1)].id.clone();
            ask.jobs[index].after.push(after);
        }
    }
    ask.due = dice.one_in(2).then(|| ask.today.plus_days(whole(dice.up_to(60)) - 2));
    ask
}
