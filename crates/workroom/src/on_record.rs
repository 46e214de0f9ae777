//! What of the workbook's records is dyed and waits: swatches without a finished reading, pieces dyed whole.
//!
//! Left out: others' swatches, which nobody here can read, and swatches recorded before one that was read, which the
//! piece no longer waits for.

use std::collections::BTreeSet;

use plan::{Dyed, OnRecord};
use workbook::{Evidence, Hand, Subject};

use crate::remembered::Remembered;

/// What is on record as dyed, in the order of the record.
pub(crate) fn on_record(remembered: &Remembered) -> Vec<OnRecord> {
    let mut read_later = BTreeSet::new();
    let mut all = vec![];
    for one in remembered.evidence.iter().rev() {
        let Some(id) = one.swatch.piece else { continue };
        let Some((costume, piece)) = remembered.pieces.get(&id) else { continue };
        let what = match one.of {
            Subject::Swatch(_) if one.swatch.hand != Hand::Own => continue,
            Subject::Swatch(_) if is_read(one) => {
                read_later.insert(id);
                continue;
            }
            Subject::Swatch(_) if read_later.contains(&id) => continue,
            Subject::Swatch(_) => Dyed::Unread(remembered.code(one)),
            Subject::Dyed { .. } | Subject::Piece(_) => {
                Dyed::Whole { day: one.swatch.day, read: is_read(one) }
            }
        };
        all.push(OnRecord { costume: costume.clone(), piece: piece.clone(), what });
    }
    all.reverse();
    all
}

/// Whether a finished reading of it stands.
fn is_read(one: &Evidence) -> bool {
    one.readings.iter().any(|reading| !reading.it.condition.is_unfinished())
}
