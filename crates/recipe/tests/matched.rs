//! Matched sets: against brute force that knows nothing of the room's method, and what must hold whatever the
//! dyes are.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

#[path = "common/case.rs"]
mod case;
mod common;

use case::{ALIKE, Case, LIGHTS, after, cotton, polyester, with, wool};
use colour::{BANDS, Bands, Light, Observer, Weights, ciede2000};
use common::{Bench, typed};
use recipe::{
    Cause, Choice, Doing, Fixed, Go, InSet, Matched, Member, Mend, Question, Refusal, SLACK, Terms,
    matched, propose,
};
use units::Mass;

/// Brute force: amounts of every dye of every piece thrown at random and moved at random, more finely
/// as less is gained, with the limits as a fine. Knows neither slopes nor the engine.
struct Brute<'b> {
    case: &'b Case,
    fixed: &'b [Fixed],
    limits: Vec<Vec<f64>>,
    most: Vec<Vec<f64>>,
}

impl<'b> Brute<'b> {
    fn new(case: &'b Case, fixed: &'b [Fixed]) -> Self {
        let limits = case.alone().into_iter().map(|alone| {
            let limit = |l: &recipe::UnderLight| {
                if l.difference <= 2.0 { 2.0 } else { l.difference + SLACK }
            };
            alone.as_ref().unwrap().lights.iter().map(limit).collect()
        });
        let most = case.benches.iter().map(|b| b.dyes.iter().map(|d| b.on.most_fixed(d)).collect());
        Self { case, fixed, limits: limits.collect(), most: most.collect() }
    }

    fn cost(&self, x: &[Vec<f64>]) -> f64 {
        let mut fine = 0.0;
        let mut labs = vec![];
        for (k, bench) in self.case.benches.iter().enumerate() {
            let mut sum = [0.0; BANDS];
            for (dye, x) in bench.dyes.iter().zip(&x[k]) {
                sum.iter_mut().zip(dye.absorbs()).for_each(|(sum, a)| *sum += x * a);
            }
            let bands = bench.on.dyed(&sum);
            let seen = LIGHTS.map(|light| Weights::of(light, Observer::Ten).lab_of(&bands));
            for (at, light) in LIGHTS.into_iter().enumerate() {
                let target = Weights::of(light, Observer::Ten).lab(&self.case.targets[k].bands);
                fine += (ciede2000(target, seen[at]) - self.limits[k][at]).max(0.0);
            }
            labs.push(seen);
        }
        let dyed = labs.len();
        for one in self.fixed {
            labs.push(LIGHTS.map(|light| Weights::of(light, Observer::Ten).lab(&one.bands)));
        }
        let mut largest: f64 = 0.0;
        for a in 0..dyed {
            for b in a + 1..labs.len() {
                for (one, two) in labs[a].iter().zip(&labs[b]) {
                    largest = largest.max(ciede2000(*one, *two));
                }
            }
        }
        largest + 100.0 * fine
    }

    fn best(&self, starts: &[Vec<Vec<f64>>], throws: usize, moves: usize) -> f64 {
        let mut dice = Dice(7);
        let mut best = f64::INFINITY;
        for trial in 0..starts.len() + throws {
            let mut at = starts.get(trial).cloned().unwrap_or_else(|| {
                let mut throw = |most: &f64| {
                    let roll = dice.roll();
                    most * roll * roll * roll
                };
                self.most.iter().map(|row| row.iter().map(&mut throw).collect()).collect()
            });
            let mut cost = self.cost(&at);
            let mut step = if trial < starts.len() { 0.05 } else { 0.5 };
            for _ in 0..moves {
                let mut next = at.clone();
                for (row, most) in next.iter_mut().zip(&self.most) {
                    for (x, most) in row.iter_mut().zip(most) {
                        let by = step * (dice.roll() + dice.roll() + dice.roll() - 1.5);
                        *x = (*x * (1.0 + by) + 1e-4 * by * most).clamp(0.0, *most);
                    }
                }
                let seen = self.cost(&next);
                if seen < cost {
                    (at, cost) = (next, seen);
                    step = f64::min(step * 1.5, 1.0);
                } else {
                    step = f64::max(step * 0.93, 1e-5);
                }
            }
            best = best.min(cost);
        }
        best
    }

    /// The solver's answer as amounts, to be moved from.
    fn amounts(&self, found: &Matched) -> Vec<Vec<f64>> {
        let of = |(bench, piece): (&Bench, &Choice)| {
            let mut x = vec![0.0; bench.dyes.len()];
            for (place, dose) in &piece.doses {
                x[*place] = bench.on.fixed(bench.dyes[*place], *dose);
            }
            x
        };
        self.case.benches.iter().zip(&found.pieces).map(of).collect()
    }
}

struct Dice(u64);

impl Dice {
    #[expect(clippy::cast_precision_loss, reason = "53 bits are kept")]
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
}

const THREE_COTTON: [&str; 3] = ["reactive-golden", "reactive-bluish-red", "reactive-blue"];
const THREE_WOOL: [&str; 3] = ["acid-lemon", "acid-scarlet", "acid-navy"];
const THREE_POLYESTER: [&str; 3] = ["disperse-golden", "disperse-pink", "disperse-navy"];
const FOUR_WOOL: [&str; 4] = ["acid-golden", "acid-bluish-red", "acid-blue", "acid-green"];

#[test]
fn no_brute_force_brings_the_pieces_nearer() {
    let two = |colour: (f64, f64, f64)| {
        let target = typed(colour.0, colour.1, colour.2);
        Case::of(vec![(with(cotton(), &THREE_COTTON), target), (with(wool(), &THREE_WOOL), target)])
    };
    let three = |colour: (f64, f64, f64)| {
        let target = typed(colour.0, colour.1, colour.2);
        Case::of(vec![
            (with(cotton(), &THREE_COTTON), target),
            (with(wool(), &FOUR_WOOL), target),
            (with(polyester(), &THREE_POLYESTER), target),
        ])
    };
    // The last is out of reach of the wool: limits bind.
    let cases = [
        two((45.0, 20.0, 15.0)),
        two((35.0, 5.0, -20.0)),
        two((50.0, 60.0, -10.0)),
        three((40.0, 12.0, 10.0)),
        three((50.0, 60.0, -10.0)),
    ];
    let mut worst = f64::NEG_INFINITY;
    for case in &cases {
        let found = case.solve(&[], 100.0);
        let brute = Brute::new(case, &[]);
        let near = brute.amounts(&found);
        let best = brute.best(&[near.clone(), near], 12, 2500);
        println!(
            "{:.3} alone, {:.3} together, {best:.3} by brute force",
            found.before.unwrap().difference,
            after(&found)
        );
        worst = worst.max(after(&found) - best);
        assert!(after(&found) <= best + ALIKE, "{} and {best}", after(&found));
    }
    println!("at most {worst:.4} further apart than by brute force");
}

#[test]
fn the_set_goes_to_what_is_never_dyed() {
    let target = typed(45.0, 20.0, 15.0);
    let case = Case::of(vec![
        (with(cotton(), &THREE_COTTON), target),
        (with(wool(), &THREE_WOOL), target),
    ]);
    // Something read a little away from the target.
    let fixed = [Fixed { bands: typed(46.0, 21.0, 16.0).bands }];
    let found = case.solve(&fixed, 100.0);
    let brute = Brute::new(&case, &fixed);
    let near = brute.amounts(&found);
    let best = brute.best(&[near.clone(), near], 12, 2500);
    assert!(after(&found) <= best + ALIKE, "{} and {best}", after(&found));
    assert_eq!(found.common, fixed[0].bands);
}

#[test]
fn neither_order_nor_threads_decide_anything() {
    let target = typed(42.0, 18.0, 12.0);
    let case = Case::of(vec![(cotton(), target), (wool(), target), (polyester(), target)]);
    let terms = Terms::nearest(&LIGHTS, 0.001);
    let straight = case.solve_in_order(&[0, 1, 2], &[], &terms, 1);
    let turned = case.solve_in_order(&[2, 0, 1], &[], &terms, 1);
    assert_eq!(straight.pieces[0], turned.pieces[1]);
    assert_eq!(straight.pieces[1], turned.pieces[2]);
    assert_eq!(straight.pieces[2], turned.pieces[0]);
    assert!((after(&straight) - after(&turned)).abs() < 1e-12);
    let number = |which: InSet, order: [usize; 3]| match which {
        InSet::Member(k) => order[k],
        InSet::Fixed(_) => 9,
    };
    let (a, b) = (straight.breaks.as_ref().unwrap(), turned.breaks.as_ref().unwrap());
    assert_eq!(number(a.which, [0, 1, 2]), number(b.which, [2, 0, 1]));
    assert_eq!(straight, case.solve_in_order(&[0, 1, 2], &[], &terms, 2));
    assert_eq!(straight, case.solve_in_order(&[0, 1, 2], &[], &terms, 0));
    assert!(after(&straight) < 0.7 * straight.before.unwrap().difference);
}

#[test]
fn a_single_piece_stays_as_it_is_alone() {
    let case = Case::of(vec![(cotton(), typed(45.0, 45.0, 20.0))]);
    let found = case.solve(&[], 1.0);
    assert_eq!(Some(&found.pieces[0]), case.alone()[0].as_ref());
    assert!(found.holds && found.pairs.is_empty() && found.before.is_none());
    assert_eq!(found.common, found.pieces[0].prediction.bands);
}

#[test]
fn a_fixed_piece_alike_to_a_dyed_one_changes_little() {
    let target = typed(45.0, 20.0, 15.0);
    let case = Case::of(vec![(cotton(), target), (wool(), target)]);
    let without = case.solve(&[], 1.0);
    let fixed = [Fixed { bands: without.pieces[0].prediction.bands }];
    let with = case.solve(&fixed, 1.0);
    assert!((after(&with) - after(&without)).abs() < ALIKE, "{} {}", after(&with), after(&without));
}

#[test]
fn one_more_piece_never_brings_the_rest_nearer() {
    let target = typed(35.0, 5.0, -20.0);
    let two =
        Case::of(vec![(with(cotton(), &THREE_COTTON), target), (with(wool(), &FOUR_WOOL), target)]);
    let three = Case::of(vec![
        (with(cotton(), &THREE_COTTON), target),
        (with(wool(), &FOUR_WOOL), target),
        (with(polyester(), &THREE_POLYESTER), target),
    ]);
    assert!(after(&two.solve(&[], 100.0)) <= after(&three.solve(&[], 100.0)) + ALIKE);
}

/// Wool with two yellows among pieces that are blue: it breaks the set, for want of a dye.
#[test]
fn the_piece_that_cannot_come_is_named_with_what_would_mend_it() {
    let target = typed(40.0, 0.0, -30.0);
    let case = Case::of(vec![
        (cotton(), target),
        (with(wool(), &["acid-lemon", "acid-golden"]), target),
        (polyester(), target),
    ]);
    let found = case.solve(&[], 1.5);
    assert!(!found.holds);
    let breaks = found.breaks.unwrap();
    assert_eq!(breaks.which, InSet::Member(1));
    assert!(breaks.largest_without < 1.0, "{breaks:?}");
    let names = |cause: Cause| {
        breaks.mends.iter().any(|m| matches!(m, Mend::Lift(limit) if limit.what == cause))
    };
    assert!(names(Cause::Dyes), "{breaks:?}");
    assert!(breaks.mends.contains(&Mend::AnotherClass), "{breaks:?}");
    assert!(breaks.mends.iter().any(|m| matches!(m, Mend::LeaveOut { largest } if *largest < 1.0)));
    let anchor = |m: &Mend| matches!(m, Mend::Anchor { off_target, .. } if *off_target > 5.0);
    assert!(breaks.mends.iter().any(anchor), "{breaks:?}");
}

/// Two targets far apart are nobody's dye's fault: one of the two must give way.
#[test]
fn targets_apart_are_mended_by_giving_way() {
    let case =
        Case::of(vec![(cotton(), typed(45.0, 20.0, 15.0)), (wool(), typed(55.0, 20.0, 15.0))]);
    let found = case.solve(&[], 1.0);
    // Each may go its tolerance of 2 and no further.
    assert!(!found.holds && after(&found) < found.before.unwrap().difference - 2.0);
    let breaks = found.breaks.unwrap();
    let mends = |m: &Mend| matches!(m, Mend::GiveWay { largest, off_target } if *largest < 1.0 && *off_target > 2.0);
    assert!(breaks.mends.iter().any(mends), "{breaks:?}");
}

/// A wig nobody can dye to: it is the wig that breaks the set.
#[test]
fn a_fixed_piece_can_be_the_one_that_breaks_the_set() {
    let target = typed(45.0, 20.0, 15.0);
    let case = Case::of(vec![(cotton(), target), (wool(), target)]);
    let fixed = [Fixed { bands: typed(70.0, -20.0, 40.0).bands }];
    let found = case.solve(&fixed, 1.5);
    let breaks = found.breaks.unwrap();
    assert_eq!(breaks.which, InSet::Fixed(0));
    assert!(breaks.largest_without < 1.0);
    assert!(breaks.mends.iter().all(|m| matches!(m, Mend::Anchor { .. } | Mend::LeaveOut { .. })));
    // Two things as they are that differ: no dye brings them together.
    let apart = [fixed[0], Fixed { bands: typed(30.0, 20.0, 15.0).bands }];
    let found = case.solve(&apart, 1.5);
    let light = Weights::reference();
    let least = ciede2000(light.lab(&apart[0].bands), light.lab(&apart[1].bands));
    assert!(!found.holds && after(&found) >= least - 1e-6);
}

/// Doses too small for the scale are not proposed where the piece does without them alone.
#[test]
fn doses_can_be_measured_and_the_limit_on_all_dye_is_kept() {
    let target = typed(75.0, 8.0, 12.0);
    let mut benches = vec![cotton(), wool()];
    benches.iter_mut().for_each(|b| b.goods = Mass::try_grams(400.0).unwrap());
    let case = Case::of(benches.into_iter().map(|b| (b, target)).collect());
    let alone = case.alone();
    let found = case.solve(&[], 1.0);
    for (alone, piece) in alone.iter().zip(&found.pieces) {
        let worst = alone.as_ref().unwrap().worst_dose;
        assert!(piece.worst_dose <= worst.max(0.05) + 1e-9, "{worst} {}", piece.worst_dose);
    }

    let dark = typed(22.0, 8.0, -10.0);
    let case = Case::of(vec![(cotton(), dark), (wool(), dark)]);
    let cap = units::OnFibre::try_percent(2.0).unwrap();
    let questions: Vec<Question> =
        case.questions().into_iter().map(|q| Question { most_total: Some(cap), ..q }).collect();
    let alone: Vec<Choice> =
        questions.iter().map(|q| propose(q, 1).unwrap().choices.remove(0)).collect();
    let members: Vec<Member> = questions
        .iter()
        .zip(&alone)
        .map(|(question, alone)| Member { question, alone: Some(alone) })
        .collect();
    let found = matched(&members, &[], &Terms::nearest(&LIGHTS, 1.0), 1, &mut |_| Go::On).unwrap();
    for piece in &found.pieces {
        let total: f64 = piece.doses.iter().map(|d| d.1.to_percent()).sum();
        assert!(total <= 2.0 * (1.0 + 1e-5), "{total}");
    }
}

#[test]
fn what_cannot_be_asked_is_refused_in_words() {
    let case =
        Case::of(vec![(cotton(), typed(45.0, 20.0, 15.0)), (wool(), typed(45.0, 20.0, 15.0))]);
    let (questions, alone) = (case.questions(), case.alone());
    let members: Vec<Member> = questions
        .iter()
        .zip(&alone)
        .map(|(question, alone)| Member { question, alone: alone.as_ref() })
        .collect();
    let fixed = [Fixed { bands: Bands::WHITE }];
    let terms = Terms::nearest(&LIGHTS, 1.0);
    let none = matched(&[], &fixed, &terms, 1, &mut |_| Go::On).unwrap_err();
    assert_eq!(none, Refusal::NoPieces);
    assert!(none.to_string().contains("name at least one"), "{none}");
    for bad in [f64::NAN, f64::INFINITY, 0.0, -1.0] {
        let terms = Terms::nearest(&LIGHTS, bad);
        let refused = matched(&members, &[], &terms, 1, &mut |_| Go::On).unwrap_err();
        assert!(refused.to_string().contains("between pieces"), "{refused}");
    }
    for bad in [f64::NAN, -0.1, 1e9] {
        for terms in [
            Terms { alike: bad, ..terms },
            Terms { enough: bad, ..terms },
            Terms { keep: bad, ..terms },
        ] {
            let refused = matched(&members, &[], &terms, 1, &mut |_| Go::On).unwrap_err();
            assert!(refused.to_string().contains("from 0 to 100"), "{refused}");
        }
    }
    let stop = |doing| if doing == Doing::Joining { Go::Stop } else { Go::On };
    assert_eq!(matched(&members, &[], &terms, 1, &mut { stop }), Err(Refusal::Stopped));
    let empty = Question { dyes: &[], ..questions[0].clone() };
    let asked = [Member { question: &empty, alone: None }, members[1]];
    assert!(matches!(
        matched(&asked, &[], &terms, 1, &mut |_| Go::On),
        Err(Refusal::NoDyes { .. })
    ));
    // No light named: daylight.
    let found = matched(&members, &[], &Terms::nearest(&[], 1.0), 1, &mut |_| Go::On).unwrap();
    assert!(found.pairs.iter().all(|p| p.light == Light::D65));
}
