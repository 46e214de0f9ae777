//! The cheapest set of dyes: equal to trying every choice, laws, prices of nothing and unknown ones, refusals.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

mod common;
#[path = "../examples/reach/dice.rs"]
mod dice;

use colour::{Bands, Light, Observer, Weights, ciede2000};
use common::{Bench, typed};
use dice::Dice;
use dosing::Pack;
use dyeing::{Dosed, absorbed};
use recipe::{
    Asked, Budget, Candidate, Cheapest, LEEWAY, NotReckoned, Offered, Question, Sold, USUAL_NODES,
    Want, cheapest, propose, with_fewer,
};
use units::{Mass, Money};

const KEYS: [&str; 10] = ["a", "b", "c", "d", "e", "f", "g", "h", "i", "j"];

fn grams(given: f64) -> Mass {
    Mass::try_grams(given).unwrap()
}

fn pack(holds: f64, price: f64) -> Option<Pack> {
    Some(Pack::try_new(grams(holds), Money::try_amount(price).unwrap()).unwrap())
}

/// A random task: dyes with packs (one in six of unknown price) and pieces with recipes of one to three.
fn task(
    dice: &mut Dice,
    pieces: usize,
    recipes: usize,
    dyes: usize,
) -> (Vec<Sold<'static>>, Vec<Vec<Offered<'static>>>) {
    let sold = KEYS[..dyes].iter().map(|key| Sold {
        key,
        left: if dice.pick(4) == 0 { grams(whole(dice, 12)) } else { Mass::ZERO },
        pack: if dice.pick(6) == 0 {
            None
        } else {
            pack(5.0 + whole(dice, 10), 1.0 + whole(dice, 9))
        },
    });
    let sold: Vec<Sold> = sold.collect();
    let mut recipe = || {
        let mut dyes: Vec<(&str, Mass)> = vec![];
        for _ in 0..=dice.pick(3) {
            dyes.push((KEYS[dice.pick(dyes_of(&sold))], grams(1.0 + whole(dice, 8))));
        }
        Offered { dyes, worst: 0.1 * whole(dice, 20) }
    };
    let all = (0..pieces).map(|_| (0..recipes).map(|_| recipe()).collect()).collect();
    (sold, all)
}

fn dyes_of(sold: &[Sold]) -> usize {
    sold.len()
}

#[expect(clippy::cast_precision_loss, reason = "small whole numbers")]
fn whole(dice: &mut Dice, below: usize) -> f64 {
    dice.pick(below) as f64
}

fn wants<'a>(offers: &'a [Vec<Offered<'a>>], limit: f64) -> Vec<Want<'a>> {
    offers.iter().map(|choices| Want { choices, limit }).collect()
}

/// Unknown prices, hundredths, and thousandths of difference of a choice, reckoned afresh.
fn cost(wants: &[Want], sold: &[Sold], places: &[usize]) -> (usize, u64, u64) {
    let (mut unknown, mut hundredths) = (0, 0);
    for dye in sold {
        let mut takes = 0.0;
        for (want, at) in wants.iter().zip(places) {
            for (key, mass) in &want.choices[*at].dyes {
                takes += if *key == dye.key { mass.to_grams() } else { 0.0 };
            }
        }
        let short = takes - dye.left.to_grams();
        if short > 1e-6 {
            match dye.pack {
                None => unknown += 1,
                Some(pack) => {
                    let packs = u64::from(pack.packs_for(grams(short)));
                    hundredths += packs * pack.price().to_hundredths();
                }
            }
        }
    }
    let off: f64 = wants.iter().zip(places).map(|(w, at)| 1000.0 * w.choices[*at].worst).sum();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small")]
    let off = off.round() as u64;
    (unknown, hundredths, off)
}

/// Every choice of recipes within the limits, one after the other.
fn every(wants: &[Want], sold: &[Sold]) -> (usize, u64, u64) {
    let allowed = |want: &Want, at: usize| {
        let best = want.choices.iter().map(|c| c.worst).fold(f64::INFINITY, f64::min);
        want.choices[at].worst <= if best <= want.limit { want.limit } else { best + LEEWAY }
    };
    let mut places = vec![0; wants.len()];
    let mut best = (usize::MAX, 0, 0);
    loop {
        if wants.iter().zip(&places).all(|(w, at)| allowed(w, *at)) {
            best = best.min(cost(wants, sold, &places));
        }
        let Some(at) = (0..wants.len()).find(|i| places[*i] + 1 < wants[*i].choices.len()) else {
            return best;
        };
        places[..at].fill(0);
        places[at] += 1;
    }
}

fn solved(wants: &[Want], sold: &[Sold<'static>]) -> Cheapest<'static> {
    cheapest(wants, sold, USUAL_NODES).unwrap()
}

#[test]
fn it_is_the_best_of_every_choice() {
    let mut dice = Dice::new(7);
    for at in 0..300 {
        let (pieces, dyes) = (1 + dice.pick(6), 2 + dice.pick(8));
        let (sold, offers) = task(&mut dice, pieces, 4, dyes);
        let wants = wants(&offers, [1.9, 1.0, 0.3][at % 3]);
        let found = solved(&wants, &sold);
        assert!(found.exact);
        let is = cost(&wants, &sold, &found.choice_of_each);
        assert_eq!(is, every(&wants, &sold), "task {at}");
        // What it says of itself is what its choices cost.
        assert_eq!(found.known.to_hundredths(), is.1);
        assert_eq!(found.total, (is.0 == 0).then_some(found.known));
        assert_eq!(found.buy.iter().filter(|b| b.cost.is_none()).count(), is.0);
    }
}

#[test]
fn order_shelf_and_choice_change_it_as_they_must() {
    const LIMIT: f64 = 1.5;
    let mut dice = Dice::new(11);
    let (mut grown, mut spared) = (0, 0);
    for _ in 0..60 {
        let (sold, mut offers) = task(&mut dice, 5, 4, 8);
        let found = solved(&wants(&offers, LIMIT), &sold);
        let worth = |offers: &[Vec<Offered>], places: &[usize]| {
            let (unknown, hundredths, _) = cost(&wants(offers, LIMIT), &sold, places);
            (unknown, hundredths)
        };
        let is = worth(&offers, &found.choice_of_each);
        // A recipe more never makes it dearer. (Where none was within the limit before, it is another task:
        // those near the best of a piece out of reach no longer do.)
        if offers[0].iter().any(|c| c.worst <= LIMIT) {
            let mut with = offers.clone();
            with[0].push(Offered { dyes: vec![("a", grams(2.0))], worst: 1.2 });
            let more = solved(&wants(&with, LIMIT), &sold);
            assert!(worth(&with, &more.choice_of_each) <= is);
            grown += 1;
        }
        // A dye in plenty on the shelf costs nothing and is not bought.
        let mut stocked = sold.clone();
        stocked.iter_mut().for_each(|s| s.left = grams(1000.0));
        let free = solved(&wants(&offers, LIMIT), &stocked);
        assert!(free.buy.is_empty() && free.total == Some(Money::ZERO) && free.exact);
        // Never dearer than each piece's own first recipe that its limit allows, and what is spared is the
        // difference of the two.
        let first: Vec<usize> =
            offers.iter().map(|choices| first_allowed(choices, LIMIT)).collect();
        let alone = worth(&offers, &first);
        assert!(is <= alone, "{is:?} {alone:?}");
        let known = is.0 == 0 && alone.0 == 0;
        assert_eq!(found.spared.map(Money::to_hundredths), known.then(|| alone.1 - is.1));
        spared += usize::from(known && alone.1 > is.1);
        // The order of pieces and dyes does not matter.
        offers.reverse();
        let mut turned = sold.clone();
        turned.reverse();
        let back = solved(&wants(&offers, LIMIT), &turned);
        assert_eq!(
            (back.total, back.known, back.buy.len()),
            (found.total, found.known, found.buy.len())
        );
    }
    assert!(grown > 40 && spared > 5, "{grown} {spared}");
}

fn first_allowed(choices: &[Offered], limit: f64) -> usize {
    let best = choices.iter().map(|c| c.worst).fold(f64::INFINITY, f64::min);
    let most = if best <= limit { limit } else { best + LEEWAY };
    choices.iter().position(|c| c.worst <= most).unwrap()
}

/// Packs that never run out: the cheapest set is the cheapest of all sets of dyes from which every piece has a
/// recipe, tried one after the other, and none of its dyes can go.
#[test]
fn no_other_set_of_dyes_is_cheaper_and_none_of_it_can_go() {
    const LIMIT: f64 = 1.0;
    let mut dice = Dice::new(29);
    for at in 0..80 {
        let (pieces, dyes) = (1 + dice.pick(6), 3 + dice.pick(7));
        let (mut sold, offers) = task(&mut dice, pieces, 5, dyes);
        for dye in &mut sold {
            (dye.left, dye.pack) = (Mass::ZERO, pack(1000.0, 1.0 + whole(&mut dice, 9)));
        }
        let wants = wants(&offers, LIMIT);
        let found = solved(&wants, &sold);
        let reaches = |from: &dyn Fn(&str) -> bool| {
            offers.iter().all(|choices| {
                let best = choices.iter().map(|c| c.worst).fold(f64::INFINITY, f64::min);
                let most = if best <= LIMIT { LIMIT } else { best + LEEWAY };
                let of = |c: &Offered| c.worst <= most && c.dyes.iter().all(|d| from(d.0));
                choices.iter().any(of)
            })
        };
        let least = (0..1_u32 << dyes)
            .filter(|set| {
                reaches(&|key| {
                    let place = KEYS.iter().position(|k| *k == key).unwrap();
                    (set >> place) & 1 == 1
                })
            })
            .map(|set| {
                let in_it = sold.iter().enumerate().filter(|(place, _)| (set >> place) & 1 == 1);
                in_it.map(|(_, s)| s.pack.unwrap().price().to_hundredths()).sum::<u64>()
            })
            .min();
        assert_eq!(Some(found.total.unwrap().to_hundredths()), least, "task {at}");
        assert!(reaches(&|key| found.dyes.contains(&key)));
        for gone in &found.dyes {
            assert!(
                !reaches(&|key| key != *gone && found.dyes.contains(&key)),
                "task {at}: {gone} is not needed"
            );
        }
    }
}

#[test]
fn one_shared_pack_beats_two_preferred_ones() {
    let one = |key: &'static str, worst| Offered { dyes: vec![(key, grams(3.0))], worst };
    let offers = vec![vec![one("a", 0.2), one("c", 1.0)], vec![one("b", 0.2), one("c", 1.0)]];
    let sold = ["a", "b", "c"].map(|key| Sold { key, left: Mass::ZERO, pack: pack(10.0, 4.0) });
    let found = solved(&wants(&offers, 1.5), &sold);
    assert_eq!((found.dyes.clone(), found.choice_of_each.clone()), (vec!["c"], vec![1, 1]));
    assert_eq!(found.total.unwrap().to_string(), "4.00");
    assert_eq!(found.spared.unwrap().to_string(), "4.00");
    assert_eq!(found.buy[0].packs, Some(1));
    // With a narrower tolerance there is no choice but both.
    let strict = solved(&wants(&offers, 0.5), &sold);
    assert_eq!(strict.total.unwrap().to_string(), "8.00");
    // A piece out of reach keeps within the leeway of its best.
    let far = vec![vec![one("a", 3.0), one("c", 3.4)], vec![one("b", 3.0), one("c", 3.6)]];
    assert_eq!(solved(&wants(&far, 1.5), &sold).choice_of_each[1], 0);
}

/// A price of nothing is known; an unknown one is not nothing, and is gone round where it can be.
#[test]
fn nothing_and_unknown_are_two_things() {
    let one = |key: &'static str| Offered { dyes: vec![(key, grams(3.0))], worst: 0.5 };
    let dye = |key, pack| Sold { key, left: Mass::ZERO, pack };
    let offers = vec![vec![one("a"), one("b")]];
    let gift = solved(&wants(&offers, 1.0), &[dye("a", pack(5.0, 2.0)), dye("b", pack(5.0, 0.0))]);
    assert_eq!((gift.choice_of_each[0], gift.total), (1, Some(Money::ZERO)));
    assert_eq!((gift.buy.len(), gift.buy[0].packs), (1, Some(1)));
    let sold = [dye("a", pack(5.0, 90.0)), dye("b", None)];
    let known = solved(&wants(&offers, 1.0), &sold);
    assert_eq!((known.choice_of_each[0], known.total.is_some()), (0, true));
    let only = vec![vec![one("b")]];
    let unknown = solved(&wants(&only, 1.0), &sold);
    assert_eq!((unknown.total, unknown.spared, unknown.known), (None, None, Money::ZERO));
    assert_eq!((unknown.buy[0].cost, unknown.buy[0].packs), (None, None));
}

#[test]
fn a_stopped_search_says_so_and_still_answers() {
    let (sold, offers) = task(&mut Dice::new(5), 12, 5, 10);
    let wants = wants(&offers, 2.0);
    let stopped = cheapest(&wants, &sold, 3).unwrap();
    assert!(!stopped.exact && stopped.choice_of_each.len() == 12);
    let whole = solved(&wants, &sold);
    assert!(
        cost(&wants, &sold, &whole.choice_of_each) <= cost(&wants, &sold, &stopped.choice_of_each)
    );
}

#[test]
fn what_cannot_be_reckoned_is_refused_in_words() {
    let one = |worst| vec![vec![Offered { dyes: vec![("a", grams(1.0))], worst }]];
    let a = Sold { key: "a", left: Mass::ZERO, pack: None };
    let said = |offers: &[Vec<Offered>], limit, sold: &[Sold]| {
        cheapest(&wants(offers, limit), sold, 10).unwrap_err().to_string()
    };
    for (speech, word) in [
        (said(&[vec![]], 1.0, std::slice::from_ref(&a)), "no recipe"),
        (said(&one(0.5), 1.0, &[]), "a is in a recipe"),
        (said(&one(0.5), 1.0, &[a.clone(), a.clone()]), "twice"),
        (said(&one(f64::NAN), 1.0, std::slice::from_ref(&a)), "difference"),
        (said(&one(0.5), -1.0, std::slice::from_ref(&a)), "limit of piece 0"),
    ] {
        assert!(speech.contains(word), "{speech}");
    }
    assert!(
        matches!(cheapest(&[], &[], 10), Ok(none) if none.exact && none.total == Some(Money::ZERO))
    );
    assert!(matches!(
        cheapest(&wants(&one(0.5), f64::NAN), &[a], 9),
        Err(NotReckoned::Number { .. })
    ));
}

/// Two cotton pieces of nearby colours: asked again, the set gets no dearer, every piece still keeps its
/// limit, and nothing is asked beyond the budget.
#[test]
fn asked_again_with_fewer_it_only_gets_cheaper() {
    let mut bench = Bench::cotton();
    let all = std::mem::take(&mut bench.dyes);
    bench.dyes = all.into_iter().step_by(3).take(7).collect();
    let candidates: Vec<Candidate> = bench.candidates();
    let targets = [typed(55.0, 20.0, 30.0), typed(40.0, 12.0, 20.0), typed(48.0, -8.0, 12.0)];
    let questions: Vec<Question> = targets.iter().map(|t| bench.ask(&candidates, *t)).collect();
    let answers: Vec<_> = questions.iter().map(|q| propose(q, 0).unwrap().choices).collect();
    let sold: Vec<Sold> = bench
        .dyes
        .iter()
        .map(|dye| Sold { key: &dye.id, left: Mass::ZERO, pack: pack(20.0, 3.0) })
        .collect();
    let asked: Vec<Asked> = questions
        .iter()
        .zip(&answers)
        .map(|(question, choices)| Asked { question, choices })
        .collect();
    let try_with = |questions| {
        with_fewer(&asked, &sold, Budget { questions, nodes: USUAL_NODES, threads: 0 }).unwrap()
    };
    let (none, some) = (try_with(0), try_with(12));
    assert_eq!(none.asked, 0);
    assert!(some.asked > 0 && some.asked <= 12);
    assert!(some.set.total.unwrap() <= none.set.total.unwrap());
    println!("{} as proposed, {} asked again", none.set.total.unwrap(), some.set.total.unwrap());
    for (i, at) in some.set.choice_of_each.iter().enumerate() {
        let choice = &some.choices[i][*at];
        let worst = choice.worst().unwrap().difference;
        let best = some.choices[i].iter().map(|c| c.worst().unwrap().difference);
        let best = best.fold(f64::INFINITY, f64::min);
        assert!(worst <= questions[i].tolerance.max(best + LEEWAY));
        // Its doses name dyes of its own question, all of them in the set.
        for (place, _) in &choice.doses {
            assert!(some.set.dyes.contains(&questions[i].dyes[*place].dye.id.as_str()));
        }
    }
}

/// A small shelf of real dyes: every set of them is asked, piece by piece. The set found reaches whatever the
/// whole shelf reaches, is as cheap as the cheapest of all sets that do, and loses something with any
/// of its dyes.
#[test]
fn a_small_shelf_tried_set_by_set_knows_nothing_cheaper() {
    let mut bench = Bench::cotton();
    let ids = [
        "reactive-lemon",
        "reactive-golden",
        "reactive-scarlet",
        "reactive-bluish-red",
        "reactive-blue",
        "reactive-navy",
    ];
    bench.dyes.retain(|d| ids.contains(&d.id.as_str()));
    let count = bench.dyes.len();
    assert_eq!(count, ids.len(), "the shelf has these dyes");
    let candidates: Vec<Candidate> = bench.candidates();
    let mut dice = Dice::new(17);
    let mut cheaper_than_proposed = 0;
    for colours in [
        [(55.0, 20.0, 30.0), (40.0, 12.0, 20.0), (48.0, -8.0, 12.0)],
        [(35.0, 5.0, -20.0), (30.0, 8.0, -14.0), (52.0, 2.0, -10.0)],
        [(60.0, 30.0, 40.0), (45.0, 45.0, 20.0), (70.0, 8.0, 45.0)],
    ] {
        let targets = colours.map(|(l, a, b)| typed(l, a, b));
        let questions: Vec<Question> = targets.iter().map(|t| bench.ask(&candidates, *t)).collect();
        let answers: Vec<_> = questions.iter().map(|q| propose(q, 1).unwrap().choices).collect();
        let sold: Vec<Sold> = bench
            .dyes
            .iter()
            .map(|dye| {
                let pack = pack(10_000.0, 1.0 + whole(&mut dice, 9));
                Sold { key: &dye.id, left: Mass::ZERO, pack }
            })
            .collect();
        let asked: Vec<Asked> = questions
            .iter()
            .zip(&answers)
            .map(|(question, choices)| Asked { question, choices })
            .collect();
        let budget = Budget { questions: 500, nodes: USUAL_NODES, threads: 1 };
        let found = with_fewer(&asked, &sold, budget).unwrap();
        assert!(found.asked < 500, "the budget was not what stopped it");
        // What is allowed: within the tolerance, or near the best the whole shelf can do.
        let worst = |recipe::Choice { lights, .. }: &recipe::Choice| {
            lights.iter().map(|l| l.difference).fold(0.0, f64::max)
        };
        let allowed: Vec<f64> = questions
            .iter()
            .zip(&answers)
            .map(|(q, choices)| {
                let best = choices.iter().map(worst).fold(f64::INFINITY, f64::min);
                if best <= q.tolerance { q.tolerance } else { best + LEEWAY }
            })
            .collect();
        let reaches = |in_it: &dyn Fn(&str) -> bool| {
            let places: Vec<usize> =
                (0..count).filter(|place| in_it(&bench.dyes[*place].id)).collect();
            let dyes: Vec<Candidate> = places.iter().map(|p| candidates[*p].clone()).collect();
            !dyes.is_empty()
                && questions.iter().zip(&allowed).all(|(question, most)| {
                    let few = Question { dyes: &dyes, ..question.clone() };
                    propose(&few, 1).unwrap().choices.iter().any(|c| worst(c) <= *most)
                })
        };
        for (i, at) in found.set.choice_of_each.iter().enumerate() {
            let choice = &found.choices[i][*at];
            assert!(seen_afresh(&bench, &questions[i], choice) <= allowed[i] + 1e-6);
        }
        let price = |key: &str| {
            let pack = sold.iter().find(|s| s.key == key).unwrap().pack.unwrap();
            pack.price().to_hundredths()
        };
        let least = (1..1_u32 << count)
            .filter(|set| {
                reaches(&|key| {
                    let place = bench.dyes.iter().position(|d| d.id == key).unwrap();
                    (set >> place) & 1 == 1
                })
            })
            .map(|set| {
                let in_it = (0..count).filter(|place| (set >> place) & 1 == 1);
                in_it.map(|place| price(&bench.dyes[place].id)).sum::<u64>()
            })
            .min()
            .unwrap();
        let total = found.set.total.unwrap().to_hundredths();
        let proposed = with_fewer(&asked, &sold, Budget { questions: 0, ..budget }).unwrap();
        println!(
            "{} as proposed, {} asked again, {:.2} the cheapest of all sets",
            proposed.set.total.unwrap(),
            found.set.total.unwrap(),
            least as f64 / 100.0
        );
        cheaper_than_proposed += usize::from(found.set.total < proposed.set.total);
        assert_eq!(total, least);
        assert!(reaches(&|key| found.set.dyes.contains(&key)));
        for gone in &found.set.dyes {
            assert!(
                !reaches(&|key| key != *gone && found.set.dyes.contains(&key)),
                "{gone} is not needed"
            );
        }
    }
    println!("asking again spared something {cheaper_than_proposed} times of 3");
}

/// The largest difference of a recipe from its target over the question's lights, reckoned from its doses.
fn seen_afresh(bench: &Bench, question: &Question, choice: &recipe::Choice) -> f64 {
    let recipe: Vec<Dosed> = choice
        .doses
        .iter()
        .map(|(place, dose)| Dosed { dye: question.dyes[*place].dye, dose: *dose, scatter: 0.0 })
        .collect();
    let bands = Bands::try_new(bench.on.dyed(&absorbed(&bench.on, &recipe))).unwrap();
    let off = |light: &Light| {
        let weights = Weights::of(*light, Observer::Ten);
        ciede2000(weights.lab(&question.target.bands), weights.lab(&bands))
    };
    bench.lights.iter().map(off).fold(0.0, f64::max)
}
