//! What can go wrong: what is seen, why it probably is, how to check, what to do.
//!
//! Rows in `failures.toml`, from memory. Left out: how to do it right (`programme`).

use serde::Deserialize;

use crate::fault::read;
use crate::{DataFault, Lore, Procedure, Provenance, Standing};

/// One thing that can go wrong.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Failure {
    /// Its id.
    pub id: String,
    procedures: Vec<Procedure>,
    goods: Vec<String>,
    /// What is seen.
    pub sight: String,
    /// Why it probably is.
    pub cause: String,
    /// How to check.
    pub check: Option<String>,
    /// What to do.
    pub remedy: String,
    source: String,
    standing: Standing,
}

impl Failure {
    /// Where the row is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    failure: Vec<Failure>,
}

/// Reads `failures.toml`.
pub(crate) fn try_read(text: &str) -> Result<Vec<Failure>, DataFault> {
    read::<File>("failures.toml", text).map(|file| file.failure)
}

impl Lore {
    /// What can go wrong with a procedure on these goods, the rows that name both first.
    #[must_use]
    pub fn failures(&self, procedure: Procedure, goods: &[&str]) -> Vec<&Failure> {
        let of = |row: &&Failure| {
            (row.procedures.is_empty() || row.procedures.contains(&procedure))
                && (row.goods.is_empty() || goods.iter().any(|id| self.dyes_like(&row.goods, id)))
        };
        let mut rows: Vec<&Failure> = self.pot.failures.iter().filter(of).collect();
        rows.sort_by_key(|row| {
            u8::from(row.procedures.is_empty()) + u8::from(row.goods.is_empty())
        });
        rows
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_remedy_never_harms_the_goods_it_is_for() {
        for procedure in Procedure::ALL {
            for row in Lore::shipped().failures(*procedure, &["wool"]) {
                assert!(!row.remedy.contains("soda ash"), "{}: soda on wool", row.id);
            }
            for row in Lore::shipped().failures(*procedure, &["silk"]) {
                assert!(!row.remedy.contains("95"), "{}: silk at 95 °C", row.id);
            }
        }
    }

    #[test]
    fn rows_are_chosen_by_procedure_and_goods() {
        let ids = |p, g: &[&str]| -> Vec<String> {
            Lore::shipped().failures(p, g).iter().map(|row| row.id.clone()).collect()
        };
        let wool = ids(Procedure::AcidMilling, &["wool"]);
        assert_eq!(wool.first().map(String::as_str), Some("blotch-wool"));
        assert!(
            wool.contains(&"felted".to_owned())
                && !wool.contains(&"bleeds-first-washes".to_owned())
        );
        assert!(
            ids(Procedure::ReactiveCold, &["cotton"]).contains(&"bleeds-first-washes".to_owned())
        );
    }
}
