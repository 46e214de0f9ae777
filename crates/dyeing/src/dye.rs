//! A dye on the shelf: what it is, how it absorbs, how deep it goes, and how well all that is known.

use colour::BANDS;
use dosing::Form;
use lore::DyeClass;
use nalgebra::DVector;
use units::{OnFibre, Share};

use crate::belief::{Belief, ESTIMATE, moved};
use crate::learning::kin::Kin;
use crate::sight::{Looks, Sight};
use crate::{Absorption, Refusal};

/// How a dye is known; always shown, and never looking alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Knowledge {
    /// A pack's own claim: "one pack colours so much to about this".
    PackClaim,
    /// A published peak and the strength typical of its class.
    Estimate,
    /// One colour at a stated depth, such as a shade card.
    Chip,
    /// Swatches of mixes it was part of.
    Swatches,
    /// The maker's own ladder of swatches.
    Ladder,
}

impl Knowledge {
    /// As shown to the maker.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::PackClaim => "pack claim",
            Self::Estimate => "estimate",
            Self::Chip => "one chip",
            Self::Swatches => "own swatches",
            Self::Ladder => "own ladder",
        }
    }
}

/// One dye.
#[derive(Debug, Clone, PartialEq)]
pub struct Dye {
    /// Its name in files and recipes.
    pub id: String,
    /// Its hue in words.
    pub name: String,
    /// What it is.
    pub class: DyeClass,
    /// Its Colour Index Generic Name, where sure.
    pub ci: Option<String>,
    /// Powder or liquid, as sold.
    pub form: Form,
    /// How it is known.
    pub knowledge: Knowledge,
    /// Anything the maker must know of this dye alone.
    pub note: Option<String>,
    /// A copper phthalocyanine: large, slow, and held by a metal that a chelant pulls out.
    pub phthalocyanine: bool,
    /// Deepest dose ever proposed.
    pub most: OnFibre,
    pub(crate) absorption: Absorption,
    pub(crate) strength: f64,
    pub(crate) fixed: Share,
    pub(crate) saturation: OnFibre,
    pub(crate) belief: Belief,
    pub(crate) sight: Sight,
    pub(crate) kin: Kin,
}

/// The numbers a new dye is made of.
#[derive(Debug, Clone)]
pub struct Written {
    /// Bands on fibre.
    pub absorption: Absorption,
    /// K/S at the main band for 1 % fixed, on the class's reference cloth; above 0, at most 200.
    pub strength: f64,
    /// Share of the dose fixed at low depth, liquor ratio 20:1.
    pub fixed: Share,
    /// Depth at which half of the low-depth yield is lost.
    pub saturation: OnFibre,
}

impl Dye {
    /// A dye known by estimate.
    pub fn try_estimate(
        id: &str,
        name: &str,
        class: DyeClass,
        written: Written,
        most: OnFibre,
    ) -> Result<Self, Refusal> {
        let sound = written.strength.is_finite()
            && written.strength > 0.0
            && written.strength <= 200.0
            && written.fixed.to_fraction() > 0.0
            && written.saturation.to_percent() > 0.0
            && most.to_percent() > 0.0;
        if !sound {
            return Err(Refusal::NoDye { id: id.to_owned() });
        }
        let belief = Belief::estimate(&ESTIMATE, written.absorption.bands().len());
        Ok(Self {
            id: id.to_owned(),
            name: name.to_owned(),
            class,
            ci: None,
            form: Form::Powder,
            knowledge: Knowledge::Estimate,
            note: None,
            phthalocyanine: false,
            most,
            absorption: written.absorption,
            strength: written.strength,
            fixed: written.fixed,
            saturation: written.saturation,
            belief,
            sight: Sight::default(),
            kin: Kin::default(),
        })
    }

    /// The same dye under another name, as a shelf row calls it.
    #[must_use]
    pub fn called(mut self, id: &str, name: &str) -> Self {
        id.clone_into(&mut self.id);
        name.clone_into(&mut self.name);
        self
    }

    /// K/S on the model grid for 1 % fixed on the reference cloth, as believed.
    #[must_use]
    pub fn absorbs(&self) -> [f64; BANDS] {
        self.looks().believed.absorbs
    }

    /// Depth (% owf) at which half of the low-depth yield is lost, as believed.
    #[must_use]
    pub fn saturates_at(&self) -> f64 {
        self.looks().believed.saturates_at
    }

    /// How many numbers of this dye are uncertain.
    #[must_use]
    pub fn doubts(&self) -> usize {
        self.belief.len()
    }

    /// One dye this may turn out to be: its numbers these standard normal deviates away from what is
    /// believed (missing deviates count as 0). For simulation and for spreads by sampling.
    #[must_use]
    pub fn drawn(&self, deviates: &[f64]) -> Self {
        let mut dye = self.clone();
        dye.belief.mean = self.belief.drawn(deviates);
        dye.sight = Sight::default();
        dye
    }

    /// Its curves as believed, reckoned once.
    pub(crate) fn looks(&self) -> std::sync::Arc<Looks> {
        self.sight.of(self)
    }

    pub(crate) fn absorbs_at(&self, deviations: &DVector<f64>) -> [f64; BANDS] {
        let saturation = self.saturation.to_percent();
        let numbers = moved(&self.absorption, self.strength, saturation, deviations);
        let shape = Absorption::of(numbers.absorption).map_or([0.0; BANDS], |a| a.shape());
        shape.map(|s| s * numbers.strength)
    }

    pub(crate) fn saturates_with(&self, deviations: &DVector<f64>) -> f64 {
        use colour::maths::exp;
        self.saturation.to_percent() * exp(deviations[1].clamp(-4.0, 4.0))
    }
}
