//! Tests of unknown cloth among the days: rule 16, that each has its time and what can hurt has the kitchen to itself;
//! rule 18, that bleach is counted where it goes.

use crate::Log;
use crate::read::{list, text};
use crate::whole::Piece;
use crate::whole::clock::{Book, Hands, Work};

/// Tests that can hurt, by a word in their name, with the least minutes each takes: a snip stands in bleach 20 to 60 min
/// and in acetone 5, and a room is aired 10 min before anything is lit (trade.md, the key for unknown fibres; the
/// airing is judgement).
const HURTS: [(&str, f64); 5] =
    [("bleach", 60.0), ("acetone", 15.0), ("burn", 5.0), ("iron", 5.0), ("dye-mix", 5.0)];

/// Every piece that is tested.
pub(crate) fn check(log: &mut Log<'_>, book: &Book<'_>, pieces: &[Piece<'_>]) {
    for work in book.works.iter().filter(|w| w.alone) {
        alone(log, book, work);
    }
    for piece in pieces.iter().filter(|p| !book.has_no_place(p.id)) {
        let works: Vec<&Work<'_>> = book.of_piece(piece.id, "test").collect();
        if works.is_empty() {
            continue;
        }
        for test in list(piece.raw, "tests").filter_map(|test| text(test, "test")) {
            one(log, piece.id, test, &works);
        }
    }
}

/// Nothing that is attended or lit meets what has the kitchen to itself.
fn alone(log: &mut Log<'_>, book: &Book<'_>, work: &Work<'_>) {
    let attended = |w: &&Work<'_>| w.burner || w.hands != Hands::Away;
    let other = book.works.iter().filter(attended);
    if let Some(other) = other.filter(|w| !std::ptr::eq(*w, work)).find(|w| w.meets(work)) {
        let (when, what, who) = (work.when(), work.what, other.who());
        log.about(16, work.piece, format!("{when}: '{what}' has not the kitchen to itself: {who}"));
    }
}

/// One test that was asked for is among the days, and stands as it must.
fn one(log: &mut Log<'_>, piece: &str, test: &str, works: &[&Work<'_>]) {
    let Some(at) = works.iter().position(|w| w.what.contains(test)) else {
        log.about(16, piece, format!("the test '{test}' is asked for, and no day has it"));
        return;
    };
    let work = works[at];
    let name = test.to_lowercase();
    let Some((word, least)) = HURTS.iter().find(|(word, _)| name.contains(word)) else { return };
    if work.minutes() < *least {
        let has = work.minutes();
        log.about(16, piece, format!("the test '{test}' has {has:.0} min, and takes {least:.0}"));
    }
    if !work.alone {
        log.about(16, piece, format!("the test '{test}' has not the kitchen to itself"));
    }
    let bleach_off = works[at..].iter().any(|w| w.sink.contains(&"bleach"));
    if *word == "bleach" && !bleach_off {
        log.about(18, piece, format!("the test '{test}' leaves bleach, and no sink is counted"));
    }
    let lit_before = |w: &&&Work<'_>| w.what.contains("burn") && w.from < work.to;
    if *word == "acetone" && works.iter().any(|w| lit_before(&w)) {
        log.about(16, piece, "something is lit before the acetone is gone".to_owned());
    }
}
