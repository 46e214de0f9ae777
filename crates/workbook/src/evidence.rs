//! What the workbook has to teach: every swatch that stands, with the dyes and lots it names and its
//! readings that stand. What a reading teaches, and whether it teaches at all, is not decided here.

use std::collections::BTreeMap;

use crate::record::Recorded;
use crate::{Book, Dosed, Id, Lot, Reading, Refusal, ShelfDye, Swatch};

/// A swatch, what went into it, and what it came out as.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// The swatch, its doses in order.
    pub swatch: Recorded<Swatch>,
    /// The dyes that were dosed, each with its lot where it is known, in the order of the doses; the
    /// number is the dose's place among them, from 0.
    pub dyes: Vec<(usize, Recorded<ShelfDye>, Option<Recorded<Lot>>)>,
    /// Its readings, in order; unfinished cloth among them (`Condition::is_unfinished`).
    pub readings: Vec<Recorded<Reading>>,
}

impl Book {
    /// Everything that stands, in the order it was recorded.
    pub fn evidence(&self) -> Result<Vec<Evidence>, Refusal> {
        let mut readings: BTreeMap<Id<Swatch>, Vec<Recorded<Reading>>> = BTreeMap::new();
        for reading in self.readings() {
            let reading = reading?;
            if let (false, crate::Subject::Swatch(swatch)) = (reading.undone, reading.it.of) {
                readings.entry(swatch).or_default().push(reading);
            }
        }
        let mut known: BTreeMap<Id<ShelfDye>, Recorded<ShelfDye>> = BTreeMap::new();
        let mut lots: BTreeMap<Id<Lot>, Recorded<Lot>> = BTreeMap::new();
        let mut all = Vec::new();
        for swatch in self.swatches() {
            let swatch = swatch?;
            if swatch.undone {
                continue;
            }
            let mut dyes = Vec::new();
            for (place, dose) in swatch.it.doses.iter().enumerate() {
                let Dosed::Dye { dye: id, lot: of } = dose.of else { continue };
                let dye = match known.get(&id) {
                    Some(dye) => dye.clone(),
                    None => known.entry(id).or_insert(self.dye(id)?).clone(),
                };
                let lot = match of {
                    None => None,
                    Some(id) => Some(match lots.get(&id) {
                        Some(lot) => lot.clone(),
                        None => lots.entry(id).or_insert(self.lot(id)?).clone(),
                    }),
                };
                dyes.push((place, dye, lot));
            }
            let readings = readings.remove(&swatch.id).unwrap_or_default();
            all.push(Evidence { swatch, dyes, readings });
        }
        Ok(all)
    }
}
