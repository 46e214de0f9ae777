//! What is asked of the recipe room: one cloth, one target, the dyes at hand, and how they can be
//! measured out.

use colour::{Bands, Light};
use dosing::{Kit, StockRules};
use dyeing::{Dye, Scatter, Substrate};
use units::{Mass, OnFibre, PricePerGram};

/// One dye that may be used, with what it costs and how it may be dissolved.
#[derive(Debug, Clone)]
pub struct Candidate<'a> {
    /// The dye; of the substrate's class family.
    pub dye: &'a Dye,
    /// Price, when the maker gave one.
    pub price: Option<PricePerGram>,
    /// How strong a stock of it may be, and how long it keeps.
    pub rules: StockRules,
}

/// The colour aimed at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Target {
    /// Its reflectance: read, or the most likely one for a colour.
    pub bands: Bands,
    /// True when only a colour was given: then its look under other lights is assumed.
    pub assumed: bool,
}

/// A question.
#[derive(Debug, Clone)]
pub struct Question<'a> {
    /// The cloth, ready for the class.
    pub on: &'a Substrate,
    /// The dyes that may be used; at most 64.
    pub dyes: &'a [Candidate<'a>],
    /// What it should look like.
    pub target: Target,
    /// The lights it must hold under; D65 is always looked at first.
    pub lights: &'a [Light],
    /// Weight of the goods of the bath.
    pub goods: Mass,
    /// How dyes can be measured out.
    pub kit: &'a Kit,
    /// The piece's tolerance, ΔE00.
    pub tolerance: f64,
    /// Most dyes in one recipe, 1 to 4.
    pub most_dyes: usize,
    /// The most dye, all together, that the bath is good for; none: each dye's own most alone.
    pub most_total: Option<OnFibre>,
    /// How alike two dyeings of one recipe come out.
    pub scatter: Scatter,
}

/// A question that cannot be answered.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// No dye of the class.
    #[error("there is no {class} dye on the shelf: add one, or let the starter shelf be used")]
    NoDyes {
        /// The class in words.
        class: String,
    },
    /// More dyes than a search takes.
    #[error("{count} dyes are too many for one search: at most {most}; leave some out")]
    TooMany {
        /// How many came.
        count: usize,
        /// How many can be taken.
        most: usize,
    },
    /// A tolerance or a scatter that is no such thing.
    #[error("{what} is {given}: {rule}")]
    Number {
        /// Which number.
        what: &'static str,
        /// As given.
        given: f64,
        /// What it must be.
        rule: &'static str,
    },
    /// A set of pieces without one to dye.
    #[error("a matched set of no pieces: name at least one piece that is dyed")]
    NoPieces,
    /// A ladder of too few or too many rungs.
    #[error("a ladder of {given} rungs: give 2 to 4")]
    Rungs {
        /// As given.
        given: usize,
    },
    /// A cloth that was not named.
    #[error("there is no cloth {place}: {cloths} are named, counted from 0")]
    NoSuchCloth {
        /// The place given.
        place: usize,
        /// How many there are.
        cloths: usize,
    },
    /// Asked to stop.
    #[error(
        "stopped before the set was matched: nothing was changed; ask again when there is time"
    )]
    Stopped,
    /// The engine refused its numbers.
    #[error("the search could not begin: {0}")]
    Engine(String),
    /// A dye that the dyeing room refuses.
    #[error(transparent)]
    Dyeing(#[from] dyeing::Refusal),
    /// A colour that the colour room refuses.
    #[error(transparent)]
    Colour(#[from] colour::Refusal),
    /// A number that is no quantity.
    #[error(transparent)]
    Quantity(#[from] units::NotAQuantity),
}
