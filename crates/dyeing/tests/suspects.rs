//! What is wrong with a jar is told from what is only believed loosely: laws of the doubt about one job.
//!
//! All dyes here are drawn around the starter shelf's estimates: in simulation, no cloth was dyed.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

use colour::{Bands, Lab, Weights};
use dyeing::{
    Dosed, Dye, Dyeing, Experience, Glimpse, Ground, InBath, Look, Refusal, Scatter, Seen, Stocked,
    Substrate, Suspect, predict, starter,
};
use lore::DyeClass;
use units::{LiquorRatio, OnFibre, Share};

const NONE: Scatter = Scatter { common: 0.0, each: 0.0 };
const CAREFUL: Scatter = Scatter { common: 0.03, each: 0.03 };
const FIRST: [(usize, f64); 3] = [(0, 0.8), (3, 0.5), (5, 0.6)];
const SECOND: [(usize, f64); 3] = [(0, 0.9), (3, 0.4), (5, 0.7)];

fn cotton() -> Substrate {
    let ground = Ground::assumed(&[("cotton", Share::WHOLE)], Look::White).unwrap();
    let ratio = LiquorRatio::try_litres_per_kilogram(20.0).unwrap();
    Substrate::try_new(&ground, DyeClass::ReactiveDct, ratio).unwrap()
}

fn shelf() -> Vec<Dye> {
    let of_class = starter().iter().filter(|s| s.dye.class == DyeClass::ReactiveDct);
    of_class.map(|s| s.dye.clone()).collect()
}

fn known(dyes: &[Dye]) -> Experience {
    let one = |dye: &Dye| Stocked { dye: dye.clone(), lot_of: None };
    Experience::try_new(dyes.iter().map(one).collect()).unwrap()
}

fn pct(dose: f64) -> OnFibre {
    OnFibre::try_percent(dose).unwrap()
}

/// The dyes as they might really be: each number so many spreads away, in turn up and down.
fn truths(dyes: &[Dye], spreads: f64, turn: usize) -> Vec<Dye> {
    let one = |(i, dye): (usize, &Dye)| {
        let way = |k: usize| if (i + k + turn).is_multiple_of(2) { spreads } else { -spreads };
        let deviates: Vec<f64> = (0..dye.doubts()).map(way).collect();
        dye.drawn(&deviates)
    };
    dyes.iter().enumerate().map(one).collect()
}

/// The reflectance of a bath whose jars hold `inside`, dye by dye.
fn dyed(dyes: &[Dye], doses: &[(usize, f64)], inside: impl Fn(usize) -> usize) -> Bands {
    let part =
        |&(dye, d): &(usize, f64)| Dosed { dye: &dyes[inside(dye)], dose: pct(d), scatter: 0.0 };
    let recipe: Vec<Dosed> = doses.iter().map(part).collect();
    predict(&cotton(), &recipe, NONE).unwrap().bands
}

fn lab(bands: &Bands) -> Lab {
    Weights::reference().lab(bands)
}

fn read(doses: &[(usize, f64)], seen: Lab) -> Dyeing {
    let bath = doses.iter().map(|&(dye, d)| InBath { dye, dose: pct(d), scatter: 0.015 }).collect();
    let glimpse = Glimpse { seen: Seen::Colour(seen), bias: 0.7, spread: 0.7 };
    Dyeing { on: cotton(), fibre: "cotton".to_owned(), job: 1, bath, scatter: CAREFUL, glimpse }
}

fn all(dyes: &[Dye]) -> Vec<usize> {
    (0..dyes.len()).collect()
}

#[test]
fn honest_dyes_are_not_suspected_wherever_they_lie_within_what_is_believed() {
    let dyes = shelf();
    for (spreads, turn) in [(0.0, 0), (0.5, 0), (0.5, 1), (1.0, 0), (1.0, 1)] {
        let truth = truths(&dyes, spreads, turn);
        let swatches = [FIRST, SECOND].map(|d| read(&d, lab(&dyed(&truth, &d, |dye| dye))));
        let doubt = known(&dyes).doubt(&swatches, &all(&dyes)).unwrap();
        assert!(!doubt.asks(), "{spreads} spreads, turn {turn}: {doubt:?}");
    }
}

#[test]
fn a_jar_with_another_dye_is_found_and_the_jar_is_named() {
    let dyes = shelf();
    // A blue in the jar of a red: by the bands, not by the names.
    let peak = |dye: usize| lab(&dyed(&dyes, &[(dye, 1.0)], |d| d)).b;
    let bluest = (0..dyes.len()).min_by(|a, b| peak(*a).total_cmp(&peak(*b))).unwrap();
    let yellow = (0..dyes.len()).max_by(|a, b| peak(*a).total_cmp(&peak(*b))).unwrap();
    let doses = [(yellow, 0.8), (3, 0.4)];
    assert!(yellow != 3 && bluest != 3);
    let wrong = dyed(&dyes, &doses, |dye| if dye == yellow { bluest } else { dye });
    let doubt = known(&dyes).doubt(&[read(&doses, lab(&wrong))], &all(&dyes)).unwrap();
    assert!(doubt.asks() && doubt.holds > 100.0, "{doubt:?}");
    let named = matches!(doubt.likeliest, Suspect::Holds { dye, .. } if dye == yellow);
    assert!(named, "{doubt:?}");
}

/// The same with light sent out beside it: so much at most, around here.
fn shining(plain: &Bands, most: f64, centre_nm: f64) -> Bands {
    let with = plain.values().iter().enumerate().map(|(i, r)| {
        let nm = 400.0 + 10.0 * f64::from(u32::try_from(i).unwrap());
        let away = (nm - centre_nm) / 23.0;
        r + most * (-away * away).exp()
    });
    Bands::try_new(<[f64; 31]>::try_from(with.collect::<Vec<_>>()).unwrap()).unwrap()
}

#[test]
fn a_dye_that_glows_is_found_and_named() {
    let dyes = shelf();
    // A third more light than a white cloth sends back, some 30 nm above where this dye, a scarlet, takes most.
    let peak = 512.0;
    let glowing = |d: &[(usize, f64)]| lab(&shining(&dyed(&dyes, d, |dye| dye), 0.3, peak + 32.0));
    let swatches = [FIRST, SECOND].map(|d| read(&d, glowing(&d)));
    let doubt = known(&dyes).doubt(&swatches, &all(&dyes)).unwrap();
    assert!(doubt.asks() && doubt.glows > 10.0, "{doubt:?}");
    assert!(doubt.likeliest == Suspect::Glows { dye: 3 }, "{doubt:?}");
    // Where what is in question hardly shows, it is not asked about for that.
    let faint = |d: &[(usize, f64)]| lab(&shining(&dyed(&dyes, d, |dye| dye), 0.01, peak + 32.0));
    let swatches = [FIRST, SECOND].map(|d| read(&d, faint(&d)));
    assert!(!known(&dyes).doubt(&swatches, &all(&dyes)).unwrap().asks());
}

#[test]
fn a_swatch_that_came_out_half_as_deep_beside_one_that_did_not_is_found() {
    let dyes = shelf();
    let halved = FIRST.map(|(dye, d)| (dye, 0.45 * d));
    let [good, good_again] = [1, 2].map(|_| read(&FIRST, lab(&dyed(&dyes, &FIRST, |d| d))));
    let short = read(&FIRST, lab(&dyed(&dyes, &halved, |d| d)));
    let sure = known(&dyes).doubt(&[good.clone(), short, good_again.clone()], &all(&dyes)).unwrap();
    assert!(sure.asks() && sure.likeliest == Suspect::Short { dyeing: 1 }, "{sure:?}");
    let honest = known(&dyes).doubt(&[good, good_again], &all(&dyes)).unwrap();
    assert!(!honest.asks() && honest.short < sure.short, "{honest:?}");
}

#[test]
fn what_is_no_job_is_refused() {
    let dyes = shelf();
    let one = read(&FIRST, Lab::new(50.0, 0.0, 0.0));
    let strange =
        Dyeing { bath: vec![InBath { dye: 999, dose: pct(1.0), scatter: 0.0 }], ..one.clone() };
    assert!(matches!(known(&dyes).doubt(&[], &all(&dyes)), Err(Refusal::NothingDyed)));
    let refused = known(&dyes).doubt(&[strange], &all(&dyes));
    assert!(matches!(refused, Err(Refusal::NotInStock { place: 999, .. })));
    // Nothing to suppose in the jars: a glow and a short dyeing are still asked about.
    assert!(known(&dyes).doubt(&[one], &[]).unwrap().holds < f64::MIN_POSITIVE);
}
