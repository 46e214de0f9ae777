//! Dyes and cloths as rows of a file: the keys of the program's own starter shelf, so that an example can
//! hand that file over as it is.

use colour::{BANDS, Bands};
use serde::{Deserialize, Serialize};
use units::{OnFibre, Share};

use crate::{Band, Cloth, Estimate, Refusal};

/// Published dyes from a text of `[[dye]]` rows, those whose class `takes` admits (a row without a
/// class is asked about as ""). Keys other than those of a shelf file are refused.
pub fn estimates_from_toml(
    text: &str,
    takes: impl Fn(&str) -> bool,
) -> Result<Vec<Estimate>, Refusal> {
    let rows: DyeRows = toml::from_str(text).map_err(|e| Refusal::file("shelf", e))?;
    let taken = rows.dye.into_iter().filter(|row| takes(row.class.as_deref().unwrap_or("")));
    taken.map(DyeRow::into_estimate).collect()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DyeRows {
    dye: Vec<DyeRow>,
}

/// One dye.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct DyeRow {
    id: String,
    bands_nm_cm_height: Vec<[f64; 3]>,
    ks_per_pct: f64,
    fixed_pct: f64,
    saturation_pct: f64,
    most_pct: f64,
    #[serde(default, skip_serializing)]
    class: Option<String>,
    /// Told for people; admitted and not used, as are the keys after it.
    #[serde(default, skip_serializing, rename = "name")]
    _name: Told,
    #[serde(default, skip_serializing, rename = "ci")]
    _ci: Told,
    #[serde(default, skip_serializing, rename = "kind")]
    _kind: Told,
    #[serde(default, skip_serializing, rename = "note")]
    _note: Told,
    #[serde(default, skip_serializing, rename = "peak_standing")]
    _peak_standing: Told,
    #[serde(default, skip_serializing, rename = "standing")]
    _standing: Told,
}

/// What a shelf file tells people.
type Told = Option<String>;

/// One cloth.
#[derive(Debug, Clone, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ClothRow {
    name: String,
    gain: f64,
    substantivity_l_per_kg: f64,
    #[serde(default)]
    surface: f64,
    /// Undyed, 400 to 700 nm by 10 nm, 1 a perfect white.
    reflectance: Vec<f64>,
}

impl DyeRow {
    pub(crate) fn into_estimate(self) -> Result<Estimate, Refusal> {
        let estimate = Estimate {
            bands: bands(&self.bands_nm_cm_height),
            id: self.id,
            ks_per_pct: self.ks_per_pct,
            fixed: Share::try_percent(self.fixed_pct)?,
            saturation: OnFibre::try_percent(self.saturation_pct)?,
            most: OnFibre::try_percent(self.most_pct)?,
        };
        Ok(estimate)
    }

    pub(crate) fn of(estimate: &Estimate) -> Self {
        Self {
            id: estimate.id.clone(),
            bands_nm_cm_height: triples(&estimate.bands),
            ks_per_pct: estimate.ks_per_pct,
            fixed_pct: estimate.fixed.to_percent(),
            saturation_pct: estimate.saturation.to_percent(),
            most_pct: estimate.most.to_percent(),
            ..Self::default()
        }
    }
}

impl ClothRow {
    pub(crate) fn into_cloth(self) -> Result<Cloth, Refusal> {
        Ok(Cloth {
            undyed: Bands::try_new(thirty_one(&self.reflectance, &self.name)?)?,
            name: self.name,
            gain: self.gain,
            substantivity_l_per_kg: self.substantivity_l_per_kg,
            surface: self.surface,
        })
    }

    pub(crate) fn of(cloth: &Cloth) -> Self {
        Self {
            name: cloth.name.clone(),
            gain: cloth.gain,
            substantivity_l_per_kg: cloth.substantivity_l_per_kg,
            surface: cloth.surface,
            reflectance: cloth.undyed.values().to_vec(),
        }
    }
}

/// Exactly 31 numbers.
pub(crate) fn thirty_one(given: &[f64], whose: &str) -> Result<[f64; BANDS], Refusal> {
    let refused = |_| Refusal::Spectrum { whose: whose.to_owned(), given: given.len() };
    given.try_into().map_err(refused)
}

pub(crate) fn bands(triples: &[[f64; 3]]) -> Vec<Band> {
    let band = |&[peak_nm, width_cm, height]: &[f64; 3]| Band { peak_nm, width_cm, height };
    triples.iter().map(band).collect()
}

pub(crate) fn triples(bands: &[Band]) -> Vec<[f64; 3]> {
    bands.iter().map(|b| [b.peak_nm, b.width_cm, b.height]).collect()
}
