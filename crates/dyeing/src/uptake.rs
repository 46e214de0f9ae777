//! How each class of dye goes on each material: gain, substantivity, and the exhaustion law.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use lore::DyeClass;
use serde::Deserialize;
use units::LiquorRatio;

/// Liquor ratio at which the shares fixed of the starter shelf are stated.
pub const REFERENCE_RATIO: f64 = 20.0;

/// Share of the dye on the fibre at equilibrium, E = K / (K + L): substantivity K and liquor ratio
/// L, both in L/kg (linear isotherm, as in the dyeing textbooks).
#[must_use]
pub fn exhaustion(substantivity: f64, ratio: LiquorRatio) -> f64 {
    substantivity / (substantivity + ratio.to_litres_per_kilogram())
}

/// What is known of one class.
#[derive(Debug, Clone)]
pub(crate) struct Uptake {
    pub(crate) substantivity: f64,
    gain: BTreeMap<String, f64>,
}

impl Uptake {
    /// The class's row; every class of the starter shelf has one (tested).
    pub(crate) fn of(class: DyeClass) -> Option<&'static Self> {
        table().get(class.id())
    }

    /// Colour on this material compared with the reference cloth; nothing when it takes none.
    pub(crate) fn gain(&self, material: &str) -> Option<f64> {
        self.gain.get(material).copied()
    }

    /// Yield at this liquor ratio compared with the reference ratio.
    pub(crate) fn at_ratio(&self, ratio: LiquorRatio) -> f64 {
        let reference = self.substantivity / (self.substantivity + REFERENCE_RATIO);
        exhaustion(self.substantivity, ratio) / reference
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Rows {
    class: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    classes: Vec<DyeClass>,
    reference: String,
    substantivity_l_per_kg: f64,
    source: String,
    standing: String,
    gain: BTreeMap<String, f64>,
}

fn table() -> &'static BTreeMap<&'static str, Uptake> {
    static TABLE: OnceLock<BTreeMap<&'static str, Uptake>> = OnceLock::new();
    TABLE.get_or_init(|| read(include_str!("../data/uptake.toml")).unwrap_or_default())
}

fn read(text: &str) -> Option<BTreeMap<&'static str, Uptake>> {
    let rows: Rows = toml::from_str(text).ok()?;
    let mut table = BTreeMap::new();
    for row in rows.class {
        let sound = row.gain.contains_key(&row.reference)
            && row.substantivity_l_per_kg > 0.0
            && row.gain.values().all(|g| *g > 0.0 && *g < 10.0)
            && !row.source.is_empty()
            && !row.standing.is_empty();
        if !sound {
            return None;
        }
        for class in row.classes {
            let substantivity = row.substantivity_l_per_kg;
            table.insert(class.id(), Uptake { substantivity, gain: row.gain.clone() });
        }
    }
    Some(table)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_starter_class_has_a_row_and_every_material_is_known_to_the_trade() {
        for starter in crate::starter() {
            assert!(Uptake::of(starter.dye.class).is_some(), "{}", starter.dye.class);
        }
        let lore = lore::Lore::shipped();
        for uptake in table().values() {
            for material in uptake.gain.keys() {
                assert!(lore.material(material).is_ok(), "{material} is not a material");
            }
        }
    }
}
