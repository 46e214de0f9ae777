//! From what a case tells of cloths and dyes to the program's own model of them.
//!
//! A case may tell any gain and any substantivity; the program has its own for each class and material. All
//! dyes of a case are taken as one class on cotton, and what the told cloth differs by is put into
//! the cloth, so that without deviations the model gives the colours of the case's own law. A told surface
//! term has no place in the model: the undyed cloth is believed as it was read.

use dyehouse::{Bolt, Case, Cloth, Estimate, Shelf, Start, Step};
use dyeing::{
    Absorption, Band, Dye, Ground, Knowledge, Lesson, REFERENCE_RATIO, Seen, Substrate, Written,
    taught,
};
use lore::DyeClass;
use units::{LiquorRatio, OnFibre, Share};

use crate::strategy::Fault;

/// One cloth of a case and its dyes, as the program models them.
pub(crate) struct Believed {
    pub(crate) on: Substrate,
    pub(crate) published: Vec<Dye>,
}

/// The material and class every told cloth and dye is taken for.
const MATERIAL: &str = "cotton";
const CLASS: DyeClass = DyeClass::ReactiveDct;

/// Spread of a careful dyeing that is read, besides the reader's, ΔE00 (two dyeings differ by 0.6 median).
const DYEING: f64 = 0.6;

impl Believed {
    /// Every cloth of a shelf, with all its dyes.
    pub(crate) fn all(shelf: &Shelf, ratio: LiquorRatio) -> Result<Vec<Self>, Fault> {
        shelf.cloths().iter().map(|cloth| Self::of(cloth, shelf.dyes(), ratio)).collect()
    }

    fn of(cloth: &Cloth, dyes: &[Estimate], ratio: LiquorRatio) -> Result<Self, Fault> {
        let ground = Ground::read(&[(MATERIAL, Share::WHOLE)], &cloth.undyed);
        let on = Substrate::try_new(&ground, CLASS, ratio)?;
        let told = cloth.gain * exhausted(cloth.substantivity_l_per_kg, ratio);
        let plain = dyes.iter().map(made).collect::<Result<Vec<_>, _>>()?;
        let modelled = plain.first().map_or(1.0, |dye| gain_of(&on, dye, &dyes[0]));
        Ok(Self { on: on.taking(told / modelled), published: plain })
    }

    /// The dyes of one house: taught by their ladders, where it has any.
    pub(crate) fn known(&self, case: &Case, house: usize, bolt: Bolt) -> Result<Vec<Dye>, Fault> {
        if case.start() == Start::Estimates {
            return Ok(self.published.clone());
        }
        let steps: Vec<&Step> = case.ladders(house).filter(|s| s.bolt == bolt).collect();
        let spread = case.reader().scatter().hypot(DYEING);
        let one = |(jar, dye): (usize, &Dye)| {
            let own = steps.iter().filter(|s| s.jar.0 == jar);
            let lessons: Vec<Lesson> = own.map(|step| self.lesson(step, spread)).collect();
            if lessons.is_empty() {
                return Ok(dye.clone());
            }
            // A ladder that no dye of this hue can give teaches nothing: the estimate stands.
            Ok(taught(dye, &lessons, Knowledge::Ladder).unwrap_or_else(|_| dye.clone()))
        };
        self.published.iter().enumerate().map(one).collect()
    }

    fn lesson(&self, step: &Step, spread: f64) -> Lesson<'_> {
        let seen = step.spectrum.map_or(Seen::Colour(step.lab), Seen::Spectrum);
        Lesson { on: &self.on, dose: step.dose, seen, spread }
    }
}

/// Exhaustion at a liquor ratio compared with the reference ratio, by a told substantivity.
fn exhausted(substantivity: f64, ratio: LiquorRatio) -> f64 {
    (substantivity + REFERENCE_RATIO) / (substantivity + ratio.to_litres_per_kilogram())
}

/// The same figure times the gain, as the program's own substrate has them.
fn gain_of(on: &Substrate, dye: &Dye, told: &Estimate) -> f64 {
    let tiny = OnFibre::try_percent(1e-6);
    let fixed = tiny.map_or(0.0, |dose| on.fixed(dye, dose) / 1e-6);
    on.plain().map_or(1.0, |(_, gain)| gain) * fixed / told.fixed.to_fraction()
}

fn made(told: &Estimate) -> Result<Dye, Fault> {
    let band =
        |b: &dyehouse::Band| Band { peak_nm: b.peak_nm, width_cm: b.width_cm, height: b.height };
    let absorption = Absorption::of(told.bands.iter().map(band).collect());
    let absorption = absorption.ok_or_else(|| {
        format!(
            "the bands of dye '{}' make none that the program models (height at most 5)",
            told.id
        )
    })?;
    let written = Written {
        absorption,
        strength: told.ks_per_pct,
        fixed: told.fixed,
        saturation: told.saturation,
    };
    Ok(Dye::try_estimate(&told.id, &told.id, CLASS, written, told.most)?)
}
