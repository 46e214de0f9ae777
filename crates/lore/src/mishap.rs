//! It went wrong: what to do in the next five minutes, before anything cools.
//!
//! Rows in `mishaps.toml`. People come first, then the room, then the bath, then the cloth. Where it can hurt, a doctor
//! and the emergency service have the last word. Left out: what is seen on the dry goods afterwards, and why
//! (`failure`).

use serde::Deserialize;
use units::Celsius;

use crate::fault::read;
use crate::named::named;
use crate::{DataFault, Lore, Procedure, Provenance, Standing, StepKind};

named! {
    /// What a mishap strikes, the gravest first.
    pub enum Strikes, "what a mishap strikes" {
        /// Somebody is hurt or may be.
        People = "people",
        /// The room and what stands in it.
        Room = "room",
        /// The bath.
        Bath = "bath",
        /// The goods.
        Cloth = "cloth",
    }
}

/// One thing that happens at the pot, and what to do at once.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mishap {
    /// Its id.
    pub id: String,
    /// What it strikes.
    pub strikes: Strikes,
    #[serde(default)]
    procedures: Vec<Procedure>,
    #[serde(default)]
    goods: Vec<String>,
    #[serde(default)]
    agents: Vec<String>,
    #[serde(default)]
    steps: Vec<StepKind>,
    hot_from_c: Option<f64>,
    #[serde(default)]
    after_alkali: bool,
    /// What happened, as whoever stands there would say it.
    pub sight: String,
    /// What to do, in order.
    pub first: Vec<String>,
    /// What makes it worse.
    pub never: Option<String>,
    /// When others have to come.
    pub call: Option<String>,
    /// What then becomes of bath and cloth.
    pub after: Option<String>,
    /// Which pots it is for, where not for all.
    #[serde(rename = "where")]
    pub of: Option<String>,
    source: String,
    standing: Standing,
}

impl Mishap {
    /// Where the row is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }

    /// Whether it is of the kind that happens in such a step.
    #[must_use]
    pub fn is_of_step(&self, step: StepKind) -> bool {
        self.steps.contains(&step)
    }
}

/// The pot at which it went wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtThePot<'a> {
    /// The way of dyeing.
    pub procedure: Procedure,
    /// Material ids of everything that is wet.
    pub goods: &'a [&'a str],
    /// What the baths of this sheet hold besides dye.
    pub agents: &'a [&'a str],
    /// Hottest bath of the sheet.
    pub top: Option<Celsius>,
    /// The step that is being done, where one is.
    pub step: Option<StepKind>,
    /// Whether alkali is in by then.
    pub after_alkali: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    mishap: Vec<Mishap>,
}

const FILE: &str = "mishaps.toml";

/// Reads `mishaps.toml`; every row says what to do, and no id stands twice.
pub(crate) fn try_read(text: &str) -> Result<Vec<Mishap>, DataFault> {
    let rows = read::<File>(FILE, text)?.mishap;
    for (i, row) in rows.iter().enumerate() {
        let fault = |what: &str| DataFault { file: FILE, what: format!("'{}': {what}", row.id) };
        if row.first.is_empty() {
            return Err(fault("nothing to do is said"));
        }
        if rows[..i].iter().any(|other| other.id == row.id) {
            return Err(fault("stands twice"));
        }
        let narrow = !row.procedures.is_empty() || !row.goods.is_empty() || !row.agents.is_empty();
        if narrow && row.of.is_none() {
            return Err(fault("is for some pots only, and does not say for which"));
        }
    }
    Ok(rows)
}

impl Lore {
    /// Everything that can happen at any pot, the gravest first.
    #[must_use]
    pub fn mishaps(&self) -> Vec<&Mishap> {
        let mut rows: Vec<&Mishap> = self.pot.mishaps.iter().collect();
        rows.sort_by_key(|row| row.strikes as u8);
        rows
    }

    /// What can happen at this pot: people first whatever the step, then what is of the step that is being done, then
    /// the rest; what cannot be of this pot is left out.
    #[must_use]
    pub fn mishaps_at(&self, pot: &AtThePot<'_>) -> Vec<&Mishap> {
        let can_be = |row: &&Mishap| {
            (row.procedures.is_empty() || row.procedures.contains(&pot.procedure))
                && (row.goods.is_empty() || pot.goods.iter().any(|g| self.dyes_like(&row.goods, g)))
                && (row.agents.is_empty()
                    || pot.agents.iter().any(|a| row.agents.iter().any(|it| it == a)))
                && (!row.after_alkali || pot.after_alkali)
                && row
                    .hot_from_c
                    .is_none_or(|from| pot.top.is_none_or(|top| top.to_degrees() >= from))
        };
        let mut rows: Vec<&Mishap> = self.pot.mishaps.iter().filter(can_be).collect();
        rows.sort_by_key(|row| {
            let of_step = pot.step.is_some_and(|step| row.is_of_step(step));
            let hurts = matches!(row.strikes, Strikes::People);
            (!hurts, !of_step, row.strikes as u8)
        });
        rows
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ids(procedure: Procedure, goods: &[&str], agents: &[&str], step: StepKind) -> Vec<String> {
        let top = Celsius::try_degrees(98.0).ok();
        let pot = AtThePot { procedure, goods, agents, top, step: Some(step), after_alkali: false };
        Lore::shipped().mishaps_at(&pot).iter().map(|row| row.id.clone()).collect()
    }

    #[test]
    fn people_come_first_whatever_the_step_and_then_what_is_of_the_step() {
        let all = ids(Procedure::AcidMilling, &["wool"], &["acetic-acid"], StepKind::Hold);
        let at = |id: &str| all.iter().position(|it| it == id).unwrap_or(usize::MAX);
        assert_eq!(all[0], "eye");
        assert!(at("fumes") < at("too-hot-wool") && at("too-hot-wool") < at("floats"), "{all:?}");
        assert!(at("too-hot-wool") < at("powder-spilt"), "of the step before the rest: {all:?}");
        let missing = ["forgot-soda", "blotchy-reactive", "silk-soda", "dithionite-fire"];
        assert!(missing.iter().all(|id| at(id) == usize::MAX), "{all:?}");
    }

    #[test]
    fn nothing_advised_at_once_ruins_the_goods_it_is_for() {
        // Cold water on hot wool felts it; soda does not belong near wool at all; bleach near acid is gas.
        for row in Lore::shipped().mishaps() {
            let all = row.first.join(" ").to_lowercase();
            assert!(!all.contains("bleach in") && !all.contains("add bleach"), "{}", row.id);
            if row.goods.iter().any(|g| g == "wool") && row.hot_from_c.is_some() {
                assert!(!all.contains("cold water"), "{}: {all}", row.id);
            }
        }
        let silk = ids(Procedure::ReactiveCold, &["cotton"], &["salt", "soda-ash"], StepKind::Add);
        assert!(
            silk.contains(&"forgot-soda".to_owned()) && !silk.contains(&"forgot-acid".to_owned())
        );
    }

    #[test]
    fn a_row_that_says_nothing_to_do_or_for_whom_is_a_fault() {
        let text = include_str!("../data/mishaps.toml");
        let twice = text.replacen("id = \"scald\"", "id = \"eye\"", 1);
        assert!(try_read(&twice).is_err_and(|fault| fault.what.contains("twice")));
        let nobody = text.replacen("where = \"silk\"\n", "", 1);
        assert!(try_read(&nobody).is_err_and(|fault| fault.what.contains("too-hot-silk")));
    }
}
