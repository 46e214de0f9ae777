//! Rule 16: burners, pots and drying places; and that no two baths stand in the one vessel their sheets name.

use crate::Log;
use crate::read::Sheet;
use crate::whole::clock::{Book, Work};
use crate::whole::{Piece, named};

/// A bath goes on through a pause this long (judgement: rinsing a sink); after a longer one the pot was free.
const PAUSE_MIN: f64 = 30.0;

pub(crate) fn check(log: &mut Log<'_>, book: &Book<'_>, pieces: &[Piece<'_>]) {
    for (key, fits, what) in [
        ("burners", (|w| w.burner) as fn(&Work<'_>) -> bool, "things stand on a burner"),
        ("drying", |w| w.job == "drying", "pieces hang to dry"),
        ("sinks", |w| !w.sink.is_empty() || w.job == "rinse", "things need a sink"),
    ] {
        let Some(most) = book.limit(key) else {
            log.sheet(16, format!("the day plan does not say how many there are of: {key}"));
            continue;
        };
        for now in book.begins() {
            let there = book.deeds(now, fits);
            if there > most {
                log.sheet(
                    16,
                    format!("{}: {there} {what}, and there is room for {most}", book.moment(now)),
                );
            }
        }
    }
    let baths = baths(log, book);
    for (at, bath) in baths.iter().enumerate() {
        for other in &baths[..at] {
            let meet = bath.pot == other.pot && bath.from < other.to && other.from < bath.to;
            if meet && !together(book, bath, other) {
                log.about(
                    16,
                    bath.works[0].piece,
                    format!(
                        "{}: the {} is in the {} while the {} is",
                        bath.works[0].when(),
                        bath.works[0].who(),
                        bath.pot,
                        other.works[0].who()
                    ),
                );
            }
        }
    }
    own_vessels(log, book, pieces);
}

/// Goods in a pot without leaving it.
struct Bath<'b, 'a> {
    pot: &'b str,
    from: f64,
    to: f64,
    works: Vec<&'b Work<'a>>,
}

fn baths<'b, 'a>(log: &mut Log<'_>, book: &'b Book<'a>) -> Vec<Bath<'b, 'a>> {
    let mut baths: Vec<Bath<'b, 'a>> = Vec::new();
    for work in &book.works {
        let Some(pot) = work.pot else { continue };
        if !book.pots.contains(&pot) {
            log.about(16, work.piece, format!("{}: the kitchen has no '{pot}'", work.when()));
        }
        let same = |b: &&mut Bath<'_, '_>| {
            let one = b.works[0];
            // A pot is scrubbed for nobody: two scrubs are not one.
            let goes_on = one.piece == work.piece && one.job == work.job && !work.piece.is_empty();
            goes_on && b.pot == pot && work.from >= b.to && work.from - b.to <= PAUSE_MIN
        };
        match baths.iter_mut().find(same) {
            Some(bath) => {
                bath.to = work.to;
                bath.works.push(work);
            }
            None => baths.push(Bath { pot, from: work.from, to: work.to, works: vec![work] }),
        }
    }
    baths
}

/// Jars that stand in one pot, or goods of one scour, from beginning to end.
fn together(book: &Book<'_>, a: &Bath<'_, '_>, b: &Bath<'_, '_>) -> bool {
    a.works.len() == b.works.len()
        && a.works
            .iter()
            .zip(&b.works)
            .all(|(a, b)| (a.jar && b.jar || a.job == "scour") && book.one_deed(a, b))
}

/// A jar may stand in a pot with others, but a jar of the maker's own is one: two sheets that name it are
/// not dyed by at the same time.
fn own_vessels(log: &mut Log<'_>, book: &Book<'_>, pieces: &[Piece<'_>]) {
    let wet = |w: &&Work<'_>| w.pot.is_some() && matches!(w.job, "swatch" | "bulk");
    let wet: Vec<(&Work<'_>, &str)> = book
        .works
        .iter()
        .filter(wet)
        .filter_map(|w| Some((w, own_vessel(book, pieces, w)?)))
        .collect();
    let mut told: Vec<(&str, &str)> = Vec::new();
    for (at, (later, vessel)) in wet.iter().enumerate() {
        for (earlier, other) in &wet[..at] {
            let ends = (earlier.piece, later.piece);
            if vessel != other || ends.0 == ends.1 || !later.meets(earlier) || told.contains(&ends)
            {
                continue;
            }
            told.push(ends);
            log.about(
                16,
                later.piece,
                format!(
                    "{}: its {} sheet is for the {vessel}, and so is that of {}, at the same time",
                    later.when(),
                    later.job,
                    earlier.piece
                ),
            );
        }
    }
}

/// The vessel of the kitchen that the sheets of this work name; none when they name no one or several.
fn own_vessel<'b>(book: &Book<'b>, pieces: &[Piece<'_>], work: &Work<'_>) -> Option<&'b str> {
    let piece = named(pieces, work.piece)?;
    let words = |sheet: &Sheet<'_>| {
        let words = sheet.raw.pointer("/vessel/words").and_then(serde_json::Value::as_str)?;
        book.pots.iter().copied().find(|pot| words.starts_with(&format!("{pot} (")))
    };
    let mut vessels = piece.of_kind(work.job).map(words);
    let first = vessels.next()??;
    vessels.all(|other| other == Some(first)).then_some(first)
}
