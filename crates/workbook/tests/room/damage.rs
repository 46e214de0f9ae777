//! Damage is found and said: in the file, in its references, in a cell, in a photograph, in an archive.

use std::fs;
use std::path::Path;

use rusqlite::Connection;
use workbook::{Book, Refusal};

use crate::common::dice::Dice;
use crate::common::{begun, folder, random};

/// What a check finds after something was done to the file behind the program's back.
fn found_after(sql: &[&str]) -> Vec<String> {
    let folder = folder();
    random::fill(&mut begun(folder.path()), 11, 300);
    let raw = Connection::open(folder.path().join("book.sqlite")).unwrap();
    raw.pragma_update(None, "foreign_keys", false).unwrap();
    // The file's own triggers are taken away and put back, as somebody who means to would.
    let triggers: Vec<(String, String)> = {
        let sql = "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'";
        let mut question = raw.prepare(sql).unwrap();
        let all = question.query_map([], |r| Ok((r.get(0)?, r.get(1)?))).unwrap();
        all.map(Result::unwrap).collect()
    };
    for (name, _) in &triggers {
        raw.execute_batch(&format!("DROP TRIGGER {name}")).unwrap();
    }
    for one in sql {
        assert!(raw.execute(one, []).unwrap() > 0, "{one} did something");
    }
    for (_, make) in &triggers {
        raw.execute_batch(make).unwrap();
    }
    drop(raw);
    Book::open(&folder.path().join("book.sqlite")).unwrap().check().unwrap().faults
}

fn says(sql: &[&str], words: &str) {
    let found = found_after(sql);
    assert!(found.iter().any(|f| f.contains(words)), "{sql:?} should say '{words}': {found:#?}");
}

#[test]
fn a_sound_workbook_is_clean() {
    let folder = folder();
    let mut book = begun(folder.path());
    assert!(book.check().unwrap().is_clean());
    random::fill(&mut book, 11, 300);
    let checked = book.check().unwrap();
    assert_eq!(checked.faults, Vec::<String>::new());
    assert!(checked.entries > 200 && checked.photographs > 5);
}

#[test]
fn a_cell_that_changed_is_found_by_its_seal() {
    let first = "(SELECT min(entry) FROM swatch)";
    for sql in [
        format!("UPDATE swatch SET goods_g = goods_g + 0.001 WHERE entry = {first}"),
        format!("UPDATE swatch SET cloth = 'silk' WHERE entry = {first}"),
        "UPDATE dose SET amount = amount * 1.5 WHERE rowid = (SELECT min(rowid) FROM dose)".to_owned(),
        "UPDATE journal SET who = 'Mallory' WHERE entry = 5".to_owned(),
        "UPDATE verdict SET call = 'accepted' WHERE entry = (SELECT min(entry) FROM verdict WHERE call <> 'accepted')".to_owned(),
        "DELETE FROM dose WHERE rowid = (SELECT min(rowid) FROM dose)".to_owned(),
        "UPDATE seal SET sha256 = replace(sha256, substr(sha256, 1, 1), 'e') WHERE entry = 3".to_owned(),
    ] {
        says(&[&sql], "its seal does not fit");
    }
    says(&["DELETE FROM seal WHERE entry = 4"], "entry 4 has no seal");
}

#[test]
fn broken_references_lost_rows_and_what_no_row_may_be() {
    says(
        &["UPDATE piece SET costume = 99999 WHERE entry = 2"],
        "piece 2 names a costume that is not there",
    );
    says(
        &["DELETE FROM costume WHERE entry = 1"],
        "entry 1 says costume, and there is no such costume",
    );
    says(&["DELETE FROM journal WHERE entry = 7"], "entries, but the last is number");
    says(&["UPDATE journal SET kind = 'spell' WHERE entry = 7"], "is of no known kind");
    says(&["UPDATE journal SET at = 'yesterday' WHERE entry = 2"], "yesterday");
    says(
        &["UPDATE reading SET spread = 'wide' WHERE entry = (SELECT min(entry) FROM reading)"],
        "'wide' is no spread",
    );
    says(&["UPDATE content SET bytes = X'00' WHERE rowid = 1"], "is not what was kept");
    says(
        &["DELETE FROM colour_index WHERE reading = (SELECT min(reading) FROM colour_index)"],
        "not where the index of colours says",
    );
    says(
        &[
            "INSERT INTO undo SELECT max(entry) + 1, 2, 1 FROM journal",
            "INSERT INTO journal SELECT max(entry) + 1, 'undo', at, who FROM journal",
        ],
        "and rests on entry 2, which is undone",
    );
}

#[test]
fn a_trigger_taken_away_or_a_table_added_is_found() {
    let folder = folder();
    random::fill(&mut begun(folder.path()), 11, 20);
    let path = folder.path().join("book.sqlite");
    let raw = Connection::open(&path).unwrap();
    raw.execute_batch("DROP TRIGGER dose_no_update; CREATE TABLE extra (a)").unwrap();
    drop(raw);
    let found = Book::open(&path).unwrap().check().unwrap().faults;
    assert!(
        found.contains(&"the trigger dose_no_update is missing or has been changed".to_owned())
    );
    assert!(found.contains(&"the table extra is not the program's".to_owned()), "{found:?}");
}

/// Bytes of the file itself: whatever is changed, it is found or changes nothing that is told.
#[test]
fn a_file_with_changed_bytes_is_found_or_tells_the_same() {
    let folder = folder();
    let mut book = begun(folder.path());
    random::fill(&mut book, 5, 120);
    drop(book);
    let path = folder.path().join("book.sqlite");
    let whole = fs::read(&path).unwrap();
    let told = archived(&Book::open(&path).unwrap(), folder.path());
    let mut dice = Dice::new(1);
    let mut found = 0;
    for _ in 0..150 {
        let mut bytes = whole.clone();
        for _ in 0..=dice.below(3) {
            let at = dice.below(bytes.len());
            bytes[at] ^= 1 << dice.below(8);
        }
        let hurt = folder.path().join("hurt.sqlite");
        fs::write(&hurt, bytes).unwrap();
        let clean =
            Book::open_to_read(&hurt).ok().filter(|b| b.check().is_ok_and(|c| c.is_clean()));
        match clean {
            None => found += 1,
            Some(book) => assert!(archived(&book, folder.path()) == told, "a change nobody saw"),
        }
    }
    assert!(found > 50, "only {found} of 150 were found: were the bytes changed at all?");
}

fn archived(book: &Book, folder: &Path) -> Vec<u8> {
    let archive = folder.join("told.tar");
    book.export(&archive).unwrap();
    let bytes = fs::read(&archive).unwrap();
    fs::remove_file(archive).unwrap();
    bytes
}

#[test]
fn a_file_cut_short_is_found() {
    let folder = folder();
    random::fill(&mut begun(folder.path()), 5, 120);
    let path = folder.path().join("book.sqlite");
    let whole = fs::read(&path).unwrap();
    for part in [17, 100, 4096, whole.len() / 2, whole.len() - 4096] {
        fs::write(&path, &whole[..part]).unwrap();
        match Book::open_to_read(&path) {
            Err(refusal) => assert!(
                matches!(refusal, Refusal::Damaged { .. } | Refusal::Foreign { .. }),
                "{refusal}"
            ),
            Ok(book) => assert!(!book.check().unwrap().is_clean(), "{part} bytes"),
        }
    }
}

#[test]
fn a_changed_archive_is_refused_and_leaves_nothing() {
    let folder = folder();
    let mut book = begun(folder.path());
    random::fill(&mut book, 5, 60);
    let archive = folder.path().join("book.tar");
    book.export(&archive).unwrap();
    let whole = fs::read(&archive).unwrap();
    let to = folder.path().join("taken.sqlite");
    let mut dice = Dice::new(2);
    for i in 0..120 {
        let mut bytes = whole.clone();
        if i % 4 == 0 {
            bytes.truncate(dice.below(whole.len()));
        } else {
            let at = dice.below(bytes.len());
            bytes[at] ^= 1 << dice.below(8);
        }
        fs::write(&archive, bytes).unwrap();
        match Book::import(&archive, &to) {
            Err(refusal) => {
                assert!(!to.exists() && fs::read_dir(folder.path()).unwrap().count() == 2);
                assert!(!refusal.to_string().is_empty());
            }
            // What changed nothing (padding, an owner's number) may pass, and then all of it is there.
            Ok(taken) => {
                assert!(archived(&taken, folder.path()) == whole, "a change nobody saw");
                drop(taken);
                fs::remove_file(&to).unwrap();
            }
        }
    }
}
