//! Why ladders and constants are refused: the culprit as written, the rule, what to do.

use units::NotAQuantity;

/// A ladder, an amount or a constant that cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// A number that must be above zero.
    #[error("{what} is {given}: {rule}; type the number of the source")]
    NotAbove {
        /// What the number was meant to be.
        what: &'static str,
        /// As given.
        given: f64,
        /// The rule.
        rule: &'static str,
    },
    /// A ladder too short to learn from.
    #[error("a ladder of {steps} step(s): it takes two, the palest first; add a step")]
    TooShort {
        /// Steps given.
        steps: usize,
    },
    /// Nothing to fit the constants on.
    #[error(
        "no step is left to fit the depth law on: middle and palest step are learnt from, so at \
         least one ladder must have three steps or more; give longer ladders"
    )]
    NothingToFit,
    /// Faults of a file of ladders, all of them.
    #[error("the file of ladders cannot be read:\n{}", .0.join("\n"))]
    File(Vec<String>),
    /// A colour the colour room refused.
    #[error(transparent)]
    Colour(#[from] colour::Refusal),
    /// A number that is no quantity.
    #[error(transparent)]
    Quantity(#[from] NotAQuantity),
}
