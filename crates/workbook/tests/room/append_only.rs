//! History is append-only: the file itself refuses to change or lose a row, and undoing adds to it.

use std::collections::BTreeSet;

use crate::common::{begun, costume, dose, dye, folder, piece, random, reading, stamp, swatch};
use rusqlite::Connection;
use workbook::{Book, Entry, Happened, Kind, Refusal, Subject};

fn tables(raw: &Connection) -> Vec<String> {
    let sql = "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%' \
               AND name NOT LIKE 'colour_index%' ORDER BY name";
    let mut question = raw.prepare(sql).unwrap();
    question.query_map([], |r| r.get(0)).unwrap().map(Result::unwrap).collect()
}

/// Every row of every table of records, as text.
fn rows(raw: &Connection) -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    for table in tables(raw) {
        let mut question = raw.prepare(&format!("SELECT * FROM \"{table}\"")).unwrap();
        let columns = question.column_count();
        let mut rows = question.query([]).unwrap();
        while let Some(row) = rows.next().unwrap() {
            let cells: Vec<_> = (0..columns).map(|i| row.get_ref(i).unwrap()).collect();
            assert!(all.insert(format!("{table} {cells:?}")), "no row twice");
        }
    }
    all
}

/// With the foreign keys out of the way, so that only the tables' own refusal is tried.
fn raw(folder: &std::path::Path) -> Connection {
    let raw = Connection::open(folder.join("book.sqlite")).unwrap();
    raw.pragma_update(None, "foreign_keys", false).unwrap();
    raw.pragma_update(None, "recursive_triggers", true).unwrap();
    raw
}

#[test]
fn no_row_of_any_table_can_be_changed_or_deleted() {
    let folder = folder();
    random::fill(&mut begun(folder.path()), 3, 400);
    let raw = raw(folder.path());
    let before = rows(&raw);
    let tables = tables(&raw);
    assert_eq!(tables.len(), 16, "{tables:?}");
    for table in tables {
        let count: i64 =
            raw.query_row(&format!("SELECT count(*) FROM \"{table}\""), [], |r| r.get(0)).unwrap();
        assert!(count > 0, "{table} has rows to try it on");
        let mut columns = raw.prepare("SELECT name FROM pragma_table_info(?1)").unwrap();
        let columns: Vec<String> =
            columns.query_map([&table], |r| r.get(0)).unwrap().map(Result::unwrap).collect();
        let mut tried = vec![
            format!("DELETE FROM \"{table}\""),
            format!("INSERT OR REPLACE INTO \"{table}\" SELECT * FROM \"{table}\" LIMIT 1"),
        ];
        tried.extend(columns.iter().map(|c| format!("UPDATE \"{table}\" SET \"{c}\" = \"{c}\"")));
        for sql in tried {
            let refused = raw.execute(&sql, []).unwrap_err().to_string();
            assert!(refused.contains("history is append-only"), "{sql}: {refused}");
        }
    }
    assert_eq!(rows(&raw), before);
}

#[test]
fn whatever_is_done_later_every_row_stays_as_it_was() {
    let folder = folder();
    let mut book = begun(folder.path());
    let mut before = BTreeSet::new();
    for seed in 0..12 {
        random::fill(&mut book, seed, 60);
        let last = book.last_entry().unwrap().unwrap();
        for number in (1..=last.number()).rev().step_by(3) {
            let _ = book.undo(&stamp(), Entry::numbered(number));
        }
        let after = rows(&raw(folder.path()));
        assert!(after.is_superset(&before) && after.len() > before.len());
        before = after;
    }
    assert!(book.check().unwrap().is_clean());
}

#[test]
fn undoing_is_an_entry_and_can_itself_be_undone() {
    let folder = folder();
    let mut book = begun(folder.path());
    let at = stamp();
    let dye = book.record_dye(&at, &dye("acid-navy")).unwrap();
    let it = book.record_swatch(&at, &swatch(vec![dose(dye, None, 1.0)])).unwrap();

    // What something stands on stays.
    let refused = book.undo(&at, dye.entry()).unwrap_err();
    assert_eq!(refused, Refusal::RestedOn { entry: dye.entry(), by: vec![it.entry()] });

    let undone = book.undo(&at, it.entry()).unwrap();
    assert!(book.swatch(it).unwrap().undone && book.evidence().unwrap().is_empty());
    assert_eq!(
        book.undo(&at, it.entry()),
        Err(Refusal::AlreadyUndone { entry: it.entry(), by: undone })
    );
    let nothing_rests =
        book.record_reading(&at, &reading(Subject::Swatch(it), colour::Lab::new(50.0, 0.0, 0.0)));
    assert_eq!(nothing_rests, Err(Refusal::RestsOnUndone { on: it.entry() }));

    let restored = book.undo(&at, undone).unwrap();
    assert!(!book.swatch(it).unwrap().undone);
    assert!(matches!(book.undo(&at, undone), Err(Refusal::NotTheLast { .. })));
    book.undo(&at, restored).unwrap();
    assert!(book.swatch(it).unwrap().undone);

    let what: Vec<Happened> = book.journal(9).unwrap().into_iter().map(|e| e.what).collect();
    let it = it.entry();
    assert_eq!(
        what,
        [
            Happened::Recorded(Kind::Dye),
            Happened::Recorded(Kind::Swatch),
            Happened::Undid(it),
            Happened::Restored(it),
            Happened::Undid(it)
        ]
    );
    assert_eq!(book.journal(2).unwrap().len(), 2);
    let unknown = book.undo(&at, Entry::numbered(99)).unwrap_err().to_string();
    assert!(unknown.contains("no entry 99"), "{unknown}");
}

#[test]
fn a_name_undone_is_free_and_what_took_it_keeps_it() {
    let folder = folder();
    let mut book = begun(folder.path());
    let at = stamp();
    let first = book.record_costume(&at, &costume("The Ferryman")).unwrap();
    let taken = book.record_costume(&at, &costume("The Ferryman")).unwrap_err().to_string();
    assert!(taken.contains("'The Ferryman' is in the workbook already (entry 1)"), "{taken}");
    let undone = book.undo(&at, first.entry()).unwrap();
    let second = book.record_costume(&at, &costume("The Ferryman")).unwrap();
    assert!(matches!(book.undo(&at, undone), Err(Refusal::Taken { .. })));
    assert_eq!(book.costume_named("The Ferryman").unwrap(), Some(second));
    book.record_piece(&at, &piece(second, "sash")).unwrap();
}

/// Foreign keys are kept, whatever writes through the room's own connection: a record of the wrong kind
/// or of no entry is refused before the tables are asked.
#[test]
fn a_reference_to_nothing_or_to_another_kind_is_refused() {
    let folder = folder();
    let mut book = begun(folder.path());
    let at = stamp();
    let dye = book.record_dye(&at, &dye("acid-navy")).unwrap();
    let as_lot = workbook::Id::of(dye.entry());
    let wrong = book.record_swatch(&at, &swatch(vec![dose(dye, Some(as_lot), 1.0)])).unwrap_err();
    assert!(wrong.to_string().contains("no lot 1"), "{wrong}");
    let nowhere = Subject::Swatch(workbook::Id::of(Entry::numbered(77)));
    let wrong = book.record_reading(&at, &reading(nowhere, colour::Lab::new(50.0, 0.0, 0.0)));
    assert!(wrong.unwrap_err().to_string().contains("no swatch 77"));
    assert_eq!(book.last_entry().unwrap(), Some(dye.entry()), "nothing half recorded");
    let path = folder.path().join("book.sqlite");
    drop(book);
    assert!(Book::open(&path).unwrap().check().unwrap().is_clean());
}
