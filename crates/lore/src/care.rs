//! Care words for a finished piece, in the order wash, bleach, dry, iron, professional.
//!
//! The label states the most severe treatment that does no lasting harm; of several components the
//! weakest binds. Rows in `care.toml`. Left out: the symbols, which are protected signs.

use serde::Deserialize;
use units::Celsius;

use crate::fault::{held, read};
use crate::named::named;
use crate::{DataFault, Lore, Procedure, Provenance, Standing};

named! {
    /// How hard it may be washed; later is gentler.
    pub enum WashProcess, "washing process" {
        /// As cotton.
        Normal = "normal",
        /// Reduced.
        Mild = "mild",
        /// Much reduced.
        VeryMild = "very mild",
        /// By hand.
        Hand = "hand",
        /// Not at all.
        None = "none",
    }
}

named! {
    /// Which bleach it bears; later is stricter.
    pub enum BleachCare, "bleach" {
        /// Any.
        Any = "any",
        /// Oxygen bleach only.
        Oxygen = "oxygen",
        /// None.
        None = "none",
    }
}

named! {
    /// How it may be tumbled; later is stricter.
    pub enum Tumble, "tumble drying" {
        /// At most 80 °C.
        Normal = "normal",
        /// At most 60 °C.
        Low = "low",
        /// Not at all.
        None = "none",
    }
}

named! {
    /// Professional cleaning; later is stricter.
    pub enum Professional, "professional cleaning" {
        /// Dry cleaning in P solvents, mild.
        DryCleanP = "P",
        /// None.
        None = "none",
    }
}

/// How to care for a finished piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Care {
    /// Hottest wash; none: do not wash.
    pub wash: Option<Celsius>,
    /// How hard it may be washed.
    pub process: WashProcess,
    /// Which bleach it bears.
    pub bleach: BleachCare,
    /// How it may be tumbled.
    pub tumble: Tumble,
    /// How to dry it.
    pub drying: String,
    /// Hottest iron; none: do not iron.
    pub iron: Option<Celsius>,
    /// Professional cleaning.
    pub professional: Professional,
    /// Further words.
    pub text: Vec<String>,
    /// Where the rows are from.
    pub provenance: Vec<Provenance>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    id: String,
    procedures: Vec<Procedure>,
    goods: Vec<String>,
    wash_max_c: Option<f64>,
    process: WashProcess,
    bleach: BleachCare,
    tumble: Tumble,
    drying: String,
    iron_max_c: Option<f64>,
    professional: Professional,
    text: Vec<String>,
    source: String,
    standing: Standing,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct FlameWords {
    text: String,
    source: String,
    standing: Standing,
}

/// Everything `care.toml` holds.
#[derive(Debug, Clone, Default)]
pub(crate) struct CareWords {
    rows: Vec<Row>,
    flame: Option<FlameWords>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    care: Vec<Row>,
    flame: FlameWords,
}

const FILE: &str = "care.toml";

/// Reads `care.toml`.
pub(crate) fn try_read(text: &str) -> Result<CareWords, DataFault> {
    let file: File = read(FILE, text)?;
    for row in &file.care {
        row.try_care()?;
    }
    Ok(CareWords { rows: file.care, flame: Some(file.flame) })
}

impl Row {
    fn try_care(&self) -> Result<Care, DataFault> {
        let degrees =
            |c: Option<f64>| c.map(|c| held(FILE, &self.id, Celsius::try_degrees(c))).transpose();
        Ok(Care {
            wash: degrees(self.wash_max_c)?,
            process: self.process,
            bleach: self.bleach,
            tumble: self.tumble,
            drying: self.drying.clone(),
            iron: degrees(self.iron_max_c)?,
            professional: self.professional,
            text: self.text.clone(),
            provenance: vec![Provenance { source: self.source.clone(), standing: self.standing }],
        })
    }
}

impl Care {
    /// The label's words, in the standard's order.
    #[must_use]
    pub fn words(&self) -> Vec<String> {
        let degrees = |c: Celsius| units::trimmed(c.to_degrees(), 0);
        let wash = match (self.wash, self.process) {
            (None, _) | (_, WashProcess::None) => "do not wash".to_owned(),
            (Some(c), WashProcess::Hand) => format!("hand wash at most {} °C", degrees(c)),
            (Some(c), process) => format!("wash at most {} °C, {process} process", degrees(c)),
        };
        let bleach = match self.bleach {
            BleachCare::Any => "any bleach",
            BleachCare::Oxygen => "no chlorine bleach; oxygen bleach only",
            BleachCare::None => "do not bleach",
        };
        let tumble = match self.tumble {
            Tumble::Normal => "tumble dry",
            Tumble::Low => "tumble dry low",
            Tumble::None => "do not tumble",
        };
        let iron = self.iron.map_or_else(
            || "do not iron".to_owned(),
            |c| format!("iron at most {} °C", degrees(c)),
        );
        let professional = match self.professional {
            Professional::DryCleanP => "dry clean P, mild",
            Professional::None => "do not dry clean",
        };
        let mut words = vec![wash, bleach.to_owned(), tumble.to_owned(), self.drying.clone(), iron];
        words.push(professional.to_owned());
        let unwashed = self.wash.is_none() || self.process == WashProcess::None;
        let idle = |text: &str| {
            (unwashed && (text.starts_with("wash ") || text.starts_with("rinse ")))
                || (self.iron.is_none() && text.starts_with("iron "))
        };
        words.extend(self.text.iter().filter(|text| !idle(text)).cloned());
        words
    }

    /// The stricter of the two in everything. The drying words are those of the one that is tumbled
    /// less, so that they never stand against the verdict on tumbling; then of the gentler-washed one.
    fn weaker(self, other: Self) -> Self {
        let rank = |care: &Self| (care.tumble, care.process);
        let drying =
            if rank(&other) > rank(&self) { other.drying.clone() } else { self.drying.clone() };
        let cooler = |a: Option<Celsius>, b: Option<Celsius>| match (a, b) {
            (Some(a), Some(b)) => Some(if a < b { a } else { b }),
            _ => None,
        };
        let mut text = self.text;
        text.extend(other.text.into_iter().filter(|t| !text.contains(t)).collect::<Vec<_>>());
        let mut provenance = self.provenance;
        provenance.extend(other.provenance);
        Self {
            wash: cooler(self.wash, other.wash),
            process: self.process.max(other.process),
            bleach: self.bleach.max(other.bleach),
            tumble: self.tumble.max(other.tumble),
            drying,
            iron: cooler(self.iron, other.iron),
            professional: self.professional.max(other.professional),
            text,
            provenance,
        }
    }
}

impl Lore {
    /// Care for a piece of these components (how each was dyed, and its material); the weakest binds.
    /// None when not one of them has care words: then say that care was not tested.
    #[must_use]
    pub fn care(&self, components: &[(Procedure, &str)]) -> Option<Care> {
        let of = |(procedure, material): &(Procedure, &str)| {
            let rows = || self.pot.care.rows.iter();
            let answers =
                |row: &&Row| row.procedures.is_empty() || row.procedures.contains(procedure);
            rows()
                .filter(answers)
                .find(|row| self.dyes_like(&row.goods, material))
                .or_else(|| rows().find(|row| row.goods.is_empty() && answers(row)))
                .and_then(|row| row.try_care().ok())
        };
        components.iter().filter_map(of).reduce(Care::weaker)
    }

    /// Care for a piece of these materials, dyed so, with these trims and parts in the bath: a part of a
    /// known material counts as a component like any other.
    #[must_use]
    pub fn care_of_piece(
        &self,
        procedure: Procedure,
        materials: &[&str],
        parts: &[&str],
    ) -> Option<Care> {
        let of_part = |part: &&str| self.part(part).ok().and_then(|it| it.material.as_deref());
        let parts = parts.iter().filter_map(of_part);
        let components: Vec<(Procedure, &str)> =
            materials.iter().copied().chain(parts).map(|id| (procedure, id)).collect();
        self.care(&components)
    }

    /// What is said on every piece that had, or may have had, a flame treatment.
    #[must_use]
    pub fn flame_words(&self) -> &str {
        self.pot.care.flame.as_ref().map_or("", |flame| flame.text.as_str())
    }

    /// Where the flame words are from.
    #[must_use]
    pub fn flame_provenance(&self) -> Option<Provenance> {
        let flame = self.pot.care.flame.as_ref()?;
        Some(Provenance { source: flame.source.clone(), standing: flame.standing })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_weakest_component_binds() {
        let lore = Lore::shipped();
        let one = lore.care(&[(Procedure::ReactiveCold, "cotton")]).map(|care| care.words());
        assert_eq!(
            one.as_ref().map(|words| words[0].as_str()),
            Some("wash at most 40 °C, normal process")
        );
        let both = lore
            .care(&[(Procedure::ReactiveCold, "cotton"), (Procedure::ReactiveCold, "elastane")]);
        let Some(both) = both else { panic!("no care") };
        assert_eq!(both.words()[0], "wash at most 30 °C, mild process");
        assert_eq!(both.bleach, BleachCare::None);
        assert_eq!(both.tumble, Tumble::None);
        assert_eq!(both.drying, "line dry");
        let plume =
            lore.care(&[(Procedure::AcidMilling, "wool"), (Procedure::AcidMilling, "feathers")]);
        assert_eq!(plume.map(|care| care.words()[0].clone()), Some("do not wash".to_owned()));
    }

    #[test]
    fn union_is_washed_cold_and_alone_whatever_the_fibre() {
        for goods in ["cotton", "wool", "silk", "nylon-6"] {
            let care = Lore::shipped().care(&[(Procedure::Union, goods)]);
            let words = care.map(|care| care.words()).unwrap_or_default();
            assert!(words.iter().any(|word| word == "wash separately"), "{goods}: {words:?}");
        }
    }

    /// ISO 3758: the label binds the weakest component, and trims are components.
    #[test]
    fn a_part_counts_as_a_component() {
        let lore = Lore::shipped();
        let words = |parts: &[&str]| {
            lore.care_of_piece(Procedure::ReactiveCold, &["cotton"], parts)
                .map(|care| care.words())
                .unwrap_or_default()
        };
        assert_eq!(words(&[])[4], "iron at most 200 °C");
        for elastic in ["elastic", "old-elastic"] {
            let said = words(&[elastic]);
            assert_eq!(said[0], "wash at most 30 °C, mild process", "{said:?}");
            assert_eq!(said[2], "do not tumble");
            assert_eq!(said[4], "iron at most 110 °C");
            assert!(!said.iter().any(|word| word.contains("tumble low")), "{said:?}");
        }
        let zipped = words(&["zip", "polyester-thread", "label"]);
        assert_eq!(zipped[0], "wash at most 40 °C, normal process");
        assert_eq!(zipped[4], "iron at most 110 °C");
        for trim in ["feather-trim", "leather-trim", "fur-trim", "metallised-yarn", "sequins"] {
            let said = words(&[trim]);
            let washed = said.iter().filter(|word| word.contains("wash")).count();
            assert_eq!((said[0].as_str(), washed), ("do not wash", 1), "{trim}: {said:?}");
            assert_eq!(said[4], "do not iron");
        }
    }

    /// Common practice: no hot iron on silk or nylon, none on loose hair; feathers are shaken dry.
    #[test]
    fn the_iron_and_the_drying_follow_the_fibre() {
        let lore = Lore::shipped();
        for goods in ["silk", "nylon-6", "wool"] {
            for procedure in [Procedure::Direct, Procedure::Union] {
                let care = lore.care(&[(procedure, goods)]);
                let iron = care.and_then(|care| care.iron).map(Celsius::to_degrees);
                assert_eq!(iron, Some(110.0), "{goods}");
            }
        }
        let hair = lore.care(&[(Procedure::AcidMilling, "hair")]);
        assert!(hair.is_some_and(|care| care.iron.is_none() && care.wash.is_some()));
        let plume = lore.care(&[(Procedure::AcidMilling, "feathers")]);
        assert!(plume.is_some_and(|care| care.drying.contains("shaking")));
    }
}
