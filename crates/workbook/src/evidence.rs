//! What the workbook has to teach: every swatch that stands, and every piece that was dyed whole, with the dyes and
//! lots it names and its readings that stand. What a reading teaches, and whether it teaches at all, is not decided
//! here.

use std::collections::BTreeMap;

use units::Mass;

use crate::record::Recorded;
use crate::{
    Bath, Book, Dose, Dosed, Hand, Id, Lot, Piece, Purpose, Reading, Refusal, ShelfDye, Subject,
    Swatch,
};

/// A swatch or a piece dyed whole, what went into it, and what it came out as.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// Which of the two it is.
    pub of: Subject,
    /// The swatch, its doses in order; a piece dyed whole as the swatch it would be: of the weight of all that was in
    /// the bath.
    pub swatch: Swatch,
    /// Whether it was dyed on another colour.
    pub over: bool,
    /// The dyes that were dosed, each with its lot where it is known, in the order of the doses; the
    /// number is the dose's place among them, from 0.
    pub dyes: Vec<DyeDosed>,
    /// Its readings, in order; unfinished cloth among them (`Condition::is_unfinished`).
    pub readings: Vec<Recorded<Reading>>,
}

/// The place of a dose, its dye, its lot.
pub type DyeDosed = (usize, Recorded<ShelfDye>, Option<Recorded<Lot>>);

impl Book {
    /// Everything that stands: the swatches in the order they were recorded, then the pieces dyed whole in theirs.
    pub fn evidence(&self) -> Result<Vec<Evidence>, Refusal> {
        let mut readings: BTreeMap<Of, Vec<Recorded<Reading>>> = BTreeMap::new();
        for reading in self.readings() {
            let reading = reading?;
            if let (false, Some(of)) = (reading.undone, Of::about(reading.it.of)) {
                readings.entry(of).or_default().push(reading);
            }
        }
        let mut named = Named::default();
        let mut all = Vec::new();
        for swatch in self.swatches() {
            let swatch = swatch?;
            if swatch.undone {
                continue;
            }
            let of = Subject::Swatch(swatch.id);
            let readings = Of::about(of).and_then(|of| readings.remove(&of)).unwrap_or_default();
            let (over, dyes) = (swatch.it.over.is_some(), named.dyes(self, &swatch.it.doses)?);
            all.push(Evidence { of, swatch: swatch.it, over, dyes, readings });
        }
        for bath in self.baths() {
            let bath = bath?;
            // A bath without dye teaches nothing of one.
            let dyed = bath.it.doses.iter().any(|d| matches!(d.of, Dosed::Dye { .. }));
            if bath.undone || !dyed {
                continue;
            }
            let over = bath.it.purpose != Purpose::Dye;
            let dyes = named.dyes(self, &bath.it.doses)?;
            for inside in &bath.it.pieces {
                let of = Subject::Dyed { bath: bath.id, piece: inside.piece };
                let readings =
                    Of::about(of).and_then(|of| readings.remove(&of)).unwrap_or_default();
                let swatch = self.as_swatch(&bath.it, inside.piece)?;
                all.push(Evidence { of, swatch, over, dyes: dyes.clone(), readings });
            }
        }
        Ok(all)
    }

    /// A piece dyed whole as the swatch it would be.
    fn as_swatch(&self, bath: &Bath, piece: Id<Piece>) -> Result<Swatch, Refusal> {
        let grams: f64 = bath.pieces.iter().map(|p| p.dry.to_grams()).sum();
        Ok(Swatch {
            piece: Some(piece),
            over: None,
            code: None,
            day: Some(bath.day),
            cloth: self.piece(piece)?.it.goods,
            fibre: bath.fibre.clone().unwrap_or_default(),
            undyed: bath.undyed.clone(),
            look_alike: false,
            goods: Mass::try_grams(grams)?,
            liquor: bath.liquor,
            class: bath.class.clone(),
            procedure: bath.procedure.clone(),
            doses: bath.doses.clone(),
            hand: Hand::Own,
            note: bath.note.clone(),
        })
    }
}

/// What a reading is of, in order: a swatch, or a bath and a piece in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Of {
    Swatch(Id<Swatch>),
    Dyed(Id<Bath>, Id<Piece>),
}

impl Of {
    fn about(subject: Subject) -> Option<Self> {
        match subject {
            Subject::Swatch(swatch) => Some(Self::Swatch(swatch)),
            Subject::Dyed { bath, piece } => Some(Self::Dyed(bath, piece)),
            Subject::Piece(_) => None,
        }
    }
}

/// Dyes and lots, each read once.
#[derive(Default)]
struct Named {
    dyes: BTreeMap<Id<ShelfDye>, Recorded<ShelfDye>>,
    lots: BTreeMap<Id<Lot>, Recorded<Lot>>,
}

impl Named {
    fn dyes(&mut self, book: &Book, doses: &[Dose]) -> Result<Vec<DyeDosed>, Refusal> {
        let mut dyes = Vec::new();
        for (place, dose) in doses.iter().enumerate() {
            let Dosed::Dye { dye: id, lot: of } = dose.of else { continue };
            let dye = match self.dyes.get(&id) {
                Some(dye) => dye.clone(),
                None => self.dyes.entry(id).or_insert(book.dye(id)?).clone(),
            };
            let lot = match of {
                None => None,
                Some(id) => Some(match self.lots.get(&id) {
                    Some(lot) => lot.clone(),
                    None => self.lots.entry(id).or_insert(book.lot(id)?).clone(),
                }),
            };
            dyes.push((place, dye, lot));
        }
        Ok(dyes)
    }
}
