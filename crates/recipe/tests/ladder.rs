//! The ladder of a new dye: by expected information, against ladders by habit. In simulation.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

#[path = "common/workshop.rs"]
mod workshop;

use dyeing::{Experience, Substrate};
use recipe::{AskedLadder, Refusal, Rung, ladder, left_in_doubt};
use units::OnFibre;
use workshop::{House, SCATTER, house};

const READ: (f64, f64) = (0.7, 0.7);

fn asked<'a>(
    known: &'a Experience,
    on: &'a [(&'a Substrate, &'a str)],
    dye: usize,
    rungs: usize,
) -> AskedLadder<'a> {
    AskedLadder { experience: known, on, dye, rungs, read: READ, dosing: 0.015, scatter: SCATTER }
}

fn rungs(doses: &[f64]) -> Vec<Rung> {
    let rung = |dose: &f64| Rung { on: 0, dose: OnFibre::try_percent(*dose).unwrap() };
    doses.iter().map(rung).collect()
}

#[test]
fn it_leaves_less_in_doubt_than_an_evenly_spaced_ladder_for_every_dye() {
    let house = house(0.8);
    let known = house.known();
    let on = [(&house.on, "cotton")];
    for dye in 0..house.dyes.len() {
        let most = house.dyes[dye].most.to_percent();
        for count in 2..=4 {
            let asked = asked(&known, &on, dye, count);
            let plan = ladder(&asked).unwrap();
            let taken: Vec<Rung> = plan.rungs.iter().map(|r| r.0).collect();
            assert_eq!(taken.len(), count);
            let ours = left_in_doubt(&asked, &taken).unwrap();
            let said = plan.rungs.last().unwrap().1;
            assert!((ours - said).abs() < 1e-9, "what it says and what it leaves: {said} {ours}");
            // Even steps of dose up to the deepest: two rungs at half and whole, and so on.
            let even: Vec<f64> = (1..=count).map(|k| most * k as f64 / count as f64).collect();
            let habit = left_in_doubt(&asked, &rungs(&even)).unwrap();
            assert!(ours < habit - 0.02, "{}: {ours} and {habit}", house.dyes[dye].id);
        }
    }
}

#[test]
fn it_is_no_worse_than_the_usual_sixteenth_quarter_and_whole() {
    let house = house(0.8);
    let known = house.known();
    let on = [(&house.on, "cotton")];
    for dye in 0..house.dyes.len() {
        let most = house.dyes[dye].most.to_percent();
        let asked = asked(&known, &on, dye, 3);
        let ours = ladder(&asked).unwrap().rungs.last().unwrap().1;
        let usual = left_in_doubt(&asked, &rungs(&[most / 16.0, most / 4.0, most])).unwrap();
        // The usual depths need not be among those looked at, so nearly as good is allowed for.
        assert!(ours < usual + 0.02, "{}: {ours} and {usual}", house.dyes[dye].id);
    }
}

#[test]
fn every_rung_takes_doubt_and_the_first_most() {
    let house = house(0.8);
    let known = house.known();
    let on = [(&house.on, "cotton")];
    let plan = ladder(&asked(&known, &on, 2, 4)).unwrap();
    let mut before = plan.before;
    let mut took = f64::INFINITY;
    for (rung, after) in &plan.rungs {
        assert!(*after < before, "{rung:?}: {before} to {after}");
        assert!(before - after < took + 1e-9, "the most telling comes first: {plan:?}");
        (took, before) = (before - after, *after);
    }
}

#[test]
fn a_dye_seen_on_one_fibre_is_laddered_on_the_other() {
    let house = house(0.8);
    let mut known = house.known();
    known.also_on("cotton").unwrap();
    known.also_on("viscose").unwrap();
    let most = house.dyes[2].most.to_percent();
    let seen = rungs(&[most / 30.0, most / 10.0, most / 3.0, most]);
    let swatches = seen.iter().map(|r| house.dyed(9, &[(2, r.dose)]));
    known.learn(swatches.collect()).unwrap();
    let on = [(&house.on, "cotton"), (&house.on, "viscose")];
    let plan = ladder(&asked(&known, &on, 2, 2)).unwrap();
    assert!(plan.rungs.iter().all(|(rung, _)| rung.on == 1), "{plan:?}");
    // With nothing seen yet, it is of both.
    let fresh: House = workshop::house(0.8);
    let mut new = fresh.known();
    new.also_on("cotton").unwrap();
    new.also_on("viscose").unwrap();
    let plan = ladder(&asked(&new, &on, 2, 4)).unwrap();
    let cloths: Vec<usize> = plan.rungs.iter().map(|(rung, _)| rung.on).collect();
    assert!(cloths.contains(&0) && cloths.contains(&1), "{plan:?}");
}

#[test]
fn no_ladder_of_one_rung_or_five_nor_without_cloth_or_dye() {
    let house = house(0.5);
    let known = house.known();
    let on = [(&house.on, "cotton")];
    for given in [0, 1, 5] {
        let refused = ladder(&asked(&known, &on, 0, given));
        assert!(matches!(refused, Err(Refusal::Rungs { .. })));
    }
    assert!(matches!(ladder(&asked(&known, &[], 0, 3)), Err(Refusal::NoSuchCloth { .. })));
    assert!(matches!(ladder(&asked(&known, &on, 999, 3)), Err(Refusal::Dyeing(_))));
    let nowhere = [Rung { on: 1, dose: OnFibre::try_percent(1.0).unwrap() }];
    let refused = left_in_doubt(&asked(&known, &on, 0, 3), &nowhere);
    assert!(matches!(refused, Err(Refusal::NoSuchCloth { place: 1, cloths: 1 })));
}
