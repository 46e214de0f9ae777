//! The cheapest set of dyes: equal to trying every choice, laws, prices of nothing and unknown ones, refusals.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

mod common;
#[path = "../examples/reach/dice.rs"]
mod dice;

use common::{Bench, typed};
use dice::Dice;
use dosing::Pack;
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
    let mut dice = Dice::new(11);
    for _ in 0..60 {
        let (sold, mut offers) = task(&mut dice, 5, 4, 8);
        let found = solved(&wants(&offers, 1.5), &sold);
        let unknown = |c: &Cheapest| (c.total.is_none(), c.known);
        // A recipe more never makes it dearer.
        let more = Offered { dyes: vec![("a", grams(2.0))], worst: 1.2 };
        let mut with = offers.clone();
        with[0].push(more);
        assert!(
            unknown(&solved(&wants(&with, 1.5), &sold)) <= unknown(&found) || found.total.is_none()
        );
        // A dye in plenty on the shelf costs nothing and is not bought.
        let mut stocked = sold.clone();
        stocked.iter_mut().for_each(|s| s.left = grams(1000.0));
        let free = solved(&wants(&offers, 1.5), &stocked);
        assert!(free.buy.is_empty() && free.total == Some(Money::ZERO) && free.exact);
        // The order of pieces and dyes does not matter.
        offers.reverse();
        let mut turned = sold.clone();
        turned.reverse();
        let back = solved(&wants(&offers, 1.5), &turned);
        assert_eq!(
            (back.total, back.known, back.buy.len()),
            (found.total, found.known, found.buy.len())
        );
        // Never dearer than each piece's own first recipe.
        if let Some(spared) = found.spared {
            let total = found.total.unwrap();
            let first = total + spared;
            assert!(total <= first);
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
