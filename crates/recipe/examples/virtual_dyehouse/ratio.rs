//! The oldest rival: scale by ratio.
//!
//! The model is asked which doses of the dyes in use would give the colour that was read, and which the
//! target; each dose is multiplied by the ratio of the two.

use units::OnFibre;

use crate::model::{first_match, with_these};
use crate::strategy::{Doses, Fault, Strategy, Swatch, Told};

/// One correction never moves a dose further than this factor: the ratio of two doses near nothing says
/// nothing (judgement).
const FURTHEST: f64 = 4.0;

struct Ratio<'a> {
    told: &'a Told<'a>,
    doses: Doses,
}

/// Opens it on a piece.
pub(crate) fn open<'a>(told: &'a Told<'a>) -> Result<Box<dyn Strategy + 'a>, Fault> {
    Ok(Box::new(Ratio { told, doses: first_match(told)? }))
}

impl Strategy for Ratio<'_> {
    fn propose(&mut self) -> Result<Doses, Fault> {
        Ok(self.doses.clone())
    }

    fn see(&mut self, swatch: &Swatch) -> Result<(), Fault> {
        if !swatch.teaches() {
            return Ok(());
        }
        let (told, known) = (self.told, self.told.known);
        let places: Vec<usize> = self.doses.iter().map(|d| d.0).collect();
        let wanted = with_these(told, known, &places, told.lab)?;
        let seems = with_these(told, known, &places, swatch.reading.lab)?;
        let of = |doses: &Doses, place: usize| {
            doses.iter().find(|d| d.0 == place).map_or(0.0, |d| d.1.to_percent())
        };
        for (place, dose) in &mut self.doses {
            let (wanted, seems) = (of(&wanted, *place), of(&seems, *place));
            let factor =
                (wanted.max(LEAST_PCT) / seems.max(LEAST_PCT)).clamp(1.0 / FURTHEST, FURTHEST);
            let most = known[*place].most.to_percent();
            *dose = OnFibre::try_percent((dose.to_percent() * factor).min(most))?;
        }
        Ok(())
    }
}

/// Doses below this count as this, % owf.
const LEAST_PCT: f64 = 1e-3;
