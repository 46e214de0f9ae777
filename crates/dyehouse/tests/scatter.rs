//! The statistics of truth, dyeing and reading are those the words of the worlds say, within what so
//! many draws can show (tolerances are four standard errors or more).

mod shop;

use colour::{Light, Weights, ciede2000};
use dyehouse::{Bolt, Deviates, Drawn, House, Instrument, Jar, Reader, Shape, Truth, What, World};
use shop::{house, reader, recipe, shelf};

/// Mean and standard deviation.
fn moments(all: &[f64]) -> (f64, f64) {
    let n = all.len() as f64;
    let mean = all.iter().sum::<f64>() / n;
    (mean, (all.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt())
}

/// Within `share` of what is expected.
fn about(what: &str, found: f64, expected: f64, share: f64) {
    assert!((found / expected - 1.0).abs() < share, "{what}: {found} instead of {expected}");
}

#[test]
fn hidden_dyes_lie_around_their_estimates_as_far_as_the_words_say() {
    let shelf = shelf();
    let spreads = World::named("right").unwrap().truth;
    let (mut strength, mut saturation, mut peak, mut width) = (vec![], vec![], vec![], vec![]);
    let (mut height, mut own) = (vec![], vec![]);
    let (mut one, mut other) = (vec![], vec![]);
    for seed in 0..1500 {
        let truth = Truth::drawn(&shelf, &spreads, seed);
        for (jar, estimate) in shelf.dyes().iter().enumerate().take(4) {
            let dye = truth.dye(Bolt(0), Jar(jar)).unwrap();
            let bands_of = |dye: &dyehouse::TrueDye| match &dye.shape {
                Shape::Bands { bands, ks_per_pct } => (bands.clone(), *ks_per_pct),
                Shape::Table(_) => panic!("drawn dyes have bands"),
            };
            let (bands, ks) = bands_of(dye);
            let (_, on_silk) = bands_of(truth.dye(Bolt(1), Jar(jar)).unwrap());
            strength.push((ks / estimate.ks_per_pct).ln());
            saturation.push((dye.saturation_pct / estimate.saturation.to_percent()).ln());
            let shift = bands[0].peak_nm - estimate.bands[0].peak_nm;
            peak.push(shift);
            width.push(bands[0].width_cm / estimate.bands[0].width_cm);
            height.push(bands[1].height / estimate.bands[1].height);
            own.push(bands[1].peak_nm - estimate.bands[1].peak_nm - shift);
            one.push((ks / estimate.ks_per_pct).ln());
            other.push((on_silk / estimate.ks_per_pct).ln());
        }
    }
    about("ln strength", moments(&strength).1, 1.4f64.ln(), 0.05);
    about("ln saturation", moments(&saturation).1, 1.6f64.ln(), 0.05);
    about("peak, nm", moments(&peak).1, 8.0, 0.05);
    about("width", moments(&width).1, 0.15, 0.05);
    // The floor of a twentieth cuts off what lies 1.9 deviations below: the spread shrinks by 2 %.
    about("height of a further band", moments(&height).1, 0.5, 0.06);
    about("shift of a further band, nm", moments(&own).1, 4.0, 0.05);
    assert!(moments(&strength).0.abs() < 0.02 && moments(&peak).0.abs() < 0.5);
    let product: Vec<f64> = one.iter().zip(&other).map(|(a, b)| a * b).collect();
    let alike = moments(&product).0 / (moments(&one).1 * moments(&other).1);
    about("correlation of two fibres", alike, 0.5, 0.12);
}

/// At a low depth of one weak dye K/S is nearly proportional to dye fixed, so its scatter shows.
#[test]
fn dyeings_scatter_as_the_words_say() {
    for (world, dose, common, each) in
        [("right", 1.5, 3.0, 3.0), ("home", 1.5, 5.0, 5.0), ("spoons", 20.0, 3.0, 3.0)]
    {
        let house = house(world, 31);
        let first = recipe(&[(0, 0.05), (4, 0.05)]);
        let truth = house.true_reflectance(&first).unwrap();
        let undyed = house.shelf().cloths()[0].undyed;
        let job = house.begin(0, &first).unwrap();
        let ks = |r: f64| (1.0 - r) * (1.0 - r) / (2.0 * r);
        // Where only the second dye absorbs, and where the first does.
        let at = |band: usize| -> Vec<f64> {
            let whole = ks(truth.values()[band]) - ks(undyed.values()[band]);
            let dyed = (1..=4000).map(|n| job.dye(&first, n).unwrap());
            dyed.map(|d| (ks(d.finished.values()[band]) - ks(undyed.values()[band])) / whole)
                .collect()
        };
        let red = at(14);
        let alone: f64 = f64::hypot(f64::hypot(dose, common), each) / 100.0;
        about(&format!("{world}: one dye"), moments(&red).1, alone, 0.06);
        assert!((moments(&red).0 - 1.0).abs() < 0.02);
    }
}

#[test]
fn what_is_common_to_a_bath_is_shared_by_its_dyes() {
    let house = house("right", 31);
    let (yellow, red) = (0, 4);
    let first = recipe(&[(yellow, 0.05), (red, 0.05)]);
    // All luck but that of the bath as a whole is taken away.
    let still = (1..=400u32).flat_map(|swatch| {
        [What::Dose, What::Each].into_iter().flat_map(move |what| {
            [yellow, red].map(|which| (Drawn { what, job: 0, swatch, which }, 0.0))
        })
    });
    let luck = Deviates::of_seed(31).with(still);
    let quiet = House::of_truth(house.world(), luck, shelf(), house.truth().clone());
    let job = quiet.begin(0, &first).unwrap();
    let truth = quiet.true_reflectance(&first).unwrap();
    let undyed = quiet.shelf().cloths()[0].undyed;
    let ks = |r: f64| (1.0 - r) * (1.0 - r) / (2.0 * r);
    let mut factors = vec![];
    for swatch in 1..=400 {
        let dyed = job.dye(&first, swatch).unwrap().finished;
        let of = |band: usize| {
            let on = |r: &colour::Bands| ks(r.values()[band]) - ks(undyed.values()[band]);
            on(&dyed) / on(&truth)
        };
        assert!((of(2) - of(14)).abs() < 1e-9, "both dyes are off by the same share");
        factors.push(of(14));
    }
    about("common to a bath", moments(&factors).1, 0.03, 0.15);
}

/// The rms of a reading is s; half of the variance stays within a job, half is new.
#[test]
fn readings_are_off_by_their_scatter_half_of_it_bias() {
    let house = house("right", 17);
    for (n, stratum) in dyehouse::Stratum::ALL.into_iter().enumerate() {
        let mix = house.target(n as u64, stratum, Bolt(0), shop::ratio()).unwrap();
        for s in [0.3, 1.0, 2.0] {
            let eye = reader(s);
            let (mut all, mut within) = (vec![], vec![]);
            for number in 0..1500 {
                let job = house.begin(number, &mix.made_of).unwrap();
                let dyed = job.dye(&mix.made_of, 1).unwrap();
                let lab = Weights::reference().lab(&dyed.finished);
                let (one, again) = (job.read(&dyed, &eye), job.read_again(&dyed, &eye, 1));
                assert_eq!(one.scatter, s);
                all.push(ciede2000(lab, one.lab).powi(2));
                // The bias falls out of the difference: twice the new half, which is s².
                within.push(ciede2000(one.lab, again.lab).powi(2));
            }
            about(&format!("{stratum}, s {s}: rms"), moments(&all).0.sqrt(), s, 0.05);
            about(&format!("{stratum}, s {s}: two readings"), moments(&within).0.sqrt(), s, 0.10);
        }
    }
}

#[test]
fn a_bias_belongs_to_a_job_and_a_light() {
    let house = house("right", 17);
    let first = recipe(&[(2, 1.0)]);
    let bias = |number: u64, light: Light| {
        let job = house.begin(number, &first).unwrap();
        let dyed = job.dye(&first, 1).unwrap();
        let eye = Reader::try_new(1.0, Instrument::Colour, light).unwrap();
        let truth = Weights::reference().lab(&dyed.finished);
        let many = 400u32;
        let mean = |of: fn(colour::Lab) -> f64| {
            (0..many).map(|t| of(job.read_again(&dyed, &eye, t).lab) - of(truth)).sum::<f64>()
                / f64::from(many)
        };
        [mean(|l| l.l), mean(|l| l.a), mean(|l| l.b)]
    };
    let (one, other, lamp) = (bias(1, Light::D65), bias(2, Light::D65), bias(1, Light::A));
    let apart = |a: [f64; 3], b: [f64; 3]| {
        a.iter().zip(b).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt()
    };
    assert!(apart(one, other) > 0.2 && apart(one, lamp) > 0.2, "{one:?} {other:?} {lamp:?}");
}

#[test]
fn an_instrument_gives_a_spectrum_of_the_colour_it_reads() {
    let house = house("right", 8);
    let first = recipe(&[(0, 0.3), (4, 0.6), (7, 0.4)]);
    let eye = Reader::try_new(1.0, Instrument::Spectrum, Light::D65).unwrap();
    let mut off = vec![];
    for number in 0..300 {
        let job = house.begin(number, &first).unwrap();
        let dyed = job.dye(&first, 1).unwrap();
        let read = job.read(&dyed, &eye);
        let seen = read.spectrum.unwrap();
        assert_eq!(Weights::reference().lab(&seen), read.lab);
        let plain = job.read(&dyed, &reader(1.0));
        assert!(ciede2000(plain.lab, read.lab) < 1e-6, "the same luck, the same colour");
        assert!(plain.spectrum.is_none());
        off.push(ciede2000(Weights::reference().lab(&dyed.finished), read.lab).powi(2));
    }
    about("rms of an instrument", moments(&off).0.sqrt(), 1.0, 0.15);
}

/// In `heavy` the middle is quieter and the far ends are wilder than a normal of the same variance.
#[test]
fn heavy_tails_are_heavy_and_the_variance_is_kept() {
    let wild = |world: &str| {
        let house = house(world, 3);
        let first = recipe(&[(2, 1.0)]);
        let mut off: Vec<f64> = (0..6000)
            .map(|number| {
                let job = house.begin(number, &first).unwrap();
                let dyed = job.dye(&first, 1).unwrap();
                let lab = Weights::reference().lab(&dyed.finished);
                ciede2000(lab, job.read(&dyed, &reader(1.0)).lab)
            })
            .collect();
        off.sort_by(f64::total_cmp);
        let rms = moments(&off.iter().map(|d| d * d).collect::<Vec<_>>()).0.sqrt();
        (off[3000], off[5970], rms)
    };
    let (normal, heavy) = (wild("right"), wild("heavy"));
    println!("median, 99.5 % and rms of a reading: right {normal:?}, heavy {heavy:?}");
    assert!(heavy.0 < 0.9 * normal.0 && heavy.1 > 1.3 * normal.1);
    about("rms in heavy", heavy.2, 1.0, 0.25);
}
