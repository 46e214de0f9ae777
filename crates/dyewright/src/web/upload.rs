//! What a form with a file sends: the file, up to a size.
//!
//! A file that is too large is read on and thrown away, so that the browser gets an answer in words and not a broken
//! connection. The name the file had elsewhere is not looked at.

use std::collections::BTreeMap;

use axum::extract::Multipart;
use axum::extract::multipart::Field;
use workroom::{LARGEST_UPLOAD, Trouble, too_large};

/// Most bytes that are read, and mostly thrown away, before the connection is shut.
pub(super) const MOST_SENT: usize = 512 * 1024 * 1024;

/// Uploads taken in at once, each held in memory until it is looked at.
pub(super) const AT_ONCE: usize = 2;

/// Most fields looked at.
const MOST_FIELDS: usize = 40;

/// Most bytes of a field that is no file: more than any of them asks for.
const MOST_WORDS: usize = 8 * 1024;

/// A form as it came in.
#[derive(Debug, Default)]
pub(super) struct Sent {
    /// The file; empty when none was chosen.
    file: Vec<u8>,
    /// Why the file was not taken.
    refused: Option<Trouble>,
    /// What else was said, in words.
    pub(super) fields: BTreeMap<String, String>,
}

impl Sent {
    /// Reads a form; its file stands in the field `picture`.
    pub(super) async fn read(mut form: Multipart) -> Result<Self, Trouble> {
        let mut sent = Self::default();
        for _ in 0..MOST_FIELDS {
            let Some(field) = form.next_field().await.map_err(|_| broken_off())? else {
                return Ok(sent);
            };
            let name = field.name().unwrap_or_default().to_owned();
            if name != "picture" {
                let words =
                    bytes(field, MOST_WORDS).await?.and_then(|held| String::from_utf8(held).ok());
                if let Some(words) = words {
                    sent.fields.insert(name, words.trim().to_owned());
                }
                continue;
            }
            match bytes(field, LARGEST_UPLOAD).await? {
                Some(file) => sent.file = file,
                None => sent.refused = Some(too_large()),
            }
        }
        Err(broken_off())
    }

    /// The file, or why it was not taken.
    pub(super) fn taken(&mut self) -> Result<&[u8], Trouble> {
        match self.refused.take() {
            Some(why) => Err(why),
            None => Ok(&self.file),
        }
    }
}

/// The bytes of a field; nothing when there are more than that.
async fn bytes(mut field: Field<'_>, most: usize) -> Result<Option<Vec<u8>>, Trouble> {
    let mut all = vec![];
    let mut fits = true;
    while let Some(chunk) = field.chunk().await.map_err(|_| broken_off())? {
        fits = fits && all.len() + chunk.len() <= most;
        if fits {
            all.extend_from_slice(&chunk);
        } else {
            all = vec![];
        }
    }
    Ok(fits.then_some(all))
}

fn broken_off() -> Trouble {
    Trouble::Refused {
        says: "what was sent broke off, or was no form of ours".to_owned(),
        hint: "go back and send it again".to_owned(),
    }
}
