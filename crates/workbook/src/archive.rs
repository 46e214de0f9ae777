//! A workbook as one archive, and back with nothing lost: what both ways share.
//!
//! The archive is a plain tar: `workbook.json` (the form, how much follows and its SHA-256),
//! `records.jsonl` (one line a row, `{"table": …, "row": {…}}`, tables in the order they were made,
//! rows in the order they were recorded), and `photographs/` with each photograph under its SHA-256.
//! No time and no place is in it, so that the same workbook always makes the same bytes. Taking in
//! never trusts it: see `import`.

mod export;
mod import;

use rusqlite::Connection;

use crate::Refusal;

pub use export::Exported;

/// What the first file says it is.
const FORMAT: &str = "dyewright workbook";
/// The form of the archive itself.
const ARCHIVE: i64 = 1;
const HEAD: &str = "workbook.json";
const RECORDS: &str = "records.jsonl";
const PHOTOGRAPHS: &str = "photographs/";

/// The tables of records, in the order they were made: all but the photographs' bytes, which are files
/// of their own, and the index, which is made anew.
fn tables(book: &Connection) -> Result<Vec<String>, Refusal> {
    let sql = "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT IN ('content') \
               AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' \
               AND name NOT LIKE 'colour\\_index%' ESCAPE '\\' ORDER BY rowid";
    let mut question = book.prepare(sql)?;
    Ok(question.query_map([], |r| r.get(0))?.collect::<Result<_, _>>()?)
}
