//! The cheapest dyes to buy that still reach everything: among the recipes proposed for each piece, the
//! ones whose packs cost least together.

use recipe::{Cheapest, Choice, Offered, Sold, USUAL_NODES, Want, cheapest};
use units::Mass;

use crate::Request;
use crate::document::{CheapestSeen, RecipeChange};
use crate::piece::{Decided, Found};
use crate::seen::{print, sentence};

/// A recipe is taken for another when it costs this share more than it doses: swatch and leftovers
/// (judgement; the sheets round stocks up).
const SPARE: f64 = 1.15;

/// Asks; nothing where no dye has a price, or nothing has to be bought and nothing could be saved.
pub(crate) fn thrift(request: &Request, decided: &[Decided]) -> Option<CheapestSeen> {
    let found: Vec<(&Decided, &Found)> = decided
        .iter()
        .filter(|d| d.follows.is_none())
        .filter_map(|d| Some((d, d.found()?)))
        .collect();
    let dyes = &request.shelf.dyes;
    if found.is_empty() || dyes.iter().all(|d| d.sold_in.is_none()) {
        return None;
    }
    let sold: Vec<Sold> = dyes
        .iter()
        .map(|d| Sold { key: &d.dye.id, left: d.left.unwrap_or(Mass::ZERO), pack: d.sold_in })
        .collect();
    let offered: Vec<(Vec<Offered>, f64)> = found
        .iter()
        .map(|(one, f)| {
            // In a set a recipe is not free to change: the set was solved with it.
            let in_set = request.costume.matches.iter().any(|m| m.members.contains(&one.piece.id));
            let many = if in_set || !f.moves() { 1 } else { f.way.answer.choices.len() };
            let mut order: Vec<&Choice> = vec![f.way.choice()];
            order.extend(others(f));
            let list = order.into_iter().take(many).map(|c| offer(request, one, f, c)).collect();
            (list, one.piece.viewing.limit())
        })
        .collect();
    let wants: Vec<Want> =
        offered.iter().map(|(choices, limit)| Want { choices, limit: *limit }).collect();
    let first: Vec<Want> = offered
        .iter()
        .map(|(choices, limit)| Want { choices: &choices[..choices.len().min(1)], limit: *limit })
        .collect();
    let best = cheapest(&wants, &sold, USUAL_NODES).ok()?;
    let chosen = cheapest(&first, &sold, USUAL_NODES).ok()?;
    // What nobody said is there is reckoned as not there.
    let untold = |id: &&str| dyes.iter().any(|d| d.dye.id == **id && d.left.is_none());
    let untold: Vec<&str> = best.buy.iter().map(|b| b.key).filter(|id| untold(id)).collect();
    Some(told(&found, &best, &chosen, &untold))
}

/// The recipes not chosen, in their order.
fn others<'f>(found: &'f Found) -> impl Iterator<Item = &'f Choice> {
    let way = &found.way;
    way.answer.choices.iter().enumerate().filter(|(i, _)| *i != way.chosen).map(|(_, c)| c)
}

fn offer<'a>(request: &Request<'a>, one: &Decided, found: &Found, choice: &Choice) -> Offered<'a> {
    let goods = one.with.iter().fold(one.piece.goods.dry, |sum, piece| sum + piece.goods.dry);
    let own = choice.doses.iter().map(|dose| (&found.way, dose));
    let second =
        found.second.iter().flat_map(|way| way.choice().doses.iter().map(move |d| (way, d)));
    let dyes = own.chain(second).filter_map(|(way, &(place, dose))| {
        let shelf = &request.shelf.dyes[way.asked.dyes[place]];
        let grams = (dose * goods).try_times(SPARE).ok()?;
        Some((shelf.dye.id.as_str(), grams))
    });
    let worst = choice.worst().map_or(0.0, |l| l.difference);
    Offered { dyes: dyes.collect(), worst }
}

fn told(
    found: &[(&Decided, &Found)],
    best: &Cheapest,
    chosen: &Cheapest,
    untold: &[&str],
) -> CheapestSeen {
    let changes: Vec<RecipeChange> = found
        .iter()
        .zip(&best.choice_of_each)
        .filter(|(_, place)| **place > 0)
        .filter_map(|((one, f), &place)| {
            let choice = others(f).nth(place - 1)?;
            Some(RecipeChange {
                piece: one.piece.id.clone(),
                recipe: place + 1,
                difference: print(choice.difference(), 2),
            })
        })
        .collect();
    let (pays, would) = (best.known.to_amount(), chosen.known.to_amount());
    let unknown: Vec<&str> = best.buy.iter().filter(|b| b.cost.is_none()).map(|b| b.key).collect();
    let mut words = if changes.is_empty() {
        format!("the recipes chosen already buy the least dye: {pays:.2} in packs")
    } else {
        let saved = would - pays;
        format!(
            "other recipes for {} of the pieces, each still within what passes or within half a step of \
             its best, would buy {pays:.2} of dye in packs where the recipes chosen buy {would:.2}: \
             {saved:.2} saved",
            changes.len()
        )
    };
    if !unknown.is_empty() {
        words = format!(
            "{words}. No price is known for {}, which has to be bought",
            unknown.join(", ")
        );
    }
    if !untold.is_empty() {
        words = format!(
            "{words}. Counted as bought, because the shelf file gives no amount: {}",
            untold.join(", ")
        );
    }
    if !best.exact {
        words =
            format!("{words}. The search was stopped: this is the best found, not proven cheapest");
    }
    CheapestSeen {
        dyes: best.dyes.iter().map(|d| (*d).to_owned()).collect(),
        to_pay: print(pays, 2),
        chosen_to_pay: print(would, 2),
        proven: best.exact,
        changes,
        words: sentence(&words),
    }
}
