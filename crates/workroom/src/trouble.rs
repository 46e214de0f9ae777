//! Why something was not done: the request was refused, or something here is broken.

use std::path::PathBuf;

use costume::Faults;

/// Refusals and breakages, kept apart.
#[derive(Debug, thiserror::Error)]
pub enum Trouble {
    /// Faults in a file, all of them, each with its place.
    #[error("{0}")]
    Faults(Box<Faults>),
    /// Something asked for cannot be: the culprit, the rule, what to do.
    #[error("{says}; {hint}")]
    Refused {
        /// The culprit as written and the rule.
        says: String,
        /// What to do.
        hint: String,
    },
    /// The disk or the program failed.
    #[error("{doing} {}: {why}", path.display())]
    Broken {
        /// What was being done.
        doing: &'static str,
        /// With which file.
        path: PathBuf,
        /// What went wrong.
        why: String,
    },
}

impl Trouble {
    /// A refusal.
    pub(crate) fn refused(says: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::Refused { says: says.into(), hint: hint.into() }
    }
}

impl From<plan::Stopped> for Trouble {
    fn from(stopped: plan::Stopped) -> Self {
        Self::refused(stopped.to_string(), "start again when you are ready")
    }
}

impl From<Faults> for Trouble {
    fn from(faults: Faults) -> Self {
        Self::Faults(Box::new(faults))
    }
}
