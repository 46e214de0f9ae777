//! Fastness to expect, by procedure and fibre, at about standard depth 1/1.
//!
//! ISO 105 grades, from memory of handbooks; rows in `fastness.toml`. A claim about washing is made only
//! for a dyeing that was rinsed and soaped until clear. Left out: testing it (that is the maker's rub and
//! wash check).

use serde::Deserialize;

use crate::fault::read;
use crate::{DataFault, Lore, Procedure, Provenance, Standing};

/// An ISO 105 grade in halves, 1 poor to 5 best.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Grade(f64);

impl Grade {
    /// The grade as a number; "4-5" is 4.5.
    #[must_use]
    pub const fn number(self) -> f64 {
        self.0
    }
}

impl std::fmt::Display for Grade {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let whole = self.0.floor();
        if self.0 > whole { write!(f, "{whole}-{}", whole + 1.0) } else { write!(f, "{whole}") }
    }
}

impl<'de> Deserialize<'de> for Grade {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = String::deserialize(from)?;
        let number = match text.split_once('-') {
            Some((low, high)) => low
                .parse::<f64>()
                .ok()
                .zip(high.parse::<f64>().ok())
                .filter(|(low, high)| high - low == 1.0)
                .map(|(low, _)| low + 0.5),
            None => text.parse::<f64>().ok(),
        };
        number
            .filter(|grade| (1.0..=5.0).contains(grade) && (grade * 2.0).fract() == 0.0)
            .map(Self)
            .ok_or_else(|| {
                serde::de::Error::custom(format!("'{text}' is no grade: write 4 or 4-5"))
            })
    }
}

/// Fastness to expect.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fastness {
    /// Its id.
    pub id: String,
    procedures: Vec<Procedure>,
    goods: Vec<String>,
    /// Washing at 40 °C (C06 A): change of colour; none: such goods are not washed.
    #[serde(rename = "wash_40c_change_grade")]
    pub wash_40_change: Option<Grade>,
    /// Washing at 40 °C: staining of white cloth; none: such goods are not washed.
    #[serde(rename = "wash_40c_stain_grade")]
    pub wash_40_stain: Option<Grade>,
    /// Washing at 60 °C (C06 C): change; none: do not.
    #[serde(rename = "wash_60c_change_grade")]
    pub wash_60_change: Option<Grade>,
    /// Light (B02, 1 to 8), from and to.
    #[serde(rename = "light_grade")]
    pub light: [f64; 2],
    /// Rubbing dry (X12).
    #[serde(rename = "rub_dry_grade")]
    pub rub_dry: Grade,
    /// Rubbing wet.
    #[serde(rename = "rub_wet_grade")]
    pub rub_wet: Grade,
    /// Sweat (E04), where known.
    #[serde(rename = "sweat_grade")]
    pub sweat: Option<Grade>,
    /// Chlorine, where known.
    #[serde(rename = "chlorine_grade")]
    pub chlorine: Option<Grade>,
    /// In words, for the maker.
    pub words: String,
    source: String,
    standing: Standing,
}

impl Fastness {
    /// Where the row is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }

    /// Test and grade as the sheet prints them.
    #[must_use]
    pub fn grades(&self) -> Vec<(&'static str, String)> {
        let [low, high] = self.light;
        let washed = [
            ("wash 40 °C, change", self.wash_40_change),
            ("wash 40 °C, staining", self.wash_40_stain),
        ];
        let mut rows: Vec<(&'static str, String)> = washed
            .iter()
            .filter_map(|(test, grade)| Some((*test, (*grade)?.to_string())))
            .collect();
        if rows.is_empty() {
            rows.push(("wash", "not washed".to_owned()));
        }
        rows.extend([
            ("light (of 8)", format!("{low} to {high}")),
            ("rub, dry", self.rub_dry.to_string()),
            ("rub, wet", self.rub_wet.to_string()),
        ]);
        let optional = [
            ("wash 60 °C, change", self.wash_60_change),
            ("sweat", self.sweat),
            ("chlorine", self.chlorine),
        ];
        rows.extend(
            optional.iter().filter_map(|(test, grade)| Some((*test, (*grade)?.to_string()))),
        );
        rows
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    fastness: Vec<Fastness>,
}

/// Reads `fastness.toml`.
pub(crate) fn try_read(text: &str) -> Result<Vec<Fastness>, DataFault> {
    read::<File>("fastness.toml", text).map(|file| file.fastness)
}

impl Lore {
    /// Fastness to expect of a procedure on a material; none where nothing is known.
    #[must_use]
    pub fn fastness(&self, procedure: Procedure, material: &str) -> Option<&Fastness> {
        let rows = || self.pot.fastness.iter().filter(|row| row.procedures.contains(&procedure));
        rows()
            .find(|row| self.dyes_like(&row.goods, material))
            .or_else(|| rows().find(|row| row.goods.is_empty()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grades_rank_as_the_trade_ranks_them() {
        // Qualitative checks printed in a dyeing textbook of 2001: levelling acid washes poorly to
        // moderately; cationic on acrylic washes well, on natural fibres it is always poor to light;
        // common practice: reactive on cotton outlasts direct, direct and union bleed.
        let lore = Lore::shipped();
        let change = |p, m| lore.fastness(p, m).and_then(|f| f.wash_40_change).map(Grade::number);
        assert!(change(Procedure::ReactiveCold, "cotton") > change(Procedure::Direct, "cotton"));
        assert!(change(Procedure::Direct, "cotton") > change(Procedure::Union, "cotton"));
        assert!(change(Procedure::AcidMilling, "wool") > change(Procedure::AcidLevelling, "wool"));
        assert!(change(Procedure::Basic, "acrylic") >= Some(4.5));
        assert!(lore.fastness(Procedure::Basic, "silk").is_some_and(|f| f.light[1] <= 2.0));
    }

    #[test]
    fn grades_read_and_write_in_halves() {
        let lore = Lore::shipped();
        let row = lore.fastness(Procedure::ReactiveHot, "linen");
        assert_eq!(
            row.and_then(|row| row.wash_40_change).map(|grade| grade.to_string()),
            Some("4-5".to_owned())
        );
        for bad in ["4-6", "0", "6", "4.3", "good"] {
            let text = format!("g = \"{bad}\"");
            let read: Result<std::collections::BTreeMap<String, Grade>, _> = toml::from_str(&text);
            assert!(read.is_err(), "{bad} was taken");
        }
    }

    /// Care says of these goods that they are not washed: no grade for washing may stand beside it.
    #[test]
    fn goods_that_are_not_washed_have_no_wash_grade() {
        let lore = Lore::shipped();
        for goods in ["feathers", "fur", "leather-veg-tan", "leather-chrome"] {
            for procedure in [Procedure::AcidLevelling, Procedure::AcidMilling, Procedure::Direct] {
                let Some(row) = lore.fastness(procedure, goods) else { panic!("{goods}: no row") };
                assert_eq!(row.wash_40_change, None, "{goods}");
                assert!(row.rub_wet.number() <= 2.5, "{goods}");
                assert_eq!(row.grades()[0], ("wash", "not washed".to_owned()));
            }
        }
    }
}
