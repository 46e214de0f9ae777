//! The starter shelf: generic dyes of each home class, estimates all of them.
//!
//! The rows stand in `data/starter.toml` with their standing; no row was read off a product.

use std::sync::OnceLock;

use lore::DyeClass;
use serde::Deserialize;
use units::{OnFibre, Share};

use crate::{Absorption, Band, Dye, Refusal, Written};

const FILE: &str = "starter.toml";

/// One row of the starter shelf with what is said of its origin.
#[derive(Debug, Clone)]
pub struct Starter {
    /// The dye.
    pub dye: Dye,
    /// How far its main peak is to be trusted: "from memory" or "judgement".
    pub peak_standing: String,
    /// How far everything else of the row is to be trusted.
    pub standing: String,
}

/// The starter shelf, in the order of the file.
///
/// Empty only if the embedded file could not be read, which a test of this room excludes.
#[must_use]
pub fn starter() -> &'static [Starter] {
    static SHELF: OnceLock<Vec<Starter>> = OnceLock::new();
    SHELF.get_or_init(|| read(include_str!("../data/starter.toml")).unwrap_or_default())
}

/// The starter dye of this id.
#[must_use]
pub fn starter_dye(id: &str) -> Option<&'static Dye> {
    starter().iter().map(|s| &s.dye).find(|d| d.id == id)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Rows {
    dye: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    id: String,
    name: String,
    class: DyeClass,
    ci: Option<String>,
    kind: Option<Chemistry>,
    bands_nm_cm_height: Vec<[f64; 3]>,
    ks_per_pct: f64,
    fixed_pct: f64,
    saturation_pct: f64,
    most_pct: f64,
    note: Option<String>,
    peak_standing: String,
    standing: String,
}

/// What a dye is beyond its class, where its bath must be another for it.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Chemistry {
    Phthalocyanine,
}

fn read(text: &str) -> Result<Vec<Starter>, Refusal> {
    let rows: Rows =
        toml::from_str(text).map_err(|e| Refusal::Data { file: FILE, what: e.to_string() })?;
    rows.dye.into_iter().map(Row::into_starter).collect()
}

impl Row {
    fn into_starter(self) -> Result<Starter, Refusal> {
        let bands = self
            .bands_nm_cm_height
            .iter()
            .map(|&[peak_nm, width_cm, height]| Band { peak_nm, width_cm, height })
            .collect();
        let written = Written {
            absorption: Absorption::of(bands)
                .ok_or_else(|| Refusal::NoDye { id: self.id.clone() })?,
            strength: self.ks_per_pct,
            fixed: Share::try_percent(self.fixed_pct)?,
            saturation: OnFibre::try_percent(self.saturation_pct)?,
        };
        let most = OnFibre::try_percent(self.most_pct)?;
        let mut dye = Dye::try_estimate(&self.id, &self.name, self.class, written, most)?;
        dye.ci = self.ci;
        dye.note = self.note;
        dye.phthalocyanine = matches!(self.kind, Some(Chemistry::Phthalocyanine));
        Ok(Starter { dye, peak_standing: self.peak_standing, standing: self.standing })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_a_dye() -> Result<(), Refusal> {
        let shelf = read(include_str!("../data/starter.toml"))?;
        assert_eq!(shelf.len(), starter().len());
        assert!(shelf.len() >= 54);
        Ok(())
    }
}
