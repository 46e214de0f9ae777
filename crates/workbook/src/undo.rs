//! Undoing: an entry that says of another that it no longer stands, or stands again. Nothing is lost.
//!
//! A record cannot be undone while a standing one rests on it, nor stand again on one that is undone:
//! so whatever stands, stands on what stands.

use rusqlite::{Connection, OptionalExtension, params};

use crate::{Entry, Kind, Refusal, Stamp, record, seal};

/// The last word about a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Undoing {
    pub(crate) entry: Entry,
    pub(crate) about: Entry,
    pub(crate) undone: bool,
}

/// The kind of an entry, if there is such an entry.
pub(crate) fn kind_of(book: &Connection, entry: Entry) -> Result<Option<Kind>, Refusal> {
    let word: Option<String> = book
        .prepare_cached("SELECT kind FROM journal WHERE entry = ?1")?
        .query_row([entry.number()], |row| row.get(0))
        .optional()?;
    let damaged = |e: Refusal| Refusal::damaged(format!("entry {entry}: {e}"));
    word.map(|w| Kind::from_word(&w).map_err(damaged)).transpose()
}

/// The last word about an entry, if anything was said.
pub(crate) fn undoing_of(book: &Connection, about: Entry) -> Result<Option<Undoing>, Refusal> {
    let sql = "SELECT entry, about, undone FROM undo WHERE about = ?1 ORDER BY entry DESC LIMIT 1";
    Ok(book.prepare_cached(sql)?.query_row([about.number()], read).optional()?)
}

/// The undoing that is this entry.
pub(crate) fn undoing(book: &Connection, entry: Entry) -> Result<Option<Undoing>, Refusal> {
    let sql = "SELECT entry, about, undone FROM undo WHERE entry = ?1";
    Ok(book.prepare_cached(sql)?.query_row([entry.number()], read).optional()?)
}

fn read(row: &rusqlite::Row<'_>) -> rusqlite::Result<Undoing> {
    Ok(Undoing {
        entry: Entry::numbered(row.get(0)?),
        about: Entry::numbered(row.get(1)?),
        undone: row.get::<_, i64>(2)? != 0,
    })
}

/// Undoes an entry: a record no longer stands; an undoing is taken back, so that its record stands
/// again. To be called inside a transaction.
pub(crate) fn undo(book: &Connection, stamp: &Stamp, entry: Entry) -> Result<Entry, Refusal> {
    let unknown = || Refusal::Unknown { what: "entry", given: entry.to_string() };
    let kind = kind_of(book, entry)?.ok_or_else(unknown)?;
    let (about, undone) = if kind == Kind::Undo {
        let this = undoing(book, entry)?.ok_or_else(unknown)?;
        let last = undoing_of(book, this.about)?.unwrap_or(this);
        if last.entry != entry {
            return Err(Refusal::NotTheLast { entry, about: this.about, by: last.entry });
        }
        (this.about, !this.undone)
    } else {
        if let Some(last) = undoing_of(book, entry)?.filter(|last| last.undone) {
            return Err(Refusal::AlreadyUndone { entry, by: last.entry });
        }
        (entry, true)
    };
    if undone {
        let by = resting_on(book, about)?;
        if !by.is_empty() {
            return Err(Refusal::RestedOn { entry: about, by });
        }
    } else {
        stands_again(book, about)?;
    }
    let made = record::append(book, Kind::Undo, stamp)?;
    book.prepare_cached("INSERT INTO undo (entry, about, undone) VALUES (?1, ?2, ?3)")?
        .execute(params![made.number(), about.number(), i64::from(undone)])?;
    seal::seal(book, made)?;
    Ok(made)
}

/// Standing records that rest on one, in order.
pub(crate) fn resting_on(book: &Connection, on: Entry) -> Result<Vec<Entry>, Refusal> {
    let mut found = Vec::new();
    for (table, column) in references(book)? {
        let sql = format!("SELECT entry FROM \"{table}\" WHERE \"{column}\" = ?1");
        let mut question = book.prepare_cached(&sql)?;
        let by: Vec<i64> =
            question.query_map([on.number()], |r| r.get(0))?.collect::<Result<_, _>>()?;
        for entry in by.into_iter().map(Entry::numbered) {
            if undoing_of(book, entry)?.is_none_or(|u| !u.undone) {
                found.push(entry);
            }
        }
    }
    found.sort();
    found.dedup();
    Ok(found)
}

/// Refuses that a record stands again while something it rests on does not, or its name is taken.
fn stands_again(book: &Connection, entry: Entry) -> Result<(), Refusal> {
    for (table, column) in references(book)? {
        let sql = format!(
            "SELECT \"{column}\" FROM \"{table}\" WHERE entry = ?1 AND \"{column}\" IS NOT NULL"
        );
        let mut question = book.prepare_cached(&sql)?;
        let on: Vec<i64> =
            question.query_map([entry.number()], |r| r.get(0))?.collect::<Result<_, _>>()?;
        for on in on.into_iter().map(Entry::numbered) {
            if undoing_of(book, on)?.is_some_and(|u| u.undone) {
                return Err(Refusal::RestsOnUndone { on });
            }
        }
    }
    crate::nouns::check_beside_again(book, entry)
}

/// Every column by which one record rests on another, as the foreign keys say.
pub(crate) fn references(book: &Connection) -> Result<Vec<(String, String)>, Refusal> {
    let sql = "SELECT m.name, f.\"from\" FROM sqlite_schema m, pragma_foreign_key_list(m.name) f \
               WHERE m.type = 'table' AND m.name NOT IN ('undo', 'journal', 'seal') \
               AND f.\"from\" <> 'entry' AND f.\"to\" = 'entry' ORDER BY m.name, f.\"from\"";
    let mut question = book.prepare_cached(sql)?;
    let found =
        question.query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?.collect::<Result<_, _>>()?;
    Ok(found)
}
