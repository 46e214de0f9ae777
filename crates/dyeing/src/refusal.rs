//! Why the room refuses: the culprit, the rule, what to do.

/// A dye, cloth or reading that cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// Numbers that make no dye.
    #[error(
        "dye '{id}' has numbers no dye can have: strength, fixed share, saturation and deepest \
         dose must all be above zero"
    )]
    NoDye {
        /// The dye's id.
        id: String,
    },
    /// A data file of ours that cannot be read.
    #[error("{file}: {what}")]
    Data {
        /// Which file.
        file: &'static str,
        /// What is wrong.
        what: String,
    },
    /// A class that colours none of the fibres.
    #[error("no fibre of this cloth takes {class} dye: choose another class for {materials}")]
    NothingTakes {
        /// The class's words.
        class: String,
        /// The materials, joined.
        materials: String,
    },
    /// A material whose undyed look is not known.
    #[error("the look of undyed {material} is not known: give a reading of the cloth")]
    UnknownGround {
        /// The material's id.
        material: String,
    },
    /// A reading that no dose of this dye explains.
    #[error("the colour given for dye '{id}' cannot come from a dye of that hue: {why}")]
    NotThisDye {
        /// The dye's id.
        id: String,
        /// What does not fit.
        why: String,
    },
    /// A dyeing without dye.
    #[error("a swatch of no dye teaches nothing: name at least one dye of its bath")]
    NothingDyed,
    /// A spread that is none.
    #[error("the spread of a reading is {given}: give a ΔE00 from 0 to 100, such as 1")]
    NoSpread {
        /// As given.
        given: f64,
    },
    /// A dye that is not in stock.
    #[error("dye number {place} is not among the {stock} in stock: add it first")]
    NotInStock {
        /// Which.
        place: usize,
        /// How many there are.
        stock: usize,
    },
    /// A lot of nothing.
    #[error("'{id}' is said to be another lot of a dye that is not there: name the first lot")]
    NoSuchLot {
        /// The dye's id.
        id: String,
    },
    /// Numbers that cannot be solved for.
    #[error("these swatches cannot be learnt from: check doses, colours and spreads")]
    CannotLearn,
    /// A colour the colour room refused.
    #[error(transparent)]
    Colour(#[from] colour::Refusal),
    /// A number that is no quantity.
    #[error(transparent)]
    Quantity(#[from] units::NotAQuantity),
}
