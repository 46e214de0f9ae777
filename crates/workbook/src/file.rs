//! The file: begun, opened, opened to read; told from other files.
//!
//! Kept by the rollback journal with `synchronous = EXTRA`, not by a write-ahead log: what is
//! acknowledged is on the disk, at rest the workbook is one file that can be copied, and it can be
//! read where nothing may be written. A maker records a few swatches a day; the milliseconds do not
//! matter.

use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, backup::Backup};
use tempfile::NamedTempFile;

use crate::{Book, Refusal, migrate, part};

/// How long another program that writes is waited for.
pub(crate) const PATIENCE: Duration = Duration::from_secs(5);

/// What an SQLite file begins with (its file format, section 1.3).
const MAGIC: &[u8; 16] = b"SQLite format 3\0";

/// A workbook being begun: made whole under another name, with what is recorded at once, and only then given its
/// own, so that a workbook half begun is never found.
#[derive(Debug)]
pub struct Beginning {
    /// The workbook so far.
    pub book: Book,
    part: NamedTempFile,
    path: PathBuf,
    over: Over,
}

impl Beginning {
    /// Begins a workbook where there is no file, or an empty one.
    ///
    /// # Errors
    /// Something is there, there is no such folder, or the disk refuses.
    pub fn at(path: &Path) -> Result<Self, Refusal> {
        let empty = fs::metadata(path).is_ok_and(|there| there.is_file() && there.len() == 0);
        if !empty && path.symlink_metadata().is_ok() {
            return Err(Refusal::Exists { path: path.to_owned() });
        }
        // SQLite would take it for this workbook's and write it into it.
        let mut journal = path.as_os_str().to_owned();
        journal.push("-journal");
        if Path::new(&journal).symlink_metadata().is_ok() {
            return Err(Refusal::unfit(
                format!("'{}' is left of a workbook that is no longer there", journal.display()),
                "put that workbook back beside it, or move it away, and do this again",
            ));
        }
        part::sweep(part::folder_of(path));
        let part = beside(path)?;
        let book = Book { book: scratch(part.path(), migrate::CURRENT)? };
        let over = if empty { Over::TheEmpty } else { Over::Nothing };
        Ok(Self { book, part, path: path.to_owned(), over })
    }

    /// Gives it its place; what was recorded in it is on the disk.
    ///
    /// # Errors
    /// Somebody else began one there meanwhile, which stays as it is (`Exists`), or the disk refuses.
    pub fn put_in_place(self) -> Result<(), Refusal> {
        let Self { book, part, path, over } = self;
        drop(book);
        part.as_file().sync_all().map_err(|e| Refusal::system(&path, &e))?;
        persist(part, &path, over)
    }
}

/// A new file beside a place, of another name, that goes away unless it is put in its place.
pub(crate) fn beside(path: &Path) -> Result<NamedTempFile, Refusal> {
    let made = part::part_in(part::folder_of(path)).map_err(|e| match e.kind() {
        std::io::ErrorKind::NotFound => Refusal::NoFolder { path: path.to_owned() },
        _ => Refusal::system(path, &e),
    })?;
    ordinary(&made);
    Ok(made)
}

/// What may stand at the place of a finished file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Over {
    Nothing,
    TheEmpty,
}

/// Gives a finished file its name, in one move.
pub(crate) fn persist(part: NamedTempFile, path: &Path, over: Over) -> Result<(), Refusal> {
    let put = match over {
        Over::Nothing => part.persist_noclobber(path),
        Over::TheEmpty => {
            // Held, so that of two that begin over one empty file the second sees what the first put there.
            let empty = File::open(path).map_err(|e| Refusal::system(path, &e))?;
            let _ = empty.lock();
            if fs::metadata(path).map_or(0, |there| there.len()) > 0 {
                return Err(Refusal::Exists { path: path.to_owned() });
            }
            part.persist(path)
        }
    };
    put.map_err(|e| Refusal::system(path, &e.error))?;
    part::names_to_disk(path);
    Ok(())
}

/// A temporary file is private; a workbook or an archive has the rights of an ordinary new file.
#[cfg(unix)]
fn ordinary(file: &NamedTempFile) {
    use std::os::unix::fs::PermissionsExt as _;
    // A failure leaves it private, which loses nothing.
    let _ = file.as_file().set_permissions(fs::Permissions::from_mode(0o644));
}

#[cfg(not(unix))]
fn ordinary(_: &NamedTempFile) {}

/// Opens a workbook to read and record; one of an earlier form is brought up to date, with a copy of
/// it kept beside.
pub(crate) fn open(path: &Path) -> Result<Connection, Refusal> {
    part::sweep(part::folder_of(path));
    look(path)?;
    let opened = || -> Result<Connection, Refusal> {
        let mut book = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        let form = recognise(&book, path)?;
        if book.is_readonly(rusqlite::MAIN_DB)? {
            return Err(Refusal::ReadOnly);
        }
        to_write(&book)?;
        if form < migrate::CURRENT {
            migrate::copy_beside(&book, path)?;
            migrate::migrate(&mut book, migrate::CURRENT)?;
        }
        Ok(book)
    };
    opened().map_err(|e| e.at(path))
}

/// Opens a workbook and records nothing in it; one of an earlier form is brought up to date in memory. A write that was
/// killed half way is taken back first, where the file may be written: that loses nothing that was acknowledged, and
/// whoever only wants to read or check is not sent away.
pub(crate) fn open_to_read(path: &Path) -> Result<Connection, Refusal> {
    part::sweep(part::folder_of(path));
    match reader(path) {
        Err(Refusal::Interrupted) => {
            taken_back(path).map_err(|e| e.at(path))?;
            reader(path)
        }
        opened => opened,
    }
}

/// SQLite takes an interrupted write back as soon as somebody who may write looks into the file.
fn taken_back(path: &Path) -> Result<(), Refusal> {
    let book = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    if book.is_readonly(rusqlite::MAIN_DB)? {
        return Err(Refusal::Interrupted);
    }
    book.query_row("SELECT count(*) FROM sqlite_schema", [], |_| Ok(()))?;
    Ok(())
}

fn reader(path: &Path) -> Result<Connection, Refusal> {
    look(path)?;
    let opened = || -> Result<Connection, Refusal> {
        let book = connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
        if recognise(&book, path)? == migrate::CURRENT {
            return Ok(book);
        }
        let mut copy = Connection::open_in_memory()?;
        Backup::new(&book, &mut copy)?.run_to_completion(1000, Duration::from_millis(50), None)?;
        tune(&copy)?;
        migrate::migrate(&mut copy, migrate::CURRENT)?;
        copy.pragma_update(None, "query_only", true)?;
        Ok(copy)
    };
    opened().map_err(|e| e.at(path))
}

/// An empty workbook of a form, in memory.
pub(crate) fn in_memory(form: i64) -> Result<Connection, Refusal> {
    let mut book = Connection::open_in_memory()?;
    tune(&book)?;
    migrate::migrate(&mut book, form)?;
    Ok(book)
}

/// An empty workbook of a form, in a new file that nobody relies on before it is whole: nothing of it
/// is forced to the disk on the way.
pub(crate) fn scratch(path: &Path, form: i64) -> Result<Connection, Refusal> {
    let rights = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
    let made = || -> Result<Connection, Refusal> {
        let mut book = connect(path, rights)?;
        book.pragma_update(None, "synchronous", "OFF")?;
        book.pragma_update_and_check(None, "journal_mode", "MEMORY", |_| Ok(()))?;
        migrate::migrate(&mut book, form)?;
        Ok(book)
    };
    made().map_err(|e| e.at(path))
}

/// Tells other kinds of files before SQLite touches them.
fn look(path: &Path) -> Result<(), Refusal> {
    let system = |e: std::io::Error| Refusal::system(path, &e);
    let foreign =
        |found: &str| Err(Refusal::Foreign { path: path.to_owned(), found: found.to_owned() });
    let there = fs::metadata(path).map_err(system)?;
    if there.is_dir() {
        return foreign("it is a folder");
    }
    // Opening a pipe would wait for ever.
    if !there.is_file() {
        return foreign("it is not an ordinary file");
    }
    if there.len() == 0 {
        return foreign("it is empty");
    }
    let mut head = Vec::new();
    let file = File::open(path).map_err(system)?;
    file.take(16).read_to_end(&mut head).map_err(system)?;
    if head != MAGIC { foreign("it is another kind of file") } else { Ok(()) }
}

/// The form of the file, when it is a workbook this program knows.
fn recognise(book: &Connection, path: &Path) -> Result<i64, Refusal> {
    let application: i64 = book.pragma_query_value(None, "application_id", |row| row.get(0))?;
    let form = migrate::form(book)?;
    if application != migrate::APPLICATION || form < 1 {
        let found = "it is a database of something else".to_owned();
        return Err(Refusal::Foreign { path: path.to_owned(), found });
    }
    if form > migrate::CURRENT {
        let (found, known) = (form, migrate::CURRENT);
        return Err(Refusal::Newer { path: path.to_owned(), found, known });
    }
    Ok(form)
}

fn connect(path: &Path, rights: OpenFlags) -> Result<Connection, Refusal> {
    // No flag for URIs: a file may be called "file:x".
    let book = Connection::open_with_flags(path, rights | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    tune(&book)?;
    Ok(book)
}

/// What every connection keeps to.
fn tune(book: &Connection) -> Result<(), Refusal> {
    book.busy_timeout(PATIENCE)?;
    book.set_prepared_statement_cache_capacity(128);
    book.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    book.pragma_update(None, "trusted_schema", false)?;
    book.pragma_update(None, "cell_size_check", true)?;
    book.pragma_update(None, "foreign_keys", true)?;
    // So that INSERT OR REPLACE cannot lose a row past the triggers.
    book.pragma_update(None, "recursive_triggers", true)?;
    Ok(())
}

/// What a connection keeps to that records.
fn to_write(book: &Connection) -> Result<(), Refusal> {
    book.pragma_update(None, "synchronous", "EXTRA")?;
    book.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()))?;
    Ok(())
}
