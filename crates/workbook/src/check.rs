//! Whether a workbook is whole: the file, the references, the rules of the tables, every row and
//! its seal, every photograph, the index, and that what stands stands on what stands.

use rusqlite::Connection;

use crate::record::Fields;
use crate::{Book, ContentHash, Entry, Kind, Refusal, file, migrate, nearest, nouns, seal, undo};

/// What a check found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Checked {
    /// Entries of the journal.
    pub entries: u64,
    /// Photographs kept.
    pub photographs: u64,
    /// What is wrong, in sentences; nothing when the workbook is whole.
    pub faults: Vec<String>,
}

impl Checked {
    /// Nothing is wrong.
    #[must_use]
    pub fn is_clean(&self) -> bool {
        self.faults.is_empty()
    }
}

/// Faults that are listed one by one of each sort; a file that is mostly damage is not told row by row.
const MOST: usize = 20;

impl Book {
    /// Checks everything. Refused only when the file cannot be asked at all.
    pub fn check(&self) -> Result<Checked, Refusal> {
        check(&self.book)
    }
}

/// One sort of question, answered with what is wrong.
type Sort = fn(&Connection) -> Result<Vec<String>, Refusal>;

pub(crate) fn check(book: &Connection) -> Result<Checked, Refusal> {
    // One question after the other, about one state of the file.
    let still = book.unchecked_transaction()?;
    let mut faults = Vec::new();
    let sorts: [Sort; 9] =
        [integrity, references, schema, journal, standing, rows, seal::broken, photographs, index];
    for sort in sorts {
        match sort(&still) {
            Ok(found) => {
                let more = found.len().saturating_sub(MOST);
                faults.extend(found.into_iter().take(MOST));
                if more > 0 {
                    faults.push(format!("and {more} more of the kind"));
                }
            }
            // What keeps one sort from being looked at is a fault itself.
            Err(Refusal::Locked) => return Err(Refusal::Locked),
            Err(refusal) => faults.push(refusal.to_string()),
        }
    }
    let count =
        |sql: &str| -> u64 { still.query_row(sql, [], |r| r.get(0)).map_or(0, i64::cast_unsigned) };
    let entries = count("SELECT count(*) FROM journal");
    let photographs = count("SELECT count(*) FROM content");
    Ok(Checked { entries, photographs, faults })
}

/// The file itself, as SQLite sees it.
fn integrity(book: &Connection) -> Result<Vec<String>, Refusal> {
    let mut question = book.prepare("PRAGMA integrity_check")?;
    let found: Vec<String> = question.query_map([], |r| r.get(0))?.collect::<Result<_, _>>()?;
    Ok(found.into_iter().filter(|line| line != "ok").map(|l| format!("the file: {l}")).collect())
}

fn references(book: &Connection) -> Result<Vec<String>, Refusal> {
    let mut question = book.prepare("PRAGMA foreign_key_check")?;
    let found = question.query_map([], |r| {
        let (table, row, to): (String, Option<i64>, String) = (r.get(0)?, r.get(1)?, r.get(2)?);
        let row = row.map_or_else(String::new, |n| n.to_string());
        Ok(format!("{table} {row} names a {to} that is not there"))
    })?;
    Ok(found.collect::<Result<_, _>>()?)
}

/// Tables, indexes and the triggers that keep history: as this program makes them.
fn schema(book: &Connection) -> Result<Vec<String>, Refusal> {
    fn of(book: &Connection) -> Result<Vec<(String, String)>, Refusal> {
        let sql = "SELECT type || ' ' || name, coalesce(sql, '') FROM sqlite_schema \
                   WHERE name NOT LIKE 'sqlite\\_stat%' ESCAPE '\\' ORDER BY 1";
        let mut question = book.prepare(sql)?;
        Ok(question.query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?.collect::<Result<_, _>>()?)
    }
    let (own, made) = (of(book)?, of(&file::in_memory(migrate::CURRENT)?)?);
    let missing = made.iter().filter(|it| !own.contains(it));
    let foreign = own.iter().filter(|it| !made.contains(it));
    let missing = missing.map(|(name, _)| format!("the {name} is missing or has been changed"));
    Ok(missing.chain(foreign.map(|(name, _)| format!("the {name} is not the program's"))).collect())
}

/// Entries without gaps, each with its record, each record with its entry.
fn journal(book: &Connection) -> Result<Vec<String>, Refusal> {
    let mut found = Vec::new();
    let (count, last): (i64, i64) =
        book.query_row("SELECT count(*), coalesce(max(entry), 0) FROM journal", [], |r| {
            Ok((r.get(0)?, r.get(1)?))
        })?;
    if count != last {
        found.push(format!("the journal has {count} entries, but the last is number {last}"));
    }
    let mut list = |sql: String, say: &str| -> Result<(), Refusal> {
        let mut question = book.prepare(&sql)?;
        let entries: Vec<i64> = question.query_map([], |r| r.get(0))?.collect::<Result<_, _>>()?;
        found.extend(entries.into_iter().map(|n| format!("entry {n} {say}")));
        Ok(())
    };
    for kind in Kind::ALL.iter().map(|k| k.word()) {
        list(
            format!(
                "SELECT entry FROM journal WHERE kind = '{kind}' AND entry NOT IN (SELECT entry FROM \"{kind}\")"
            ),
            &format!("says {kind}, and there is no such {kind}"),
        )?;
        list(
            format!(
                "SELECT r.entry FROM \"{kind}\" r LEFT JOIN journal j ON j.entry = r.entry WHERE j.kind IS NOT '{kind}'"
            ),
            &format!("is a {kind}, and the journal does not say so"),
        )?;
    }
    let known: Vec<String> = Kind::ALL.iter().map(|k| format!("'{}'", k.word())).collect();
    let known = known.join(", ");
    list(format!("SELECT entry FROM journal WHERE kind NOT IN ({known})"), "is of no known kind")?;
    let dosed = "SELECT d.entry FROM dose d JOIN journal j USING (entry) WHERE j.kind NOT IN ('swatch', 'bath')";
    list(dosed.to_owned(), "has doses, and is neither swatch nor bath")?;
    list("SELECT entry FROM undo WHERE about >= entry".to_owned(), "undoes what comes after it")?;
    let undone =
        "SELECT u.entry FROM undo u JOIN journal j ON j.entry = u.about WHERE j.kind = 'undo'";
    list(undone.to_owned(), "undoes an undoing as if it were a record")?;
    // Each word about a record turns the one before it.
    let turns = "SELECT entry FROM (SELECT entry, undone, lag(undone, 1, 0) OVER (PARTITION BY about ORDER BY entry) AS before FROM undo) WHERE undone = before";
    list(turns.to_owned(), "undoes what was undone, or restores what stood")?;
    Ok(found)
}

/// What stands rests on nothing undone.
fn standing(book: &Connection) -> Result<Vec<String>, Refusal> {
    let mut found = Vec::new();
    let mut question = book.prepare("SELECT DISTINCT about FROM undo ORDER BY about")?;
    let about: Vec<i64> = question.query_map([], |r| r.get(0))?.collect::<Result<_, _>>()?;
    for about in about.into_iter().map(Entry::numbered) {
        if undo::undoing_of(book, about)?.is_some_and(|u| u.undone) {
            for by in undo::resting_on(book, about)? {
                found.push(format!(
                    "entry {by} stands, and rests on entry {about}, which is undone"
                ));
            }
        }
    }
    Ok(found)
}

/// Every row is a record. One that cannot be read stops its kind at the page, so the rest of the page
/// is looked at row by row.
fn rows(book: &Connection) -> Result<Vec<String>, Refusal> {
    let mut found = Vec::new();
    for kind in Kind::ALL {
        if nouns::unreadable(book, *kind).is_empty() {
            continue;
        }
        let mut question = book.prepare(&format!("SELECT entry FROM \"{}\"", kind.word()))?;
        let all: Vec<i64> = question.query_map([], |r| r.get(0))?.collect::<Result<_, _>>()?;
        for entry in all.into_iter().map(Entry::numbered) {
            if let Err(refusal) = nouns::readable(book, *kind, entry) {
                found.push(refusal.to_string());
            }
        }
    }
    Ok(found)
}

fn photographs(book: &Connection) -> Result<Vec<String>, Refusal> {
    let mut found = Vec::new();
    let mut question = book.prepare("SELECT hash, bytes FROM content")?;
    let mut rows = question.query([])?;
    while let Some(row) = rows.next()? {
        let (hash, bytes): (String, Vec<u8>) = (row.get(0)?, row.get(1)?);
        if ContentHash::of(&bytes).to_string() != hash {
            found.push(format!("the photograph {hash} is not what was kept"));
        }
    }
    Ok(found)
}

/// The index says of every reading what the reading says.
fn index(book: &Connection) -> Result<Vec<String>, Refusal> {
    let places = nearest::every_place(book)?;
    let mut question =
        book.prepare("SELECT reading, l, a, b FROM colour_index ORDER BY reading")?;
    let mut rows = question.query([])?;
    let mut indexed = std::collections::BTreeMap::new();
    while let Some(row) = rows.next()? {
        let entry: i64 = row.get(0)?;
        let place = format!("reading {entry} in the index");
        let cells = Fields { row, entry: Entry::numbered(entry), place: &place };
        let lab: [f64; 3] = [cells.get("l")?, cells.get("a")?, cells.get("b")?];
        indexed.insert(entry, lab);
    }
    let mut found = Vec::new();
    for (entry, lab) in places {
        // The last bits of a spectrum's Lab may differ from machine to machine.
        let same = |at: [f64; 3]| {
            [lab.l, lab.a, lab.b].iter().zip(at).all(|(one, other)| (one - other).abs() < 1e-9)
        };
        if !indexed.remove(&entry.number()).is_some_and(same) {
            found.push(format!("reading {entry} is not where the index of colours says"));
        }
    }
    found.extend(
        indexed
            .keys()
            .map(|n| format!("the index of colours holds a reading {n} that is not there")),
    );
    Ok(found)
}
