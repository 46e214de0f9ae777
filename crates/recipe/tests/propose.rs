//! Laws of an answer: what must hold whatever the dyes are.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

mod common;

use colour::{Bands, Light};
use common::{Bench, COLOURS, read, typed, weighing};
use dosing::Scale;
use dyeing::{Dosed, HOME, Look, Scatter, absorbed, predict};
use lore::Procedure;
use recipe::{Answer, Choice, MOST_CHOICES, Refusal, propose};
use units::{Mass, OnFibre};

fn ids(bench: &Bench, choice: &Choice) -> Vec<String> {
    let mut ids: Vec<String> =
        choice.doses.iter().map(|(place, _)| bench.dyes[*place].id.clone()).collect();
    ids.sort();
    ids
}

fn answer(bench: &Bench, (l, a, b): (f64, f64, f64)) -> Answer {
    propose(&bench.ask(&bench.candidates(), typed(l, a, b)), 1).unwrap()
}

#[test]
fn amounts_scale_with_the_weight_of_the_goods() {
    let mut bench = Bench::cotton();
    let mut compared = 0;
    for colour in COLOURS {
        bench.goods = Mass::try_grams(500.0).unwrap();
        let small = answer(&bench, colour);
        bench.goods = Mass::try_grams(1000.0).unwrap();
        let large = answer(&bench, colour);
        for one in &small.choices {
            // One set of dyes may stand twice with other amounts: the same recipe is meant.
            let alike = |two: &&Choice| {
                ids(&bench, two) == ids(&bench, one)
                    && one.doses.iter().zip(&two.doses).all(|(a, b)| a.1 == b.1)
            };
            let Some(two) = large.choices.iter().find(alike) else { continue };
            for ((_, dose), (_, other)) in one.doses.iter().zip(&two.doses) {
                let grams =
                    |dose: &OnFibre, goods| (*dose * Mass::try_grams(goods).unwrap()).to_grams();
                assert!((2.0 * grams(dose, 500.0) / grams(other, 1000.0) - 1.0).abs() < 1e-12);
            }
            compared += 1;
        }
    }
    assert!(compared >= 2 * COLOURS.len(), "{compared}");
}

/// Proportions are moved until a score gains less than 0.005 a move, so two orders may end a little
/// apart along what the eye does not see; a tenth of ΔE00 is far below what anybody does.
#[test]
fn the_order_of_the_dyes_does_not_matter() {
    let straight = Bench::cotton();
    let mut turned = Bench::cotton();
    turned.dyes.reverse();
    let mut worst: f64 = 0.0;
    for colour in COLOURS {
        let (one, two) = (answer(&straight, colour), answer(&turned, colour));
        let (a, b) = (&one.choices[0], &two.choices[0]);
        assert_eq!(ids(&straight, a), ids(&turned, b), "{colour:?}");
        worst = worst.max((a.score.total - b.score.total).abs());
        assert!((one.reach.gap - two.reach.gap).abs() < 1e-3);
    }
    println!("the best recipe's score differs by at most {worst:.4} between two orders");
    assert!(worst < 0.1);
}

/// Differing as the brief has it: another dye that counts, or an amount that visibly moves cost (a
/// fifth) or metamerism (half a unit in the worst light).
#[test]
fn at_most_five_recipes_that_really_differ_and_each_explains_itself() {
    let bench = Bench::cotton();
    for (l, a, b) in COLOURS {
        let answer = propose(&bench.ask(&bench.priced(), typed(l, a, b)), 1).unwrap();
        assert!((1..=MOST_CHOICES).contains(&answer.choices.len()));
        assert!(answer.choices.is_sorted_by(|a, b| a.score.total <= b.score.total));
        for (place, choice) in answer.choices.iter().enumerate() {
            let sum: f64 = choice.score.terms.iter().map(|t| t.adds).sum();
            assert!((sum - choice.score.total).abs() < 1e-12);
            assert!(choice.score.terms.iter().all(|t| t.adds > 0.0 && !t.what.is_empty()));
            assert!(choice.doses.len() <= 3 && choice.cost.is_some());
            for better in &answer.choices[..place] {
                let worst = |c: &Choice| c.worst().unwrap().difference;
                let cost = |c: &Choice| c.cost.unwrap().to_amount();
                assert!(
                    counting(better) != counting(choice)
                        || cost(choice) < 0.8 * cost(better)
                        || worst(choice) < worst(better) - 0.5,
                    "{l} {a} {b}: {:?} and {:?}",
                    better.doses,
                    choice.doses
                );
            }
        }
    }
}

fn counting(choice: &Choice) -> Vec<usize> {
    let all: f64 = choice.doses.iter().map(|d| d.1.to_percent()).sum();
    let mut places: Vec<usize> =
        choice.doses.iter().filter(|d| d.1.to_percent() > 0.05 * all).map(|d| d.0).collect();
    places.sort_unstable();
    places
}

/// A colour that one well-known dye makes alone, exactly, measured out without scatter: that dye alone
/// comes first, at its dose. (Of poorly known dyes two may be surer than one.)
#[test]
fn of_equal_recipes_the_one_with_fewer_dyes_is_better() {
    let bench = Bench::cotton();
    let known: Vec<dyeing::Dye> = bench.dyes.iter().map(|d| well_known(&bench, d)).collect();
    let rules = bench.candidates()[0].rules;
    let candidates: Vec<recipe::Candidate> =
        known.iter().map(|dye| recipe::Candidate { dye, price: None, rules }).collect();
    let scatter = Scatter { common: 0.0, each: 0.0 };
    for (place, dye) in known.iter().enumerate() {
        let dose = OnFibre::try_percent(1.0).unwrap();
        let alone = [Dosed { dye, dose, scatter: 0.0 }];
        let bands = predict(&bench.on, &alone, HOME).unwrap().bands;
        let question = recipe::Question { scatter, ..bench.ask(&candidates, read(bands)) };
        let best = propose(&question, 1).unwrap().choices.remove(0);
        assert_eq!(best.doses.len(), 1, "{}: {:?}", dye.id, best.doses);
        assert_eq!(best.doses[0].0, place);
        assert!((best.doses[0].1.to_percent() - 1.0).abs() < 0.01, "{:?}", best.doses);
    }
}

/// The dye as its own ladder would make it known.
fn well_known(bench: &Bench, dye: &dyeing::Dye) -> dyeing::Dye {
    let lessons: Vec<dyeing::Lesson> = [0.2, 0.5, 1.0, 2.0, 4.0]
        .into_iter()
        .map(|pct| {
            let dose = OnFibre::try_percent(pct).unwrap();
            let seen =
                predict(&bench.on, &[Dosed { dye, dose, scatter: 0.0 }], HOME).unwrap().bands;
            dyeing::Lesson { on: &bench.on, dose, seen: dyeing::Seen::Spectrum(seen), spread: 0.2 }
        })
        .collect();
    dyeing::taught(dye, &lessons, dyeing::Knowledge::Ladder).unwrap()
}

#[test]
fn a_coarser_scale_is_never_surer_and_thinner_knowledge_never_either() {
    let mut bench = Bench::cotton();
    bench.goods = Mass::try_grams(60.0).unwrap();
    let mut compared = 0;
    for colour in COLOURS {
        let answers: Vec<Answer> = [Scale::JEWELLERY, Scale::KITCHEN, Scale::PLAIN]
            .into_iter()
            .map(|scale| {
                bench.kit = weighing(scale);
                answer(&bench, colour)
            })
            .collect();
        for pair in answers.windows(2) {
            for fine in &pair[0].choices {
                let coarse = pair[1].choices.iter().find(|c| c.doses == fine.doses);
                let Some(coarse) = coarse else { continue };
                assert!(coarse.prediction.piece.rms() >= fine.prediction.piece.rms());
                assert!(coarse.worst_dose >= fine.worst_dose);
                assert!(
                    (coarse.prediction.recipe.rms() - fine.prediction.recipe.rms()).abs() < 1e-12
                );
                compared += 1;
            }
        }
    }
    assert!(compared >= COLOURS.len(), "{compared}");
    // The dose alone: a scatter of nothing is surer than home.
    let none = Scatter { common: 0.0, each: 0.0 };
    let dose = OnFibre::try_percent(1.0).unwrap();
    let recipe = [Dosed { dye: bench.dyes[4], dose, scatter: 0.0 }];
    let calm = predict(&bench.on, &recipe, none).unwrap();
    let home = predict(&bench.on, &recipe, HOME).unwrap();
    assert!(calm.piece.within_90() < home.piece.within_90());
    // Without any scatter of dyeing the piece keeps what two dyeings at home differ by anyway.
    let beyond = calm.piece.within_90() - calm.recipe.within_90();
    assert!((0.0..1.0).contains(&beyond), "{beyond}");
}

#[test]
fn what_is_said_is_what_the_doses_give() {
    let bench =
        Bench::of(&[("wool", 80.0), ("nylon-6", 20.0)], Look::White, Procedure::AcidMilling);
    for colour in COLOURS {
        for choice in answer(&bench, colour).choices {
            let recipe: Vec<Dosed> = choice
                .doses
                .iter()
                .map(|(place, dose)| Dosed { dye: bench.dyes[*place], dose: *dose, scatter: 0.0 })
                .collect();
            let bands = bench.on.dyed(&absorbed(&bench.on, &recipe));
            for (one, two) in bands.iter().zip(choice.prediction.bands.values()) {
                assert!((one - two).abs() < 1e-12);
            }
            assert_eq!(choice.lights[0].light, Light::D65);
            assert_eq!(choice.lights.len(), bench.lights.len());
        }
    }
}

#[test]
fn the_number_of_threads_does_not_matter() {
    let bench = Bench::of(&[("polyester", 100.0)], Look::White, Procedure::Disperse);
    let candidates = bench.candidates();
    for (l, a, b) in [COLOURS[1], COLOURS[6]] {
        let question = bench.ask(&candidates, typed(l, a, b));
        let one = propose(&question, 1).unwrap();
        assert_eq!(one, propose(&question, 2).unwrap());
        assert_eq!(one, propose(&question, 0).unwrap());
    }
}

#[test]
fn what_cannot_be_asked_is_refused_in_words() {
    let bench = Bench::cotton();
    let candidates = bench.candidates();
    let target = typed(45.0, 45.0, 20.0);
    let speech = |question: &recipe::Question| propose(question, 1).unwrap_err().to_string();

    let none = bench.ask(&[], target);
    assert!(matches!(propose(&none, 1), Err(Refusal::NoDyes { .. })));
    assert!(speech(&none).contains("add one"), "{}", speech(&none));

    let many = vec![candidates[0].clone(); 65];
    assert!(speech(&bench.ask(&many, target)).contains("65 dyes are too many"));

    for most_dyes in [0, 5] {
        let question = recipe::Question { most_dyes, ..bench.ask(&candidates, target) };
        assert!(propose(&question, 1).is_err());
    }
    for tolerance in [f64::NAN, f64::INFINITY, -1.0, 0.0] {
        let question = recipe::Question { tolerance, ..bench.ask(&candidates, target) };
        assert!(speech(&question).contains("tolerance"), "{}", speech(&question));
    }
    for common in [f64::NAN, f64::INFINITY, -0.1] {
        let scatter = Scatter { common, each: 0.05 };
        let question = recipe::Question { scatter, ..bench.ask(&candidates, target) };
        assert!(speech(&question).contains("scatter"), "{}", speech(&question));
    }
    // Everything else that is no number stops at its type.
    let mut factors = *target.bands.values();
    for bad in [f64::NAN, f64::INFINITY, -0.1] {
        factors[7] = bad;
        assert!(Bands::try_new(factors).is_err());
        assert!(Mass::try_grams(bad).is_err());
        assert!(OnFibre::try_percent(bad).is_err());
    }
}
