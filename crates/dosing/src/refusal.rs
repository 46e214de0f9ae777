//! What this room refuses, in words.

use units::{Mass, NotAQuantity, Volume};

use crate::Shown;

/// A thing that cannot be part of dosing: the culprit, the rule, what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DosingRefusal {
    /// A number outside the range of its kind.
    #[error(transparent)]
    Quantity(#[from] NotAQuantity),
    /// A scale's step is not one that scales have.
    #[error(
        "a scale cannot show steps of {} g: a step is 1, 2 or 5 times a power of ten, from 0.0001 \
         to 10 g; give the smallest change its display shows, such as 0.1 or 0.01",
        given.to_grams()
    )]
    Step {
        /// The step as given.
        given: Mass,
    },
    /// The marks of a syringe or jug do not fit it.
    #[error(
        "a syringe or jug of {} mL cannot have marks of {} mL: marks are at least 0.001 mL apart, \
         in whole thousandths, and a whole number of them fills it; give its capacity and the \
         volume from one mark to the next, such as 10 and 0.2",
        capacity.to_millilitres(), mark.to_millilitres()
    )]
    Marks {
        /// The capacity as given.
        capacity: Volume,
        /// The smallest mark as given.
        mark: Volume,
    },
    /// The same measure twice in one kit.
    #[error(
        "a {} mL measure with marks of {} mL is in the kit twice: list each sort once",
        capacity.to_millilitres(), mark.to_millilitres()
    )]
    Twice {
        /// Its capacity.
        capacity: Volume,
        /// Its smallest mark.
        mark: Volume,
    },
    /// A spoon that is no measuring spoon.
    #[error(
        "a spoon of {} mL does not measure a liquid: measuring spoons hold 0.5 to 50 mL, in whole \
         thousandths; read what is stamped on it, such as 5 or 15",
        given.to_millilitres()
    )]
    Spoon {
        /// The spoon as given.
        given: Volume,
    },
    /// The same spoon twice in one kit.
    #[error("a {} mL spoon is in the kit twice: list each sort once", given.to_millilitres())]
    SpoonTwice {
        /// The spoon as given.
        given: Volume,
    },
    /// More sorts of spoons than are told apart at the bench.
    #[error("{count} sorts of spoons are too many: list at most {most}")]
    Spoons {
        /// How many came.
        count: usize,
        /// How many there may be.
        most: usize,
    },
    /// A pack with nothing in it.
    #[error("a pack of {} g has no price per gram: give what it holds, at least 0.1 g", contents.to_grams())]
    EmptyPack {
        /// What it was said to hold.
        contents: Mass,
    },
    /// A number that cannot be written with the decimals asked for.
    #[error(
        "{given} cannot be written with {decimals} decimals: it must be from 0 to 1000000000, with at most 9 decimals"
    )]
    NotWritable {
        /// The number.
        given: f64,
        /// The decimals asked for.
        decimals: u8,
    },
    /// No goods to dye.
    #[error("{} g of goods cannot be dyed: weigh the dry goods first", goods.to_grams())]
    NoGoods {
        /// The goods as given.
        goods: Mass,
    },
    /// The stock solutions alone overfill the bath.
    #[error(
        "the stock solutions come to {stocks} mL but the whole bath is {total} mL, so there is no \
         water to add: make stronger stocks, or raise the liquor ratio"
    )]
    StocksOverfill {
        /// All stock volumes together.
        stocks: Shown,
        /// The bath.
        total: Shown,
    },
}
