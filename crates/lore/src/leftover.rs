//! What may be done with a bath that is left over, by way of dyeing.
//!
//! Rows in `leftover.toml`. A bath used again is never banked on for a match. Left out: how leftovers are thrown
//! away (`hazard`), and which piece might use one (`plan`).

use serde::Deserialize;
use units::Share;

use crate::fault::{held, read};
use crate::named::named;
use crate::{DataFault, Lore, Procedure, Provenance, Standing};

named! {
    /// For what a leftover bath may be used; later is freer.
    pub enum Reuse, "reuse" {
        /// Not at all.
        Never = "never",
        /// The same colour only.
        SameColour = "same colour",
        /// The same hue or a darker one, with fresh dye.
        SameOrDarker = "same or darker",
    }
}

/// What may be done with the leftover bath of a way of dyeing.
#[derive(Debug, Clone, PartialEq)]
pub struct Leftover {
    procedures: Vec<Procedure>,
    /// For what.
    pub reuse: Reuse,
    /// How often, at least and at most, where a figure is known.
    pub times: Option<(u32, u32)>,
    /// Acid to be given again, as a share of the first dose.
    pub acid_again: Option<Share>,
    /// The condition, in words.
    pub only_when: Option<String>,
    /// In words.
    pub says: String,
    /// Where the row is from.
    pub provenance: Provenance,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    procedures: Vec<Procedure>,
    reuse: Reuse,
    times_low: Option<u32>,
    times_high: Option<u32>,
    acid_again_percent: Option<f64>,
    only_when: Option<String>,
    says: String,
    source: String,
    standing: Standing,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    leftover: Vec<Row>,
}

const FILE: &str = "leftover.toml";

/// Reads `leftover.toml`; every procedure stands in one row.
pub(crate) fn try_read(text: &str) -> Result<Vec<Leftover>, DataFault> {
    let rows = read::<File>(FILE, text)?.leftover;
    for procedure in Procedure::ALL {
        let stands = rows.iter().filter(|row| row.procedures.contains(procedure)).count();
        if stands != 1 {
            return Err(DataFault {
                file: FILE,
                what: format!("'{procedure}' stands {stands} times"),
            });
        }
    }
    rows.into_iter().map(try_row).collect()
}

fn try_row(row: Row) -> Result<Leftover, DataFault> {
    let name = row.reuse.id();
    Ok(Leftover {
        acid_again: row
            .acid_again_percent
            .map(|percent| held(FILE, name, Share::try_percent(percent)))
            .transpose()?,
        procedures: row.procedures,
        reuse: row.reuse,
        times: row.times_low.zip(row.times_high),
        only_when: row.only_when,
        says: row.says,
        provenance: Provenance { source: row.source, standing: row.standing },
    })
}

impl Lore {
    /// What may be done with the bath that is left over. None only for an empty lore.
    #[must_use]
    pub fn leftover(&self, procedure: Procedure) -> Option<&Leftover> {
        self.pot.leftovers.iter().find(|row| row.procedures.contains(&procedure))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn carry_is_as_the_trade_has_it() {
        // Trade table of recipe arithmetic, row "carry" (from memory).
        let of = |procedure| Lore::shipped().leftover(procedure).unwrap();
        let acid = of(Procedure::AcidMilling);
        assert_eq!((acid.reuse, acid.times), (Reuse::SameOrDarker, Some((2, 4))));
        assert!(acid.acid_again.is_some_and(|share| (share.to_fraction() - 0.33).abs() < 1e-9));
        for procedure in [Procedure::Direct, Procedure::Union, Procedure::Indigo] {
            assert_eq!(of(procedure).reuse, Reuse::SameColour, "{procedure}");
        }
        for procedure in Procedure::ALL.iter().filter(|p| p.id().starts_with("reactive")) {
            assert_eq!(of(*procedure).reuse, Reuse::Never, "{procedure}");
        }
    }

    #[test]
    fn a_procedure_left_out_is_a_fault() {
        let text = include_str!("../data/leftover.toml").replace("\"direct\", ", "");
        assert!(try_read(&text).is_err_and(|fault| fault.what.contains("direct")));
    }
}
