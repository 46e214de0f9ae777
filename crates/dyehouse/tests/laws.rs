//! Laws of the house: a seed is a world, more dye is never lighter, the law of `right` is that of an
//! independent reference, and every other world is measurably another.

mod shop;

use std::sync::Arc;

use colour::{Bands, Light, Observer, Weights, ciede2000};
use dyehouse::{
    Band, Bolt, Cloth, Depth, Deviates, Estimate, Fault, Finish, House, Jar, Part, Recipe, Shape,
    Shelf, Stratum, TrueDye, Truth, World,
};
use serde_json::Value;
use shop::{house, ratio, reader, recipe, shelf};
use units::{LiquorRatio, OnFibre, Share};

#[test]
fn the_same_seed_is_the_same_world() {
    for world in World::all() {
        let once = |seed: u64| {
            let house = house(&world.name, seed);
            let first = recipe(&[(0, 0.4), (3, 1.1), (6, 0.2)]);
            let job = house.begin(7, &first).unwrap();
            let dyed = job.dye(&first, 1).unwrap();
            let reading = job.read(&dyed, &reader(1.0));
            let target = house.target(3, Stratum::ALL[5], Bolt(0), ratio()).unwrap();
            let doses = house.shelf().ladder_doses(Jar(2)).unwrap();
            let ladder = house.ladder(Bolt(1), Jar(2), &doses, ratio(), &reader(1.0)).unwrap();
            (dyed, reading, target, ladder, job.fault())
        };
        assert_eq!(once(11), once(11), "{}", world.name);
        assert_ne!(once(11).1.lab, once(12).1.lab, "{}", world.name);
    }
}

#[test]
fn luck_belongs_to_the_swatch_and_not_to_what_was_done_before() {
    let house = house("home", 5);
    let (one, other) = (recipe(&[(0, 0.4), (3, 1.1)]), recipe(&[(1, 2.0)]));
    let job = house.begin(1, &one).unwrap();
    let alone = job.dye(&one, 2).unwrap();
    let _ = (job.dye(&other, 1).unwrap(), job.dye(&other, 2).unwrap());
    assert_eq!(alone, job.dye(&one, 2).unwrap());
    assert_ne!(alone.finished, job.dye(&one, 3).unwrap().finished);
    let another = house.begin(2, &one).unwrap();
    assert_ne!(alone.finished, another.dye(&one, 2).unwrap().finished);
}

#[test]
fn more_dye_is_never_lighter_in_the_right_world() {
    for seed in 0..20 {
        let house = house("right", seed);
        for jar in 0..house.shelf().dyes().len() {
            let other = (jar + 1) % house.shelf().dyes().len();
            let look =
                |pct: f64| house.true_reflectance(&recipe(&[(jar, pct), (other, 0.5)])).unwrap();
            let mut before = look(0.01);
            for pct in [0.03, 0.1, 0.3, 1.0, 2.0, 4.0, 8.0] {
                let now = look(pct);
                let all = before.values().iter().zip(now.values());
                assert!(all.clone().all(|(b, n)| n <= b), "seed {seed} jar {jar} at {pct} %");
                assert!(all.clone().any(|(b, n)| n < b), "seed {seed} jar {jar} at {pct} %");
                before = now;
            }
        }
    }
}

#[test]
fn more_liquor_is_paler_and_a_cloth_that_takes_less_too() {
    let house = house("right", 3);
    let lightness = |bolt: usize, litres: f64| {
        let ratio = LiquorRatio::try_litres_per_kilogram(litres).unwrap();
        house.true_lab(&Recipe { bolt: Bolt(bolt), ratio, ..recipe(&[(3, 1.0)]) }).unwrap().l
    };
    assert!(lightness(0, 10.0) < lightness(0, 20.0) && lightness(0, 20.0) < lightness(0, 60.0));
    // Published alike, so that only the gain differs.
    let alike = House::of_truth(
        house.world(),
        Deviates::of_seed(1),
        shelf(),
        Truth::as_published(&shelf()),
    );
    let k = |bolt: usize| {
        let r =
            alike.true_reflectance(&Recipe { bolt: Bolt(bolt), ..recipe(&[(3, 1.0)]) }).unwrap();
        (1.0 - r.values()[12]).powi(2) / (2.0 * r.values()[12])
    };
    assert!(k(1) < k(0));
}

/// The independent reference of the engine (`recipe/tests/fixtures/reference.json`, 24 invented dyes,
/// made by another program): 120 recipes on three cloths, with and without a surface term.
#[test]
fn the_law_of_the_right_world_is_that_of_an_independent_reference() {
    let file: Value =
        serde_json::from_str(include_str!("../../recipe/tests/fixtures/reference.json")).unwrap();
    let numbers =
        |v: &Value| v.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect::<Vec<_>>();
    let (fix, saturation) = (numbers(&file["fix"]), numbers(&file["csat"]));
    let names: Vec<&str> =
        file["names"].as_array().unwrap().iter().map(|n| n.as_str().unwrap()).collect();
    let dyes: Vec<Estimate> = (0..24)
        .map(|i| Estimate {
            id: names[i].to_owned(),
            bands: vec![Band { peak_nm: 500.0, width_cm: 3000.0, height: 1.0 }],
            ks_per_pct: 1.0,
            fixed: Share::try_fraction(fix[i]).unwrap(),
            saturation: OnFibre::try_percent(saturation[i]).unwrap(),
            most: OnFibre::try_percent(8.0).unwrap(),
        })
        .collect();
    let tables = file["A"].as_array().unwrap();
    let truth: Vec<TrueDye> = (0..24)
        .map(|i| TrueDye {
            shape: Shape::Table(Box::new(numbers(&tables[i]).try_into().unwrap())),
            fixed_share: fix[i],
            saturation_pct: saturation[i],
        })
        .collect();
    let mut worst = (0.0f64, 0.0f64);
    let cases = file["forward"].as_array().unwrap();
    assert_eq!(cases.len(), 120);
    for case in cases {
        let cloth = case["sub"].as_str().unwrap();
        let undyed: [f64; 31] = numbers(&file["substrates"][cloth]).try_into().unwrap();
        let cloth = Cloth {
            name: cloth.to_owned(),
            undyed: Bands::try_new(undyed).unwrap(),
            gain: 1.0,
            substantivity_l_per_kg: 60.0,
            surface: case["s"].as_f64().unwrap(),
        };
        let shelf = Arc::new(Shelf::try_new(dyes.clone(), vec![cloth]).unwrap());
        let truth = Truth::try_told(&shelf, vec![truth.clone()]).unwrap();
        let house =
            House::of_truth(World::named("right").unwrap(), Deviates::of_seed(0), shelf, truth);
        let jars = case["idx"].as_array().unwrap().iter();
        let parts = jars.zip(numbers(&case["c"])).map(|(jar, pct)| {
            let jar = Jar(usize::try_from(jar.as_u64().unwrap()).unwrap());
            Part { jar, dose: OnFibre::try_percent(pct).unwrap() }
        });
        let recipe = Recipe { bolt: Bolt(0), parts: parts.collect(), ratio: ratio() };
        let seen = house.true_reflectance(&recipe).unwrap();
        for (ours, theirs) in seen.values().iter().zip(numbers(&case["R"])) {
            worst.0 = worst.0.max((ours - theirs).abs());
        }
        for light in [Light::D65, Light::A, Light::Fl11, Light::LedB3] {
            let lab = Weights::of(light, Observer::Ten).lab(&seen);
            let theirs = numbers(&case["lab"][light.name()]);
            for (ours, theirs) in [lab.l, lab.a, lab.b].iter().zip(theirs) {
                worst.1 = worst.1.max((ours - theirs).abs());
            }
        }
    }
    assert!(worst.0 < 1e-9 && worst.1 < 1e-6, "{worst:?}");
}

/// Peak, width and height of a band.
type Triple = (f64, f64, f64);

/// Three of the reference's dyes by their bands, against its tables: the band law is the same too.
#[test]
fn bands_make_the_tables_of_the_reference() {
    let file: Value =
        serde_json::from_str(include_str!("../../recipe/tests/fixtures/reference.json")).unwrap();
    let cases: [(usize, f64, &[Triple]); 3] = [
        (0, 9.0, &[(403.0, 5200.0, 1.0), (340.0, 6000.0, 0.6)]),
        (8, 10.0, &[(541.0, 2300.0, 1.0), (512.0, 3000.0, 0.75), (385.0, 7000.0, 0.24)]),
        (20, 8.0, &[(667.0, 1100.0, 1.0), (622.0, 2000.0, 0.85), (345.0, 5500.0, 0.8)]),
    ];
    for (place, ks_per_pct, given) in cases {
        let bands =
            given.iter().map(|&(peak_nm, width_cm, height)| Band { peak_nm, width_cm, height });
        let shape = Shape::Bands { bands: bands.collect(), ks_per_pct };
        let ours = TrueDye { shape, fixed_share: 1.0, saturation_pct: 8.0 }.absorbs();
        for (band, theirs) in file["A"][place].as_array().unwrap().iter().enumerate() {
            assert!(
                (ours[band] - theirs.as_f64().unwrap()).abs() < 1e-9,
                "dye {place} band {band}"
            );
        }
    }
}

/// What each wrong world changes, seen on random mixes of three of the same dyes.
#[test]
fn every_wrong_law_differs_from_right_where_it_should() {
    for (world, least, most) in [("mixing", 1.0, 4.0), ("competition", 0.3, 4.0)] {
        let mut apart = Vec::new();
        for seed in 0..40 {
            let (right, wrong) = (house("right", seed), house(world, seed));
            assert_eq!(right.truth(), wrong.truth());
            for stratum in Stratum::ALL {
                let mix = right.target(0, stratum, Bolt(0), ratio()).unwrap();
                apart.push(ciede2000(mix.lab, wrong.true_lab(&mix.made_of).unwrap()));
                // One dye alone looks the same in either.
                let alone = recipe(&[(mix.made_of.parts[0].jar.0, 2.0)]);
                assert!(
                    ciede2000(right.true_lab(&alone).unwrap(), wrong.true_lab(&alone).unwrap())
                        < 1e-6
                );
            }
        }
        let median = median(apart);
        println!("in simulation, mixes of three, {world} against right: median {median:.2}");
        assert!((least..most).contains(&median), "{world}: {median}");
    }
}

#[test]
fn a_fault_sits_in_the_first_recipe_and_shows() {
    for world in ["mislabelled", "fluorescent"] {
        let mut apart = Vec::new();
        for (seed, stratum) in (0..200).zip(Stratum::ALL.into_iter().cycle()) {
            let house = house(world, seed);
            let mix = house.target(0, stratum, Bolt(0), ratio()).unwrap();
            let job = house.begin(0, &mix.made_of).unwrap();
            let jar = match job.fault().unwrap() {
                Fault::Holds { jar, other } => {
                    let peak = |jar: Jar| house.shelf().dyes()[jar.0].bands[0].peak_nm;
                    assert!((peak(jar) - peak(other)).abs() >= 25.0);
                    jar
                }
                Fault::Glows { jar } => jar,
            };
            assert!(mix.made_of.parts.iter().any(|p| p.jar == jar));
            apart.push(ciede2000(mix.lab, job.true_lab(&mix.made_of, 0).unwrap()));
        }
        let median = median(apart);
        println!(
            "in simulation, true colour of the first recipe, {world} against its label: {median:.1}"
        );
        assert!(median > 3.0, "{world}: {median}");
        let house = house(world, 1);
        let none = House::of_truth(
            World::named("right").unwrap(),
            Deviates::of_seed(1),
            shelf(),
            house.truth().clone(),
        );
        assert_eq!(none.begin(0, &recipe(&[(0, 1.0)])).unwrap().fault(), None);
    }
}

#[test]
fn a_glowing_dye_sends_out_light_above_its_peak() {
    let (glowing, right) = (house("fluorescent", 4), house("right", 4));
    let first = recipe(&[(4, 0.5)]);
    let seen = glowing.begin(0, &first).unwrap().true_reflectance(&first, 0).unwrap();
    let plain = right.true_reflectance(&first).unwrap();
    let gained: Vec<f64> = seen.values().iter().zip(plain.values()).map(|(s, p)| s - p).collect();
    assert!(gained.iter().all(|g| *g >= 0.0));
    let most = (0..31).max_by(|a, b| gained[*a].total_cmp(&gained[*b])).unwrap();
    let nm = 400.0 + 10.0 * most as f64;
    let peak = match &glowing.truth().dye(Bolt(0), Jar(4)).unwrap().shape {
        Shape::Bands { bands, .. } => bands[0].peak_nm,
        Shape::Table(_) => panic!("drawn dyes have bands"),
    };
    assert!((20.0..80.0).contains(&(nm - peak)), "peak {peak}, glow at {nm}");
    assert!(gained[most] > 0.05);
}

#[test]
fn mishaps_come_as_often_as_the_world_says_and_look_as_they_must() {
    let salt = house("salt", 9);
    let first = recipe(&[(0, 1.0), (4, 1.0)]);
    let job = salt.begin(0, &first).unwrap();
    let all: Vec<_> = (1..=2000).map(|n| job.dye(&first, n).unwrap()).collect();
    let forgotten = all.iter().filter(|d| d.salt_forgotten).count();
    assert!((330..470).contains(&forgotten), "{forgotten} of 2000, 400 expected");
    let light = |d: &dyehouse::Dyed| Weights::reference().lab(&d.finished).l;
    let mean = |which: bool| {
        let those: Vec<f64> = all.iter().filter(|d| d.salt_forgotten == which).map(light).collect();
        those.iter().sum::<f64>() / those.len() as f64
    };
    assert!(mean(true) > mean(false) + 3.0);

    let early = house("unsoaped", 9);
    let job = early.begin(0, &first).unwrap();
    let all: Vec<_> = (1..=1000).map(|n| job.dye(&first, n).unwrap()).collect();
    let unsoaped: Vec<_> = all.iter().filter(|d| d.finish == Finish::Unsoaped).collect();
    assert!((430..570).contains(&unsoaped.len()), "{} of 1000, 500 expected", unsoaped.len());
    for d in unsoaped {
        assert_eq!(job.read(d, &reader(0.5)).finish, Finish::Unsoaped);
        assert!(Weights::reference().lab(&d.as_read).l < light(d));
    }
}

#[test]
fn a_new_lot_is_a_little_another_dye_from_its_swatch_on() {
    let house = house("lot", 2);
    let first = recipe(&[(0, 0.5), (4, 1.0)]);
    let mut apart = Vec::new();
    for number in 0..200 {
        let job = house.begin(number, &first).unwrap();
        assert!(!job.of_new_lot(1) && job.of_new_lot(2));
        let at = |after: u32| job.true_lab(&first, after).unwrap();
        assert_eq!(at(0), house.true_lab(&first).unwrap());
        assert_eq!(at(1), at(3));
        apart.push(ciede2000(at(0), at(1)));
    }
    let median = median(apart);
    assert!((0.5..5.0).contains(&median), "{median}");
}

#[test]
fn targets_lie_in_their_stratum_and_are_true_mixes() {
    let house = house("right", 21);
    assert_eq!(Stratum::ALL.iter().filter(|s| s.depth == Depth::Deep).count(), 4);
    for (number, stratum) in (0..80).zip(Stratum::ALL.into_iter().cycle()) {
        let target = house.target(number, stratum, Bolt(0), ratio()).unwrap();
        assert_eq!(Stratum::of(target.lab), stratum);
        assert_eq!(target.made_of.parts.len(), 3);
        assert_eq!(house.true_lab(&target.made_of).unwrap(), target.lab);
        for part in &target.made_of.parts {
            assert!(part.dose <= house.shelf().dyes()[part.jar.0].most);
        }
    }
}

#[test]
fn what_the_house_does_not_have_is_refused_in_words() {
    let house = house("right", 1);
    let ok = recipe(&[(0, 1.0)]);
    for (bad, word) in [
        (recipe(&[]), "no dye"),
        (recipe(&[(99, 1.0)]), "no jar 99"),
        (recipe(&[(2, 1.0), (2, 0.5)]), "twice"),
        (Recipe { bolt: Bolt(7), ..ok }, "no cloth 7"),
    ] {
        let speech = house.true_reflectance(&bad).unwrap_err().to_string();
        assert!(speech.contains(word), "{speech}");
        assert!(house.begin(0, &bad).is_err());
    }
    let dyes = shelf().dyes().to_vec();
    let cloths = shelf().cloths().to_vec();
    let refused = |dyes: Vec<Estimate>, cloths: Vec<Cloth>| {
        Shelf::try_new(dyes, cloths).unwrap_err().to_string()
    };
    assert!(refused(vec![], cloths.clone()).contains("at least one dye"));
    let twice = vec![dyes[0].clone(), dyes[0].clone()];
    assert!(refused(twice, cloths.clone()).contains("twice"));
    let weak = vec![Estimate { ks_per_pct: f64::NAN, ..dyes[0].clone() }];
    assert!(refused(weak, cloths.clone()).contains("strength"));
    let glossy = vec![Cloth { surface: 0.5, ..cloths[0].clone() }];
    assert!(refused(dyes, glossy).contains("surface"));
}

fn median(mut all: Vec<f64>) -> f64 {
    all.sort_by(f64::total_cmp);
    all[all.len() / 2]
}
