//! The rival that counts: correction by the model's slopes at the recipe, plain and damped.
//!
//! After E. Allen, "Basic equations used in computer color matching" (J. Opt. Soc. Am. 56, 1966): the doses
//! of the dyes in use are corrected linearly, Δc = J⁻¹ (target − reading), J being dLab/dc of the model at the
//! recipe just dyed. Damped, correction k is made with gain 1/k, so that later readings are averaged
//! rather than chased. Doses stay between nothing and the dye's most; where a bound is met the other dyes are
//! solved around it, and where fewer than three are free the change nearest in ΔE00 is made.

use units::OnFibre;

use crate::model::{best_match, slopes, step, vector};
use crate::strategy::{Doses, Fault, Strategy, Swatch, Told};

pub(crate) struct Jacobian<'a> {
    told: &'a Told<'a>,
    doses: Doses,
    damped: bool,
    corrections: u32,
}

impl<'a> Jacobian<'a> {
    fn open(told: &'a Told<'a>, damped: bool) -> Result<Box<dyn Strategy + 'a>, Fault> {
        Ok(Box::new(Self { told, doses: best_match(told, told.known)?, damped, corrections: 0 }))
    }
}

/// Gain 1 at every correction.
pub(crate) fn plain<'a>(told: &'a Told<'a>) -> Result<Box<dyn Strategy + 'a>, Fault> {
    Jacobian::open(told, false)
}

/// Gain 1/k at correction k.
pub(crate) fn damped<'a>(told: &'a Told<'a>) -> Result<Box<dyn Strategy + 'a>, Fault> {
    Jacobian::open(told, true)
}

impl Strategy for Jacobian<'_> {
    fn propose(&mut self) -> Result<Doses, Fault> {
        Ok(self.doses.clone())
    }

    fn see(&mut self, swatch: &Swatch) -> Result<(), Fault> {
        if !swatch.teaches() {
            return Ok(());
        }
        self.corrections += 1;
        let gain = if self.damped { 1.0 / f64::from(self.corrections) } else { 1.0 };
        let known = self.told.known;
        let slopes = slopes(self.told.on, known, swatch.doses)?;
        let wanted = vector(self.told.lab) - vector(swatch.reading.lab);
        let bounds: Vec<(f64, f64)> = self
            .doses
            .iter()
            .map(|&(place, dose)| {
                let now = dose.to_percent();
                (-now, known[place].most.to_percent() - now)
            })
            .collect();
        let step = step(&slopes, wanted, self.told.lab, &bounds);
        for ((place, dose), step) in self.doses.iter_mut().zip(step) {
            let most = known[*place].most.to_percent();
            *dose = OnFibre::try_percent((dose.to_percent() + gain * step).clamp(0.0, most))?;
        }
        Ok(())
    }
}
