//! Laws: whatever was recorded comes back, and an archive taken in elsewhere is the same workbook.

use std::fs;

use crate::common::{begun, folder, random};
use proptest::prelude::*;
use workbook::Book;

/// Everything a workbook tells, as text.
fn told(book: &Book) -> String {
    let mut all = String::new();
    macro_rules! add {
        ($($each:ident),+) => { $(for one in book.$each() { all += &format!("{:?}\n", one.unwrap()); })+ };
    }
    add!(costumes, pieces, targets, dyes, lots, photographs, swatches, baths, readings, verdicts);
    for photograph in book.photographs() {
        all += &format!("{:?}\n", book.photograph_bytes(photograph.unwrap().id).unwrap());
    }
    all + &format!("{:?}", book.journal(u32::MAX).unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn an_archive_taken_in_elsewhere_is_the_same_workbook(seed in any::<u64>(), things in 0..160_usize) {
        let (here, there) = (folder(), folder());
        let mut book = begun(here.path());
        random::fill(&mut book, seed, things);
        prop_assert_eq!(book.check().unwrap().faults, Vec::<String>::new());
        let archive = here.path().join("book.tar");
        let packed = book.export(&archive).unwrap();

        let taken = Book::import(&archive, &there.path().join("other.sqlite")).unwrap();
        prop_assert_eq!(told(&taken), told(&book));
        prop_assert_eq!(taken.check().unwrap(), book.check().unwrap());
        // Packed again it is the same archive, byte by byte.
        let again = there.path().join("again.tar");
        prop_assert_eq!(taken.export(&again).unwrap(), packed);
        prop_assert!(fs::read(&archive).unwrap() == fs::read(&again).unwrap());
        // Nothing else was left in either folder.
        prop_assert_eq!(fs::read_dir(here.path()).unwrap().count(), 2);
        prop_assert_eq!(fs::read_dir(there.path()).unwrap().count(), 2);
    }

    /// What is read back after closing is what was recorded.
    #[test]
    fn a_workbook_opened_again_tells_the_same(seed in any::<u64>()) {
        let folder = folder();
        let mut book = begun(folder.path());
        random::fill(&mut book, seed, 80);
        let before = told(&book);
        drop(book);
        let path = folder.path().join("book.sqlite");
        prop_assert_eq!(told(&Book::open(&path).unwrap()), before.clone());
        prop_assert_eq!(told(&Book::open_to_read(&path).unwrap()), before);
    }
}

/// The random workbooks are worth the name: every kind of record is in them, and refusals are those of
/// undoing and of names.
#[test]
fn random_workbooks_hold_everything() {
    let folder = folder();
    let mut book = begun(folder.path());
    let refused = random::fill(&mut book, 7, 600);
    for kind in workbook::Kind::ALL {
        let events = book.journal(u32::MAX).unwrap();
        let there = events.iter().filter(|e| match e.what {
            workbook::Happened::Recorded(k) => k == *kind,
            _ => *kind == workbook::Kind::Undo,
        });
        assert!(there.count() >= 5, "{kind:?}");
    }
    for refusal in refused {
        use workbook::Refusal as R;
        assert!(
            matches!(
                refusal,
                R::RestedOn { .. }
                    | R::RestsOnUndone { .. }
                    | R::AlreadyUndone { .. }
                    | R::NotTheLast { .. }
                    | R::Taken { .. }
            ),
            "{refusal}"
        );
    }
}
