//! A ground ready for one dye class at one liquor ratio: how fixed dye becomes reflectance.
//!
//! Kubelka–Munk, single constant, as the start: K/S of the cloth plus fixed dye × absorption, fibre
//! by fibre; a blend is the optical mixture of its fibres, each with its own uptake. Dye that only
//! some of the fibres take goes on those: on 65 % cotton a dose is 1/0.65 as deep.

use colour::{BANDS, Bands};
use lore::DyeClass;
use units::{LiquorRatio, OnFibre};

use crate::depth::{ks, ks_inv};
use crate::uptake::Uptake;
use crate::{Dye, Ground, Refusal};

/// A ground ready for one class of dye.
#[derive(Debug, Clone, PartialEq)]
pub struct Substrate {
    class: DyeClass,
    sides: Vec<Face>,
    /// Yield at this liquor ratio compared with the reference ratio.
    at_ratio: f64,
    /// Share of the cloth that takes the class at all.
    takers: f64,
}

/// One fibre, ready.
#[derive(Debug, Clone, PartialEq)]
struct Face {
    share: f64,
    ks: [f64; BANDS],
    /// K/S gained on this fibre per unit of absorption of the mix; 0 where it takes none.
    gain: f64,
}

impl Substrate {
    /// Makes ground ready for a class; refused when no fibre takes it.
    pub fn try_new(ground: &Ground, class: DyeClass, ratio: LiquorRatio) -> Result<Self, Refusal> {
        Self::try_for(ground, class, ratio, &|_| true)
    }

    /// The same where the way of dyeing lets only some materials take the class (a reactive dye by the
    /// acid route colours the wool of a blend and not its cotton).
    pub fn try_for(
        ground: &Ground,
        class: DyeClass,
        ratio: LiquorRatio,
        takes: &dyn Fn(&str) -> bool,
    ) -> Result<Self, Refusal> {
        let nothing = || Refusal::NothingTakes {
            class: class.to_string(),
            materials: ground
                .sides
                .iter()
                .map(|s| s.material.as_str())
                .collect::<Vec<_>>()
                .join(", "),
        };
        let uptake = Uptake::of(class).ok_or_else(nothing)?;
        let gain = |m: &str| uptake.gain(m).filter(|_| takes(m));
        let takers: f64 =
            ground.sides.iter().filter(|s| gain(&s.material).is_some()).map(|s| s.share).sum();
        if takers <= 0.0 {
            return Err(nothing());
        }
        let sides = ground
            .sides
            .iter()
            .map(|s| Face {
                share: s.share,
                ks: s.reflectance.values().map(ks),
                gain: gain(&s.material).map_or(0.0, |g| g / takers),
            })
            .collect();
        Ok(Self { class, sides, at_ratio: uptake.at_ratio(ratio), takers })
    }

    /// The fibres that take the class, alone: what to match where the rest stays as it is. Doses remain
    /// on the weight of the whole cloth.
    #[must_use]
    pub fn dyed_part(&self) -> Self {
        self.kept(|_, face| face.gain > 0.0)
    }

    /// These fibres alone, of those that take the class: what to match by the first of two baths that
    /// also colours a fibre which the second is for (a reactive dye on the silk of a silk and cotton
    /// blend). Doses remain on the weight of the whole cloth, and what the other fibres take is still
    /// reckoned with. `ground` is the one this was made from; none when no fibre is left.
    #[must_use]
    pub fn part_of(&self, ground: &Ground, materials: &[&str]) -> Option<Self> {
        let named = |i: usize| {
            ground.sides.get(i).is_some_and(|side| materials.contains(&side.material.as_str()))
        };
        let part = self.kept(|i, face| face.gain > 0.0 && named(i));
        (!part.sides.is_empty()).then_some(part)
    }

    fn kept(&self, keep: impl Fn(usize, &Face) -> bool) -> Self {
        let mut part = self.clone();
        let mut at = 0..;
        part.sides.retain(|face| at.next().is_some_and(|i| keep(i, face)));
        let share: f64 = part.sides.iter().map(|face| face.share).sum();
        part.sides.iter_mut().for_each(|face| face.share /= share);
        part
    }

    /// The same cloth taking this factor of what the trade's table says, as a mercerised cotton takes more
    /// than a raw one.
    #[must_use]
    pub fn taking(mut self, factor: f64) -> Self {
        self.sides.iter_mut().for_each(|face| face.gain *= factor);
        self
    }

    /// The class this was made ready for.
    #[must_use]
    pub const fn class(&self) -> DyeClass {
        self.class
    }

    /// Share of the cloth that takes the class; below 1 the rest stays as it is.
    #[must_use]
    pub const fn takers(&self) -> f64 {
        self.takers
    }

    /// Reflectance at one band, and its slope, for a sum of fixed dye × absorption.
    #[must_use]
    pub fn seen(&self, band: usize, absorbed: f64) -> (f64, f64) {
        let (mut r, mut slope) = (0.0, 0.0);
        for face in &self.sides {
            let q = face.ks[band] + face.gain * absorbed;
            let one = ks_inv(q);
            r += face.share * one;
            slope -= face.share * face.gain * one / (q * (q + 2.0)).sqrt();
        }
        (r, slope)
    }

    /// Reflectance on the model grid for a sum of fixed dye × absorption.
    #[must_use]
    pub fn dyed(&self, absorbed: &[f64; BANDS]) -> [f64; BANDS] {
        std::array::from_fn(|i| self.seen(i, absorbed[i]).0)
    }

    /// The undyed cloth.
    #[must_use]
    pub fn undyed(&self) -> [f64; BANDS] {
        self.dyed(&[0.0; BANDS])
    }

    /// The single fibre's K/S and gain, where the cloth is of one fibre: the plain case of a search.
    #[must_use]
    pub fn plain(&self) -> Option<([f64; BANDS], f64)> {
        match self.sides.as_slice() {
            [face] => Some((face.ks, face.gain)),
            _ => None,
        }
    }

    /// Every fibre: share, K/S undyed, and K/S gained per unit of absorption of the mix.
    pub fn sides(&self) -> impl Iterator<Item = (f64, [f64; BANDS], f64)> {
        self.sides.iter().map(|face| (face.share, face.ks, face.gain))
    }

    /// Dye fixed (% owf) from a dose: F·c / (1 + c/s), saturating with depth.
    #[must_use]
    pub fn fixed(&self, dye: &Dye, dose: OnFibre) -> f64 {
        self.fixed_with(dye, dye.saturates_at(), dose.to_percent())
    }

    /// The dose that fixes `fixed` (% owf); none when saturation forbids it.
    #[must_use]
    pub fn dose_for(&self, dye: &Dye, fixed: f64) -> Option<OnFibre> {
        let share = dye.fixed.to_fraction() * self.at_ratio;
        let saturation = dye.saturates_at() * self.takers;
        let left = share - fixed / saturation;
        (left > 0.0).then(|| OnFibre::try_percent(fixed / left).ok()).flatten()
    }

    /// The most of this dye that may be fixed, from its deepest dose.
    #[must_use]
    pub fn most_fixed(&self, dye: &Dye) -> f64 {
        self.fixed(dye, dye.most)
    }

    /// The same for a dye that saturates at this depth (% owf) on a cloth it takes whole.
    pub(crate) fn fixed_with(&self, dye: &Dye, saturates_at: f64, dose_pct: f64) -> f64 {
        let saturation = saturates_at * self.takers;
        dye.fixed.to_fraction() * self.at_ratio * dose_pct / (1.0 + dose_pct / saturation)
    }

    pub(crate) fn lab_of(&self, absorbed: &[f64; BANDS], light: &colour::Weights) -> colour::Lab {
        light.lab_of(&self.dyed(absorbed))
    }

    /// The undyed cloth as checked bands.
    pub fn undyed_bands(&self) -> Result<Bands, Refusal> {
        Ok(Bands::try_new(self.undyed())?)
    }
}
