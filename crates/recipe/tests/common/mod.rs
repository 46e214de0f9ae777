//! A cloth, a shelf and a kit to ask questions of; shared by the tests of this room.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]
#![allow(dead_code, reason = "each test uses its part, one all of it")]

use colour::{Bands, ClothPrior, Lab, Light};
use dosing::{Kit, Scale, StockRules};
use dyeing::{Dye, Ground, HOME, Look, Substrate, starter};
use lore::Procedure;
use recipe::{Candidate, Question, Target};
use units::{LiquorRatio, Mass, PricePerGram, Share, StockStrength};

/// What stays the same while targets change.
pub(crate) struct Bench {
    pub(crate) on: Substrate,
    pub(crate) dyes: Vec<&'static Dye>,
    pub(crate) kit: Kit,
    pub(crate) goods: Mass,
    pub(crate) lights: Vec<Light>,
}

impl Bench {
    /// The starter dyes of a bath on a cloth of these fibres (name, percent), a jewellery scale, 200 g.
    pub(crate) fn of(fibres: &[(&str, f64)], look: Look, way: Procedure) -> Self {
        let fibres: Vec<(&str, Share)> = fibres
            .iter()
            .map(|(name, percent)| (*name, Share::try_percent(*percent).unwrap()))
            .collect();
        let ground = Ground::assumed(&fibres, look).unwrap();
        let ratio = LiquorRatio::try_litres_per_kilogram(20.0).unwrap();
        Self {
            on: Substrate::try_new(&ground, way.classes()[0], ratio).unwrap(),
            dyes: starter().iter().map(|s| &s.dye).filter(|d| way.takes(d.class)).collect(),
            kit: weighing(Scale::JEWELLERY),
            goods: Mass::try_grams(200.0).unwrap(),
            lights: vec![Light::D65, Light::A, Light::Fl11],
        }
    }

    /// White cotton and the cold reactive dyes.
    pub(crate) fn cotton() -> Self {
        Self::of(&[("cotton", 100.0)], Look::White, Procedure::ReactiveCold)
    }

    pub(crate) fn candidates(&self) -> Vec<Candidate<'static>> {
        let rules = StockRules::new(StockStrength::try_percent(1.0).unwrap(), 7);
        self.dyes.iter().map(|dye| Candidate { dye, price: None, rules }).collect()
    }

    /// Every dye at its own price: 0.05, 0.10, 0.15 … a gram.
    pub(crate) fn priced(&self) -> Vec<Candidate<'static>> {
        let mut all = self.candidates();
        let mut price = 0.0;
        for candidate in &mut all {
            price += 0.05;
            candidate.price = Some(PricePerGram::try_per_gram(price).unwrap());
        }
        all
    }

    pub(crate) fn ask<'a>(&'a self, dyes: &'a [Candidate<'a>], target: Target) -> Question<'a> {
        Question {
            on: &self.on,
            dyes,
            target,
            lights: &self.lights,
            goods: self.goods,
            kit: &self.kit,
            tolerance: 2.0,
            most_dyes: 3,
            most_total: None,
            scatter: HOME,
        }
    }
}

pub(crate) fn weighing(scale: Scale) -> Kit {
    Kit::try_new(Some(scale), vec![]).unwrap()
}

/// A typed colour, with the likeliest cloth spectrum.
pub(crate) fn typed(l: f64, a: f64, b: f64) -> Target {
    let bands = ClothPrior::shipped().likely(Lab::new(l, a, b)).unwrap().bands;
    Target { bands, assumed: true }
}

/// A spectrum that was read.
pub(crate) fn read(bands: Bands) -> Target {
    Target { bands, assumed: false }
}

/// Colours a costume may want: pale, deep, dull, clear.
pub(crate) const COLOURS: [(f64, f64, f64); 8] = [
    (70.0, 8.0, 45.0),
    (45.0, 45.0, 20.0),
    (32.0, -18.0, 8.0),
    (25.0, 6.0, -28.0),
    (85.0, -3.0, 12.0),
    (55.0, 2.0, -2.0),
    (38.0, 22.0, 28.0),
    (18.0, 1.0, -3.0),
];
