//! The hard numbers behind the limits, and moisture regain.
//!
//! Units differ from row to row, so a row names its unit; a caller that computes with one asks for
//! the row by id and knows the unit it asked for.

use serde::Deserialize;
use units::Share;

use crate::fault::{held, read};
use crate::{DataFault, Lore, Material, Provenance, Standing};

/// One measured value or range.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Its id, like `ts-chrome`.
    pub id: String,
    /// What was measured.
    pub what: String,
    /// The unit, as written: "°C", "pH", "min", "%".
    pub unit: String,
    /// The value, or the low end of the range.
    pub low: f64,
    /// The value again, or the high end of the range.
    pub high: f64,
    /// The materials it speaks of; may be none of ours.
    pub materials: Vec<String>,
    /// The id of its source.
    pub source: String,
    /// Its standing.
    pub standing: Standing,
}

/// Moisture regain of a material on one convention.
#[derive(Debug, Clone, PartialEq)]
pub struct Regain {
    /// The material's id.
    pub material: String,
    /// Water per oven-dry fibre, or the low end of the range.
    pub share: Share,
    /// The high end of the range, where there is one.
    pub to: Option<Share>,
    /// The convention: "ASTM D1909", "EU agreed allowance, carded", "usual".
    pub basis: String,
    /// Where it is from.
    pub provenance: Provenance,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RegainFile {
    regain: Vec<RegainRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RegainRow {
    material: String,
    percent: f64,
    to_percent: Option<f64>,
    basis: String,
    source: String,
    standing: Standing,
}

/// Reads `regain.toml`.
pub(crate) fn try_read_regain(text: &str) -> Result<Vec<Regain>, DataFault> {
    const FILE: &str = "regain.toml";
    let rows = read::<RegainFile>(FILE, text)?.regain;
    rows.into_iter()
        .map(|row| {
            let to = row.to_percent.map(|p| held(FILE, &row.material, Share::try_percent(p)));
            Ok(Regain {
                share: held(FILE, &row.material, Share::try_percent(row.percent))?,
                to: to.transpose()?,
                basis: row.basis,
                provenance: Provenance { source: row.source, standing: row.standing },
                material: row.material,
            })
        })
        .collect()
}

impl Lore {
    /// A measured value by its id.
    #[must_use]
    pub fn measured(&self, id: &str) -> Option<&Measured> {
        self.fibres.measured.iter().find(|row| row.id == id)
    }

    /// Every measured value that speaks of a material.
    pub fn measured_on<'a>(&'a self, material: &'a Material) -> impl Iterator<Item = &'a Measured> {
        self.fibres.measured.iter().filter(|row| row.materials.contains(&material.id))
    }

    /// The regain of a material on every convention known, in the order of the file.
    pub fn regain<'a>(&'a self, material: &'a Material) -> impl Iterator<Item = &'a Regain> {
        self.regain.iter().filter(|row| row.material == material.id)
    }
}
