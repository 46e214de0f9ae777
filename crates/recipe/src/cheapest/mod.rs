//! The cheapest set of dyes that still reaches everything.
//!
//! Every piece has a few recipes that would do; dyes are bought by the pack, what is on the shelf is
//! free. Chosen is one recipe a piece such that the packs to buy cost least. Pieces that share no
//! dye that may have to be bought are settled apart; the rest by branch and bound (`bound`), and the
//! answer says whether it is proven. Recipes that nobody has proposed are asked for in `again`.
//! A price that is not known is never taken for nothing: as few dyes of unknown price as can be are
//! bought, and the sum is then unknown.
//!
//! Left out: colour beyond the one figure a recipe comes with, spares and waste (the caller adds them
//! to the grams), delivery.

mod again;
mod bound;

pub use again::{Asked, Budget, Thrift, with_fewer};

use dosing::Pack;
use units::{Mass, Money};

use bound::Job;

/// A dye as the maker has it and as it is sold.
#[derive(Debug, Clone, PartialEq)]
pub struct Sold<'a> {
    /// Its name in recipes.
    pub key: &'a str,
    /// What is on the shelf.
    pub left: Mass,
    /// The pack it comes in and its price; none: not known.
    pub pack: Option<Pack>,
}

/// One recipe that would do for a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Offered<'a> {
    /// Its dyes with the grams that the whole of the piece takes.
    pub dyes: Vec<(&'a str, Mass)>,
    /// Its difference in the light where it is furthest from the target, ΔE00.
    pub worst: f64,
}

/// What one piece wants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Want<'a> {
    /// Recipes, the preferred first.
    pub choices: &'a [Offered<'a>],
    /// Furthest a recipe may be off, ΔE00. Where none keeps it, those within [`LEEWAY`] of the best do.
    pub limit: f64,
}

/// What a piece out of reach may lose beyond its best recipe to save a pack, ΔE00: half of what passes
/// edge to edge (judgement).
pub const LEEWAY: f64 = 0.5;

/// Packs of one dye to buy.
#[derive(Debug, Clone, PartialEq)]
pub struct ToBuy<'a> {
    /// Which dye.
    pub key: &'a str,
    /// What the chosen recipes take of it beyond what is on the shelf.
    pub short: Mass,
    /// How many packs; none when the pack is not known.
    pub packs: Option<u32>,
    /// What they cost; none when the price is not known.
    pub cost: Option<Money>,
}

/// The cheapest set.
#[derive(Debug, Clone, PartialEq)]
pub struct Cheapest<'a> {
    /// The dyes in use, in the order they were given.
    pub dyes: Vec<&'a str>,
    /// For each want the place of its recipe among its choices.
    pub choice_of_each: Vec<usize>,
    /// What has to be bought.
    pub buy: Vec<ToBuy<'a>>,
    /// What that costs; none when a price of it is not known.
    pub total: Option<Money>,
    /// What is known of the cost.
    pub known: Money,
    /// Against every piece taking its first recipe within its limit: what is spared; none when either sum is
    /// not known.
    pub spared: Option<Money>,
    /// True when proven: no choice of recipes costs less. False: the best found before the search
    /// was stopped.
    pub exact: bool,
    /// Branches looked at.
    pub nodes: u64,
}

/// Wants that cannot be reckoned.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NotReckoned {
    /// A piece without a recipe.
    #[error("piece {piece} (counted from 0) has no recipe: leave it out, or propose one")]
    NoChoice {
        /// Which piece.
        piece: usize,
    },
    /// A recipe with a dye that is neither on the shelf nor sold.
    #[error(
        "{key} is in a recipe of piece {piece} (counted from 0) but not among the dyes: list it, with what is left of it"
    )]
    UnknownDye {
        /// Which piece.
        piece: usize,
        /// The dye.
        key: String,
    },
    /// A dye listed twice.
    #[error("{key} is listed twice among the dyes: add up what is left and list it once")]
    Twice {
        /// The dye.
        key: String,
    },
    /// A difference or a limit that is none.
    #[error("{what} of piece {piece} (counted from 0) is {given}: {rule}")]
    Number {
        /// Which number.
        what: &'static str,
        /// Which piece.
        piece: usize,
        /// As given.
        given: f64,
        /// What it must be.
        rule: &'static str,
    },
    /// A question that cannot be answered.
    #[error(transparent)]
    Question(#[from] crate::Refusal),
}

/// The cheapest set of dyes; at most `most_nodes` branches are looked at. Twenty pieces with their proposed
/// recipes took fewer than a thousand (`examples/cheapest_speed`); recipes drawn at random take a hundred times
/// as many, and may take minutes before [`USUAL_NODES`] stops them.
///
/// Equal costs are decided by the smaller sum of differences, then by the preferred recipe.
///
/// # Errors
/// [`NotReckoned`] for a piece without a recipe, a dye not listed or listed twice, a number that is none.
pub fn cheapest<'a>(
    wants: &[Want],
    sold: &[Sold<'a>],
    most_nodes: u64,
) -> Result<Cheapest<'a>, NotReckoned> {
    let job = Job::of(wants, sold)?;
    let solved = job.solve(most_nodes);
    let spared = {
        let first: Vec<usize> = job.pieces.iter().map(|p| p[0].place).collect();
        let alone = bill(wants, sold, &first);
        let now = bill(wants, sold, &solved.places);
        total(&alone).zip(total(&now)).and_then(|(alone, now)| less(alone, now))
    };
    let buy = bill(wants, sold, &solved.places);
    let used = |key: &str| {
        wants.iter().zip(&solved.places).any(|(w, at)| {
            w.choices[*at].dyes.iter().any(|(dye, grams)| *dye == key && grams.to_grams() > 0.0)
        })
    };
    Ok(Cheapest {
        dyes: sold.iter().map(|s| s.key).filter(|key| used(key)).collect(),
        total: total(&buy),
        known: buy.iter().filter_map(|b| b.cost).sum(),
        spared,
        exact: solved.exact,
        nodes: solved.nodes,
        choice_of_each: solved.places,
        buy,
    })
}

/// Branches after which a search for one costume is given up.
pub const USUAL_NODES: u64 = 1_000_000;

/// What has to be bought for chosen recipes.
fn bill<'a>(wants: &[Want], sold: &[Sold<'a>], places: &[usize]) -> Vec<ToBuy<'a>> {
    let mut bill = vec![];
    for dye in sold {
        let each = wants.iter().zip(places).flat_map(|(want, at)| &want.choices[*at].dyes);
        let takes: f64 = each.filter(|d| d.0 == dye.key).map(|d| d.1.to_grams()).sum();
        let short = bound::short(takes, dye.left);
        let Some(short) = short.and_then(|grams| Mass::try_grams(grams).ok()) else { continue };
        let packs = dye.pack.map(|pack| pack.packs_for(short));
        let cost = dye.pack.zip(packs).map(|(pack, packs)| bound::times(pack.price(), packs));
        bill.push(ToBuy { key: dye.key, short, packs, cost });
    }
    bill
}

fn total(bill: &[ToBuy]) -> Option<Money> {
    bill.iter().map(|b| b.cost).sum()
}

/// A sum less another; nothing where that is not less.
fn less(from: Money, other: Money) -> Option<Money> {
    #[expect(clippy::cast_precision_loss, reason = "below 1e11 hundredths: exact")]
    let hundredths = from.to_hundredths().saturating_sub(other.to_hundredths()) as f64;
    Money::try_amount(hundredths / 100.0).ok()
}
