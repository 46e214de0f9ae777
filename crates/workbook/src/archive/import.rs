//! Taking an archive in: into a new file under another name, checked whole like any workbook, and only
//! then given its name. One of an earlier form is first made as that form, then brought up to date.

use std::fs::{self, File};
use std::io::{self, BufRead, BufReader, Read};
use std::path::Path;

use rusqlite::types::Value as Cell;
use rusqlite::{Connection, params_from_iter};
use serde_json::{Map, Value};
use sha2::{Digest, Sha256};

use super::{ARCHIVE, FORMAT, HEAD, PHOTOGRAPHS, RECORDS, tables};
use crate::file::Over;
use crate::{
    Book, ContentHash, LARGEST_PHOTOGRAPH, Refusal, check, file, migrate, nearest, photograph,
};

/// The longest line taken, bytes: a sheet and a note of 4 MiB each, every character escaped.
const LONGEST_LINE: u64 = 64 << 20;
/// The longest head taken, bytes.
const LONGEST_HEAD: u64 = 64 << 10;

/// What is said of a file that is no tar.
const UNREAD: &str = "it cannot be read as a tar";

/// What the head of an archive says.
struct Head {
    form: i64,
    rows: u64,
    sha256: String,
    photographs: u64,
}

impl Book {
    /// Makes the workbook of an archive in a new file, and opens it.
    pub fn import(archive: &Path, to: &Path) -> Result<Self, Refusal> {
        if to.symlink_metadata().is_ok() {
            return Err(Refusal::Exists { path: to.to_owned() });
        }
        let there = fs::metadata(archive).map_err(|e| match e.kind() {
            io::ErrorKind::NotFound => {
                Refusal::archive(format!("there is no file '{}'", archive.display()))
            }
            _ => Refusal::system(archive, &e),
        })?;
        if !there.is_file() {
            let what = format!("'{}' is no ordinary file", archive.display());
            return Err(Refusal::archive(what));
        }
        let from = File::open(archive).map_err(|e| Refusal::system(archive, &e))?;
        let part = file::beside(to)?;
        take_in(from, part.path())?;
        part.as_file().sync_all().map_err(|e| Refusal::system(to, &e))?;
        file::persist(part, to, Over::Nothing)?;
        Self::open(to)
    }
}

fn take_in(from: File, to: &Path) -> Result<(), Refusal> {
    let mut tar = tar::Archive::new(BufReader::new(from));
    let unread = |e: io::Error| Refusal::archive(format!("{UNREAD}: {e}"));
    // Raw: a header that gives a long name or a sparse map is no file of ours, and is not followed.
    let mut files = tar.entries().map_err(unread)?.raw(true);
    let mut next = |wanted: &str| -> Result<_, Refusal> {
        let Some(file) = files.next() else {
            return if wanted == PHOTOGRAPHS {
                Ok(None)
            } else {
                Err(Refusal::archive(format!("it ends before '{wanted}'")))
            };
        };
        let file = file.map_err(unread)?;
        let name = file.path().map_err(unread)?.to_string_lossy().into_owned();
        let right = if wanted == PHOTOGRAPHS { name.starts_with(wanted) } else { name == wanted };
        if !right || !file.header().entry_type().is_file() {
            return Err(Refusal::archive(format!("'{name}' stands where '{wanted}' should")));
        }
        Ok(Some((name, file)))
    };

    // What does not begin as a tar is named as what it is not, with nothing of what stands in it.
    let none = |e: Refusal| match e {
        Refusal::Archive { what } if what.starts_with(UNREAD) => {
            Refusal::archive(format!("it is not a packed workbook: {UNREAD}"))
        }
        other => other,
    };
    let head = match next(HEAD).map_err(none)? {
        Some((_, file)) => read_head(file)?,
        None => return Err(Refusal::archive("it has no head")),
    };
    let mut book = file::scratch(to, head.form)?;
    let step = book.transaction()?;
    step.pragma_update(None, "defer_foreign_keys", true)?;
    if let Some((_, file)) = next(RECORDS)? {
        read_records(&step, file, &head)?;
    }
    let mut count = 0;
    while let Some((name, file)) = next(PHOTOGRAPHS)? {
        let mut bytes = Vec::new();
        file.take(LARGEST_PHOTOGRAPH as u64 + 1).read_to_end(&mut bytes).map_err(unread)?;
        let said = ContentHash::from_hex(name.strip_prefix(PHOTOGRAPHS).unwrap_or_default())?;
        if photograph::keep(&step, &bytes)? != said {
            return Err(Refusal::archive(format!("the photograph {said} has changed")));
        }
        count += 1;
    }
    if count != head.photographs {
        let said = head.photographs;
        return Err(Refusal::archive(format!("it has {count} photographs instead of {said}")));
    }
    if head.form >= 2 {
        nearest::index_everything(&step)?;
    }
    step.commit().map_err(|e| Refusal::archive(format!("its records do not fit together: {e}")))?;
    migrate::migrate(&mut book, migrate::CURRENT)?;
    match check::check(&book)?.faults.first() {
        None => Ok(()),
        Some(fault) => Err(Refusal::archive(fault.clone())),
    }
}

fn read_head(file: impl Read) -> Result<Head, Refusal> {
    let mut text = String::new();
    let wrong = |what: &str| Refusal::archive(format!("its head {what}"));
    file.take(LONGEST_HEAD).read_to_string(&mut text).map_err(|_| wrong("is not a text"))?;
    let head: Value =
        serde_json::from_str(&text).map_err(|e| wrong(&format!("is not JSON: {e}")))?;
    if head["format"] != FORMAT {
        return Err(wrong("is not that of a workbook"));
    }
    let count = |key: &str| head[key].as_u64().ok_or_else(|| wrong(&format!("says no '{key}'")));
    let archive = i64::try_from(count("archive")?).unwrap_or(i64::MAX);
    let form = i64::try_from(count("form")?).unwrap_or(i64::MAX);
    if archive > ARCHIVE || form > migrate::CURRENT {
        return Err(wrong("is of a newer version of the program: use that one"));
    }
    if archive < 1 || form < 1 {
        return Err(wrong("is of a version there never was"));
    }
    let sha256 = head["sha256"].as_str().ok_or_else(|| wrong("says no 'sha256'"))?.to_owned();
    Ok(Head { form, rows: count("rows")?, sha256, photographs: count("photographs")? })
}

fn read_records(book: &Connection, file: impl Read, head: &Head) -> Result<(), Refusal> {
    let known: Vec<(String, Vec<String>)> = tables(book)?
        .into_iter()
        .map(|table| Ok((table.clone(), columns(book, &table)?)))
        .collect::<Result<_, Refusal>>()?;
    let mut file = BufReader::new(file);
    let (mut line, mut rows, mut hasher) = (Vec::new(), 0_u64, Sha256::new());
    loop {
        line.clear();
        let unread = |e: io::Error| Refusal::archive(format!("its records cannot be read: {e}"));
        let length = (&mut file).take(LONGEST_LINE).read_until(b'\n', &mut line).map_err(unread)?;
        if length == 0 {
            break;
        }
        rows += 1;
        if rows > head.rows {
            break;
        }
        hasher.update(&line);
        read_row(book, &line, &known)
            .map_err(|e| Refusal::archive(format!("line {rows} of its records: {e}")))?;
    }
    if ContentHash::finish(hasher).to_string() != head.sha256 || rows != head.rows {
        return Err(Refusal::archive("its records are not those its head names"));
    }
    Ok(())
}

fn columns(book: &Connection, table: &str) -> Result<Vec<String>, Refusal> {
    let mut question = book.prepare("SELECT name FROM pragma_table_info(?1) ORDER BY cid")?;
    Ok(question.query_map([table], |r| r.get(0))?.collect::<Result<_, _>>()?)
}

fn read_row(
    book: &Connection,
    line: &[u8],
    known: &[(String, Vec<String>)],
) -> Result<(), Refusal> {
    let wrong = |what: String| Refusal::unfit("a row", what);
    let it: Value = serde_json::from_slice(line).map_err(|e| wrong(format!("not JSON: {e}")))?;
    let table = it["table"].as_str().unwrap_or_default();
    let Some((table, columns)) = known.iter().find(|(name, _)| name == table) else {
        return Err(wrong(format!("there is no table '{table}'")));
    };
    let none = Map::new();
    let row = it["row"].as_object().unwrap_or(&none);
    if !row.keys().eq(columns) {
        return Err(wrong(format!(
            "a {table} has the columns {}, in this order",
            columns.join(", ")
        )));
    }
    let mut cells = Vec::new();
    for cell in row.values() {
        cells.push(match cell {
            Value::Null => Cell::Null,
            Value::String(text) => Cell::Text(text.clone()),
            Value::Number(n) => match (n.as_i64(), n.as_f64()) {
                (Some(n), _) => Cell::Integer(n),
                (None, Some(x)) => Cell::Real(x),
                (None, None) => return Err(wrong(format!("{n} is no number that can be kept"))),
            },
            other => return Err(wrong(format!("{other} is neither number nor text"))),
        });
    }
    let holes: Vec<String> = (1..=cells.len()).map(|i| format!("?{i}")).collect();
    let sql = format!("INSERT INTO \"{table}\" VALUES ({})", holes.join(", "));
    book.prepare_cached(&sql)?.execute(params_from_iter(cells))?;
    Ok(())
}
