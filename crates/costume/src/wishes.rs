//! What a maker wants of a piece besides its colour: what it is worth, how a blend may come out, what it
//! is seen over.

use units::Share;

use crate::Given;

/// How much a piece matters when there is not time or money for all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Worth {
    /// Without it there is no costume.
    Must,
    /// The usual.
    #[default]
    Should,
    /// Dropped first.
    Could,
}

impl Worth {
    /// As written in files and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Must => "must",
            Self::Should => "should",
            Self::Could => "could",
        }
    }
}

/// How a blend of fibres may be dyed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BlendWish {
    /// All fibres in one bath.
    OneBath,
    /// A bath for each fibre, one after the other.
    TwoBaths,
    /// One fibre is left: a mixture of two colours, seen from near.
    Heather,
}

impl BlendWish {
    /// As written in files and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::OneBath => "one bath",
            Self::TwoBaths => "two baths",
            Self::Heather => "heather",
        }
    }
}

/// What a sheer piece is seen over.
#[derive(Debug, Clone, PartialEq)]
pub struct Over {
    /// How much of the light meets its yarn; the rest goes to the backing.
    pub cover: Share,
    /// The colour behind it.
    pub backing: Given,
}
