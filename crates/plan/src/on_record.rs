//! What is recorded of a piece that no recipe can tell: a swatch of it that is dyed and not read yet, and that the piece
//! itself was dyed whole. Without it a plan would ask for what is done already.
//!
//! Left out: what either came out as; that is the learning's (`taught`) and the judgement's (`correct`).

use units::Day;

use crate::Request;
use crate::document::{PiecePlan, RecordedSeen};
use crate::taught::Taught;

/// One entry of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnRecord {
    /// The costume.
    pub costume: String,
    /// The piece.
    pub piece: String,
    /// What was dyed.
    pub what: Dyed,
}

/// What was dyed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Dyed {
    /// A swatch of the piece, by its code, of which no finished reading is recorded, nor of any recorded after it.
    Unread(String),
    /// The piece itself.
    Whole {
        /// The day; none where nobody noted it.
        day: Option<Day>,
        /// Whether a finished reading of it is recorded.
        read: bool,
    },
}

impl Taught {
    /// The same with what is on record as dyed.
    #[must_use]
    pub fn with_record(mut self, on_record: Vec<OnRecord>) -> Self {
        self.on_record = on_record;
        self
    }

    fn recorded_of<'s>(
        &'s self,
        costume: &'s str,
        piece: &'s str,
    ) -> impl Iterator<Item = &'s Dyed> {
        let named = move |one: &&OnRecord| one.costume == costume && one.piece == piece;
        self.on_record.iter().filter(named).map(|one| &one.what)
    }

    /// Codes of the swatches of a piece that wait to be read.
    pub(crate) fn unread_of(&self, costume: &str, piece: &str) -> Vec<String> {
        let unread = |what: &Dyed| match what {
            Dyed::Unread(code) => Some(code.clone()),
            Dyed::Whole { .. } => None,
        };
        self.recorded_of(costume, piece).filter_map(unread).collect()
    }

    /// The last time the piece itself was dyed whole, and whether that was read; none where it was not.
    pub(crate) fn whole_of(&self, costume: &str, piece: &str) -> Option<(Option<Day>, bool)> {
        let whole = |what: &Dyed| match what {
            Dyed::Whole { day, read } => Some((*day, *read)),
            Dyed::Unread(_) => None,
        };
        self.recorded_of(costume, piece).filter_map(whole).last()
    }
}

/// Tells every piece with a bath what of it is on record.
pub(crate) fn tell(request: &Request, pieces: &mut [PiecePlan]) {
    let Some(taught) = request.taught else { return };
    let told: Vec<Option<RecordedSeen>> =
        pieces.iter().map(|piece| seen(taught, &request.costume.name, pieces, piece)).collect();
    for (piece, recorded) in pieces.iter_mut().zip(told) {
        piece.special.scoured |= recorded.as_ref().is_some_and(|recorded| recorded.whole);
        piece.special.recorded = recorded;
    }
}

/// The pieces as they are still to be dyed: those of a bath all of whose pieces are dyed whole have no sheet left to work
/// by, so that nobody buys or keeps a day free for them.
pub(crate) fn to_dye(request: &Request, pieces: &[PiecePlan]) -> Vec<PiecePlan> {
    let mut left = pieces.to_vec();
    let Some(taught) = request.taught else { return left };
    for (piece, whole) in left.iter_mut().zip(pieces) {
        if waiting(taught, &request.costume.name, pieces, whole).is_empty() {
            piece.sheets.clear();
        }
    }
    left
}

/// Who of the bath of a piece is still to be dyed: the piece, or others that lie in the bath with it.
fn waiting<'p>(
    taught: &Taught,
    costume: &str,
    pieces: &'p [PiecePlan],
    piece: &PiecePlan,
) -> Vec<&'p PiecePlan> {
    let host = piece.special.shares_with.as_ref().unwrap_or(&piece.id);
    let lies =
        |other: &&PiecePlan| &other.id == host || other.special.shares_with.as_ref() == Some(host);
    let waits = |other: &&PiecePlan| taught.whole_of(costume, &other.id).is_none();
    pieces.iter().filter(lies).filter(waits).collect()
}

fn seen(
    taught: &Taught,
    costume: &str,
    pieces: &[PiecePlan],
    piece: &PiecePlan,
) -> Option<RecordedSeen> {
    if piece.sheets.is_empty() && piece.special.shares_with.is_none() {
        return None;
    }
    if let Some((day, read)) = taught.whole_of(costume, &piece.id) {
        let waiting = waiting(taught, costume, pieces, piece);
        let counted = match waiting.as_slice() {
            [] => "no day and no shopping counts it".to_owned(),
            others => {
                let names: Vec<&str> = others.iter().map(|other| other.name.as_str()).collect();
                format!(
                    "the days and the shopping still count its bath, for {}",
                    names.join(" and ")
                )
            }
        };
        let words = format!(
            "{} The sheets here are how it would be dyed again; {counted}. {}",
            was_dyed(day),
            judge(&piece.id, read)
        );
        let day = day.map(|day| day.to_string());
        return Some(RecordedSeen { unread: vec![], whole: true, read, day, words });
    }
    let provisional = piece.sheets.iter().any(|sheet| sheet.first_line.is_some());
    let codes = taught.unread_of(costume, &piece.id);
    // Of two baths the snip that went through both is the one to read.
    let cards: Vec<&String> = piece.sheets.iter().filter_map(|sheet| sheet.code.as_ref()).collect();
    let through = cards.len() < 2 || cards.last().is_some_and(|last| codes.contains(last));
    (provisional && through && !codes.is_empty()).then(|| RecordedSeen {
        words: to_read(&codes),
        unread: codes,
        whole: false,
        read: false,
        day: None,
    })
}

/// That a swatch is to be read, as a sentence.
pub(crate) fn to_read(codes: &[String]) -> String {
    let (swatch, is, it, reading) = match codes {
        [_] => ("Swatch", "is", "it", "the reading"),
        _ => ("Swatches", "are", "them", "the readings"),
    };
    format!(
        "{swatch} {} {is} dyed: read {it} when washed off, dry, cool and ironed, and record {reading}.",
        codes.join(", ")
    )
}

/// That the piece itself was dyed, as a sentence.
pub(crate) fn was_dyed(day: Option<Day>) -> String {
    day.map_or_else(
        || "It was dyed whole.".to_owned(),
        |day| format!("It was dyed whole on {day}."),
    )
}

/// How a piece dyed whole is judged, as a sentence.
pub(crate) fn judge(piece: &str, read: bool) -> String {
    let first = match read {
        true => "Judge it",
        false => {
            "Read it when it is washed off, dry, cool and ironed, record the reading, and judge it"
        }
    };
    format!("{first} (dyewright correct FILE {piece} --dyed).")
}
