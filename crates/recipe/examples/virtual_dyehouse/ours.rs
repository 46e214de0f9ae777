//! Ours, as the program stands: it proposes by what is published or laddered, expected error and predicted
//! variance counted, and says how sure it is. What swatches teach is not used here yet.

use std::sync::LazyLock;

use colour::{Light, ciede2000};
use dosing::{Kit, Scale, StockRules};
use dyeing::{Dosed, Scatter, predict};
use recipe::{Candidate, Question, propose};
use units::{Mass, StockStrength};

use crate::strategy::{
    Advice, Carries, Doses, Fault, NINETY_OF_THREE, Region, Strategy, Swatch, Told, Verdict,
};

/// Dyeing scatter of the words of the simulation.
const SCATTER: Scatter = Scatter { common: 0.03, each: 0.03 };
/// Goods heavy enough that weighing adds nothing to the dosing scatter of the dyehouse, g.
const GOODS_G: f64 = 2000.0;

/// A scale that shows 0.01 g.
static KIT: LazyLock<Option<Kit>> =
    LazyLock::new(|| Kit::try_new(Some(Scale::JEWELLERY), vec![]).ok());

struct Ours<'a> {
    told: &'a Told<'a>,
    doses: Doses,
    last: Option<f64>,
}

/// Opens it on a piece.
pub(crate) fn open<'a>(told: &'a Told<'a>) -> Result<Box<dyn Strategy + 'a>, Fault> {
    Ok(Box::new(Ours { told, doses: best(told)?, last: None }))
}

/// Opens it on the first piece of a costume.
pub(crate) fn open_carrying<'a>(told: &'a Told<'a>) -> Result<Box<dyn Carries<'a> + 'a>, Fault> {
    Ok(Box::new(Ours { told, doses: best(told)?, last: None }))
}

impl<'a> Carries<'a> for Ours<'a> {
    fn turn_to(&mut self, told: &'a Told<'a>) -> Result<(), Fault> {
        *self = Self { told, doses: best(told)?, last: None };
        Ok(())
    }
}

fn best(told: &Told) -> Result<Doses, Fault> {
    let rules = StockRules::new(StockStrength::try_percent(1.0)?, 7);
    let candidate = |dye| Candidate { dye, price: None, rules };
    let candidates: Vec<Candidate> = told.known.iter().map(candidate).collect();
    let kit = KIT.as_ref().ok_or("the kit was refused")?;
    let question = Question {
        on: told.on,
        dyes: &candidates,
        target: told.target,
        lights: &[Light::D65],
        goods: Mass::try_grams(GOODS_G)?,
        kit,
        tolerance: told.tolerance,
        most_dyes: 3,
        most_total: None,
        scatter: SCATTER,
    };
    let answer = propose(&question, 1)?;
    let best = answer.choices.into_iter().next().ok_or("the cloth is the colour already")?;
    Ok(best.doses)
}

impl Strategy for Ours<'_> {
    fn propose(&mut self) -> Result<Doses, Fault> {
        Ok(self.doses.clone())
    }

    fn see(&mut self, swatch: &Swatch) -> Result<(), Fault> {
        if swatch.teaches() {
            self.last = Some(ciede2000(swatch.reading.lab, self.told.lab));
        }
        Ok(())
    }

    fn region90(&mut self) -> Result<Option<Region>, Fault> {
        let one = |&(place, dose): &(usize, units::OnFibre)| Dosed {
            dye: &self.told.known[place],
            dose,
            scatter: 0.0,
        };
        let recipe: Vec<Dosed> = self.doses.iter().map(one).collect();
        let said = predict(self.told.on, &recipe, SCATTER)?;
        let covariance = said.recipe.covariance();
        Ok(Some(Region::Ellipsoid { centre: said.lab, covariance, within: NINETY_OF_THREE }))
    }

    fn advice(&mut self) -> Result<Option<Advice>, Fault> {
        let near = self.last.is_some_and(|off| off <= self.told.tolerance);
        let verdict = if near { Verdict::Stop } else { Verdict::Improve };
        Ok(Some(Advice { verdict, alarm: false, further: self.doses.clone() }))
    }
}
