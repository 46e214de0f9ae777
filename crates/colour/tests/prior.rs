//! The cloth prior: where the shipped table comes from, what it promises, what it refuses.

#![expect(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    reason = "a test may stop where its own data are broken; the numbers cut are small indices"
)]

#[path = "prior/made_up.rs"]
mod made_up;

use std::{fs, path::PathBuf};

use colour::{BANDS, Bands, ClothPrior, Lab, Light, Observer, ScreenColour, Weights, ciede2000};

const STEPS: usize = BANDS - 1;
/// As many made-up clothes as went into the table, and where their chance numbers start.
const MADE_UP: (usize, u64) = (1500, 1);

fn file(name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(name);
    fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The spectra of a comma-separated table with columns R400 … R700.
fn spectra(text: &str) -> Vec<Bands> {
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap().split(',').collect();
    let place = |i| header.iter().position(|h| *h == format!("R{}", Bands::wavelength(i))).unwrap();
    let columns: Vec<usize> = (0..BANDS).map(place).collect();
    lines
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            Bands::try_new(std::array::from_fn(|i| cells[columns[i]].parse().unwrap())).unwrap()
        })
        .collect()
}

/// The 29 published clothes: 18 of Vrhel and others 1994, 11 of CIE 224:2017.
fn published() -> Vec<Bands> {
    let mut all = spectra(&file("tests/fixtures/vrhel_clothing_10nm.csv"));
    all.extend(spectra(&file("tests/fixtures/cie224_textile21_5nm.csv")));
    all
}

/// Mean and variance of the level and the thirty steps of log odds, steps softened (¼, ½, ¼).
fn moments(clothes: &[Bands]) -> Vec<(f64, f64)> {
    let odds: Vec<Vec<f64>> = clothes
        .iter()
        .map(|b| {
            let drawn_in = b.values().iter().map(|r| r.clamp(0.005, 0.997));
            drawn_in.map(|r| ((r - 0.002) / (1.0 - r)).ln()).collect()
        })
        .collect();
    let two = |values: Vec<f64>| {
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        (mean, values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n)
    };
    let level = two(odds.iter().map(|z| z.iter().sum::<f64>() / BANDS as f64).collect());
    let raw: Vec<(f64, f64)> =
        (0..STEPS).map(|i| two(odds.iter().map(|z| z[i + 1] - z[i]).collect())).collect();
    let soft = |i: usize, pick: fn(&(f64, f64)) -> f64| {
        let (before, after) = (&raw[i.saturating_sub(1)], &raw[(i + 1).min(STEPS - 1)]);
        0.25 * pick(before) + 0.5 * pick(&raw[i]) + 0.25 * pick(after)
    };
    let mut all = vec![level];
    all.extend((0..STEPS).map(|i| (soft(i, |m| m.0), soft(i, |m| m.1))));
    all
}

fn rebuilt() -> String {
    let (one, other) = (moments(&published()), moments(&made_up::clothes(MADE_UP.0, MADE_UP.1)));
    let mut text = "step_nm,mean_log_odds,variance_log_odds\n".to_owned();
    for (n, (a, b)) in one.iter().zip(&other).enumerate() {
        let name = match n {
            0 => "level".to_owned(),
            _ => format!("{}-{}", 390 + 10 * n, 400 + 10 * n),
        };
        text += &format!("{name},{:.5},{:.5}\n", (a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
    }
    text
}

/// Not a check against the outside: it holds that the embedded table is what its source note says.
/// Within 2e-5, since the last printed digit may differ between machines.
#[test]
fn the_shipped_table_can_be_rebuilt() {
    let (shipped, rebuilt) = (file("data/cloth_prior.csv"), rebuilt());
    let numbers = |text: &str| -> Vec<f64> {
        text.lines()
            .skip(1)
            .flat_map(|l| l.split(',').skip(1))
            .map(|c| c.parse().unwrap())
            .collect()
    };
    let (a, b) = (numbers(&shipped), numbers(&rebuilt));
    let same = a.len() == b.len() && a.iter().zip(&b).all(|(a, b)| (a - b).abs() < 2e-5);
    assert!(
        same,
        "data/cloth_prior.csv is not what the synthesis gives; it should read\n{rebuilt}"
    );
}

fn off(one: Lab, other: Lab) -> f64 {
    (one.l - other.l).abs().max((one.a - other.a).abs()).max((one.b - other.b).abs())
}

/// Lab met to 1e-6 and every factor between 0.002 and 1: what the room promises.
fn check(prior: &ClothPrior, lab: Lab) {
    let likely = prior.likely(lab).unwrap_or_else(|refusal| panic!("{lab}: {refusal}"));
    assert!(likely.assumed);
    let met = Weights::reference().lab(&likely.bands);
    assert!(off(lab, met) < 1e-6, "{lab}: {met:?}");
    assert!(likely.bands.values().iter().all(|r| (0.002..=1.0).contains(r)), "{lab}");
    let own = likely.expected_difference(Weights::reference());
    let other = likely.expected_difference(Weights::of(Light::Fl11, Observer::Ten));
    assert!(own < 1e-3 && other.is_finite() && other > own, "{lab}: {own} {other}");
}

#[test]
fn the_colour_is_met_exactly_from_black_to_white() {
    let learnt = ClothPrior::learn(&made_up::clothes(400, 7)).unwrap();
    for prior in [ClothPrior::shipped(), ClothPrior::smooth(), &learnt] {
        for (l, a, b) in [
            (5.0, 0.0, 0.0),
            (3.0, 1.0, -1.0),
            (10.0, 8.0, -12.0),
            (98.0, 0.0, 1.0),
            (99.5, 0.0, 0.0),
            (93.0, -8.0, 60.0),
            (50.0, 70.0, 45.0),
            (30.0, 40.0, -70.0),
            (60.0, -60.0, 30.0),
            (62.1, -3.4, 7.7),
        ] {
            check(prior, Lab::new(l, a, b));
        }
    }
}

/// Optimal colours (reflectance all or nothing, with one or two jumps) are the rim of what any
/// surface can have: E. Schroedinger 1920, D. `MacAdam` 1935. A little inside the rim must be
/// answered, 5 % more chroma than the rim refused.
#[test]
fn what_no_surface_can_have_is_refused_and_all_else_answered() {
    let learnt = ClothPrior::learn(&made_up::clothes(400, 7)).unwrap();
    let (low, high) = (0.002, 1.0);
    let (mut inside, mut outside) = (0, 0);
    for from in 0..BANDS {
        for wide in [5, 10, 16, 22] {
            let jumps: [f64; BANDS] =
                std::array::from_fn(|i| if (i + BANDS - from) % BANDS < wide { high } else { low });
            let rim = Weights::reference().lab_of(&jumps);
            let within = jumps.map(|r| 0.92 * r + 0.08 * 0.5);
            let lab = Weights::reference().lab_of(&within);
            check(ClothPrior::shipped(), lab);
            check(&learnt, lab);
            inside += 1;
            let beyond = Lab::new(rim.l, 1.05 * rim.a, 1.05 * rim.b);
            let speech = ClothPrior::shipped().likely(beyond).unwrap_err().to_string();
            assert!(speech.contains("lower the chroma"), "{speech}");
            outside += 1;
        }
    }
    assert!(inside == 124 && outside == 124);
}

#[test]
fn no_colours_are_refused_in_words() {
    for ((l, a, b), word) in [
        ((50.0, 140.0, 0.0), "no cloth"),
        ((100.0, 0.0, 0.0), "cloth lies between"),
        ((120.0, 0.0, 0.0), "120"),
        ((0.0, 0.0, 0.0), "0.2 %"),
        ((-3.0, 0.0, 0.0), "-3"),
        ((97.0, 60.0, 0.0), "chroma"),
        ((4.0, 0.0, -60.0), "chroma"),
        ((f64::NAN, 0.0, 0.0), "L* is NaN"),
        ((50.0, f64::INFINITY, 0.0), "a* is inf"),
    ] {
        let speech = ClothPrior::shipped().likely(Lab::new(l, a, b)).unwrap_err().to_string();
        assert!(speech.contains(word), "{speech}");
    }
    let speech = ClothPrior::learn(&made_up::clothes(19, 3)).unwrap_err().to_string();
    assert!(speech.contains("19") && speech.contains("at least 20"), "{speech}");
}

#[test]
fn twenty_equal_clothes_can_be_learnt_from() {
    let prior = ClothPrior::learn(&[Bands::flat(0.4).unwrap(); 20]).unwrap();
    check(&prior, Lab::new(60.0, 5.0, 5.0));
    check(&prior, Lab::new(30.0, 40.0, -20.0));
}

/// Against an independent least-slope solver in `NumPy` (the house's own reference for the engine,
/// `smooth_reflectance`), whose reflectance may fall to 0 instead of 0.002: hence 0.006.
#[test]
fn least_slope_is_what_another_solver_finds() {
    for (lab, wanted) in LEAST_SLOPE {
        let likely = ClothPrior::smooth().likely(Lab::new(lab[0], lab[1], lab[2])).unwrap();
        for (i, r) in [0, 7, 15, 22, 30].into_iter().zip(wanted) {
            let found = likely.bands.values()[i];
            assert!((found - r).abs() < 0.006, "{lab:?} band {i}: {found} {r}");
        }
    }
}

const LEAST_SLOPE: [([f64; 3], [f64; 5]); 4] = [
    ([50.0, 60.0, 30.0], [0.1031, 0.0532, 0.0537, 0.7142, 0.8139]),
    ([30.0, 20.0, -60.0], [0.4080, 0.2865, 0.0290, 0.0112, 0.0104]),
    ([85.0, -10.0, 80.0], [0.0473, 0.1215, 0.7867, 0.7027, 0.6758]),
    ([62.0, -25.0, 12.0], [0.1853, 0.2602, 0.3535, 0.1807, 0.1659]),
];

#[test]
fn a_screen_colour_becomes_a_cloth_of_that_very_colour() {
    let weights = Weights::of(Light::D65, Observer::Two);
    let learnt = ClothPrior::learn(&made_up::clothes(400, 7)).unwrap();
    for prior in [ClothPrior::shipped(), &learnt] {
        for hex in ["#2f6f5a", "#a01830", "#e8c840", "#203060", "#0a0a0a", "#f4f0e6"] {
            let xyz = ScreenColour::from_hex(hex).unwrap().to_xyz2();
            let likely = prior.screen_colour_to_cloth(xyz).unwrap();
            let met = weights.xyz(&likely.bands);
            let off = (xyz.x - met.x).abs().max((xyz.y - met.y).abs()).max((xyz.z - met.z).abs());
            assert!(off < 1e-6 && likely.assumed, "{hex}: {off}");
        }
        let white = ScreenColour::from_hex("#ffffff").unwrap().to_xyz2();
        let speech = prior.screen_colour_to_cloth(white).unwrap_err().to_string();
        assert!(speech.contains("cloth lies between"), "{speech}");
    }
}

/// Median and 90 % point of ΔE00 under A and FL11, and rms found over rms stated.
fn judged(prior: &ClothPrior, clothes: &[Bands]) -> [(f64, f64, f64); 2] {
    [Light::A, Light::Fl11].map(|light| {
        let weights = Weights::of(light, Observer::Ten);
        let (mut errors, mut stated) = (Vec::new(), 0.0);
        for cloth in clothes {
            let likely = prior.likely(Weights::reference().lab(cloth)).unwrap();
            errors.push(ciede2000(weights.lab(cloth), weights.lab(&likely.bands)));
            stated += likely.expected_difference(weights).powi(2);
        }
        let found: f64 = errors.iter().map(|e| e * e).sum();
        errors.sort_by(f64::total_cmp);
        (errors[errors.len() / 2], errors[errors.len() * 9 / 10], (found / stated).sqrt())
    })
}

/// Real cloth of the measuring set, which is not shipped: `shared/data/verify`, shade book. Goals
/// from NUMBERS.md: 0.8 / 0.85 learnt from the other half. The shipped prior has seen no row of it
/// but four of the eleven CIE 224 clothes, which are 4 of 58 parts of its two moments a step.
#[test]
fn real_cloth_is_guessed_better_than_by_least_slope() {
    let shared = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data/verify");
    let Ok(text) = fs::read_to_string(shared.join("textile_shadebook_block.csv")) else {
        println!("skipped: the measuring data are not here");
        return;
    };
    let all = spectra(&text);
    let half = |odd| -> Vec<Bands> {
        all.iter().enumerate().filter(|(n, _)| n % 2 == odd).map(|(_, b)| *b).collect()
    };
    let learnt = judged(&ClothPrior::learn(&half(0)).unwrap(), &half(1));
    let shipped = judged(ClothPrior::shipped(), &half(1));
    let smooth = judged(ClothPrior::smooth(), &half(1));
    println!("learnt {learnt:?}\nshipped {shipped:?}\nleast slope {smooth:?}");
    assert!(learnt[0].0 <= 0.8 && learnt[1].0 <= 0.85);
    for n in 0..2 {
        assert!(shipped[n].0 < smooth[n].0 && shipped[n].1 < smooth[n].1);
        // the stated spread holds within a fifth
        for ratio in [learnt[n].2, shipped[n].2] {
            assert!((0.8..1.2).contains(&ratio), "{ratio}");
        }
    }
}
