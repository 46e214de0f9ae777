//! Why a colour, spectrum or name is refused: the culprit as written, the rule, what to do.
//!
//! Refusals of a *text* carry their line and column besides; see `TextRefusal` in `text`.

use crate::{Light, Observer};

/// A colour, spectrum or name that cannot be what it was meant to be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// A number that is NaN or infinite.
    #[error("{what} is {given}: it must be a finite number; type the number the instrument shows")]
    NotFinite {
        /// What the number was meant to be.
        what: String,
        /// As given.
        given: f64,
    },
    /// A number outside its range.
    #[error("{what} is {given}: {rule}")]
    OutOfRange {
        /// What the number was meant to be.
        what: String,
        /// As given.
        given: f64,
        /// The rule and what to do.
        rule: String,
    },
    /// A name that is not in the list.
    #[error("no {what} is called \"{given}\"; did you mean {near}?")]
    UnknownName {
        /// The kind of thing named.
        what: &'static str,
        /// As written.
        given: String,
        /// The nearest known name, or all of them.
        near: String,
    },
    /// A spectrum whose grid cannot carry the model grid.
    #[error("a spectrum from {start} nm by {step} nm with {count} values: {rule}")]
    Grid {
        /// First wavelength, nm.
        start: f64,
        /// Step, nm.
        step: f64,
        /// Number of values.
        count: usize,
        /// The rule and what to do.
        rule: String,
    },
    /// A hex colour that cannot be read.
    #[error("\"{given}\" is not a hex colour: write # and six digits 0-9 or a-f, as in #2f6f5a")]
    Hex {
        /// As written.
        given: String,
    },
    /// Two colours with different light or observer.
    #[error(
        "a colour under {left_light}/{left_observer} cannot be compared with one under \
         {right_light}/{right_observer}: bring both to one light and observer, from their spectra"
    )]
    Unlike {
        /// Light of the first.
        left_light: Light,
        /// Observer of the first.
        left_observer: Observer,
        /// Light of the second.
        right_light: Light,
        /// Observer of the second.
        right_observer: Observer,
    },
}

/// The known name nearest to what was written (fewest letters changed), for the hint.
pub(crate) fn nearest<'a>(given: &str, known: impl Iterator<Item = &'a str>) -> String {
    let given: String = given.to_lowercase().chars().take(64).collect();
    known
        .min_by_key(|name| strsim::levenshtein(&given, &name.to_lowercase()))
        .unwrap_or("")
        .to_owned()
}
