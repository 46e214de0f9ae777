//! Ways of dyeing at hand: pot, tub, washing machine and the rest, and what the machine can do.

use units::{Celsius, Mass, Volume};

/// A way of dyeing the maker has at hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Method {
    /// A pot on a burner.
    Pot,
    /// A tub or bucket without heat.
    Tub,
    /// A washing machine: see [`Machine`].
    Machine,
    /// A steamer for wrapped goods.
    Steamer,
    /// Wrapped and left at room temperature.
    ColdWrap,
    /// A microwave oven kept for dye only.
    Microwave,
}

impl Method {
    /// All of them, in the order they are told to a maker.
    pub const ALL: [Self; 6] =
        [Self::Pot, Self::Tub, Self::Machine, Self::Steamer, Self::ColdWrap, Self::Microwave];

    /// As written in files and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Pot => "pot",
            Self::Tub => "tub",
            Self::Machine => "machine",
            Self::Steamer => "steamer",
            Self::ColdWrap => "cold wrap",
            Self::Microwave => "microwave",
        }
    }
}

/// What a washing machine takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Machine {
    /// Dry goods it holds.
    pub holds: Mass,
    /// Water it lets in for a wash.
    pub water: Volume,
    /// Its hottest wash.
    pub hottest: Celsius,
}
