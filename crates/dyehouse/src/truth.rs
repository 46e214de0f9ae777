//! Dyes as they really are: drawn around what is published, or told by somebody else.

use colour::{BANDS, Bands, maths};

use crate::dice::Dice;
use crate::refusal::within;
use crate::{Band, Bolt, Estimate, Jar, Refusal, Shelf, Spreads};

/// How a dye absorbs for 1 % fixed.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// Bands, times the K/S at the main one.
    Bands {
        /// The bands, the main one first.
        bands: Vec<Band>,
        /// K/S at height 1.
        ks_per_pct: f64,
    },
    /// K/S at each band of the model grid, whatever law made them.
    Table(Box<[f64; BANDS]>),
}

/// One dye as it really is on one cloth.
#[derive(Debug, Clone, PartialEq)]
pub struct TrueDye {
    /// How it absorbs.
    pub shape: Shape,
    /// Share of the dose fixed at low depth, liquor ratio 20:1; 0 to 1.
    pub fixed_share: f64,
    /// Dose (% owf) at which half of the low-depth yield is lost.
    pub saturation_pct: f64,
}

/// All dyes of a shelf as they really are, on every cloth.
#[derive(Debug, Clone, PartialEq)]
pub struct Truth {
    on: Vec<Vec<TrueDye>>,
}

/// 4 ln 2: from a full width at half height to a Gaussian.
const FOUR_LN_2: f64 = 2.772_588_722_239_781;

/// Bands shrink or narrow to this share of what is published at least, however far the draw.
const LEAST: f64 = 0.05;

/// Keys of the draws: what the fibres share, and what each has alone.
const SHARED: u64 = 1_000_000;
const LOT: u64 = 2_000_000;

impl TrueDye {
    /// K/S for 1 % fixed, on the model grid.
    #[must_use]
    pub fn absorbs(&self) -> [f64; BANDS] {
        match &self.shape {
            Shape::Table(table) => **table,
            Shape::Bands { bands, ks_per_pct } => std::array::from_fn(|i| {
                #[expect(clippy::cast_precision_loss, reason = "wavelengths below 1000")]
                let wavenumber = 1e7 / Bands::wavelength(i) as f64;
                let sum: f64 = bands.iter().map(|b| b.at(wavenumber)).sum();
                ks_per_pct * sum
            }),
        }
    }

    /// The same dye from another lot.
    pub(crate) fn of_new_lot(
        &self,
        seed: u64,
        job: u64,
        jar: Jar,
        strength_factor: f64,
        peak_nm: f64,
    ) -> Self {
        let mut dice = Dice::of(seed, &[LOT, job, jar.0 as u64]);
        let factor = maths::exp(dice.normal() * maths::ln(strength_factor));
        let shift = dice.normal() * peak_nm;
        let shape = match &self.shape {
            Shape::Bands { bands, ks_per_pct } => Shape::Bands {
                bands: bands.iter().map(|b| Band { peak_nm: b.peak_nm + shift, ..*b }).collect(),
                ks_per_pct: ks_per_pct * factor,
            },
            // A table cannot be shifted without a law for it: its strength alone changes.
            Shape::Table(table) => Shape::Table(Box::new(table.map(|k| k * factor))),
        };
        Self { shape, ..self.clone() }
    }

    pub(crate) fn admit(&self, id: &str) -> Result<(), Refusal> {
        let what = |which: &str| format!("the true {which} of dye '{id}'");
        match &self.shape {
            Shape::Bands { bands, ks_per_pct } => {
                for band in bands {
                    band.admit(id)?;
                }
                within(
                    || what("strength"),
                    *ks_per_pct,
                    0.0..=2000.0,
                    "it must lie between 0 and 2000",
                )?;
            }
            Shape::Table(table) => {
                for k in table.iter() {
                    within(|| what("K/S"), *k, 0.0..=2000.0, "it must lie between 0 and 2000")?;
                }
            }
        }
        let fixed = 100.0 * self.fixed_share;
        let rule = "it must be 0 or lie between 1 and 100 %; write 75 for three quarters, not 0.75";
        let least = if fixed == 0.0 { 0.0 } else { 1.0 };
        within(|| what("percentage fixed"), fixed, least..=100.0, rule)?;
        within(
            || what("saturation"),
            self.saturation_pct,
            1e-3..=1e6,
            "it must lie between 0.001 and 1 000 000 % owf",
        )?;
        Ok(())
    }
}

impl Band {
    fn at(&self, wavenumber: f64) -> f64 {
        let away = (wavenumber - 1e7 / self.peak_nm) / self.width_cm;
        self.height * maths::exp(-FOUR_LN_2 * away * away)
    }
}

impl Truth {
    /// Draws every dye on every cloth around its estimate.
    #[must_use]
    pub fn drawn(shelf: &Shelf, spreads: &Spreads, seed: u64) -> Self {
        let alike = spreads.fibres_alike;
        let (shared, own) = (alike.sqrt(), (1.0 - alike).sqrt());
        let on_cloth = |cloth: usize| {
            let one = |(jar, estimate): (usize, &Estimate)| {
                let mut together = Dice::of(seed, &[SHARED, jar as u64]);
                let mut alone = Dice::of(seed, &[cloth as u64, jar as u64]);
                let mut normal = || shared * together.normal() + own * alone.normal();
                drawn(estimate, spreads, &mut normal)
            };
            shelf.dyes().iter().enumerate().map(one).collect()
        };
        Self { on: (0..shelf.cloths().len()).map(on_cloth).collect() }
    }

    /// Every dye exactly as published.
    #[must_use]
    pub fn as_published(shelf: &Shelf) -> Self {
        let dyes: Vec<TrueDye> = shelf.dyes().iter().map(published).collect();
        Self { on: vec![dyes; shelf.cloths().len()] }
    }

    /// Dyes told by somebody else: for each cloth all dyes, in the order of the shelf.
    pub fn try_told(shelf: &Shelf, on: Vec<Vec<TrueDye>>) -> Result<Self, Refusal> {
        let whole = on.len() == shelf.cloths().len()
            && on.iter().all(|dyes| dyes.len() == shelf.dyes().len());
        if !whole {
            let why = "the truth must tell every dye of the shelf on every cloth, once".to_owned();
            return Err(Refusal::Recipe { why });
        }
        for dyes in &on {
            for (dye, estimate) in dyes.iter().zip(shelf.dyes()) {
                dye.admit(&estimate.id)?;
            }
        }
        Ok(Self { on })
    }

    /// One dye on one cloth; none when the house has no such jar or bolt.
    #[must_use]
    pub fn dye(&self, bolt: Bolt, jar: Jar) -> Option<&TrueDye> {
        self.on.get(bolt.0)?.get(jar.0)
    }

    /// The dyes on one cloth.
    #[must_use]
    pub fn on(&self, bolt: Bolt) -> &[TrueDye] {
        self.on.get(bolt.0).map_or(&[], Vec::as_slice)
    }
}

fn published(estimate: &Estimate) -> TrueDye {
    TrueDye {
        shape: Shape::Bands { bands: estimate.bands.clone(), ks_per_pct: estimate.ks_per_pct },
        fixed_share: estimate.fixed.to_fraction(),
        saturation_pct: estimate.saturation.to_percent(),
    }
}

/// One dye: strength and saturation log-normal, the rest normal; a band never vanishes.
fn drawn(estimate: &Estimate, spreads: &Spreads, normal: &mut impl FnMut() -> f64) -> TrueDye {
    let strength = maths::exp(normal() * maths::ln(spreads.strength_factor));
    let saturation = maths::exp(normal() * maths::ln(spreads.saturation_factor));
    let shift = normal() * spreads.peak_nm;
    let wider = (1.0 + normal() * spreads.width_pct / 100.0).max(LEAST);
    let bands = estimate.bands.iter().enumerate().map(|(i, b)| {
        let (mut own_shift, mut taller) = (0.0, 1.0);
        if i > 0 {
            taller = (1.0 + normal() * spreads.further_height_pct / 100.0).max(LEAST);
            own_shift = normal() * spreads.further_nm;
        }
        Band {
            peak_nm: b.peak_nm + shift + own_shift,
            width_cm: b.width_cm * wider,
            height: b.height * taller,
        }
    });
    TrueDye {
        shape: Shape::Bands { bands: bands.collect(), ks_per_pct: estimate.ks_per_pct * strength },
        fixed_share: estimate.fixed.to_fraction(),
        saturation_pct: estimate.saturation.to_percent() * saturation,
    }
}
