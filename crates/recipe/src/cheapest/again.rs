//! Asked again with fewer dyes, so that a set can shrink beyond what was proposed.
//!
//! A proposal holds at most five recipes, and each was chosen without a thought for what the other
//! pieces need. Here a dye that has to be bought is left out on trial: every piece that uses it is asked
//! again with the dyes that the others use or that are on the shelf. What comes back joins the recipes,
//! and the set is reckoned anew. So the answer can only get cheaper; that no cheaper set exists is not
//! promised, for not every set of dyes is tried.

use units::Mass;

use super::{Cheapest, NotReckoned, Offered, Sold, Want, cheapest};
use crate::{Candidate, Choice, Question, propose};

/// One piece: what was asked and what was proposed.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The question; its tolerance is the limit, its dyes' names the keys.
    pub question: &'a Question<'a>,
    /// The recipes proposed.
    pub choices: &'a [Choice],
}

/// How hard to try.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Budget {
    /// Questions asked again at most; none: only the recipes proposed are reckoned with.
    pub questions: usize,
    /// Branches looked at in each reckoning, as in [`cheapest`].
    pub nodes: u64,
    /// Threads, as in [`propose`].
    pub threads: usize,
}

/// The cheapest set found, and the recipes it chooses among.
#[derive(Debug, Clone, PartialEq)]
pub struct Thrift<'a> {
    /// The set; its choices are places in `choices`. Exact means: among these recipes.
    pub set: Cheapest<'a>,
    /// For each piece the recipes proposed, then those found on asking again; doses are by places in the
    /// piece's own question.
    pub choices: Vec<Vec<Choice>>,
    /// How many questions were asked again.
    pub asked: usize,
}

/// The cheapest set of dyes for pieces as asked, asking again with fewer dyes within a budget.
///
/// # Errors
/// [`NotReckoned`] as in [`cheapest`], or where a question is refused.
pub fn with_fewer<'a>(
    asked: &[Asked],
    sold: &[Sold<'a>],
    budget: Budget,
) -> Result<Thrift<'a>, NotReckoned> {
    let mut choices: Vec<Vec<Choice>> = asked.iter().map(|a| a.choices.to_vec()).collect();
    let mut thrift =
        Thrift { set: reckoned(asked, &choices, sold, budget)?, choices: vec![], asked: 0 };
    let mut tried: Vec<(&str, Vec<&str>)> = vec![];
    while let Some((without, kept)) = next(&thrift.set, sold, &tried) {
        let users: Vec<usize> = (0..asked.len())
            .filter(|i| uses(&asked[*i], &choices[*i][thrift.set.choice_of_each[*i]], without))
            .collect();
        tried.push((without, kept.clone()));
        if thrift.asked + users.len() > budget.questions {
            continue;
        }
        let mut more = choices.clone();
        for i in users {
            thrift.asked += 1;
            more[i].extend(again(asked[i].question, &kept, budget.threads)?);
        }
        let set = reckoned(asked, &more, sold, budget)?;
        if cheaper(&set, &thrift.set) {
            thrift.set = set;
            choices = more;
        }
    }
    Ok(Thrift { choices, ..thrift })
}

/// The dye to leave out on trial: the dearest of those to buy that was not yet tried with these others,
/// an unknown price counting as the dearest; with the dyes that are left.
fn next<'a>(
    set: &Cheapest<'a>,
    sold: &[Sold<'a>],
    tried: &[(&str, Vec<&str>)],
) -> Option<(&'a str, Vec<&'a str>)> {
    let mut buy: Vec<_> = set.buy.iter().collect();
    buy.sort_by_key(|b| std::cmp::Reverse(b.cost.map_or(u64::MAX, units::Money::to_hundredths)));
    let mut trials = buy.into_iter().map(|b| {
        let at_hand = |s: &&Sold<'a>| s.left > Mass::ZERO || set.dyes.contains(&s.key);
        let kept = sold.iter().filter(at_hand).map(|s| s.key).filter(|key| *key != b.key);
        (b.key, kept.collect::<Vec<_>>())
    });
    trials.find(|trial| !tried.contains(trial))
}

fn uses(asked: &Asked, choice: &Choice, key: &str) -> bool {
    choice.doses.iter().any(|(place, _)| asked.question.dyes[*place].dye.id == key)
}

/// Recipes from these dyes alone, by places in the question as asked.
fn again(question: &Question, kept: &[&str], threads: usize) -> Result<Vec<Choice>, NotReckoned> {
    let places: Vec<usize> = (0..question.dyes.len())
        .filter(|p| kept.contains(&question.dyes[*p].dye.id.as_str()))
        .collect();
    if places.is_empty() {
        return Ok(vec![]);
    }
    let dyes: Vec<Candidate> = places.iter().map(|p| question.dyes[*p].clone()).collect();
    let answer = propose(&Question { dyes: &dyes, ..question.clone() }, threads)?;
    let renamed = answer.choices.into_iter().map(|mut choice| {
        choice.doses.iter_mut().for_each(|dose| dose.0 = places[dose.0]);
        choice
    });
    Ok(renamed.collect())
}

fn reckoned<'a>(
    asked: &[Asked],
    choices: &[Vec<Choice>],
    sold: &[Sold<'a>],
    budget: Budget,
) -> Result<Cheapest<'a>, NotReckoned> {
    let offers: Vec<Vec<Offered>> = asked
        .iter()
        .zip(choices)
        .map(|(asked, choices)| choices.iter().map(|c| offered(asked.question, c)).collect())
        .collect();
    let wants: Vec<Want> = asked
        .iter()
        .zip(&offers)
        .map(|(asked, choices)| Want { choices, limit: asked.question.tolerance })
        .collect();
    cheapest(&wants, sold, budget.nodes)
}

/// A proposed recipe as it is reckoned: grams for the goods of its bath, and its worst light.
fn offered<'a>(question: &Question<'a>, choice: &Choice) -> Offered<'a> {
    let grams = |&(place, dose): &(usize, units::OnFibre)| {
        (question.dyes[place].dye.id.as_str(), dose * question.goods)
    };
    let dyes = choice.doses.iter().map(grams).collect();
    Offered { dyes, worst: choice.worst().map_or(0.0, |l| l.difference) }
}

fn cheaper(a: &Cheapest, b: &Cheapest) -> bool {
    let cost = |set: &Cheapest| (set.buy.iter().filter(|b| b.cost.is_none()).count(), set.known);
    cost(a) < cost(b)
}
