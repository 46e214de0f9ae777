//! Why the dyehouse refuses: the culprit, the rule, what to do.

/// A world, shelf, recipe or case that cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// A world nobody described.
    #[error("there is no world '{given}': take one of {known}")]
    NoWorld {
        /// As written.
        given: String,
        /// All names, joined.
        known: String,
    },
    /// A text of ours or of a case that cannot be read.
    #[error("{file}: {what}")]
    File {
        /// Which file.
        file: String,
        /// What is wrong, and what to do.
        what: String,
    },
    /// Numbers that make no dye, cloth or world.
    #[error("{what} is {given}: {rule}")]
    Number {
        /// The number meant.
        what: String,
        /// As given.
        given: f64,
        /// The rule.
        rule: &'static str,
    },
    /// A spectrum with too few values or too many.
    #[error("'{whose}' has {given} values: give 31, from 400 to 700 nm by 10 nm")]
    Spectrum {
        /// Whose.
        whose: String,
        /// How many were given.
        given: usize,
    },
    /// A recipe that names what the house does not have, or nothing at all.
    #[error("the recipe cannot be dyed: {why}")]
    Recipe {
        /// What is wrong.
        why: String,
    },
    /// A stratum which no mix of three of these dyes was found in.
    #[error(
        "no mix of three of these dyes was found in stratum '{stratum}' on {cloth}: add dyes or leave it out"
    )]
    NoTarget {
        /// The stratum.
        stratum: String,
        /// The cloth.
        cloth: String,
    },
    /// A colour the colour room refused.
    #[error(transparent)]
    Colour(#[from] colour::Refusal),
    /// A number that is no quantity.
    #[error(transparent)]
    Quantity(#[from] units::NotAQuantity),
}

impl Refusal {
    pub(crate) fn file(file: &str, what: impl std::fmt::Display) -> Self {
        Self::File { file: file.to_owned(), what: what.to_string() }
    }

    /// The same with the file and the line it is about; one that names its file already is left alone.
    pub(crate) fn in_line(self, file: &str, text: &str, at: usize) -> Self {
        match self {
            Self::File { .. } => self,
            other => {
                let line = 1 + text.bytes().take(at).filter(|b| *b == b'\n').count();
                Self::file(file, format!("line {line}: {other}"))
            }
        }
    }
}

/// Admits a number within bounds.
pub(crate) fn within(
    what: impl FnOnce() -> String,
    given: f64,
    bounds: std::ops::RangeInclusive<f64>,
    rule: &'static str,
) -> Result<f64, Refusal> {
    if bounds.contains(&given) {
        Ok(given)
    } else {
        Err(Refusal::Number { what: what(), given, rule })
    }
}
