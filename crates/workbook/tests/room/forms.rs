//! Forms of the file: an earlier one is brought up to date with a copy kept, a later one is left alone.

use std::fs;
use std::path::{Path, PathBuf};

use rusqlite::Connection;
use workbook::{Aim, Book, Call, Condition, Hand, Refusal, Told, Undyed};

use crate::common::folder;

/// A file of the first form, as the first version would have left it.
fn first_form(folder: &Path) -> PathBuf {
    let path = folder.join("old.sqlite");
    let raw = Connection::open(&path).unwrap();
    raw.execute_batch(include_str!("../../migrations/0001_records.sql")).unwrap();
    raw.execute_batch(include_str!("../fixtures/form_1.sql")).unwrap();
    raw.pragma_update(None, "application_id", 0x4479_5762).unwrap();
    raw.pragma_update(None, "user_version", 1).unwrap();
    path
}

fn holds_what_it_held(book: &Book) {
    assert_eq!(book.check().unwrap().faults, Vec::<String>::new());
    let evidence = book.evidence().unwrap();
    let [one] = &evidence[..] else { panic!("one swatch: {evidence:?}") };
    assert_eq!((one.swatch.undyed.clone(), one.swatch.look_alike), (Undyed::Unsaid, false));
    assert_eq!(one.swatch.doses.len(), 2);
    let (place, dye, lot) = &one.dyes[0];
    assert_eq!((*place, dye.it.name.as_str()), (0, "acid-navy"));
    assert_eq!(lot.as_ref().unwrap().it.mark, "A17");
    let [read, wet] = &one.readings[..] else { panic!("two readings") };
    assert_eq!(read.it.condition.ironed, Told::Unsaid);
    assert!(!read.it.condition.is_unfinished() && wet.it.condition.is_unfinished());
    assert_eq!(wet.it.hand, Hand::Friend("Bo".to_owned()));
    assert_ne!(read.it.condition, Condition::UNSAID);

    let costume = book.costume_named("The Ferryman").unwrap().unwrap();
    let sash = book.piece_named(costume, "sash").unwrap().unwrap();
    let record = book.record_of(sash).unwrap();
    assert_eq!(record.verdicts[0].it.call, Call::GoodEnough);
    assert!(matches!(record.targets[0].it.aim, Aim::Shade(_)));
    let picture = book.photograph_bytes(record.photographs[0].id).unwrap();
    assert_eq!(picture, b"not really a picture");
    assert_eq!(book.dye_named("acid-red").unwrap(), None, "it was undone then, and is now");
    // The index of colours is made anew.
    let near = book.nearest(
        colour::Lab::new(31.0, 2.0, -18.0),
        workbook::Within::try_de00(2.0).unwrap(),
        5,
    );
    assert_eq!(near.unwrap().len(), 1);
}

#[test]
fn an_earlier_form_is_brought_up_to_date_and_a_copy_is_kept() {
    let folder = folder();
    let path = first_form(folder.path());
    holds_what_it_held(&Book::open(&path).unwrap());
    let copy = folder.path().join("old.sqlite.form1");
    let raw = Connection::open(&copy).unwrap();
    let form: i64 = raw.pragma_query_value(None, "user_version", |r| r.get(0)).unwrap();
    let swatches: i64 = raw.query_row("SELECT count(*) FROM swatch", [], |r| r.get(0)).unwrap();
    assert_eq!((form, swatches), (1, 1));
    // Opened again there is nothing left to do, and no second copy.
    holds_what_it_held(&Book::open(&path).unwrap());
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
}

#[test]
fn reading_an_earlier_form_changes_nothing_on_the_disk() {
    let folder = folder();
    let path = first_form(folder.path());
    let before = fs::read(&path).unwrap();
    holds_what_it_held(&Book::open_to_read(&path).unwrap());
    assert!(fs::read(&path).unwrap() == before);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn what_was_recorded_in_an_earlier_form_goes_into_an_archive() {
    let folder = folder();
    let book = Book::open_to_read(&first_form(folder.path())).unwrap();
    let archive = folder.path().join("old.tar");
    book.export(&archive).unwrap();
    holds_what_it_held(&Book::import(&archive, &folder.path().join("new.sqlite")).unwrap());
}

#[test]
fn a_later_form_is_refused_and_left_as_it_is() {
    let folder = folder();
    let path = first_form(folder.path());
    let raw = Connection::open(&path).unwrap();
    raw.pragma_update(None, "user_version", 900).unwrap();
    drop(raw);
    let before = fs::read(&path).unwrap();
    for refusal in [Book::open(&path).unwrap_err(), Book::open_to_read(&path).unwrap_err()] {
        assert!(matches!(refusal, Refusal::Newer { found: 900, .. }), "{refusal}");
        assert!(refusal.to_string().contains("use the newer program; nothing was changed"));
    }
    assert!(fs::read(&path).unwrap() == before);
}
