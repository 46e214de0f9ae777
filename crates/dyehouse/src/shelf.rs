//! What is published of a shelf of dyes and of the cloths they go on: plain numbers, handed over by the
//! caller. The house draws its hidden dyes around them.

use colour::Bands;
use units::{OnFibre, Share};

use crate::Refusal;
use crate::refusal::within;

/// Place of a dye on the shelf.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Jar(pub usize);

/// Place of a cloth among the cloths.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Bolt(pub usize);

/// One absorption band, Gaussian in wavenumber.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Peak, nm; 200 to 1000.
    pub peak_nm: f64,
    /// Full width at half height, cm⁻¹; 200 to 20 000.
    pub width_cm: f64,
    /// Height; of the main band 1.
    pub height: f64,
}

/// What is published of one dye.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// Its name in files and recipes.
    pub id: String,
    /// Its bands, the main one first.
    pub bands: Vec<Band>,
    /// K/S at the main band for 1 % fixed on weight of fibre, on cloth of gain 1.
    pub ks_per_pct: f64,
    /// Share of the dose fixed at low depth, liquor ratio 20:1.
    pub fixed: Share,
    /// Dose at which half of the low-depth yield is lost.
    pub saturation: OnFibre,
    /// Deepest dose in use.
    pub most: OnFibre,
}

/// One cloth, undyed.
#[derive(Debug, Clone, PartialEq)]
pub struct Cloth {
    /// Its name.
    pub name: String,
    /// Reflectance undyed.
    pub undyed: Bands,
    /// K/S gained per unit of absorption, the class's reference cloth being 1.
    pub gain: f64,
    /// K of the exhaustion law E = K / (K + L), L/kg.
    pub substantivity_l_per_kg: f64,
    /// Flat surface reflection under which nothing is seen, 0 up to 0.2; usually 0.
    pub surface: f64,
}

/// Dyes of one class, and the cloths they go on.
#[derive(Debug, Clone, PartialEq)]
pub struct Shelf {
    dyes: Vec<Estimate>,
    cloths: Vec<Cloth>,
}

impl Shelf {
    /// Takes at least one dye and one cloth, each with numbers it can have, no name twice.
    pub fn try_new(dyes: Vec<Estimate>, cloths: Vec<Cloth>) -> Result<Self, Refusal> {
        dyes.iter().try_for_each(Estimate::admit)?;
        cloths.iter().try_for_each(Cloth::admit)?;
        let mut names: Vec<&str> = dyes.iter().map(|d| d.id.as_str()).collect();
        names.extend(cloths.iter().map(|c| c.name.as_str()));
        names.sort_unstable();
        if let Some(twice) = names.windows(2).find(|w| w[0] == w[1]) {
            let why =
                format!("'{}' is on the shelf twice: name every dye and cloth once", twice[0]);
            return Err(Refusal::Recipe { why });
        }
        if dyes.is_empty() || cloths.is_empty() {
            let why = "a shelf needs at least one dye and one cloth".to_owned();
            return Err(Refusal::Recipe { why });
        }
        Ok(Self { dyes, cloths })
    }

    /// The dyes, in the order of their jars.
    #[must_use]
    pub fn dyes(&self) -> &[Estimate] {
        &self.dyes
    }

    /// The cloths, in the order of their bolts.
    #[must_use]
    pub fn cloths(&self) -> &[Cloth] {
        &self.cloths
    }

    /// The jar of this dye.
    #[must_use]
    pub fn jar(&self, id: &str) -> Option<Jar> {
        self.dyes.iter().position(|d| d.id == id).map(Jar)
    }

    /// The bolt of this cloth.
    #[must_use]
    pub fn bolt(&self, name: &str) -> Option<Bolt> {
        self.cloths.iter().position(|c| c.name == name).map(Bolt)
    }
}

impl Estimate {
    pub(crate) fn admit(&self) -> Result<(), Refusal> {
        let what = |which: &str| format!("{which} of dye '{}'", self.id);
        within(
            || what("the number of bands"),
            band_count(&self.bands),
            1.0..=20.0,
            "give 1 to 20 bands",
        )?;
        for band in &self.bands {
            band.admit(&self.id)?;
        }
        within(|| what("the strength"), self.ks_per_pct, 1e-3..=200.0, STRENGTH)?;
        within(|| what("the percentage fixed"), self.fixed.to_percent(), 1.0..=100.0, SHARE)?;
        within(|| what("the saturation"), self.saturation.to_percent(), 1e-2..=1e4, SATURATION)?;
        within(|| what("the deepest dose"), self.most.to_percent(), 1e-3..=100.0, MOST)?;
        Ok(())
    }
}

#[expect(clippy::cast_precision_loss, reason = "a handful of bands")]
fn band_count(bands: &[Band]) -> f64 {
    bands.len() as f64
}

const STRENGTH: &str = "K/S per % fixed must lie between 0.001 and 200";
const SHARE: &str = "it must lie between 1 and 100 %; write 75 for three quarters, not 0.75";
const SATURATION: &str = "it must lie between 0.01 and 10 000 % owf";
const MOST: &str = "it must lie between 0.001 and 100 % owf";

impl Band {
    pub(crate) fn admit(&self, id: &str) -> Result<(), Refusal> {
        let what = |which: &str| format!("the {which} of a band of dye '{id}'");
        within(
            || what("peak"),
            self.peak_nm,
            200.0..=1000.0,
            "it must lie between 200 and 1000 nm",
        )?;
        within(
            || what("width"),
            self.width_cm,
            200.0..=20_000.0,
            "it must lie between 200 and 20 000 cm⁻¹",
        )?;
        within(|| what("height"), self.height, 0.0..=20.0, "it must lie between 0 and 20")?;
        Ok(())
    }
}

impl Cloth {
    pub(crate) fn admit(&self) -> Result<(), Refusal> {
        let what = |which: &str| format!("{which} of cloth '{}'", self.name);
        within(|| what("the gain"), self.gain, 1e-3..=10.0, "it must lie between 0.001 and 10")?;
        within(
            || what("the substantivity"),
            self.substantivity_l_per_kg,
            1e-2..=1e6,
            "it must lie between 0.01 and 1 000 000 L/kg",
        )?;
        within(
            || what("the surface term"),
            self.surface,
            0.0..=0.2,
            "it must lie between 0 and 0.2",
        )?;
        let lowest = self.undyed.values().iter().copied().fold(f64::INFINITY, f64::min);
        let rule = "undyed cloth must reflect more than its surface term, and not more than 1";
        let highest = self.undyed.values().iter().copied().fold(0.0, f64::max);
        within(|| what("the lowest reflectance"), lowest, self.surface + 1e-3..=1.0, rule)?;
        within(|| what("the highest reflectance"), highest, 0.0..=1.0, rule)?;
        Ok(())
    }
}
