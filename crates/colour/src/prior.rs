//! The likeliest spectrum of a cloth of which only the colour is known: always said to be assumed.
//!
//! A colour has three numbers, a spectrum 31: the rest has to be believed. [`ClothPrior`] holds the
//! belief, a Gaussian in log odds of reflectance, sharpened where it was learnt from many clothes by
//! those of nearly the same colour. [`ClothPrior::likely`] gives the likeliest curve that has the
//! wanted colour *exactly* in the light it was given in, and what stays unknown under other lights.
//!
//! [`ClothPrior::shipped`] stands in `data/cloth_prior.csv`: half from 29 published clothes, half
//! from cloth made up by the mixing rule of Kubelka and Munk; `tests/prior.rs` rebuilds the table.
//! Left out: dyes (a curve is all this room knows), fluorescence (nothing above 1), anything beyond
//! 400–700 nm.

mod belief;
mod meet;
mod near;
mod odds;
mod table;

use std::{fmt, sync::OnceLock};

use self::{
    belief::{Gaussian, Moments, STEPS},
    meet::{Target, left_free, meet},
    near::{Cloth, near},
    odds::{Curve, Table, dot, odds, reflectance, slopes, spread_along, three},
};
use crate::{
    BANDS, Bands, Lab, Light, Observer, Refusal, Weights, Xyz, ciede2000::ciede2000_residuals,
};

/// What is believed of cloth spectra before the spectrum is measured.
#[derive(Debug, Clone, PartialEq)]
pub struct ClothPrior {
    belief: Gaussian,
    cloths: Vec<Cloth>,
}

/// The likeliest cloth of a colour: assumed, never measured.
#[derive(Clone, PartialEq)]
pub struct Likely {
    /// The reflectance factors; between 0.002 and 1.
    pub bands: Bands,
    /// Always true: whoever shows the spectrum has to say that it is assumed.
    pub assumed: bool,
    curve: Curve,
    free: Box<Table>,
}

impl ClothPrior {
    /// Fewest clothes to learn from; with fewer the steps' variances would be guesswork (judgement).
    pub const FEWEST: usize = 20;

    /// Learns from measured clothes, [`Self::FEWEST`] or more.
    ///
    /// # Errors
    /// [`Refusal::OutOfRange`] when there are too few.
    pub fn learn(clothes: &[Bands]) -> Result<Self, Refusal> {
        if clothes.len() < Self::FEWEST {
            return Err(Refusal::OutOfRange {
                what: "the number of clothes to learn from".to_owned(),
                given: belief::count(clothes.len()),
                rule: format!(
                    "at least {} measured spectra are needed; add readings, or use the prior that \
                     comes with the program",
                    Self::FEWEST
                ),
            });
        }
        let belief = Moments::of(clothes).gaussian();
        let weights = Weights::reference();
        let cloths = clothes
            .iter()
            .map(|bands| Cloth { lab: weights.lab(bands), odds: odds(bands) })
            .collect();
        Ok(Self { belief, cloths })
    }

    /// The prior that comes with the program; no measured shade collection is in it.
    #[must_use]
    pub fn shipped() -> &'static Self {
        static SHIPPED: OnceLock<ClothPrior> = OnceLock::new();
        SHIPPED.get_or_init(|| Self::of_moments(&table::shipped()))
    }

    /// The rule without knowledge of cloth: least slope of the log odds, the same at every band.
    #[must_use]
    pub fn smooth() -> &'static Self {
        static SMOOTH: OnceLock<ClothPrior> = OnceLock::new();
        SMOOTH.get_or_init(|| {
            // the level all but free; a step of 0.17 rms, which 29 clothes have on average
            Self::of_moments(&Moments {
                level: [0.0, 1000.0],
                mean: [0.0; STEPS],
                variance: [0.03; STEPS],
            })
        })
    }

    /// The likeliest cloth of a colour in D65/10°.
    ///
    /// # Errors
    /// [`Refusal::OutOfRange`] when no reflectance between 0.002 and 1 has the colour,
    /// [`Refusal::NotFinite`] when it is no colour at all.
    pub fn likely(&self, lab: Lab) -> Result<Likely, Refusal> {
        let target = Target { lab, weights: Weights::reference() };
        possible(target)?;
        self.answer(target, lab)
    }

    /// The likeliest cloth of a screen colour: XYZ in D65/2°, Y of the screen's white 100. The
    /// spectrum has this XYZ exactly; its Lab D65/10° is then what a dyer aims at.
    ///
    /// # Errors
    /// As [`Self::likely`]; a screen's brightest colours are beyond any cloth.
    pub fn screen_colour_to_cloth(&self, xyz: Xyz) -> Result<Likely, Refusal> {
        let weights = Weights::of(Light::D65, Observer::Two);
        let target = Target { lab: xyz.to_lab(weights.white()), weights };
        possible(target)?;
        let first = meet(&self.belief.mean, &self.belief.alone, target)
            .ok_or_else(|| beyond(target.lab))?;
        self.answer(target, Weights::reference().lab_of(&reflectance(&first)))
    }

    /// The cloth believed in before any colour is known.
    #[must_use]
    pub fn typical(&self) -> [f64; BANDS] {
        reflectance(&self.belief.mean)
    }

    /// Mean and covariance of ln((R − 0.002) / (1 − R)), for a room that weighs readings against
    /// the belief.
    #[must_use]
    pub fn log_odds(&self) -> (&[f64; BANDS], &[[f64; BANDS]; BANDS]) {
        (&self.belief.mean, &self.belief.doubt)
    }

    fn of_moments(moments: &Moments) -> Self {
        Self { belief: moments.gaussian(), cloths: Vec::new() }
    }

    fn answer(&self, target: Target, place: Lab) -> Result<Likely, Refusal> {
        let Gaussian { mean, alone, doubt } = &self.belief;
        let doubt = &scaled(doubt_of_chroma(place.chroma()), doubt);
        if let Some(near) = near(&self.cloths, alone, place, target) {
            let trust = trust(near.distance);
            let core = if trust < 1.0 {
                meet(mean, alone, target).ok_or_else(|| beyond(target.lab))?
            } else {
                near.mean
            };
            let mean = mixed(trust, &near.mean, &core);
            let table = mixed_tables(trust, &near.table, alone);
            let doubt = mixed_tables(trust, &near.table, doubt);
            if let Some(likely) = Likely::at(&mean, &table, &doubt, target) {
                return Ok(likely);
            }
        }
        Likely::at(mean, alone, doubt, target).ok_or_else(|| beyond(target.lab))
    }
}

impl Likely {
    /// How the colour may differ under a light: covariance of L*, a*, b*, about the assumed cloth.
    /// Near zero under the light the colour was given in.
    #[must_use]
    pub fn covariance_of_lab(&self, weights: &Weights) -> [[f64; 3]; 3] {
        let rows = slopes(&reflectance(&self.curve), weights);
        let along = spread_along(&self.free, &rows);
        std::array::from_fn(|j| std::array::from_fn(|k| dot(&rows[j], &along[k])))
    }

    /// The ΔE00 to expect under a light between the true cloth and the assumed one (root mean
    /// square).
    #[must_use]
    pub fn expected_difference(&self, weights: &Weights) -> f64 {
        let table = self.covariance_of_lab(weights);
        let lab = weights.lab(&self.bands);
        // the residuals are smooth at small differences: their slopes by central differences of 0.1
        let slope: [[f64; 3]; 3] = std::array::from_fn(|k| {
            let at = |step: f64| {
                let mut moved = three(lab);
                moved[k] += step;
                ciede2000_residuals(lab, Lab::new(moved[0], moved[1], moved[2]))
            };
            let (up, down) = (at(0.05), at(-0.05));
            std::array::from_fn(|n| (up[n] - down[n]) / 0.1)
        });
        let square: f64 = (0..9)
            .map(|jk| {
                let (j, k) = (jk / 3, jk % 3);
                table[j][k] * (0..3).map(|n| slope[j][n] * slope[k][n]).sum::<f64>()
            })
            .sum();
        square.max(0.0).sqrt()
    }

    fn at(mean: &Curve, table: &Table, doubt: &Table, target: Target) -> Option<Self> {
        let curve = meet(mean, table, target)?;
        let bands = Bands::try_new(reflectance(&curve)).ok()?;
        let free = left_free(&curve, doubt, target.weights)?;
        Some(Self { bands, assumed: true, curve, free })
    }
}

impl fmt::Debug for Likely {
    /// Without the thousand numbers of the covariance.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Likely")
            .field("bands", &self.bands)
            .field("assumed", &self.assumed)
            .finish_non_exhaustive()
    }
}

/// How far the neighbours are believed when the tenth is this far away in Lab: wholly up to 20, not
/// at all from 40 on, where the colour has left the learnt ones. (Trials on training rows, 32 to 498
/// clothes learnt: earlier retreats, 8–18 and 10–25, did worse at every size but the smallest.)
fn trust(distance: f64) -> f64 {
    ((40.0 - distance) / 20.0).clamp(0.0, 1.0)
}

/// How much more or less is unknown of a colour of this chroma than on average, as a factor of the
/// covariance: a grey hardly leaves room for steps, a strong colour needs large ones. The straight
/// line (14 + C)/34 for the standard deviation was drawn by eye through errors found over errors
/// stated on the 29 published and 1,500 made-up clothes of `tests/prior.rs` (published, A and FL11:
/// C 5: 0.61, 0.32; C 18: 0.97, 0.47; C 30: 1.7, 1.8; C 42: 1.0, 2.1; C 55: 1.6, 2.7).
fn doubt_of_chroma(chroma: f64) -> f64 {
    let deviation = ((14.0 + chroma) / 34.0).min(2.5);
    deviation * deviation
}

fn scaled(factor: f64, table: &Table) -> Box<Table> {
    Box::new(table.map(|line| line.map(|cell| factor * cell)))
}

fn mixed(share: f64, one: &Curve, other: &Curve) -> Curve {
    std::array::from_fn(|i| share * one[i] + (1.0 - share) * other[i])
}

fn mixed_tables(share: f64, one: &Table, other: &Table) -> Box<Table> {
    Box::new(std::array::from_fn(|i| mixed(share, &one[i], &other[i])))
}

/// Refuses what is no colour, is brighter than a perfect white or darker than any cloth.
fn possible(target: Target) -> Result<(), Refusal> {
    let lab = target.lab;
    for (what, given) in [("L*", lab.l), ("a*", lab.a), ("b*", lab.b)] {
        if !given.is_finite() {
            return Err(Refusal::NotFinite { what: what.to_owned(), given });
        }
    }
    let darkest = target.weights.lab_of(&[odds::DARKEST; BANDS]).l;
    if lab.l <= darkest || lab.l >= 100.0 {
        return Err(Refusal::OutOfRange {
            what: format!("the lightness of {lab}"),
            given: lab.l,
            rule: format!(
                "cloth lies between {darkest:.1} (0.2 % reflected) and 100 (all light reflected); \
                 give the colour of the cloth itself, not of a lamp or a screen"
            ),
        });
    }
    Ok(())
}

fn beyond(lab: Lab) -> Refusal {
    Refusal::OutOfRange {
        what: format!("the chroma of {lab}"),
        given: (lab.chroma() * 10.0).round() / 10.0,
        rule: "no cloth that reflects between 0.2 % and 100 % of the light has so strong a colour \
               at this lightness; lower the chroma or take another lightness"
            .to_owned(),
    }
}
