//! The next recipe and its verdict, in simulation: dyes drawn around the starter shelf's estimates.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

#[path = "common/workshop.rs"]
mod workshop;

use colour::{Lab, ciede2000};
use recipe::{Aimed, Refusal, Say, before, shots, topped_up, verdict, weighed};
use units::OnFibre;
use workshop::house;

const TARGETS: [[f64; 3]; 4] =
    [[40.0, 30.0, 10.0], [55.0, -20.0, 25.0], [30.0, 0.0, -25.0], [70.0, 10.0, 40.0]];

#[test]
fn swatch_after_swatch_the_recipe_comes_nearer_and_the_end_is_said() {
    let house = house(0.8);
    let all: Vec<usize> = (0..house.dyes.len()).collect();
    for target in TARGETS {
        let lab = Lab::new(target[0], target[1], target[2]);
        let mut known = house.known();
        let first = shots(&house.aimed(&known, 1, &all, lab), 1).unwrap().remove(0);
        assert_eq!(before(&house.aimed(&known, 1, &all, lab), &first).unwrap(), Say::Improve);
        let start = ciede2000(lab, house.looks(&first.doses));
        let mut held = first.doses;
        let mut said = vec![];
        for _ in 0..4 {
            known.learn(vec![house.dyed(1, &held)]).unwrap();
            let answer = verdict(&house.aimed(&known, 1, &all, lab), &held).unwrap();
            said.push(answer.say);
            if answer.say == Say::Stop {
                break;
            }
            held = answer.next.doses;
        }
        let end = ciede2000(lab, house.looks(&held));
        assert!(start > 2.0 && end < 2.0 && end < start, "{target:?}: {start} to {end}, {said:?}");
        assert_eq!(said.last(), Some(&Say::Stop), "{target:?}: {said:?}");
    }
}

#[test]
fn the_same_question_has_the_same_answer_and_never_too_much_dye() {
    let house = house(0.5);
    let all: Vec<usize> = (0..house.dyes.len()).collect();
    let known = house.known();
    let lab = Lab::new(30.0, 0.0, -25.0);
    let cap = OnFibre::try_percent(2.0).unwrap();
    let asked = Aimed { most_total: Some(cap), ..house.aimed(&known, 1, &all, lab) };
    let (one, two) = (shots(&asked, 5).unwrap(), shots(&asked, 5).unwrap());
    assert_eq!(one, two);
    for shot in &one {
        let total: f64 = shot.doses.iter().map(|d| d.1.to_percent()).sum();
        assert!(total <= 2.0 + 1e-6 && shot.doses.len() <= 3, "{shot:?}");
    }
}

#[test]
fn without_dyes_there_is_no_recipe() {
    let house = house(0.5);
    let known = house.known();
    let none = house.aimed(&known, 1, &[], Lab::new(50.0, 0.0, 0.0));
    assert!(matches!(shots(&none, 1), Err(Refusal::NoDyes { .. })));
}

fn doses(list: &[(usize, f64)]) -> Vec<(usize, OnFibre)> {
    list.iter().map(|&(dye, pct)| (dye, OnFibre::try_percent(pct).unwrap())).collect()
}

/// What is dyed too pale is brought nearer by adding, and no dose ever falls.
#[test]
fn adding_only_ever_adds_and_brings_a_pale_swatch_nearer() {
    let house = house(0.4);
    let all: Vec<usize> = (0..house.dyes.len()).collect();
    for target in TARGETS {
        let lab = Lab::new(target[0], target[1], target[2]);
        let mut known = house.known();
        let right = shots(&house.aimed(&known, 1, &all, lab), 1).unwrap().remove(0).doses;
        let half =
            |d: &(usize, OnFibre)| (d.0, OnFibre::try_percent(0.5 * d.1.to_percent()).unwrap());
        let pale: Vec<(usize, OnFibre)> = right.iter().map(half).collect();
        known.learn(vec![house.dyed(1, &pale)]).unwrap();
        let aimed = house.aimed(&known, 1, &all, lab);
        let added = topped_up(&aimed, &pale).unwrap().expect("a pale swatch can be added to");
        for (dye, dose) in &pale {
            let now = added.doses.iter().find(|d| d.0 == *dye).unwrap().1;
            assert!(now.to_percent() >= dose.to_percent(), "{target:?}: {dye}");
        }
        let said = weighed(&aimed, &pale, &added.doses).unwrap();
        assert!(said.say == Say::Improve && said.gain > 2.0, "{target:?}: {said:?}");
        let (was, is) = (house.looks(&pale), house.looks(&added.doses));
        assert!(ciede2000(lab, is) < ciede2000(lab, was) - 1.0, "{target:?}");
    }
}

/// What is dyed too deep cannot be saved by adding: nothing that is added is lighter, nor brings it near.
#[test]
fn nothing_added_lightens() {
    let house = house(0.4);
    let all: Vec<usize> = (0..house.dyes.len()).collect();
    let lab = Lab::new(70.0, 10.0, 40.0);
    let mut known = house.known();
    let deep = doses(&[(1, 3.0), (3, 1.0)]);
    known.learn(vec![house.dyed(1, &deep)]).unwrap();
    let aimed = house.aimed(&known, 1, &all, lab);
    if let Some(added) = topped_up(&aimed, &deep).unwrap() {
        let said = weighed(&aimed, &deep, &added.doses).unwrap();
        assert!(said.next.lab.l < said.held.lab.l, "{said:?}");
        assert!(said.next.difference > 0.9 * said.held.difference, "{said:?}");
    }
    // Another recipe on new cloth is worth it all the same.
    assert_eq!(verdict(&aimed, &deep).unwrap().say, Say::Improve);
}
