//! Photographs, kept whole in the workbook under the SHA-256 of their bytes: the same picture is kept
//! once, and one that changed is noticed. (SHA-256, FIPS 180-4, because any system can say it.)

use std::fmt;

use rusqlite::types::Value;
use rusqlite::{Connection, OptionalExtension, params};
use sha2::{Digest, Sha256};

use crate::record::{Fields, Stored, maybe_number, reference};
use crate::{Entry, Id, Kind, Piece, Refusal, words};

/// The largest photograph kept, bytes (64 MiB: a phone's raw file is some 25).
pub const LARGEST_PHOTOGRAPH: usize = 64 << 20;

/// A photograph.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photograph {
    /// Its bytes, by their hash.
    pub hash: ContentHash,
    /// Its media type, as "image/jpeg".
    pub media: String,
    /// The piece it shows.
    pub piece: Option<Id<Piece>>,
    /// Anything else.
    pub note: Option<String>,
}

/// The SHA-256 of some bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ContentHash([u8; 32]);

impl ContentHash {
    /// The hash of these bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    pub(crate) fn finish(hasher: Sha256) -> Self {
        Self(hasher.finalize().into())
    }

    /// The hash of this writing: 64 small hexadecimal digits.
    pub fn from_hex(text: &str) -> Result<Self, Refusal> {
        let bad = || Refusal::Text {
            what: "a content hash",
            given: text.chars().take(70).collect(),
            rule: "it is 64 hexadecimal digits, small letters".to_owned(),
        };
        let digit = |b: u8| match b {
            b'0'..=b'9' => Ok(b - b'0'),
            b'a'..=b'f' => Ok(b - b'a' + 10),
            _ => Err(bad()),
        };
        let (pairs, rest) = text.as_bytes().as_chunks::<2>();
        if pairs.len() != 32 || !rest.is_empty() {
            return Err(bad());
        }
        let mut hash = [0; 32];
        for (byte, [high, low]) in hash.iter_mut().zip(pairs) {
            *byte = digit(*high)? * 16 + digit(*low)?;
        }
        Ok(Self(hash))
    }
}

impl fmt::Display for ContentHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

/// Keeps the bytes of a photograph, once.
pub(crate) fn keep(book: &Connection, bytes: &[u8]) -> Result<ContentHash, Refusal> {
    if bytes.is_empty() || bytes.len() > LARGEST_PHOTOGRAPH {
        return Err(Refusal::unfit(
            format!("a photograph of {} bytes", bytes.len()),
            "it must hold something, and 64 MiB at most; save it smaller",
        ));
    }
    let hash = ContentHash::of(bytes);
    // Already there is well: the same hash is the same picture.
    let there =
        book.prepare_cached("SELECT 1 FROM content WHERE hash = ?1")?.exists([hash.to_string()])?;
    if !there {
        book.prepare_cached("INSERT INTO content (hash, bytes) VALUES (?1, ?2)")?
            .execute(params![hash.to_string(), bytes])?;
    }
    Ok(hash)
}

/// The bytes of this hash; refused when they are not what was kept.
pub(crate) fn bytes(book: &Connection, hash: ContentHash) -> Result<Vec<u8>, Refusal> {
    let found: Option<Vec<u8>> = book
        .prepare_cached("SELECT bytes FROM content WHERE hash = ?1")?
        .query_row([hash.to_string()], |row| row.get(0))
        .optional()?;
    let bytes =
        found.ok_or_else(|| Refusal::Unknown { what: "photograph", given: hash.to_string() })?;
    if ContentHash::of(&bytes) != hash {
        return Err(Refusal::damaged(format!("the photograph {hash} has changed")));
    }
    Ok(bytes)
}

impl Stored for Photograph {
    const KIND: Kind = Kind::Photograph;
    const COLUMNS: &'static [&'static str] = &["hash", "media", "piece", "note"];

    fn check(&self) -> Result<(), Refusal> {
        words::name("the media type of a photograph", &self.media)?;
        words::note("the note of a photograph", self.note.as_deref())
    }

    fn rests_on(&self) -> Vec<(Kind, Entry)> {
        reference(self.piece).into_iter().collect()
    }

    fn cells(&self) -> Vec<Value> {
        vec![
            self.hash.to_string().into(),
            self.media.clone().into(),
            maybe_number(self.piece),
            self.note.clone().into(),
        ]
    }

    fn read(row: &Fields<'_>, _: &Connection) -> Result<Self, Refusal> {
        Ok(Self {
            hash: ContentHash::from_hex(&row.text("hash")?)?,
            media: row.text("media")?,
            piece: row.maybe_id("piece")?,
            note: row.maybe_text("note")?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4's own example: the hash of "abc".
    #[test]
    fn the_hash_is_the_published_one_and_reads_back() {
        let hash = ContentHash::of(b"abc");
        let hex = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(hash.to_string(), hex);
        assert_eq!(ContentHash::from_hex(hex), Ok(hash));
        for bad in ["", "BA78", &hex[1..], &format!("{hex}0"), &hex.replace('b', "g")] {
            assert!(ContentHash::from_hex(bad).is_err(), "{bad}");
        }
    }
}
