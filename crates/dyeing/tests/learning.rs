//! What swatches teach: laws of the learning, and a check against the one-dye learning written before it.
//!
//! All dyes here are drawn around the starter shelf's estimates: in simulation, no cloth was dyed.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

use colour::{Lab, ciede2000};
use dyeing::{
    Dosed, Dye, Dyeing, Experience, Glimpse, Ground, InBath, Knowledge, Lesson, Look, Refusal,
    Scatter, Seen, Setting, Stocked, Substrate, asked_about, predict, starter, taught,
};
use lore::DyeClass;
use units::{LiquorRatio, OnFibre, Share};

const NONE: Scatter = Scatter { common: 0.0, each: 0.0 };
const CAREFUL: Scatter = Scatter { common: 0.03, each: 0.03 };

fn on(material: &str) -> Substrate {
    let ground = Ground::assumed(&[(material, Share::WHOLE)], Look::White).unwrap();
    let ratio = LiquorRatio::try_litres_per_kilogram(20.0).unwrap();
    Substrate::try_new(&ground, DyeClass::ReactiveDct, ratio).unwrap()
}

fn shelf() -> Vec<Dye> {
    let of_class = starter().iter().filter(|s| s.dye.class == DyeClass::ReactiveDct);
    of_class.map(|s| s.dye.clone()).collect()
}

fn stock(dyes: &[Dye]) -> Vec<Stocked> {
    dyes.iter().map(|dye| Stocked { dye: dye.clone(), lot_of: None }).collect()
}

/// The same dyes as they might really be: each number this many spreads away, in turn up and down.
fn truths(dyes: &[Dye], spreads: f64) -> Vec<Dye> {
    let one = |(i, dye): (usize, &Dye)| {
        let way = |k: usize| if (i + k).is_multiple_of(2) { spreads } else { -spreads };
        let deviates: Vec<f64> = (0..dye.doubts()).map(way).collect();
        dye.drawn(&deviates)
    };
    dyes.iter().enumerate().map(one).collect()
}

fn pct(dose: f64) -> OnFibre {
    OnFibre::try_percent(dose).unwrap()
}

fn bath(doses: &[(usize, f64)]) -> Vec<InBath> {
    doses.iter().map(|&(dye, d)| InBath { dye, dose: pct(d), scatter: 0.0 }).collect()
}

fn true_lab(dyes: &[Dye], on: &Substrate, doses: &[(usize, f64)]) -> Lab {
    let recipe: Vec<Dosed> = doses
        .iter()
        .map(|&(dye, d)| Dosed { dye: &dyes[dye], dose: pct(d), scatter: 0.0 })
        .collect();
    predict(on, &recipe, NONE).unwrap().lab
}

fn swatch(material: &str, job: u64, doses: &[(usize, f64)], seen: Lab) -> Dyeing {
    let glimpse = Glimpse { seen: Seen::Colour(seen), bias: 0.7, spread: 0.7 };
    let on = on(material);
    let bath = bath(doses);
    Dyeing { on, fibre: material.to_owned(), job, bath, scatter: CAREFUL, glimpse }
}

fn foretold(known: &Experience, material: &str, job: u64, doses: &[(usize, f64)]) -> (Lab, f64) {
    let on = on(material);
    let setting = Setting { on: &on, fibre: material, job };
    let told = known.foretell(&setting, &[&bath(doses)], CAREFUL).unwrap();
    (told.labs()[0], told.recipe(0).rms())
}

const MIX: [(usize, f64); 3] = [(0, 0.8), (3, 0.5), (5, 0.6)];

#[test]
fn before_any_swatch_it_says_what_the_plain_prediction_says() {
    let dyes = shelf();
    let known = Experience::try_new(stock(&dyes)).unwrap();
    let on = on("cotton");
    let recipe: Vec<Dosed> =
        MIX.iter().map(|&(dye, d)| Dosed { dye: &dyes[dye], dose: pct(d), scatter: 0.0 }).collect();
    let plain = predict(&on, &recipe, CAREFUL).unwrap();
    let (lab, rms) = foretold(&known, "cotton", 1, &MIX);
    assert!(ciede2000(lab, plain.lab) < 1e-9);
    // It also reckons with what dyes do together, which the plain prediction does not.
    assert!(rms >= plain.recipe.rms() - 1e-6 && rms < 1.2 * plain.recipe.rms(), "{rms}");
}

#[test]
fn a_mix_is_known_long_before_its_dyes_are() {
    let dyes = shelf();
    let truth = truths(&dyes, 0.7);
    let mut known = Experience::try_new(stock(&dyes)).unwrap();
    let (before, was) = foretold(&known, "cotton", 1, &MIX);
    let seen = true_lab(&truth, &on("cotton"), &MIX);
    known.learn(vec![swatch("cotton", 1, &MIX, seen)]).unwrap();
    let (after, is) = foretold(&known, "cotton", 1, &MIX);
    assert!(ciede2000(before, seen) > 3.0, "the truth must lie off: {before:?} {seen:?}");
    assert!(ciede2000(after, seen) < 0.5 * ciede2000(before, seen));
    let (_, one) = foretold(&known, "cotton", 1, &[(3, 0.5)]);
    let (_, one_was) =
        foretold(&Experience::try_new(stock(&dyes)).unwrap(), "cotton", 1, &[(3, 0.5)]);
    assert!(is / was < 0.4, "the mix: {was} to {is}");
    assert!(one / one_was > is / was, "a dye of it alone: {one_was} to {one}");
}

#[test]
fn the_order_of_swatches_does_not_matter() {
    let dyes = shelf();
    let truth = truths(&dyes, 0.8);
    let other = [(1, 0.4), (3, 0.9)];
    let first = swatch("cotton", 1, &MIX, true_lab(&truth, &on("cotton"), &MIX));
    let second = swatch("cotton", 2, &other, true_lab(&truth, &on("cotton"), &other));
    let told = |all: [Vec<Dyeing>; 2]| {
        let mut known = Experience::try_new(stock(&dyes)).unwrap();
        for some in all {
            known.learn(some).unwrap();
        }
        foretold(&known, "cotton", 3, &[(0, 0.3), (1, 0.3), (5, 0.3)])
    };
    let (a, b) =
        (told([vec![first.clone()], vec![second.clone()]]), told([vec![second, first], vec![]]));
    assert!(ciede2000(a.0, b.0) < 0.02 && (a.1 - b.1).abs() < 0.02 * a.1, "{a:?} {b:?}");
}

#[test]
fn fibres_teach_each_other_a_little_and_lots_much() {
    let dyes = shelf();
    let truth = truths(&dyes, 0.8);
    let mut with_lots = stock(&dyes);
    with_lots.push(Stocked { dye: dyes[3].clone(), lot_of: Some(3) });
    let lot = dyes.len();
    let mut known = Experience::try_new(with_lots).unwrap();
    let (_, fresh) = foretold(&known, "cotton", 1, &[(3, 1.0)]);
    let ladder = [0.2, 1.0, 3.0].map(|d| {
        let doses = [(3, d)];
        swatch("cotton", 1, &doses, true_lab(&truth, &on("cotton"), &doses))
    });
    known.learn(ladder.to_vec()).unwrap();
    known.also_on("viscose").unwrap();
    let (_, same) = foretold(&known, "cotton", 2, &[(3, 1.0)]);
    let (_, new_lot) = foretold(&known, "cotton", 2, &[(lot, 1.0)]);
    let (_, fibre) = foretold(&known, "viscose", 2, &[(3, 1.0)]);
    assert!(same < 0.4 * fresh, "{fresh} to {same}");
    assert!(same < new_lot && new_lot < fresh, "a new lot: {same} < {new_lot} < {fresh}");
    assert!(new_lot < fibre && fibre < fresh, "another fibre: {new_lot} < {fibre} < {fresh}");
    assert_eq!(known.dye(3, "cotton").unwrap().knowledge, Knowledge::Swatches);
}

/// The learning of one dye from a chip or ladder was written before this one and works on its own sums.
#[test]
fn one_dye_is_learnt_as_by_the_learning_of_chips() {
    let dyes = shelf();
    let truth = truths(&dyes, 0.8);
    let cotton = on("cotton");
    for dye in [0, 3, 6] {
        let steps = [0.3, 1.0, 3.0];
        let seen: Vec<Lab> =
            steps.iter().map(|&d| true_lab(&truth, &cotton, &[(dye, d)])).collect();
        let lessons: Vec<Lesson> = steps
            .iter()
            .zip(&seen)
            .map(|(&d, &lab)| Lesson {
                on: &cotton,
                dose: pct(d),
                seen: Seen::Colour(lab),
                spread: 1.0,
            })
            .collect();
        let alone = taught(&dyes[dye], &lessons, Knowledge::Ladder).unwrap();
        let mut known = Experience::try_new(stock(&dyes)).unwrap();
        let read = |(d, lab): (&f64, &Lab)| Dyeing {
            scatter: NONE,
            glimpse: Glimpse { seen: Seen::Colour(*lab), bias: 0.0, spread: 1.0 },
            ..swatch("cotton", 1, &[(dye, *d)], *lab)
        };
        known.learn(steps.iter().zip(&seen).map(read).collect()).unwrap();
        let believed = known.dye(dye, "cotton").unwrap();
        for d in [0.5, 2.0] {
            let dosed = |dye| [Dosed { dye, dose: pct(d), scatter: 0.0 }];
            let one = predict(&cotton, &dosed(&alone), NONE).unwrap();
            let two = predict(&cotton, &dosed(&believed), NONE).unwrap();
            // One weighs readings in CIELAB, the other in CIEDE2000: near, not equal.
            let apart = ciede2000(one.lab, two.lab);
            assert!(apart < 0.7, "{}: {apart} at {d} %", dyes[dye].id);
        }
    }
}

#[test]
fn what_all_readings_of_a_job_are_off_by_is_not_learnt_as_dye() {
    let dyes = shelf();
    let cotton = on("cotton");
    let doses = [(0, 0.8), (3, 0.5)];
    let as_believed = true_lab(&dyes, &cotton, &doses);
    let off = Lab::new(as_believed.l + 2.0, as_believed.a, as_believed.b);
    let moved = |bias: f64, spread: f64| {
        let mut known = Experience::try_new(stock(&dyes)).unwrap();
        let one = Dyeing {
            glimpse: Glimpse { seen: Seen::Colour(off), bias, spread },
            ..swatch("cotton", 1, &doses, off)
        };
        known.learn(vec![one; 6]).unwrap();
        foretold(&known, "cotton", 2, &doses).0.l - as_believed.l
    };
    let (biased, honest) = (moved(8.0, 0.8), moved(0.0, 8.0));
    assert!(
        biased > 0.0 && biased < 0.8 * honest,
        "six readings, one bias: {biased}; none: {honest}"
    );
}

#[test]
fn what_cannot_be_is_asked_about_and_hardly_learnt() {
    let dyes = shelf();
    let cotton = on("cotton");
    let mut known = Experience::try_new(stock(&dyes)).unwrap();
    let honest = true_lab(&truths(&dyes, 0.5), &cotton, &MIX);
    let first = known.learn(vec![swatch("cotton", 1, &MIX, honest)]).unwrap();
    assert!(!asked_about(&first), "{first:?}");
    let before = foretold(&known, "cotton", 1, &MIX).0;
    let wild = Lab::new(95.0, 0.0, 2.0);
    let second = known.learn(vec![swatch("cotton", 1, &MIX, wild)]).unwrap();
    assert!(asked_about(&second) && second[0].asks(), "{second:?}");
    let after = foretold(&known, "cotton", 1, &MIX).0;
    assert!(ciede2000(before, after) < 0.3 * ciede2000(before, wild), "{before:?} {after:?}");
}

#[test]
fn what_is_no_swatch_is_refused_and_nothing_is_learnt() {
    let dyes = shelf();
    let mut known = Experience::try_new(stock(&dyes)).unwrap();
    let good = swatch("cotton", 1, &MIX, Lab::new(50.0, 0.0, 0.0));
    let none = Dyeing { bath: vec![], ..good.clone() };
    let nan = Glimpse { bias: f64::NAN, ..good.glimpse };
    let strange = Dyeing { bath: bath(&[(999, 1.0)]), ..good.clone() };
    assert!(matches!(known.learn(vec![good.clone(), none]), Err(Refusal::NothingDyed)));
    let bad = Dyeing { glimpse: nan, ..good.clone() };
    assert!(matches!(known.learn(vec![bad]), Err(Refusal::NoSpread { .. })));
    assert!(matches!(known.learn(vec![strange]), Err(Refusal::NotInStock { place: 999, .. })));
    assert_eq!(known.learnt_from(), 0);
    let lot = Stocked { dye: dyes[0].clone(), lot_of: Some(7) };
    assert!(matches!(Experience::try_new(vec![lot]), Err(Refusal::NoSuchLot { .. })));
    known.learn(vec![good]).unwrap();
    assert_eq!(known.learnt_from(), 1);
}
