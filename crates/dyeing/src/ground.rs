//! Undyed cloth as seen: one or several fibres side by side, each with its reflectance.

use std::sync::OnceLock;

use colour::{BANDS, Bands, maths};
use serde::Deserialize;
use units::Share;

use crate::Refusal;

/// How light undyed cloth is taken to be when nobody has read it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// Scoured and bleached.
    White,
    /// Scoured only: ecru cotton, cream wool.
    Natural,
}

/// Undyed cloth.
#[derive(Debug, Clone, PartialEq)]
pub struct Ground {
    pub(crate) sides: Vec<Side>,
    /// True when the look is a default and not a reading of the piece.
    pub assumed: bool,
}

/// One fibre of a cloth.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Side {
    pub(crate) material: String,
    pub(crate) share: f64,
    pub(crate) reflectance: Bands,
}

impl Ground {
    /// Cloth nobody has read: each fibre with the default look of its material.
    pub fn assumed(fibres: &[(&str, Share)], look: Look) -> Result<Self, Refusal> {
        let sides = fibres
            .iter()
            .map(|&(material, share)| {
                Ok(Side {
                    material: material.to_owned(),
                    share: share.to_fraction(),
                    reflectance: default_look(material, look)?,
                })
            })
            .collect::<Result<_, Refusal>>()?;
        Ok(Self { sides: as_seen(sides), assumed: true })
    }

    /// Cloth that was read undyed; all its fibres are taken to look like the reading.
    #[must_use]
    pub fn read(fibres: &[(&str, Share)], seen: &Bands) -> Self {
        let sides = fibres
            .iter()
            .map(|&(material, share)| Side {
                material: material.to_owned(),
                share: share.to_fraction(),
                reflectance: *seen,
            })
            .collect();
        Self { sides: as_seen(sides), assumed: false }
    }

    /// The whole cloth undyed: fibres mixed as the eye mixes them, by share.
    #[must_use]
    pub fn reflectance(&self) -> [f64; BANDS] {
        std::array::from_fn(|i| {
            self.sides.iter().map(|s| s.share * s.reflectance.values()[i]).sum()
        })
    }
}

/// Elastane in a blend is the core of the yarn, covered by the other fibres (common practice of
/// stretch yarns): it is weighed with the goods and not seen.
fn as_seen(sides: Vec<Side>) -> Vec<Side> {
    let covered = |s: &Side| s.material == "elastane";
    let seen: f64 = sides.iter().filter(|s| !covered(s)).map(|s| s.share).sum();
    if seen < MOST_COVERS {
        return sides;
    }
    let mut kept: Vec<Side> = sides.into_iter().filter(|s| !covered(s)).collect();
    kept.iter_mut().for_each(|s| s.share /= seen);
    kept
}

/// From this share on the other fibres cover the elastane (judgement).
const MOST_COVERS: f64 = 0.6;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Rows {
    ground: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    materials: Vec<String>,
    white: Curve,
    natural: Curve,
}

#[derive(Deserialize, Clone, Copy)]
#[serde(deny_unknown_fields)]
struct Curve {
    top: f64,
    drop: f64,
    fade_nm: f64,
}

impl Curve {
    fn bands(self) -> Result<Bands, Refusal> {
        Ok(Bands::try_new(std::array::from_fn(|i| {
            #[expect(clippy::cast_precision_loss, reason = "wavelengths below 1000")]
            let away = Bands::wavelength(i) as f64 - 400.0;
            self.top - self.drop * maths::exp(-away / self.fade_nm)
        }))?)
    }
}

fn default_look(material: &str, look: Look) -> Result<Bands, Refusal> {
    static TABLE: OnceLock<Vec<Row>> = OnceLock::new();
    let rows = TABLE.get_or_init(|| {
        toml::from_str::<Rows>(include_str!("../data/grounds.toml"))
            .map_or_else(|_| vec![], |r| r.ground)
    });
    let row = rows.iter().find(|r| r.materials.iter().any(|m| m == material));
    let row = row.ok_or_else(|| Refusal::UnknownGround { material: material.to_owned() })?;
    match look {
        Look::White => row.white.bands(),
        Look::Natural => row.natural.bands(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_default_look_is_cloth_and_every_material_is_known_to_the_trade() {
        let rows: Rows = toml::from_str(include_str!("../data/grounds.toml")).unwrap();
        let lore = lore::Lore::shipped();
        for row in rows.ground {
            assert!(row.white.bands().is_ok() && row.natural.bands().is_ok());
            for material in &row.materials {
                assert!(lore.material(material).is_ok(), "{material} is not a material");
            }
        }
    }
}
