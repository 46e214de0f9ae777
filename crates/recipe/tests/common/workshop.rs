//! A workshop in simulation: dyes drawn around the starter shelf's estimates, dyed and read without scatter.

#![allow(dead_code, reason = "each test uses its part")]

use colour::{ClothPrior, Lab, Light, Weights};
use dyeing::{
    Dosed, Dye, Dyeing, Experience, Glimpse, Ground, InBath, Look, Scatter, Seen, Setting, Stocked,
    Substrate, absorbed, starter,
};
use lore::DyeClass;
use recipe::{Aimed, Target};
use units::{LiquorRatio, OnFibre, Share};

pub(crate) const SCATTER: Scatter = Scatter { common: 0.03, each: 0.03 };

pub(crate) struct House {
    pub(crate) fibre: &'static str,
    pub(crate) on: Substrate,
    pub(crate) dyes: Vec<Dye>,
    pub(crate) truth: Vec<Dye>,
}

/// Every number of every dye so many spreads from its estimate, in turn up and down.
pub(crate) fn house(spreads: f64) -> House {
    house_of("cotton", spreads)
}

/// The same of another fibre.
pub(crate) fn house_of(fibre: &'static str, spreads: f64) -> House {
    let ground = Ground::assumed(&[(fibre, Share::WHOLE)], Look::White).unwrap();
    let ratio = LiquorRatio::try_litres_per_kilogram(20.0).unwrap();
    let on = Substrate::try_new(&ground, DyeClass::ReactiveDct, ratio).unwrap();
    let of_class = starter().iter().filter(|s| s.dye.class == DyeClass::ReactiveDct);
    let dyes: Vec<Dye> = of_class.map(|s| s.dye.clone()).collect();
    let one = |(i, dye): (usize, &Dye)| {
        let way = |k: usize| if (i + 2 * k).is_multiple_of(3) { spreads } else { -spreads };
        dye.drawn(&(0..dye.doubts()).map(way).collect::<Vec<_>>())
    };
    let truth = dyes.iter().enumerate().map(one).collect();
    House { fibre, on, dyes, truth }
}

impl House {
    pub(crate) fn known(&self) -> Experience {
        let stock = self.dyes.iter().map(|d| Stocked { dye: d.clone(), lot_of: None });
        Experience::try_new(stock.collect()).unwrap()
    }

    pub(crate) fn looks(&self, doses: &[(usize, OnFibre)]) -> Lab {
        let one =
            |&(dye, dose): &(usize, OnFibre)| Dosed { dye: &self.truth[dye], dose, scatter: 0.0 };
        let recipe: Vec<Dosed> = doses.iter().map(one).collect();
        Weights::reference().lab_of(&self.on.dyed(&absorbed(&self.on, &recipe)))
    }

    pub(crate) fn dyed(&self, job: u64, doses: &[(usize, OnFibre)]) -> Dyeing {
        let seen = Seen::Colour(self.looks(doses));
        Dyeing {
            on: self.on.clone(),
            fibre: self.fibre.to_owned(),
            job,
            bath: doses.iter().map(|&(dye, dose)| InBath { dye, dose, scatter: 0.015 }).collect(),
            scatter: SCATTER,
            glimpse: Glimpse { seen, bias: 0.5, spread: 0.5 },
        }
    }

    pub(crate) fn aimed<'a>(
        &'a self,
        known: &'a Experience,
        job: u64,
        dyes: &'a [usize],
        lab: Lab,
    ) -> Aimed<'a> {
        let bands = ClothPrior::shipped().likely(lab).unwrap().bands;
        Aimed {
            experience: known,
            setting: Setting { on: &self.on, fibre: self.fibre, job },
            dyes,
            target: Target { bands, assumed: true },
            lights: &[Light::D65],
            most_dyes: 3,
            most_total: None,
            dosing: 0.015,
            scatter: SCATTER,
            tolerance: 2.0,
        }
    }
}
