//! Seals: the SHA-256 of an entry's rows and of the seal before it, so that a cell that changed after it
//! was recorded is noticed, whether a disk or another program did it.
//!
//! A seal tells of change, not of who changed: somebody who means to can seal anew. Nor does it tell
//! when the last entries are missing altogether. Columns that hold nothing are left out, so that a later
//! form may add columns without breaking the seals of an earlier one.

use rusqlite::{Connection, OptionalExtension, params};
use sha2::{Digest, Sha256};

use crate::line::{self, Nulls};
use crate::{ContentHash, Entry, Kind, Refusal, undo};

/// Seals the entry just recorded. To be called in the same transaction, when all its rows are there.
pub(crate) fn seal(book: &Connection, entry: Entry) -> Result<(), Refusal> {
    let before = Entry::numbered(entry.number() - 1);
    let hash = of(book, entry, seal_of(book, before)?.as_deref())?;
    book.prepare_cached("INSERT INTO seal (entry, sha256) VALUES (?1, ?2)")?
        .execute(params![entry.number(), hash])?;
    Ok(())
}

/// Seals every entry of a workbook of an earlier form.
pub(crate) fn everything(book: &Connection) -> Result<(), Refusal> {
    for entry in entries(book)? {
        seal(book, entry)?;
    }
    Ok(())
}

/// What does not fit its seal, in sentences.
pub(crate) fn broken(book: &Connection) -> Result<Vec<String>, Refusal> {
    let mut found = Vec::new();
    let mut before: Option<String> = None;
    for entry in entries(book)? {
        let is = seal_of(book, entry)?;
        match (&is, of(book, entry, before.as_deref())) {
            (None, _) => found.push(format!("entry {entry} has no seal")),
            (Some(is), Ok(should)) if *is != should => found.push(format!(
                "entry {entry} is not what was recorded, or the one before it is not: its seal \
                 does not fit"
            )),
            (Some(_), Ok(_)) => {}
            (Some(_), Err(refusal)) => found.push(refusal.to_string()),
        }
        // What follows is judged by the seal as it stands, so that one change is told once.
        before = is;
    }
    Ok(found)
}

fn entries(book: &Connection) -> Result<Vec<Entry>, Refusal> {
    let mut question = book.prepare("SELECT entry FROM journal ORDER BY entry")?;
    let numbers = question.query_map([], |r| r.get(0))?.collect::<Result<Vec<i64>, _>>()?;
    Ok(numbers.into_iter().map(Entry::numbered).collect())
}

fn seal_of(book: &Connection, entry: Entry) -> Result<Option<String>, Refusal> {
    let mut question = book.prepare_cached("SELECT sha256 FROM seal WHERE entry = ?1")?;
    Ok(question.query_row([entry.number()], |r| r.get(0)).optional()?)
}

/// The seal an entry should bear.
fn of(book: &Connection, entry: Entry, before: Option<&str>) -> Result<String, Refusal> {
    let mut hasher = Sha256::new();
    hasher.update(before.unwrap_or_default());
    let kind = undo::kind_of(book, entry)?
        .ok_or_else(|| Refusal::damaged(format!("there is no entry {entry}")))?;
    for table in [&["journal", kind.word()], parts(kind)].concat() {
        let sql = format!("SELECT * FROM \"{table}\" WHERE entry = ?1 ORDER BY rowid");
        let mut question = book.prepare_cached(&sql)?;
        let columns: Vec<String> = question.column_names().map(str::to_owned).collect();
        let mut rows = question.query([entry.number()])?;
        while let Some(row) = rows.next()? {
            hasher.update(line::of(row, table, &columns, Nulls::LeftOut)?);
        }
    }
    Ok(ContentHash::finish(hasher).to_string())
}

/// The further tables a kind of record is kept in.
const fn parts(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Swatch => &["dose"],
        Kind::Bath => &["bath_piece", "dose"],
        _ => &[],
    }
}
