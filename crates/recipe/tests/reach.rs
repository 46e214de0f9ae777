//! The reach verdict: each limit provoked on its own, and the nearest colour against brute force.
//! (`examples/reach` compares it with dense sampling that does without the engine.)

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

mod common;
#[path = "../examples/reach/dice.rs"]
#[expect(dead_code, reason = "this test rolls and does not pick")]
mod dice;

use colour::{BANDS, Bands, Weights, ciede2000};
use common::{Bench, COLOURS, read, typed};
use dice::Dice;
use dyeing::{Look, absorbed};
use lore::Procedure;
use recipe::engine::{Aim, Law, LightAim, Palette, Settings, Way, search};
use recipe::{Cause, Question, REACHED, Reach, Target, propose, reach};
use units::OnFibre;

fn asked(bench: &Bench, target: Target) -> Reach {
    reach(&bench.ask(&bench.candidates(), target), 1).unwrap()
}

fn names(reach: &Reach, cause: Cause) -> bool {
    reach.limits.iter().any(|l| l.what == cause)
}

#[test]
fn a_colour_of_these_dyes_is_reached_and_limited_by_nothing() {
    let bench = Bench::cotton();
    for (l, a, b) in [COLOURS[0], COLOURS[5], COLOURS[6]] {
        let found = asked(&bench, typed(l, a, b));
        assert!(found.within && found.gap <= REACHED && found.limits.is_empty(), "{found:?}");
    }
}

/// Natural linen cannot be dyed to a pale cold blue: dye only takes light away.
#[test]
fn a_colour_lighter_than_the_cloth_names_the_cloth() {
    let bench = Bench::of(&[("linen", 100.0)], Look::Natural, Procedure::Direct);
    let found = asked(&bench, typed(92.0, -3.0, -8.0));
    assert!(!found.within && found.gap > 3.0);
    assert!(names(&found, Cause::Cloth), "{found:?}");
}

/// Two yellows make no blue.
#[test]
fn a_hue_the_shelf_has_not_names_the_dyes() {
    let mut bench = Bench::cotton();
    bench.dyes.truncate(2);
    let found = asked(&bench, typed(45.0, 0.0, -35.0));
    assert!(!found.within);
    assert_eq!(found.limits[0].what, Cause::Dyes, "{found:?}");
    assert!(found.limits[0].gap_without < 0.75 * found.gap);
}

/// One dye at its deepest dose: a deeper shade of the same dye is out of its depth.
#[test]
fn a_deeper_shade_of_the_same_dye_names_the_depth() {
    let mut bench = Bench::cotton();
    bench.dyes.retain(|d| d.id == "reactive-navy");
    let fixed = 2.5 * bench.on.most_fixed(bench.dyes[0]);
    let bands = bench.on.dyed(&bench.dyes[0].absorbs().map(|a| a * fixed));
    let found = asked(&bench, read(Bands::try_new(bands).unwrap()));
    assert!(!found.within);
    assert!(names(&found, Cause::Depth), "{found:?}");
}

/// All light from 520 to 590 nm and none besides: a colour on the edge of the solid, which no dyed
/// cloth has.
#[test]
fn a_colour_at_the_edge_of_all_surfaces_says_so() {
    let bench = Bench::cotton();
    let edge: [f64; BANDS] =
        std::array::from_fn(
            |i| {
                if (520..=590).contains(&Bands::wavelength(i)) { 1.0 } else { 0.001 }
            },
        );
    let found = asked(&bench, read(Bands::try_new(edge).unwrap()));
    assert!(!found.within && found.gap > 5.0);
    assert!(!found.limits.is_empty());
    for limit in &found.limits {
        assert!(!limit.what.words().is_empty() && !limit.what.helps().is_empty());
    }
    assert!(found.limits.iter().all(|l| l.gap_without > REACHED), "{found:?}");
    assert!(names(&found, Cause::NoSurface), "{found:?}");
}

/// The nearest colour is what its doses give, and no set of up to four, each solved from its own
/// start, comes nearer.
#[test]
fn nothing_nearer_is_found_by_brute_force() {
    let benches = [
        Bench::cotton(),
        Bench::of(&[("wool", 100.0)], Look::Natural, Procedure::AcidMilling),
        Bench::of(&[("polyester", 100.0)], Look::White, Procedure::Disperse),
    ];
    let light = Weights::reference();
    let mut worst: f64 = 0.0;
    for bench in &benches {
        let palette = palette(bench);
        for (l, a, b) in COLOURS.into_iter().chain([(60.0, 70.0, 30.0), (60.0, -50.0, 20.0)]) {
            let target = typed(l, a, b);
            let found = asked(bench, target);
            let recipe: Vec<_> = found
                .doses
                .iter()
                .map(|(p, dose)| dyeing::Dosed { dye: bench.dyes[*p], dose: *dose, scatter: 0.0 })
                .collect();
            let lab = light.lab_of(&bench.on.dyed(&absorbed(&bench.on, &recipe)));
            let gives = ciede2000(light.lab(&target.bands), lab);
            assert!((gives - found.gap).abs() < 0.01, "{gives} {}", found.gap);
            let settings = Settings { way: Way::Afresh, ..Settings::default() };
            let brute = search(&palette, &aim(&target), 4, &settings, 1).unwrap().combos[0].rms;
            worst = worst.max(gives - brute);
            assert!(gives <= brute + 0.01, "{l} {a} {b}: {gives} and {brute}");
        }
    }
    println!("at most {worst:.5} further off than brute force");
}

/// With a limit on all dye together: amounts thrown and moved at random within it, of every set of three dyes,
/// come no nearer, and no recipe proposed does.
#[test]
fn nothing_nearer_is_found_below_a_limit_on_all_dye() {
    let mut bench = Bench::of(&[("wool", 100.0)], Look::White, Procedure::AcidMilling);
    bench.dyes.retain(|d| d.id != "acid-black");
    bench.dyes = bench.dyes.into_iter().step_by(2).take(7).collect();
    let light = Weights::reference();
    let mut worst = f64::NEG_INFINITY;
    for (cap, colour) in
        [(1.0, (22.0, 12.0, 6.0)), (0.5, (35.0, 25.0, 14.0)), (1.5, (20.0, 2.0, -18.0))]
    {
        let target = typed(colour.0, colour.1, colour.2);
        let candidates = bench.candidates();
        let most_total = Some(OnFibre::try_percent(cap).unwrap());
        let question = Question { most_total, most_dyes: 3, ..bench.ask(&candidates, target) };
        let answer = propose(&question, 1).unwrap();
        let found = &answer.reach;
        assert!(!found.within, "the limit must bind: {}", found.gap);
        let wanted = light.lab(&target.bands);
        let off = |doses: &[(usize, f64)]| {
            let mut sum = [0.0; BANDS];
            for (place, pct) in doses {
                let dose = OnFibre::try_percent(*pct).unwrap();
                let fixed = bench.on.fixed(bench.dyes[*place], dose);
                let absorbs = bench.dyes[*place].absorbs();
                sum.iter_mut().zip(absorbs).for_each(|(sum, a)| *sum += fixed * a);
            }
            ciede2000(wanted, light.lab_of(&bench.on.dyed(&sum)))
        };
        let total: f64 = found.doses.iter().map(|d| d.1.to_percent()).sum();
        assert!(total <= cap * (1.0 + 1e-5), "{total} of {cap}");
        let said: Vec<(usize, f64)> =
            found.doses.iter().map(|(place, dose)| (*place, dose.to_percent())).collect();
        assert!((off(&said) - found.gap).abs() < 0.01, "{} {}", off(&said), found.gap);
        let mut best = f64::INFINITY;
        let mut dice = Dice::new(3);
        let n = bench.dyes.len();
        for (a, b, c) in
            (0..n).flat_map(|a| (a + 1..n).flat_map(move |b| (b + 1..n).map(move |c| (a, b, c))))
        {
            let mut at: [f64; 3] = std::array::from_fn(|_| cap * dice.roll() / 3.0);
            let mut here = f64::INFINITY;
            let mut step = 0.5;
            for _ in 0..1500 {
                let mut next = at.map(|x| (x + step * cap * (dice.roll() - 0.5)).max(0.0));
                let sum: f64 = next.iter().sum();
                if sum > cap {
                    next = next.map(|x| x * cap / sum);
                }
                let seen = off(&[(a, next[0]), (b, next[1]), (c, next[2])]);
                if seen < here {
                    (at, here) = (next, seen);
                } else {
                    step = f64::max(step * 0.985, 1e-4);
                }
            }
            best = best.min(here);
        }
        println!("limit {cap} %: nearest {:.3}, by brute force of three dyes {best:.3}", found.gap);
        worst = worst.max(found.gap - best);
        assert!(found.gap <= best + 0.02, "{} and {best}", found.gap);
        for choice in &answer.choices {
            assert!(
                choice.difference() >= found.gap - 1e-12,
                "{} {}",
                choice.difference(),
                found.gap
            );
        }
    }
    println!("at most {worst:.4} further off than brute force");
}

fn palette(bench: &Bench) -> Palette {
    let (cloth_ks, gain) = bench.on.plain().unwrap();
    Palette {
        cloth_ks,
        surface: 0.0,
        shapes: bench.dyes.iter().map(|d| d.absorbs().map(|a| a * gain)).collect(),
        most: bench.dyes.iter().map(|d| bench.on.most_fixed(d)).collect(),
        law: Law::Plain,
    }
}

fn aim(target: &Target) -> Aim {
    let light = Weights::reference();
    let (white, lab) = (light.white(), light.lab(&target.bands));
    let light = LightAim {
        weights: *light.rows(),
        white: [white.x, white.y, white.z],
        lab: [lab.l, lab.a, lab.b],
        share: 1.0,
    };
    Aim { lights: vec![light], start: *target.bands.values() }
}
