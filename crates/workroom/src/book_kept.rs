//! A workbook kept: checked, packed into one archive, unpacked elsewhere, an entry undone.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde::Serialize;
use workbook::{Book, Entry, Event, Happened};

use crate::Trouble;
use crate::books::{Recording, place, to_read, trouble};

/// What a check found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BookChecked {
    /// Always "book-check".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The workbook.
    pub book: String,
    /// True when nothing is wrong.
    pub clean: bool,
    /// Entries of its journal.
    pub entries: u64,
    /// Photographs kept.
    pub photographs: u64,
    /// What is wrong, in sentences.
    pub faults: Vec<String>,
}

/// An archive written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BookPacked {
    /// Always "book-pack".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The workbook.
    pub book: String,
    /// The archive.
    pub archive: String,
    /// Rows of records in it.
    pub rows: u64,
    /// Photographs in it.
    pub photographs: u64,
}

/// An archive taken in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BookUnpacked {
    /// Always "book-unpack".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The archive.
    pub archive: String,
    /// The workbook made of it.
    pub book: String,
    /// Entries of its journal.
    pub entries: u64,
    /// Photographs kept.
    pub photographs: u64,
}

/// An entry undone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BookUndone {
    /// Always "book-undo".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The workbook.
    pub book: String,
    /// The entry undone, or whose undoing was.
    pub about: i64,
    /// The entry that stands again, where what was undone was itself an undoing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub restores: Option<i64>,
    /// The entry that undoes it; undo this one to have it back.
    pub entry: i64,
}

/// Checks a workbook.
pub fn check_book(book: Option<&Path>) -> Result<BookChecked, Trouble> {
    let path = place(book);
    let checked = to_read(&path)?.check().map_err(|e| trouble(&e, &path))?;
    Ok(BookChecked {
        dyewright: "book-check",
        version: 1,
        book: path.display().to_string(),
        clean: checked.is_clean(),
        entries: checked.entries,
        photographs: checked.photographs,
        faults: checked.faults,
    })
}

/// Packs a workbook into one archive.
pub fn pack_book(book: Option<&Path>, archive: &Path) -> Result<BookPacked, Trouble> {
    let path = place(book);
    let packed = to_read(&path)?.export(archive).map_err(|e| trouble(&e, archive))?;
    Ok(BookPacked {
        dyewright: "book-pack",
        version: 1,
        book: path.display().to_string(),
        archive: archive.display().to_string(),
        rows: packed.rows,
        photographs: packed.photographs,
    })
}

/// Makes the workbook of an archive.
pub fn unpack_book(archive: &Path, book: Option<&Path>) -> Result<BookUnpacked, Trouble> {
    let path = place(book);
    let made = Book::import(archive, &path).and_then(|book| book.check());
    let checked = made.map_err(|e| trouble(&e, &path))?;
    Ok(BookUnpacked {
        dyewright: "book-unpack",
        version: 1,
        archive: archive.display().to_string(),
        book: path.display().to_string(),
        entries: checked.entries,
        photographs: checked.photographs,
    })
}

/// Undoes an entry: the one named, else the last record that stands, so that undoing twice goes two steps back.
pub fn undo_entry(
    book: Option<&Path>,
    entry: Option<i64>,
    recording: &Recording,
) -> Result<BookUndone, Trouble> {
    let path: PathBuf = place(book);
    let stamp = recording.stamp()?;
    let mut book = Book::open(&path).map_err(|e| trouble(&e, &path))?;
    let events = book.journal(u32::MAX).map_err(|e| trouble(&e, &path))?;
    let entry = match entry {
        Some(number) => Entry::numbered(number),
        None => last_standing(&events).ok_or_else(|| {
            let hint = "`dyewright swatch record` records something";
            Trouble::refused("nothing is recorded that could be undone", hint)
        })?,
    };
    let undid = events.iter().find(|e| e.entry == entry).and_then(|e| match e.what {
        Happened::Undid(about) => Some(about.number()),
        Happened::Recorded(_) | Happened::Restored(_) => None,
    });
    let made = book.undo(&stamp, entry).map_err(|e| trouble(&e, &path))?;
    Ok(BookUndone {
        dyewright: "book-undo",
        version: 1,
        book: path.display().to_string(),
        about: entry.number(),
        restores: undid,
        entry: made.number(),
    })
}

/// The last record that is not undone.
fn last_standing(events: &[Event]) -> Option<Entry> {
    let mut undone = BTreeSet::new();
    for event in events {
        match event.what {
            Happened::Recorded(_) => {}
            Happened::Undid(about) => {
                undone.insert(about);
            }
            Happened::Restored(about) => {
                undone.remove(&about);
            }
        }
    }
    let stands = |e: &&Event| matches!(e.what, Happened::Recorded(_)) && !undone.contains(&e.entry);
    events.iter().rev().find(stands).map(|e| e.entry)
}
