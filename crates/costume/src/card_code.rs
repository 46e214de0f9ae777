//! The code on a swatch's card: short, made of characters nobody takes for one another, with one more that shows a
//! slip of the pen.
//!
//! Six characters of an alphabet of 29 and a check, written `K7M-Q3T-X`. Left out of the alphabet: 0 and O, 1 and I
//! and L, S (5), U (V). 29 is a prime, so that a check over distinct weights notices every single wrong character and
//! every two that changed places. The same words always give the same code: a plan made again prints the same card.
//! Left out: whether two plans of a household ever meet in one code (one chance in six hundred million for a pair);
//! the workbook refuses the second.

use std::fmt;

/// The characters of a code, by their value.
const ALPHABET: &[u8; BASE] = b"23456789ABCDEFGHJKMNPQRTVWXYZ";
const BASE: usize = 29;
/// Characters before the check.
pub(crate) const CHARACTERS: usize = 6;

/// The code of a card.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CardCode(String);

/// A code of a card's shape that is no card's: mistyped.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Mistyped {
    /// A character that no card bears.
    #[error("\"{code}\" looks like the code of a card, and no card bears \"{character}\"")]
    Character {
        /// The code as written.
        code: String,
        /// The character.
        character: char,
    },
    /// The check does not agree.
    #[error(
        "\"{0}\" looks like the code of a card, and its last letter does not fit the others: a slip"
    )]
    Check(String),
}

impl CardCode {
    /// The code of these words: whatever makes a swatch this one and no other.
    #[must_use]
    pub fn of(words: &str) -> Self {
        let mut left = hash(words);
        let values: [usize; CHARACTERS] = std::array::from_fn(|_| {
            let base = BASE as u64;
            let value = usize::try_from(left % base).unwrap_or(0);
            left /= base;
            value
        });
        let letter = |value: usize| char::from(ALPHABET[value % BASE]);
        let all: String = values.iter().map(|v| letter(*v)).collect();
        Self(format!("{}-{}-{}", &all[..3], &all[3..], letter(check(&values))))
    }

    /// As it is printed and typed.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for CardCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A swatch's code as it is kept: a maker's own as written, a card's in capitals and with its hyphens.
///
/// What has a card's shape (three, three and one, with whatever stands after a further hyphen, as for a card dyed a
/// second time: `K7M-Q3T-X-2`) is held to its check. Written with spaces instead, it is a card's where the check fits.
///
/// # Errors
/// A code of a card's shape that no card bears.
pub fn swatch_code(written: &str) -> Result<String, Mistyped> {
    let written = written.trim();
    let Some((card, rest)) = shaped(written) else {
        let hyphened = written.split_whitespace().collect::<Vec<_>>().join("-");
        let hyphened = hyphened.replace("---", "-").replace("--", "-");
        let sound = (hyphened != written && shaped(&hyphened).is_some())
            .then(|| swatch_code(&hyphened).ok())
            .flatten();
        return Ok(sound.unwrap_or_else(|| written.to_owned()));
    };
    let capitals = card.to_uppercase();
    let mut values = vec![];
    for letter in capitals.chars().filter(|c| *c != '-') {
        let Some(value) = ALPHABET.iter().position(|a| char::from(*a) == letter) else {
            return Err(Mistyped::Character { code: written.to_owned(), character: letter });
        };
        values.push(value);
    }
    match values.split_last() {
        Some((last, first)) if check(first) == *last => Ok(format!("{capitals}{rest}")),
        _ => Err(Mistyped::Check(written.to_owned())),
    }
}

/// Whether a code is one that a card bears, or of a card dyed again.
pub(crate) fn is_card(code: &str) -> bool {
    shaped(code).is_some() && swatch_code(code).is_ok_and(|kept| kept == code)
}

/// The card's own part of a code and what stands after it; nothing where the shape is another.
fn shaped(written: &str) -> Option<(&str, &str)> {
    let card = written.get(..CHARACTERS + 3)?;
    let rest = &written[card.len()..];
    let fits = card.char_indices().all(|(i, c)| match i {
        3 | 7 => c == '-',
        _ => c.is_ascii_alphanumeric(),
    });
    (fits && (rest.is_empty() || rest.starts_with('-'))).then_some((card, rest))
}

/// Every card's code in a text, such as a plan's.
#[must_use]
pub fn cards_in(text: &str) -> Vec<String> {
    let words = text.split(|c: char| !(c.is_ascii_alphanumeric() || c == '-'));
    let mut found: Vec<String> = words.filter(|w| is_card(w)).map(str::to_owned).collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// The check: each value counted as often as its place says, in the alphabet's own number of rest.
fn check(values: &[usize]) -> usize {
    values.iter().enumerate().map(|(i, v)| (i + 1) * v).sum::<usize>() % BASE
}

/// FNV-1a, 64 bits (Fowler, Noll, Vo; offset basis and prime as published in the IETF draft "The FNV
/// Non-Cryptographic Hash Algorithm"), its halves folded together so that every bit of the words counts.
fn hash(words: &str) -> u64 {
    const BASIS: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0100_0000_01b3;
    let all = words.bytes().fold(BASIS, |h, byte| (h ^ u64::from(byte)).wrapping_mul(PRIME));
    all ^ (all >> 32)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn a_code_is_its_own_and_comes_again() {
        let code = CardCode::of("coat, acid navy 1 %");
        assert_eq!(code, CardCode::of("coat, acid navy 1 %"));
        assert_ne!(code, CardCode::of("coat, acid navy 2 %"));
        assert_eq!(swatch_code(code.as_str()).as_deref(), Ok(code.as_str()));
        assert_eq!(swatch_code(&code.as_str().to_lowercase()).as_deref(), Ok(code.as_str()));
        let second = format!("{code}-2");
        assert_eq!(swatch_code(&second).as_deref(), Ok(second.as_str()));
        for spaced in [
            code.as_str().replace('-', " "),
            format!("  {code}"),
            code.as_str().replace('-', " - "),
        ] {
            assert_eq!(
                swatch_code(&spaced.to_lowercase()).as_deref(),
                Ok(code.as_str()),
                "{spaced}"
            );
        }
        let many: BTreeSet<CardCode> =
            (0..20_000).map(|n| CardCode::of(&format!("swatch {n}"))).collect();
        // Of 20,000 among 29^6 a third of one pair meets by chance.
        assert!(many.len() >= 19_997, "{}", many.len());
    }

    /// Every single wrong character and every two that changed places are noticed.
    #[test]
    fn every_slip_of_one_character_or_two_places_is_noticed() {
        for n in 0..40 {
            let code = CardCode::of(&format!("swatch {n}"));
            let letters: Vec<char> = code.as_str().chars().collect();
            for i in (0..letters.len()).filter(|i| letters[*i] != '-') {
                for wrong in ('0'..='9').chain('A'..='Z').filter(|c| *c != letters[i]) {
                    let mut slip = letters.clone();
                    slip[i] = wrong;
                    let slip: String = slip.into_iter().collect();
                    assert!(swatch_code(&slip).is_err(), "{slip} for {code}");
                }
                for j in (0..i).filter(|j| letters[*j] != '-' && letters[*j] != letters[i]) {
                    let mut slip = letters.clone();
                    slip.swap(i, j);
                    let slip: String = slip.into_iter().collect();
                    assert!(swatch_code(&slip).is_err(), "{slip} for {code}");
                }
            }
        }
    }

    #[test]
    fn a_makers_own_code_stays_as_written() {
        for own in ["W-1", "coat 3", "abc", "", "ABC-123-XY", "Schärpe-1", "2027-03-20", "K7M-Q3T"]
        {
            assert_eq!(swatch_code(own).as_deref(), Ok(own));
        }
        assert!(matches!(
            swatch_code("ABO-234-X"),
            Err(Mistyped::Character { character: 'O', .. })
        ));
    }

    #[test]
    fn no_character_is_taken_for_another() {
        for left_out in "01OILSU".chars() {
            assert!(!ALPHABET.contains(&u8::try_from(left_out).unwrap()), "{left_out}");
        }
        assert_eq!(ALPHABET.iter().collect::<BTreeSet<_>>().len(), BASE);
    }
}
