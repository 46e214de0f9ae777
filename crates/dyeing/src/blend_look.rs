//! A blend as it would look, fibre by fibre, after one bath or two.
//!
//! Each fibre takes what its class's gain says (`uptake`), a second bath adds its K/S to what the
//! first left, and the eye mixes the fibres by share, as an undyed blend is mixed in `ground`. That
//! is one model for all three ways with a blend: one bath on every fibre, two baths of two classes, or
//! one bath that leaves a fibre as it was. Left out: the stain a class leaves on a fibre it does not
//! dye, and what a second bath takes out of the first (what may follow what stands in `lore`).

use colour::{BANDS, Bands, Lab, Weights, ciede2000};
use lore::DyeClass;
use units::{LiquorRatio, Share};

use crate::depth::ks_inv;
use crate::{Dosed, Ground, Refusal, Substrate, absorbed};

/// One bath a blend goes through.
#[derive(Clone, Copy)]
pub struct BlendBath<'a> {
    /// The class of its dyes.
    pub class: DyeClass,
    /// Its liquor ratio.
    pub ratio: LiquorRatio,
    /// The materials its procedure lets take the class.
    pub takes: &'a dyn Fn(&str) -> bool,
    /// Its dyes, dosed on the weight of the whole cloth.
    pub recipe: &'a [Dosed<'a>],
}

/// A blend as it would look.
#[derive(Debug, Clone, PartialEq)]
pub struct BlendLook {
    /// The cloth as a whole, from too far to tell its fibres apart.
    pub bands: Bands,
    /// Fibre by fibre, the order of the ground.
    pub fibres: Vec<FibreLook>,
    /// The largest ΔE00 between two of its fibres, D65/10°.
    pub contrast: f64,
}

/// One fibre of a blend as it would look.
#[derive(Debug, Clone, PartialEq)]
pub struct FibreLook {
    /// The material.
    pub material: String,
    /// Its share of what is seen.
    pub share: Share,
    /// Its own reflectance.
    pub bands: Bands,
    /// Its own colour, D65/10°.
    pub lab: Lab,
}

/// How far apart a blend's fibres look, in a word (limits are a judgement: fibres are mixed yarn by
/// yarn, so that several ΔE00 are lost at arm's length).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Heather {
    /// Up to 3: one colour.
    Solid,
    /// Up to 8: a life in the colour near by, one colour from afar.
    Soft,
    /// Up to 20: a heather.
    Heather,
    /// Beyond: two colours.
    TwoTone,
}

impl Ground {
    /// This ground after a bath, fibre by fibre: the ground of the next one.
    pub fn after(&self, bath: BlendBath) -> Result<Self, Refusal> {
        let on = Substrate::try_for(self, bath.class, bath.ratio, bath.takes)?;
        let mix = absorbed(&on, bath.recipe);
        let mut next = self.clone();
        // `sides` of a substrate come in the order of its ground's.
        for (side, (_, ks, gain)) in next.sides.iter_mut().zip(on.sides()) {
            let dyed: [f64; BANDS] = std::array::from_fn(|i| ks_inv(ks[i] + gain * mix[i]));
            if gain > 0.0 {
                side.reflectance = Bands::try_new(dyed)?;
            }
        }
        Ok(next)
    }

    /// Every fibre as it looks now.
    pub fn fibres(&self) -> Result<Vec<FibreLook>, Refusal> {
        let light = Weights::reference();
        let look = |side: &crate::ground::Side| {
            Ok(FibreLook {
                material: side.material.clone(),
                share: Share::try_fraction(side.share.clamp(0.0, 1.0))?,
                bands: side.reflectance,
                lab: light.lab(&side.reflectance),
            })
        };
        self.sides.iter().map(look).collect()
    }
}

impl BlendLook {
    /// The look of a ground after these baths in their order; none means undyed.
    pub fn of(ground: &Ground, baths: &[BlendBath]) -> Result<Self, Refusal> {
        let mut now = ground.clone();
        for bath in baths {
            now = now.after(*bath)?;
        }
        let fibres = now.fibres()?;
        let contrast = fibres
            .iter()
            .flat_map(|a| fibres.iter().map(move |b| ciede2000(a.lab, b.lab)))
            .fold(0.0, f64::max);
        Ok(Self { bands: Bands::try_new(now.reflectance())?, fibres, contrast })
    }

    /// The contrast in a word.
    #[must_use]
    pub fn heather(&self) -> Heather {
        match self.contrast {
            c if c <= 3.0 => Heather::Solid,
            c if c <= 8.0 => Heather::Soft,
            c if c <= 20.0 => Heather::Heather,
            _ => Heather::TwoTone,
        }
    }
}

impl Heather {
    /// In words, to follow "it looks".
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Solid => "one solid colour",
            Self::Soft => "a soft heather near by and one colour from afar",
            Self::Heather => "a heather",
            Self::TwoTone => "two colours side by side",
        }
    }
}
