//! Whose evidence it is: one's own, a friend's, an old note. Scale, water and camera differ from hand
//! to hand, so that whoever learns from it can keep them apart.

use crate::record::Fields;
use crate::{Refusal, words};

/// Whose work a swatch or a reading is.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Hand {
    /// The maker's own.
    Own,
    /// A friend's, by name.
    Friend(String),
    /// An old note, by where it stands.
    OldNote(String),
}

impl Hand {
    pub(crate) fn check(&self) -> Result<(), Refusal> {
        match self {
            Self::Own => Ok(()),
            Self::Friend(name) => words::name("the name of a friend", name),
            Self::OldNote(place) => words::name("the place of an old note", place),
        }
    }

    pub(crate) fn cells(&self) -> [Option<String>; 2] {
        match self {
            Self::Own => [Some("own".to_owned()), None],
            Self::Friend(name) => [Some("friend".to_owned()), Some(name.clone())],
            Self::OldNote(place) => [Some("old note".to_owned()), Some(place.clone())],
        }
    }

    pub(crate) fn read(row: &Fields<'_>) -> Result<Self, Refusal> {
        match (row.text("hand")?.as_str(), row.maybe_text("whose")?) {
            ("own", None) => Ok(Self::Own),
            ("friend", Some(name)) => Ok(Self::Friend(name)),
            ("old note", Some(place)) => Ok(Self::OldNote(place)),
            (other, _) => Err(Refusal::UnknownWord {
                what: "hand",
                given: other.to_owned(),
                known: "own (without a name), friend, old note (with one)".to_owned(),
            }),
        }
    }
}
