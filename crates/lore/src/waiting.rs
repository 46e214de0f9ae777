//! I am late: what of a bath may wait and how, and what must not.
//!
//! Rows in `waiting.toml`. How many minutes a step may take longer is the step's own (`programme`). Left out: the clock.

use serde::Deserialize;

use crate::fault::read;
use crate::{DataFault, Lore, Procedure, Provenance, Standing, StepKind};

/// What is known of waiting in a step.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Waiting {
    steps: Vec<StepKind>,
    #[serde(default)]
    procedures: Vec<Procedure>,
    #[serde(default)]
    goods: Vec<String>,
    #[serde(default)]
    adds: Vec<String>,
    #[serde(default)]
    after_alkali: bool,
    /// True where waiting itself does harm.
    pub must_not: bool,
    /// True where it may wait as long as is said, beyond the minutes that the step bears.
    #[serde(default)]
    pub freely: bool,
    /// What waits how, or why it does not.
    pub says: String,
    source: String,
    standing: Standing,
}

impl Waiting {
    /// Where the row is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }

    /// How narrowly it is meant: the narrower row is told. What lies in soda goes before all else.
    fn narrow(&self) -> u8 {
        2 * u8::from(self.after_alkali)
            + u8::from(!self.goods.is_empty())
            + u8::from(!self.procedures.is_empty())
            + u8::from(!self.adds.is_empty())
    }
}

/// A step that is late.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LateStep<'a> {
    /// The way of dyeing.
    pub procedure: Procedure,
    /// Material ids of everything that is wet.
    pub goods: &'a [&'a str],
    /// What kind of step.
    pub kind: StepKind,
    /// What it adds: `dye`, or agents' ids.
    pub adds: &'a [&'a str],
    /// Whether alkali is in before it begins.
    pub after_alkali: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    waiting: Vec<Waiting>,
}

const FILE: &str = "waiting.toml";

/// Reads `waiting.toml`; every kind of step has a row for any pot.
pub(crate) fn try_read(text: &str) -> Result<Vec<Waiting>, DataFault> {
    let rows = read::<File>(FILE, text)?.waiting;
    if let Some(both) = rows.iter().find(|row| row.must_not && row.freely) {
        let what = format!("'{}' must not wait and waits freely", both.says);
        return Err(DataFault { file: FILE, what });
    }
    for kind in StepKind::ALL {
        if !rows.iter().any(|row| row.steps.contains(kind) && row.narrow() == 0) {
            return Err(DataFault { file: FILE, what: format!("nothing for any '{kind}'") });
        }
    }
    Ok(rows)
}

impl Lore {
    /// What is known of waiting in this step. None only for an empty lore.
    #[must_use]
    pub fn waiting(&self, step: &LateStep<'_>) -> Option<&Waiting> {
        let holds = |row: &&Waiting| {
            row.steps.contains(&step.kind)
                && (row.procedures.is_empty() || row.procedures.contains(&step.procedure))
                && (row.goods.is_empty()
                    || step.goods.iter().any(|g| self.dyes_like(&row.goods, g)))
                && (row.adds.is_empty()
                    || step.adds.iter().any(|a| row.adds.iter().any(|it| it == a)))
                && (!row.after_alkali || step.after_alkali)
        };
        // Of rows as narrow as each other the graver one is told.
        self.pot.waiting.iter().filter(holds).max_by_key(|row| (row.narrow(), row.must_not))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn says(procedure: Procedure, goods: &str, kind: StepKind, soda: bool) -> (bool, String) {
        let goods = [goods];
        let step = LateStep { procedure, goods: &goods, kind, adds: &[], after_alkali: soda };
        let row = Lore::shipped().waiting(&step).unwrap_or_else(|| panic!("{kind}"));
        (row.must_not, row.says.clone())
    }

    #[test]
    fn what_lies_in_soda_does_not_wait_and_a_rinse_does() {
        let (must_not, words) = says(Procedure::ReactiveCold, "silk", StepKind::Hold, true);
        assert!(must_not && words.contains("eats"), "{words}");
        let (must_not, words) = says(Procedure::ReactiveHot, "cotton", StepKind::Hold, true);
        assert!(must_not && words.contains("Soda is in"), "{words}");
        assert!(!says(Procedure::ReactiveHot, "cotton", StepKind::Hold, false).0);
        assert!(!says(Procedure::AcidMilling, "wool", StepKind::Rinse, false).0);
        assert!(says(Procedure::AcidMilling, "wool", StepKind::Hold, false).0);
        assert!(says(Procedure::Basic, "acrylic", StepKind::Heat, false).0);
        assert!(
            says(Procedure::Disperse, "polyester", StepKind::Cool, false)
                .1
                .contains("cooled disperse bath")
        );
    }

    #[test]
    fn a_kind_of_step_left_out_is_a_fault() {
        let text = include_str!("../data/waiting.toml").replace("[\"judge\"]", "[\"dry\"]");
        assert!(try_read(&text).is_err_and(|fault| fault.what.contains("judge")));
    }
}
