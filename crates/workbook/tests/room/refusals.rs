//! Speech: files that are no workbook, places that are taken, records that cannot be.

use std::fs;
use std::path::Path;

use colour::{Colour, Lab, Light, Observer};
use rusqlite::Connection;
use units::Mass;
use workbook::{Book, Refusal, Subject, Within};

use crate::common::{begun, dose, dye, folder, reading, stamp, swatch};

/// Refused by both ways of opening; gives the words.
fn refused(path: &Path) -> String {
    let words = Book::open(path).unwrap_err().to_string();
    assert_eq!(Book::open_to_read(path).unwrap_err().to_string(), words);
    let shown = path.display().to_string();
    assert!(words.contains(&shown) || words.contains("damaged"), "the culprit is named: {words}");
    words.replace(&shown, "FILE")
}

#[test]
fn what_is_no_workbook_is_refused_in_words() {
    let folder = folder();
    let at = |name: &str| folder.path().join(name);
    let put = |name: &str, bytes: &[u8]| {
        fs::write(at(name), bytes).unwrap();
        refused(&at(name))
    };
    assert_eq!(
        refused(&at("none.sqlite")),
        "there is no workbook at 'FILE': name another file, or begin a new workbook there"
    );
    assert!(refused(folder.path()).contains("not a workbook (it is a folder)"));
    assert!(put("empty.sqlite", b"").contains("(it is empty)"));
    assert!(put("text.sqlite", b"[costume]\nname = 3\n").contains("(it is another kind of file)"));
    assert!(put("short.sqlite", b"SQLite").contains("(it is another kind of file)"));
    assert!(put("head.sqlite", b"SQLite format 3\0").contains("damaged"));
    let mut noise = b"SQLite format 3\0".to_vec();
    noise.extend((0..9000_u32).map(|i| i.wrapping_mul(2_654_435_761).to_le_bytes()[3]));
    assert!(put("noise.sqlite", &noise).contains("damaged"));
    let foreign = at("foreign.sqlite");
    Connection::open(&foreign)
        .unwrap()
        .execute_batch("CREATE TABLE a (b); INSERT INTO a VALUES (1)")
        .unwrap();
    assert!(refused(&foreign).contains("(it is a database of something else)"));
    // A file of 40 GB, without its bytes on the disk.
    let huge = fs::File::create(at("huge.sqlite")).unwrap();
    huge.set_len(40_000_000_000).unwrap();
    assert!(refused(&at("huge.sqlite")).contains("(it is another kind of file)"));
}

/// A file that says it is a workbook, and is nothing more.
#[test]
fn a_workbook_in_name_only_is_found_out() {
    let folder = folder();
    let path = folder.path().join("hollow.sqlite");
    let raw = Connection::open(&path).unwrap();
    raw.execute_batch("CREATE TABLE journal (a)").unwrap();
    raw.pragma_update(None, "application_id", 0x4479_5762).unwrap();
    raw.pragma_update(None, "user_version", 4).unwrap();
    drop(raw);
    let book = Book::open(&path).unwrap();
    let checked = book.check().unwrap();
    assert!(checked.faults.len() > 20, "{:?}", checked.faults);
    assert!(book.evidence().is_err());
}

#[cfg(unix)]
#[test]
fn a_pipe_is_refused_and_not_waited_for() {
    let folder = folder();
    let pipe = folder.path().join("pipe");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status().unwrap();
    assert!(made.success());
    assert!(refused(&pipe).contains("not an ordinary file"));
    let archive = Book::import(&pipe, &folder.path().join("to.sqlite")).unwrap_err().to_string();
    assert!(archive.contains("no ordinary file"), "{archive}");
}

#[test]
fn nothing_is_written_over() {
    let folder = folder();
    let at = |name: &str| folder.path().join(name);
    let book = begun(folder.path());
    fs::write(at("theirs"), "somebody's").unwrap();
    let words = |refusal: Refusal| refusal.to_string();
    for path in [at("theirs"), at("book.sqlite"), folder.path().to_path_buf()] {
        assert!(words(Book::create(&path).unwrap_err()).contains("is there already"));
        assert!(words(book.export(&path).unwrap_err()).contains("is there already"));
    }
    book.export(&at("book.tar")).unwrap();
    assert!(
        words(Book::import(&at("book.tar"), &at("theirs")).unwrap_err())
            .contains("is there already")
    );
    assert_eq!(fs::read_to_string(at("theirs")).unwrap(), "somebody's");
    let nowhere = at("no/such/place");
    for refusal in [Book::create(&nowhere).unwrap_err(), book.export(&nowhere).unwrap_err()] {
        assert!(words(refusal).contains("there is no such folder as that of"));
    }
    // An empty file is as good as none: a beginning that was interrupted.
    fs::write(at("empty"), "").unwrap();
    assert!(Book::create(&at("empty")).unwrap().check().unwrap().is_clean());
}

#[test]
fn what_is_no_archive_is_refused_in_words() {
    let folder = folder();
    let at = |name: &str| folder.path().join(name);
    let take = |bytes: &[u8]| {
        fs::write(at("a.tar"), bytes).unwrap();
        Book::import(&at("a.tar"), &at("to.sqlite")).unwrap_err().to_string()
    };
    assert!(take(b"").contains("it ends before 'workbook.json'"));
    assert!(take(b"[costume]").contains("cannot be taken in"));
    assert!(take(&[b'x'; 4096]).contains("cannot be read as a tar"));
    let told = take("a line of somebody's notes\n".repeat(100).as_bytes());
    assert!(told.contains("is not a packed workbook") && !told.contains("notes"), "{told}");
    let none = Book::import(&at("none.tar"), &at("to.sqlite")).unwrap_err().to_string();
    assert!(none.contains("there is no file"), "{none}");

    let tar_of = |name: &str, text: &str| {
        let mut tar = tar::Builder::new(vec![]);
        let mut head = tar::Header::new_ustar();
        head.set_size(text.len() as u64);
        head.set_mode(0o644);
        tar.append_data(&mut head, name, text.as_bytes()).unwrap();
        tar.into_inner().unwrap()
    };
    assert!(
        take(&tar_of("photo.jpg", "x")).contains("'photo.jpg' stands where 'workbook.json' should")
    );
    assert!(take(&tar_of("workbook.json", "{}")).contains("is not that of a workbook"));
    let head = |archive: u32, form: u32| {
        format!(
            "{{\"format\": \"dyewright workbook\", \"archive\": {archive}, \"form\": {form}, \
             \"rows\": 0, \"sha256\": \"\", \"photographs\": 0}}"
        )
    };
    assert!(take(&tar_of("workbook.json", &head(1, 900))).contains("newer version of the program"));
    assert!(take(&tar_of("workbook.json", &head(2, 1))).contains("newer version of the program"));
    assert!(take(&tar_of("workbook.json", &head(1, 0))).contains("a version there never was"));
    assert!(take(&tar_of("workbook.json", &head(1, 1))).contains("it ends before 'records.jsonl'"));
    assert!(!at("to.sqlite").exists());
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "nothing is left");
}

#[test]
fn records_that_cannot_be_are_refused_and_nothing_is_kept_of_them() {
    let folder = folder();
    let mut book = begun(folder.path());
    let at = stamp();
    let dye = book.record_dye(&at, &dye("acid-navy")).unwrap();
    let it = book.record_swatch(&at, &swatch(vec![dose(dye, None, 1.0)])).unwrap();
    let last = book.last_entry().unwrap();
    let lab = Lab::new(40.0, 0.0, 0.0);
    let sound = reading(Subject::Swatch(it), lab);

    let mut wrong = swatch(vec![]);
    wrong.goods = Mass::ZERO;
    assert!(book.record_swatch(&at, &wrong).unwrap_err().to_string().contains("dry weight"));
    let mut wrong = swatch(vec![]);
    wrong.cloth = " wool".to_owned();
    assert!(
        book.record_swatch(&at, &wrong).unwrap_err().to_string().contains("the cloth of a swatch")
    );
    let mut wrong = sound.clone();
    wrong.value = colour::Value::Colour(Colour::d65_10(Lab::new(f64::NAN, 0.0, 0.0)));
    assert!(book.record_reading(&at, &wrong).is_err());
    let mut wrong = sound.clone();
    wrong.also = vec![Colour { lab, light: Light::D65, observer: Observer::Ten }];
    assert!(book.record_reading(&at, &wrong).unwrap_err().to_string().contains("told twice"));
    let mut wrong = sound.clone();
    wrong.spread = colour::Spread::Rms(-1.0);
    assert!(book.record_reading(&at, &wrong).is_err());
    let empty = book.record_photograph(&at, b"", "image/jpeg", None, None).unwrap_err();
    assert!(empty.to_string().contains("a photograph of 0 bytes"));
    for within in [0.0, -1.0, 21.0, f64::NAN] {
        assert!(Within::try_de00(within).is_err());
    }
    assert_eq!(book.last_entry().unwrap(), last);
    assert!(book.check().unwrap().is_clean());

    // Of several things at once, one refused takes the others with it.
    let all = book.write(|w| {
        w.record_reading(&at, &sound)?;
        w.record_swatch(&at, &wrong_swatch())
    });
    assert!(all.is_err());
    assert_eq!(book.last_entry().unwrap(), last);
}

fn wrong_swatch() -> workbook::Swatch {
    let mut it = swatch(vec![]);
    it.class = String::new();
    it
}

#[test]
fn a_workbook_that_is_held_is_waited_for_and_then_refused() {
    let folder = folder();
    let mut book = begun(folder.path());
    book.set_patience(std::time::Duration::from_millis(1)).unwrap();
    let other = Connection::open(folder.path().join("book.sqlite")).unwrap();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    assert_eq!(book.record_dye(&stamp(), &dye("acid-navy")), Err(Refusal::Locked));
    other.execute_batch("ROLLBACK").unwrap();
    book.record_dye(&stamp(), &dye("acid-navy")).unwrap();
}
