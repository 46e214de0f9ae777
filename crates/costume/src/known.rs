//! What is known before a file of swatches is read: codes of swatches and cards, costumes with their pieces; and what a
//! slip of the pen in one of them meant.
//!
//! A code is taken for the one that is meant where only one can be; a name is never taken for another, but asked about.
//! Left out: where all of that is known from; whoever opens files and workbooks tells.

use crate::card_code::{CHARACTERS, is_card, swatch_code};
use crate::reader::nearest;

/// What is known.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Known {
    /// Codes of swatches and of printed cards.
    pub codes: Vec<String>,
    /// Costumes.
    pub costumes: Vec<CostumeKnown>,
}

/// A costume that is known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CostumeKnown {
    /// What it is called.
    pub name: String,
    /// Its pieces, by the name that files use.
    pub pieces: Vec<String>,
    /// The file that tells all its pieces; none: a workbook, which has those that were recorded.
    pub file: Option<String>,
}

/// Which swatch a code means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Meant<'a> {
    /// As it is written.
    Itself,
    /// This one: the only one that it can be.
    This(&'a str),
    /// One of these.
    OneOf(Vec<&'a str>),
    /// None that is known.
    Unknown,
}

/// Which of the known codes is meant: capitals, spaces and hyphens do not matter, nor 0 for O and 1 for I; of a card's
/// code one letter may be wrong, missing or too many, or two may have changed places.
#[must_use]
pub fn code_meant<'a>(written: &str, known: &'a [String]) -> Meant<'a> {
    if known.iter().any(|code| code == written) {
        return Meant::Itself;
    }
    let one_of = |mut found: Vec<&'a str>| {
        found.sort_unstable();
        found.dedup();
        match found[..] {
            [] => None,
            [one] => Some(Meant::This(one)),
            _ => Some(Meant::OneOf(found)),
        }
    };
    let folded = folded(written);
    let same = known.iter().filter(|code| self::folded(code) == folded).map(String::as_str);
    if let Some(meant) = one_of(same.collect()) {
        return meant;
    }
    // A sound code is a card's own, or a card dyed a second time; what is much shorter or longer is no card's.
    let sound = swatch_code(written).is_ok_and(|code| is_card(&code));
    let length = folded.chars().count();
    if sound || !(CHARACTERS..=MOST_FOLDED).contains(&length) {
        return Meant::Unknown;
    }
    let slip =
        |code: &&String| is_card(code) && strsim::osa_distance(&self::folded(code), &folded) == 1;
    one_of(known.iter().filter(slip).map(String::as_str).collect()).unwrap_or(Meant::Unknown)
}

/// The longest that is compared with a card letter by letter.
const MOST_FOLDED: usize = 24;

/// A code without what the eye passes over.
fn folded(code: &str) -> String {
    let letters = code.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase);
    letters
        .map(|c| match c {
            'O' => '0',
            'I' => '1',
            other => other,
        })
        .collect()
}

impl Known {
    /// What has to be asked about a piece that is named; nothing where it is known or can well be new.
    #[must_use]
    pub(crate) fn doubt(&self, costume: &str, piece: &str) -> Option<(Doubt, String, String)> {
        const MEANT: &str =
            "for a piece that stands in no costume file write outside = true beside it";
        let all: Vec<&CostumeKnown> = self.costumes.iter().filter(|c| c.name == costume).collect();
        if all.iter().any(|c| c.pieces.iter().any(|p| p == piece)) {
            return None;
        }
        if let Some((whole, file)) = all.iter().find_map(|c| Some((*c, c.file.as_ref()?))) {
            let says = format!("\"{piece}\" is no piece of \"{costume}\" in {file}");
            let known: Vec<&str> = whole.pieces.iter().map(String::as_str).collect();
            let of = match nearest(&piece.to_lowercase(), &known) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => format!("it has {}", listed(&known)),
            };
            return Some((Doubt::Piece, says, format!("{of}; {MEANT}")));
        }
        if let Some(near) = all.iter().flat_map(|c| &c.pieces).find(|p| alike(p, piece)) {
            let says =
                format!("\"{piece}\" would be a new piece of \"{costume}\", which has \"{near}\"");
            return Some((Doubt::Piece, says, format!("did you mean \"{near}\"? {MEANT}")));
        }
        if !all.is_empty() {
            return None;
        }
        let near = self.costumes.iter().find(|c| alike(&c.name, costume))?;
        let says = format!("\"{costume}\" would be a new costume, and \"{}\" is known", near.name);
        let hint = format!(
            "did you mean \"{}\"? if it is another, write outside = true beside it",
            near.name
        );
        Some((Doubt::Costume, says, hint))
    }
}

/// What is doubted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Doubt {
    Costume,
    Piece,
}

/// Names that a slip of the pen makes of each other: the same but for capitals and spaces, or a letter or two of many.
fn alike(one: &str, other: &str) -> bool {
    let plain = |name: &str| -> String {
        name.chars().filter(|c| c.is_alphanumeric()).take(64).flat_map(char::to_lowercase).collect()
    };
    let (one, other) = (plain(one), plain(other));
    let slips = (one.chars().count().max(other.chars().count()) / 5).max(1);
    one == other || strsim::osa_distance(&one, &other) <= slips
}

fn listed(names: &[&str]) -> String {
    const MOST: usize = 24;
    let shown = names.iter().take(MOST).copied().collect::<Vec<_>>().join(", ");
    match names.len().saturating_sub(MOST) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::CardCode;

    /// The code with one character put in another's place.
    fn with(code: &str, place: usize, put: char) -> String {
        code.chars().enumerate().map(|(i, c)| if i == place { put } else { c }).collect()
    }

    #[test]
    fn a_code_is_the_one_card_that_it_can_be() {
        let known: Vec<String> = (0..40)
            .map(|n| CardCode::of(&format!("card {n}")).to_string())
            .chain(["W-1", "W-2", "WO-10", "Oak 1"].map(str::to_owned))
            .collect();
        let meant = |written: &str| code_meant(written, &known);
        for (n, code) in known.iter().enumerate().take(40) {
            assert_eq!(meant(code), Meant::Itself, "{n}");
            let bare = code.replace('-', "");
            for written in [
                code.to_lowercase(),
                code.replace('-', " "),
                bare.to_lowercase(),
                format!(" {code} "),
            ] {
                assert_eq!(meant(&written), Meant::This(code), "{written:?}");
            }
            for place in [0, 1, 2, 4, 5, 6, 8] {
                for put in ['O', '0', 'I', '1', 'Z', '7'] {
                    let slip = with(code, place, put);
                    if slip == *code {
                        continue;
                    }
                    // Two cards a letter apart are asked about; none is taken for another.
                    let found = meant(&slip);
                    let right = match &found {
                        Meant::This(it) => it == code,
                        Meant::OneOf(all) => all.contains(&code.as_str()),
                        Meant::Itself | Meant::Unknown => false,
                    };
                    assert!(right, "{slip} of {code}: {found:?}");
                }
            }
            assert_eq!(meant(&format!("{code}-2")), Meant::Unknown, "a second swatch of the card");
        }
        assert_eq!(meant("w-1"), Meant::This("W-1"));
        assert_eq!(meant("w1"), Meant::This("W-1"));
        assert_eq!(meant("wo-1O"), Meant::This("WO-10"));
        assert_eq!(meant("0AK I"), Meant::This("Oak 1"));
        assert_eq!(meant("W-3"), Meant::Unknown, "a short code of one's own is another swatch");
        let two = ["W-I".to_owned(), "W-1".to_owned()];
        assert_eq!(code_meant("w1", &two), Meant::OneOf(vec!["W-1", "W-I"]));
    }

    #[test]
    fn a_name_near_a_known_one_is_asked_about() {
        let of = |name: &str, pieces: &[&str], file: Option<&str>| CostumeKnown {
            name: name.to_owned(),
            pieces: pieces.iter().map(|p| (*p).to_owned()).collect(),
            file: file.map(str::to_owned),
        };
        let known = Known {
            codes: vec![],
            costumes: vec![
                of("The Lantern Warden", &["coat", "sash"], Some("costume.toml")),
                of("The Lantern Warden", &["banner"], None),
                of("The Ferryman", &["sash"], None),
            ],
        };
        let doubt = |costume: &str, piece: &str| {
            known.doubt(costume, piece).map(|(_, says, hint)| says + &hint)
        };
        for (costume, piece) in [
            ("The Lantern Warden", "coat"),
            ("The Lantern Warden", "banner"),
            ("The Ferryman", "hat"),
            ("Somebody else", "caot"),
        ] {
            assert_eq!(doubt(costume, piece), None, "{costume}, {piece}");
        }
        assert!(
            doubt("The Lantern Warden", "caot").is_some_and(|d| d
                .contains("did you mean \"coat\"")
                && d.contains("outside = true"))
        );
        assert!(
            doubt("The Lantern Warden", "Coat")
                .is_some_and(|d| d.contains("did you mean \"coat\""))
        );
        assert!(
            doubt("The Lantern Warden", "umbrella")
                .is_some_and(|d| d.contains("it has coat, sash"))
        );
        assert!(doubt("The Ferryman", "sahs").is_some_and(|d| d.contains("\"sash\"")));
        assert!(
            doubt("The Latern Warden", "coat")
                .is_some_and(|d| d.contains("\"The Lantern Warden\""))
        );
    }
}
