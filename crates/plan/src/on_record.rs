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
    for piece in pieces.iter_mut().filter(|piece| !piece.sheets.is_empty()) {
        piece.special.recorded = seen(taught, &request.costume.name, piece);
    }
}

fn seen(taught: &Taught, costume: &str, piece: &PiecePlan) -> Option<RecordedSeen> {
    if let Some((day, read)) = taught.whole_of(costume, &piece.id) {
        let again = "The sheets here are how it would be dyed again; the day plan and the shopping list still count it";
        let words = format!("{} {again}. {}", was_dyed(day), judge(&piece.id, read));
        let day = day.map(|day| day.to_string());
        return Some(RecordedSeen { unread: vec![], whole: true, day, words });
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
    format!("{first}: dyewright correct FILE {piece} --dyed.")
}
