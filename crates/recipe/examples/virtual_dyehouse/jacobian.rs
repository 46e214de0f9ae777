//! The rival that counts: correction by the model's slopes at the recipe, plain and damped.
//!
//! After E. Allen, "Basic equations used in computer color matching" (J. Opt. Soc. Am. 56, 1966): the doses
//! of the dyes in use are corrected by the inverse of the model's slopes at the recipe just dyed,
//! Δ ln c = J⁻¹ (target − reading), J being dLab/d ln c. The corrections are of the *logarithms* of the doses:
//! a strength that was estimated wrong is then one step away at any depth, and no dose falls below
//! nothing. Corrected in the doses themselves, the way the equations were first written, the same rival is much
//! weaker from estimates (in simulation about 40 % within 2.0 after one swatch instead of 60 %).
//!
//! Damped, correction k is made with gain 1/k, so that later readings are averaged rather than chased. One
//! correction moves a dose by at most [`FURTHEST`], and never above the dye's most; where a bound is met the
//! other dyes are solved around it, and where fewer than three are free the change nearest in ΔE00 is
//! made. It keeps its dyes. Tried and left out, as they made it no better: another recipe of the
//! model at the colour that much beside the target, half a step back to the best recipe read so far, and tighter
//! bounds.

use colour::maths;
use units::OnFibre;

use crate::model::{first_match, log_slopes, step, vector};
use crate::strategy::{Doses, Fault, Strategy, Swatch, Told};

/// The furthest that one correction moves a dose, as a factor either way: beyond, slopes say little (judgement;
/// with 2 in place of 4 a larger share stays far off).
const FURTHEST: f64 = 4.0;
/// Doses below this count as this, % owf.
const LEAST_PCT: f64 = 1e-3;

pub(crate) struct Jacobian<'a> {
    told: &'a Told<'a>,
    doses: Doses,
    damped: bool,
    corrections: u32,
}

impl<'a> Jacobian<'a> {
    fn open(told: &'a Told<'a>, damped: bool) -> Result<Box<dyn Strategy + 'a>, Fault> {
        Ok(Box::new(Self { told, doses: first_match(told)?, damped, corrections: 0 }))
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
        let slopes = log_slopes(self.told.on, known, swatch.doses)?;
        let wanted = vector(self.told.lab) - vector(swatch.reading.lab);
        let furthest = maths::ln(FURTHEST);
        let bounds: Vec<(f64, f64)> = swatch
            .doses
            .iter()
            .map(|&(place, dose)| {
                let room = known[place].most.to_percent() / dose.to_percent().max(LEAST_PCT);
                (-furthest, maths::ln(room).clamp(-furthest, furthest))
            })
            .collect();
        let step = step(&slopes, wanted, self.told.lab, &bounds);
        self.doses = swatch.doses.clone();
        for ((place, dose), step) in self.doses.iter_mut().zip(step) {
            let most = known[*place].most.to_percent();
            let next = dose.to_percent().max(LEAST_PCT) * maths::exp(gain * step);
            *dose = OnFibre::try_percent(next.min(most))?;
        }
        Ok(())
    }
}
