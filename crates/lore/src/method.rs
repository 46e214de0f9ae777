//! Ways to bring dye and goods together besides the pot, and where each may stand in for a programme's bath.
//!
//! Rows in `methods.toml`. Told as what changes, never as a second recipe: no amounts are reckoned for
//! them here or elsewhere. Left out: which vessel (`bath`).

use serde::Deserialize;
use units::{Celsius, LiquorRatio};

use crate::fault::{held, read};
use crate::named::named;
use crate::{AlkaliRule, DataFault, Limits, Lore, Procedure, Provenance, Standing};

named! {
    /// A way to work that a kitchen may have at hand.
    pub enum Method, "method" {
        /// A pot on a burner.
        Pot = "pot",
        /// A tub or bucket without heat.
        Tub = "tub",
        /// A washing machine.
        Machine = "machine",
        /// A steamer for wrapped goods.
        Steamer = "steamer",
        /// Wrapped in film and left at room temperature.
        ColdWrap = "cold wrap",
        /// A microwave oven kept for dye only.
        Microwave = "microwave",
    }
}

/// What is known of a method.
#[derive(Debug, Clone, PartialEq)]
pub struct MethodFacts {
    /// The method.
    pub method: Method,
    /// Liquor ratios it is worked at.
    pub ratio: Option<(LiquorRatio, LiquorRatio)>,
    /// In words.
    pub says: String,
    /// Where the row is from.
    pub provenance: Provenance,
}

/// How a way of dyeing can be fixed by another method.
#[derive(Debug, Clone, PartialEq)]
pub struct Instead {
    /// The method.
    pub method: Method,
    procedures: Vec<Procedure>,
    goods: Vec<String>,
    /// What the goods must bear.
    pub hottest: Celsius,
    alkali: bool,
    /// What changes.
    pub says: String,
    /// Where the row is from.
    pub provenance: Provenance,
}

/// Everything `methods.toml` holds.
#[derive(Debug, Clone, Default)]
pub(crate) struct Methods {
    facts: Vec<MethodFacts>,
    instead: Vec<Instead>,
    machine: Vec<MachineNote>,
    rinsing: Vec<MachineNote>,
    no_burner: Option<NoBurner>,
    heat_transfer: Option<MachineNote>,
}

/// What a kitchen without a burner can do, and what it cannot.
#[derive(Debug, Clone, PartialEq)]
pub struct NoBurner {
    /// The hottest bath that tap and kettle make, of any size.
    pub tap: Celsius,
    /// What is left, in words.
    pub can: String,
    /// What a washing machine does besides, in words.
    pub machine: String,
    /// What is not, and why.
    pub cannot: String,
    /// Where the row is from.
    pub provenance: Provenance,
}

/// A note on a method: what the washing machine asks when a bath is dyed in it, what heat transfer is for.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MachineNote {
    /// In words.
    pub says: String,
    source: String,
    standing: Standing,
}

impl MachineNote {
    /// Where the row is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    method: Vec<MethodRow>,
    instead: Vec<InsteadRow>,
    machine: Vec<MachineNote>,
    rinsing: Vec<MachineNote>,
    no_burner: NoBurnerRow,
    heat_transfer: MachineNote,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NoBurnerRow {
    tap_c: f64,
    can: String,
    machine: String,
    cannot: String,
    source: String,
    standing: Standing,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MethodRow {
    method: Method,
    ratio_low: Option<f64>,
    ratio_high: Option<f64>,
    says: String,
    source: String,
    standing: Standing,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct InsteadRow {
    method: Method,
    procedures: Vec<Procedure>,
    goods: Vec<String>,
    hottest_c: f64,
    #[serde(default)]
    alkali: bool,
    says: String,
    source: String,
    standing: Standing,
}

const FILE: &str = "methods.toml";

/// Reads `methods.toml`; every method has a row.
pub(crate) fn try_read(text: &str) -> Result<Methods, DataFault> {
    let file: File = read(FILE, text)?;
    if let Some(method) =
        Method::ALL.iter().find(|method| file.method.iter().all(|row| row.method != **method))
    {
        return Err(DataFault { file: FILE, what: format!("nothing about '{method}'") });
    }
    Ok(Methods {
        facts: file.method.into_iter().map(try_facts).collect::<Result<_, _>>()?,
        instead: file.instead.into_iter().map(try_instead).collect::<Result<_, _>>()?,
        machine: file.machine,
        rinsing: file.rinsing,
        heat_transfer: Some(file.heat_transfer),
        no_burner: Some(NoBurner {
            tap: held(FILE, "no_burner", Celsius::try_degrees(file.no_burner.tap_c))?,
            can: file.no_burner.can,
            machine: file.no_burner.machine,
            cannot: file.no_burner.cannot,
            provenance: Provenance {
                source: file.no_burner.source,
                standing: file.no_burner.standing,
            },
        }),
    })
}

fn try_facts(row: MethodRow) -> Result<MethodFacts, DataFault> {
    let ratio = |given| held(FILE, row.method.id(), LiquorRatio::try_litres_per_kilogram(given));
    Ok(MethodFacts {
        ratio: match row.ratio_low.zip(row.ratio_high) {
            Some((low, high)) => Some((ratio(low)?, ratio(high)?)),
            None => None,
        },
        method: row.method,
        says: row.says,
        provenance: Provenance { source: row.source, standing: row.standing },
    })
}

fn try_instead(row: InsteadRow) -> Result<Instead, DataFault> {
    Ok(Instead {
        hottest: held(FILE, row.method.id(), Celsius::try_degrees(row.hottest_c))?,
        method: row.method,
        procedures: row.procedures,
        goods: row.goods,
        alkali: row.alkali,
        says: row.says,
        provenance: Provenance { source: row.source, standing: row.standing },
    })
}

impl Lore {
    /// What is known of a method. None only for an empty lore.
    #[must_use]
    pub fn method(&self, method: Method) -> Option<&MethodFacts> {
        self.pot.methods.facts.iter().find(|row| row.method == method)
    }

    /// The methods at hand that can fix this way of dyeing on goods that all of them suit (material ids) and
    /// within what everything in the piece bears.
    #[must_use]
    pub fn instead(
        &self,
        procedure: Procedure,
        goods: &[&str],
        limits: &Limits,
        at_hand: &[Method],
    ) -> Vec<&Instead> {
        let suits = |row: &&Instead| {
            row.procedures.contains(&procedure)
                && at_hand.contains(&row.method)
                && !goods.is_empty()
                && goods.iter().all(|id| self.dyes_like(&row.goods, id))
                && row.hottest <= limits.t_max.it
                && (!row.alkali || limits.alkali.it == AlkaliRule::Yes)
        };
        self.pot.methods.instead.iter().filter(suits).collect()
    }

    /// What a kitchen without a burner can do. None only for an empty lore.
    #[must_use]
    pub fn no_burner(&self) -> Option<&NoBurner> {
        self.pot.methods.no_burner.as_ref()
    }

    /// The way to deep colours on polyester besides the bath. None only for an empty lore.
    #[must_use]
    pub fn heat_transfer(&self) -> Option<&MachineNote> {
        self.pot.methods.heat_transfer.as_ref()
    }

    /// What the washing machine asks when a bath is dyed in it.
    #[must_use]
    pub fn machine_notes(&self) -> &[MachineNote] {
        &self.pot.methods.machine
    }

    /// What the washing machine may do when the bath is dyed elsewhere.
    #[must_use]
    pub fn machine_rinses(&self) -> &[MachineNote] {
        &self.pot.methods.rinsing
    }
}

#[cfg(test)]
mod tests {
    use units::Share;

    use super::*;

    fn offered(fibre: &str, procedure: Procedure) -> Vec<Method> {
        let lore = Lore::shipped();
        let makeup = lore.try_makeup(&[(fibre, Share::WHOLE)]).unwrap();
        let limits = lore.limits(&makeup, &[]).unwrap();
        let all = lore.instead(procedure, &[fibre], &limits, Method::ALL);
        all.iter().map(|row| row.method).collect()
    }

    #[test]
    fn other_methods_keep_to_what_the_goods_bear() {
        // Trade table of methods and the acid programmes (from memory).
        for (fibre, procedure, want) in [
            ("cotton", Procedure::ReactiveCold, vec![Method::ColdWrap]),
            ("cotton", Procedure::ReactiveHot, vec![Method::Steamer]),
            ("viscose", Procedure::ReactiveHot, vec![]),
            ("silk", Procedure::ReactiveCold, vec![]),
            ("wool", Procedure::AcidMilling, vec![Method::Steamer, Method::Microwave]),
            ("silk", Procedure::AcidMilling, vec![Method::Microwave]),
            ("silk-satin", Procedure::AcidMilling, vec![]),
            ("feathers", Procedure::AcidMilling, vec![]),
            ("polyester", Procedure::Disperse, vec![]),
        ] {
            assert_eq!(offered(fibre, procedure), want, "{fibre} × {procedure}");
        }
    }

    #[test]
    fn only_what_is_at_hand_is_told() {
        let lore = Lore::shipped();
        let makeup = lore.try_makeup(&[("wool", Share::WHOLE)]).unwrap();
        let limits = lore.limits(&makeup, &[]).unwrap();
        let pot = lore.instead(Procedure::AcidMilling, &["wool"], &limits, &[Method::Pot]);
        assert!(pot.is_empty());
    }
}
