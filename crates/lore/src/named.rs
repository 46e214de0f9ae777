//! Closed lists of trade words: an enum with one id each, read and written by that id.
//!
//! The ids are what data files, costume files and JSON use. A word that is not in the list is
//! refused with the nearest words that are. No source: this is house machinery.

use crate::near::nearest;

/// A word that names nothing we know: the kind of thing, the word, and the nearest known ones.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownName {
    /// What kind of thing was asked for: "fibre", "dye class".
    pub kind: &'static str,
    /// The word as it came.
    pub given: String,
    /// Known words spelled nearly so, nearest first; may be empty.
    pub near: Vec<String>,
    /// Every known word, in the order of the data.
    pub known: Vec<String>,
}

impl std::error::Error for UnknownName {}

impl std::fmt::Display for UnknownName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "'{}' is not a {} we know: ", self.given, self.kind)?;
        if self.near.is_empty() {
            write!(f, "known are {}", self.known.join(", "))
        } else {
            write!(f, "did you mean {}?", self.near.join(" or "))
        }
    }
}

impl UnknownName {
    /// The refusal of `given`, with the nearest of the `known` words looked up.
    pub(crate) fn of<'a>(
        kind: &'static str,
        given: &str,
        known: impl Iterator<Item = &'a str> + Clone,
    ) -> Self {
        Self {
            kind,
            given: given.to_owned(),
            near: nearest(given, known.clone()),
            known: known.map(str::to_owned).collect(),
        }
    }
}

/// Defines one closed list: `named! { /// doc … pub enum X, "kind" { /// doc … A = "a", … } }`.
macro_rules! named {
    ($(#[$doc:meta])* pub enum $name:ident, $kind:literal {
        $($(#[$vdoc:meta])* $variant:ident = $id:literal),+ $(,)?
    }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Deserialize)]
        pub enum $name {
            $($(#[$vdoc])* #[serde(rename = $id)] $variant),+
        }

        impl $name {
            /// Every one, in order.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word that names it in files and JSON.
            #[must_use]
            pub const fn id(self) -> &'static str {
                match self { $(Self::$variant => $id),+ }
            }
        }

        impl std::str::FromStr for $name {
            type Err = $crate::UnknownName;
            fn from_str(given: &str) -> Result<Self, $crate::UnknownName> {
                let tidy = $crate::near::tidy(given);
                Self::ALL.iter().copied().find(|it| $crate::near::tidy(it.id()) == tidy).ok_or_else(|| {
                    $crate::UnknownName::of($kind, given, Self::ALL.iter().map(|it| it.id()))
                })
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.id())
            }
        }
    };
}

pub(crate) use named;

#[cfg(test)]
mod tests {
    use crate::{DyeClass, Procedure};

    #[test]
    fn every_id_reads_back_as_itself() {
        for class in DyeClass::ALL {
            assert_eq!(class.id().parse(), Ok(*class));
        }
        for procedure in Procedure::ALL {
            assert_eq!(procedure.id().parse(), Ok(*procedure));
        }
    }

    #[test]
    fn a_misspelt_word_is_refused_with_its_neighbours() {
        let said = "acid-miling".parse::<DyeClass>().map_err(|e| e.to_string());
        assert_eq!(
            said,
            Err("'acid-miling' is not a dye class we know: did you mean acid-milling?".to_owned())
        );
    }
}
