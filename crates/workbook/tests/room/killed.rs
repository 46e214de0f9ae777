//! A program killed while it records loses nothing it has acknowledged (the whole: example `kill_book`).

#[path = "../../examples/kill_book/recorder.rs"]
mod recorder;

use std::path::Path;
use std::process::Command;

use workbook::Book;

use crate::common::{begun, costume, folder, stamp};

const PLACE: &str = "DYEWRIGHT_TEST_RECORD";

/// Not a test by itself: the program that is killed.
#[test]
#[ignore = "started by the test below"]
fn records_until_it_is_killed() {
    let Ok(place) = std::env::var(PLACE) else { return };
    let (seed, path) = place.split_once(' ').unwrap();
    recorder::record(Path::new(path), seed.parse().unwrap()).unwrap();
}

#[test]
fn nothing_acknowledged_is_lost_when_the_program_is_killed() {
    let program = std::env::current_exe().unwrap();
    let mut acknowledged = 0;
    for i in 0..12 {
        let folder = folder();
        let path = folder.path().join("book.sqlite");
        let seed = recorder::mixed(i);
        let found = recorder::round(&path, seed, || {
            let mut command = Command::new(&program);
            command.args([
                "--exact",
                "killed::records_until_it_is_killed",
                "--ignored",
                "--nocapture",
            ]);
            recorder::piped(command.env(PLACE, format!("{seed} {}", path.display())))
        })
        .unwrap();
        assert_eq!((found.lost, found.unopened, found.unclean), (0, 0, 0), "round {i}: {found:?}");
        acknowledged += found.acknowledged;
    }
    assert!(acknowledged > 200, "they were killed before they had recorded: {acknowledged}");
}

/// A write killed half way leaves its journal beside the file: whoever only reads or checks takes it back, too, and
/// finds everything that was acknowledged.
#[test]
fn a_write_that_was_cut_short_is_taken_back_by_whoever_only_reads() {
    let folder = folder();
    let path = folder.path().join("book.sqlite");
    let mut book = begun(folder.path());
    let kept = book.write(|w| w.record_costume(&stamp(), &costume("kept"))).unwrap();
    drop(book);

    // As it lies on the disk in the middle of a write: pages written over, the journal not yet taken away.
    let cut = folder.path().join("cut.sqlite");
    let writer = rusqlite::Connection::open(&path).unwrap();
    writer
        .execute_batch("PRAGMA cache_size = 1; PRAGMA cache_spill = 1; BEGIN IMMEDIATE;")
        .unwrap();
    writer
        .execute_batch(
            "CREATE TABLE half (text); WITH RECURSIVE n(i) AS (VALUES (1) UNION ALL SELECT i + 1 FROM n WHERE i < 2000) \
             INSERT INTO half SELECT hex(randomblob(200)) FROM n;",
        )
        .unwrap();
    std::fs::copy(&path, &cut).unwrap();
    let journal = |of: &Path| std::path::PathBuf::from(format!("{}-journal", of.display()));
    std::fs::copy(journal(&path), journal(&cut)).unwrap();
    writer.execute_batch("ROLLBACK").unwrap();
    assert!(std::fs::metadata(journal(&cut)).unwrap().len() > 512, "nothing was spilled");

    let read = Book::open_to_read(&cut).unwrap();
    assert!(read.costume(kept).is_ok());
    assert!(read.check().unwrap().is_clean());
    assert!(!journal(&cut).exists(), "it is taken back for good");
}
