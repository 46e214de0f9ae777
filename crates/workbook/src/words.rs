//! Texts as the workbook takes them, and lists of words one of which must be meant.

use crate::Refusal;

/// The longest name, characters.
const LONGEST_NAME: usize = 200;
/// The longest note or sheet, bytes (4 MiB: a bath sheet's JSON is some 20 kB).
const LONGEST_NOTE: usize = 4 << 20;

/// A name: something to read, in one line.
pub(crate) fn name(what: &'static str, given: &str) -> Result<(), Refusal> {
    let refuse = |rule: &str| {
        let given = given.chars().take(60).collect::<String>().escape_debug().to_string();
        Err(Refusal::Text { what, given, rule: rule.to_owned() })
    };
    if given.trim().is_empty() {
        return refuse("it must say something; write a word or two");
    }
    if given.trim() != given {
        return refuse("it must not begin or end with a space; take the space away");
    }
    if given.chars().count() > LONGEST_NAME {
        return refuse("it is longer than 200 characters; put the rest into the note");
    }
    if given.chars().any(char::is_control) {
        return refuse(
            "it must be one line without control characters; put the rest into the note",
        );
    }
    Ok(())
}

/// A name that may be left out.
pub(crate) fn maybe_name(what: &'static str, given: Option<&str>) -> Result<(), Refusal> {
    given.map_or(Ok(()), |text| name(what, text))
}

/// A note: any text that is one, of several lines, or none.
pub(crate) fn note(what: &'static str, given: Option<&str>) -> Result<(), Refusal> {
    let Some(text) = given else { return Ok(()) };
    let refuse = |rule: &str| {
        let given = text.chars().take(60).collect::<String>().escape_debug().to_string();
        Err(Refusal::Text { what, given, rule: rule.to_owned() })
    };
    if text.trim().is_empty() {
        return refuse("an empty note says nothing; leave it out");
    }
    if text.len() > LONGEST_NOTE {
        return refuse("it is longer than 4 MiB; keep it in a file of its own");
    }
    if text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\t')) {
        return refuse("it holds control characters; take them away");
    }
    Ok(())
}

/// An enum whose cases are words in the file.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident, $what:literal, { $($(#[$case:meta])* $variant:ident = $word:literal,)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum $name {
            $($(#[$case])* $variant,)+
        }

        impl $name {
            /// Every case.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)+];

            /// The word.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self {
                    $(Self::$variant => $word,)+
                }
            }

            /// The case of this word.
            pub fn from_word(given: &str) -> Result<Self, $crate::Refusal> {
                match given {
                    $($word => Ok(Self::$variant),)+
                    _ => Err($crate::Refusal::UnknownWord {
                        what: $what,
                        given: given.chars().take(60).collect(),
                        known: [$($word,)+].join(", "),
                    }),
                }
            }
        }
    };
}
pub(crate) use words;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_notes_are_refused_in_words() {
        assert!(name("a name", "Sleeve, left (2nd)").is_ok());
        let long = "x".repeat(201);
        for (bad, word) in
            [("", "say something"), (" a", "space"), ("a\nb", "one line"), (long.as_str(), "200")]
        {
            let speech = name("the name of a piece", bad).unwrap_err().to_string();
            assert!(speech.contains(word) && speech.starts_with("the name of a piece"), "{speech}");
        }
        assert!(note("a note", Some("one\n\ttwo")).is_ok() && note("a note", None).is_ok());
        assert!(note("a note", Some(" \n")).is_err() && note("a note", Some("a\0b")).is_err());
    }
}
