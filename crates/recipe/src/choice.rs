//! One recipe with everything that speaks for and against it.

use colour::{Bands, Lab, Light, Observer, Weights, ciede2000};
use dyeing::{Prediction, expected, predict};
use units::{Money, OnFibre};

use crate::setting::{dosed, unscattered};
use crate::{Question, Refusal, Score};

/// A recipe as proposed.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Places in the question's dyes, with the dose of each; the largest dose first.
    pub doses: Vec<(usize, OnFibre)>,
    /// What it is expected to give, with both spreads.
    pub prediction: Prediction,
    /// Its colour and the target's under each light, D65 first.
    pub lights: Vec<UnderLight>,
    /// Cost of the dyes for the goods, when every dye has a price.
    pub cost: Option<Money>,
    /// Largest relative scatter of a dose as it will be measured out.
    pub worst_dose: f64,
    /// Why it stands where it stands.
    pub score: Score,
}

/// Recipe and target under one light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnderLight {
    /// The light.
    pub light: Light,
    /// The recipe's colour.
    pub lab: Lab,
    /// The target's colour; assumed under other lights when only a colour was given.
    pub target: Lab,
    /// ΔE00 between them.
    pub difference: f64,
}

/// A recipe at a first look: its colours without their spreads, which cost most of a close look.
pub(crate) struct Glance {
    doses: Vec<(usize, OnFibre)>,
    lights: Vec<UnderLight>,
}

impl Glance {
    pub(crate) fn of(question: &Question, doses: Vec<(usize, OnFibre)>) -> Result<Self, Refusal> {
        let mut doses = doses;
        doses.sort_by(|a, b| b.1.to_percent().total_cmp(&a.1.to_percent()).then(a.0.cmp(&b.0)));
        let bands = expected(question.on, &unscattered(question, &doses))?;
        let lights = under_lights(question, &bands);
        Ok(Self { doses, lights })
    }

    /// How many dyes it has.
    pub(crate) fn dyes(&self) -> usize {
        self.doses.len()
    }

    /// ΔE00 in the reference light; the expected error is never smaller.
    pub(crate) fn difference(&self) -> f64 {
        self.lights.first().map_or(0.0, |l| l.difference)
    }

    /// ΔE00 in the light in which it is furthest from the target.
    pub(crate) fn worst(&self) -> f64 {
        self.lights.iter().map(|l| l.difference).fold(0.0, f64::max)
    }

    /// The recipe looked at from all sides.
    pub(crate) fn closely(self, question: &Question) -> Result<Choice, Refusal> {
        let Self { doses, lights } = self;
        let recipe = dosed(question, &doses);
        let prediction = predict(question.on, &recipe, question.scatter)?;
        let worst_dose = recipe.iter().map(|d| d.scatter).fold(0.0, f64::max);
        let cost = doses
            .iter()
            .map(|&(place, dose)| {
                question.dyes[place].price.and_then(|p| p.try_cost(dose * question.goods).ok())
            })
            .sum();
        let score = Score::ZERO;
        Ok(Choice { doses, prediction, lights, cost, worst_dose, score })
    }
}

impl Choice {
    /// A recipe of one's own looked at from all sides, and scored as if no other were cheaper.
    ///
    /// # Errors
    /// A recipe that is not of the question's dyes, or that cannot be foretold.
    pub fn try_of(question: &Question, doses: Vec<(usize, OnFibre)>) -> Result<Self, Refusal> {
        if let Some(&(place, _)) = doses.iter().find(|d| d.0 >= question.dyes.len()) {
            let stock = question.dyes.len();
            return Err(dyeing::Refusal::NotInStock { place, stock }.into());
        }
        let mut choice = Self::of(question, doses)?;
        choice.score = Score::of(question, &choice, None);
        Ok(choice)
    }

    /// A recipe looked at from all sides.
    pub(crate) fn of(question: &Question, doses: Vec<(usize, OnFibre)>) -> Result<Self, Refusal> {
        Glance::of(question, doses)?.closely(question)
    }

    /// ΔE00 in the reference light.
    #[must_use]
    pub fn difference(&self) -> f64 {
        self.lights.first().map_or(0.0, |l| l.difference)
    }

    /// The light in which it is furthest from the target.
    #[must_use]
    pub fn worst(&self) -> Option<&UnderLight> {
        self.lights.iter().max_by(|a, b| a.difference.total_cmp(&b.difference))
    }

    /// Whether another recipe, of lower rank, differs from this one in a dye that matters, or is visibly cheaper or nearer
    /// in the worst light.
    #[must_use]
    pub fn really_differs_from(&self, other: &Self) -> bool {
        let telling = |c: &Self| {
            let all: f64 = c.doses.iter().map(|d| d.1.to_percent()).sum();
            let mut places: Vec<usize> =
                c.doses.iter().filter(|d| d.1.to_percent() > 0.05 * all).map(|d| d.0).collect();
            places.sort_unstable();
            places
        };
        if telling(self) != telling(other) {
            return true;
        }
        let cheaper = match (self.cost, other.cost) {
            (Some(own), Some(others)) => others.to_amount() < 0.8 * own.to_amount(),
            _ => false,
        };
        let worst = |c: &Self| c.worst().map_or(0.0, |l| l.difference);
        cheaper || worst(other) < worst(self) - 0.5
    }

    /// Expected error of the dyed piece in the reference light: what it misses by, and its spread.
    #[must_use]
    pub fn expected_error(&self) -> f64 {
        self.difference().hypot(self.prediction.piece.rms())
    }
}

fn under_lights(question: &Question, bands: &Bands) -> Vec<UnderLight> {
    let mut lights = vec![Light::D65];
    for &light in question.lights {
        if !lights.contains(&light) {
            lights.push(light);
        }
    }
    lights
        .into_iter()
        .map(|light| {
            let weights = Weights::of(light, Observer::Ten);
            let (lab, target) = (weights.lab(bands), weights.lab(&question.target.bands));
            UnderLight { light, lab, target, difference: ciede2000(target, lab) }
        })
        .collect()
}
