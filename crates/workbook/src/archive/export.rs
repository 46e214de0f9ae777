//! Writing the archive: twice through the records in one state of the file, once to count and hash
//! them, once to write them, so that a workbook of any size passes through little memory.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;

use rusqlite::Connection;
use serde_json::json;
use sha2::{Digest, Sha256};

use super::{ARCHIVE, FORMAT, HEAD, PHOTOGRAPHS, RECORDS, tables};
use crate::file::Over;
use crate::line::Nulls;
use crate::{Book, ContentHash, Refusal, file, line, migrate, photograph};

/// What an export holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Exported {
    /// Rows of records.
    pub rows: u64,
    /// Photographs.
    pub photographs: u64,
}

/// Tar's block, bytes (POSIX.1-2017, pax, ustar interchange format).
const BLOCK: usize = 512;

impl Book {
    /// Writes everything into one new file, whole or not at all.
    pub fn export(&self, to: &Path) -> Result<Exported, Refusal> {
        if to.symlink_metadata().is_ok() {
            return Err(Refusal::Exists { path: to.to_owned() });
        }
        let part = file::beside(to)?;
        let exported = write(&self.book, part.as_file(), to)?;
        file::persist(part, to, Over::Nothing)?;
        Ok(exported)
    }
}

fn write(book: &Connection, file: &File, to: &Path) -> Result<Exported, Refusal> {
    let system = |e: io::Error| Refusal::system(to, &e);
    // One state of the file, whatever is recorded meanwhile.
    let still = book.unchecked_transaction()?;
    let (mut rows, mut bytes, mut hasher) = (0_u64, 0_u64, Sha256::new());
    each_line(&still, &mut |line| {
        rows += 1;
        bytes += line.len() as u64;
        hasher.update(line.as_bytes());
        Ok(())
    })?;
    let hashes = photographs(&still)?;
    let exported = Exported { rows, photographs: hashes.len() as u64 };
    let head = json!({
        "format": FORMAT,
        "archive": ARCHIVE,
        "form": migrate::CURRENT,
        "rows": rows,
        "sha256": ContentHash::finish(hasher).to_string(),
        "photographs": exported.photographs,
    });
    let head = format!("{head:#}\n");

    let mut tar = BufWriter::new(file);
    tar.write_all(&header(HEAD, head.len() as u64).map_err(system)?).map_err(system)?;
    tar.write_all(head.as_bytes()).map_err(system)?;
    pad(&mut tar, head.len() as u64).map_err(system)?;

    tar.write_all(&header(RECORDS, bytes).map_err(system)?).map_err(system)?;
    each_line(&still, &mut |line| tar.write_all(line.as_bytes()).map_err(system))?;
    pad(&mut tar, bytes).map_err(system)?;

    for hash in hashes {
        let hash = ContentHash::from_hex(&hash)?;
        let bytes = photograph::bytes(&still, hash)?;
        let name = format!("{PHOTOGRAPHS}{hash}");
        tar.write_all(&header(&name, bytes.len() as u64).map_err(system)?).map_err(system)?;
        tar.write_all(&bytes).map_err(system)?;
        pad(&mut tar, bytes.len() as u64).map_err(system)?;
    }
    // Two empty blocks end a tar.
    tar.write_all(&[0; 2 * BLOCK]).map_err(system)?;
    tar.flush().map_err(system)?;
    file.sync_all().map_err(system)?;
    Ok(exported)
}

/// A file's header, the same on every day and machine.
fn header(name: &str, size: u64) -> io::Result<[u8; BLOCK]> {
    let mut header = tar::Header::new_ustar();
    header.set_path(name)?;
    header.set_size(size);
    header.set_mode(0o644);
    header.set_mtime(0);
    header.set_uid(0);
    header.set_gid(0);
    header.set_entry_type(tar::EntryType::Regular);
    header.set_cksum();
    Ok(*header.as_bytes())
}

/// Fills up the last block.
fn pad(tar: &mut impl Write, size: u64) -> io::Result<()> {
    let over = usize::try_from(size % BLOCK as u64).unwrap_or(0);
    if over == 0 { Ok(()) } else { tar.write_all(&[0; BLOCK][over..]) }
}

/// Every row as a line.
fn each_line(
    book: &Connection,
    take: &mut dyn FnMut(&str) -> Result<(), Refusal>,
) -> Result<(), Refusal> {
    for table in tables(book)? {
        let mut question = book.prepare(&format!("SELECT * FROM \"{table}\" ORDER BY rowid"))?;
        let columns: Vec<String> = question.column_names().map(str::to_owned).collect();
        let mut rows = question.query([])?;
        while let Some(row) = rows.next()? {
            take(&line::of(row, &table, &columns, Nulls::Written)?)?;
        }
    }
    Ok(())
}

/// The hashes of the photographs kept, in order.
fn photographs(book: &Connection) -> Result<Vec<String>, Refusal> {
    let mut question = book.prepare("SELECT hash FROM content ORDER BY hash")?;
    Ok(question.query_map([], |r| r.get(0))?.collect::<Result<_, _>>()?)
}
