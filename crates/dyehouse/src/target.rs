//! Targets: colours that three of the hidden dyes really give, evenly over depth and hue.

use std::fmt;

use colour::{Bands, Lab, Weights, maths};
use units::{LiquorRatio, OnFibre};

use crate::dice::Dice;
use crate::{Bolt, House, Jar, Part, Recipe, Refusal};

/// Darker or lighter than L* 45.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Depth {
    /// L* below 45.
    Deep,
    /// L* from 45.
    Pale,
}

/// One of eight: depth × hue quadrant of `h_ab` from 0°.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stratum {
    /// The depth.
    pub depth: Depth,
    /// The quadrant, 0 to 3: from 0°, 90°, 180°, 270°.
    pub quadrant: u8,
}

/// A colour to reach, and how it was made.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// The colour, D65/10°.
    pub lab: Lab,
    /// Its spectrum: for the judge, or for a program that is given spectra.
    pub reflectance: Bands,
    /// The true mix: for the judge.
    pub made_of: Recipe,
    /// Where it lies.
    pub stratum: Stratum,
}

/// Key of the draws.
const TARGET: u64 = 4_000_000;
/// Mixes tried before a stratum is called empty.
const TRIES: u32 = 50_000;
/// Depth of all dyes together, % owf: log-even between these.
const TOTAL_PCT: (f64, f64) = (0.05, 8.0);

impl Stratum {
    /// All eight, deep ones first.
    pub const ALL: [Self; 8] = {
        let mut all = [Self { depth: Depth::Deep, quadrant: 0 }; 8];
        let mut i = 0;
        let mut quadrant = 0;
        while i < 4 {
            all[i] = Self { depth: Depth::Deep, quadrant };
            all[i + 4] = Self { depth: Depth::Pale, quadrant };
            i += 1;
            quadrant += 1;
        }
        all
    };

    /// Where a colour lies.
    #[must_use]
    pub fn of(lab: Lab) -> Self {
        let hue = lab.to_lch().h;
        let quadrant = [90.0, 180.0, 270.0].iter().map(|edge| u8::from(hue >= *edge)).sum();
        Self { depth: if lab.l < 45.0 { Depth::Deep } else { Depth::Pale }, quadrant }
    }
}

impl fmt::Display for Stratum {
    /// "L* < 45, h 90-180".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let depth = if self.depth == Depth::Deep { "L* < 45" } else { "L* >= 45" };
        let from = 90 * u32::from(self.quadrant);
        write!(f, "{depth}, h {from}-{}", from + 90)
    }
}

impl House {
    /// The target of this number in a stratum: the noise-free colour of a random mix of three dyes.
    pub fn target(
        &self,
        number: u64,
        stratum: Stratum,
        bolt: Bolt,
        ratio: LiquorRatio,
    ) -> Result<Target, Refusal> {
        let cloth = self.shelf().cloths().get(bolt.0);
        let nothing = || Refusal::NoTarget {
            stratum: stratum.to_string(),
            cloth: cloth.map_or_else(|| format!("cloth {}", bolt.0), |c| c.name.clone()),
        };
        if self.shelf().dyes().len() < 3 {
            return Err(nothing());
        }
        let place = Stratum::ALL.iter().position(|s| *s == stratum).unwrap_or(0) as u64;
        let mut dice = Dice::of(self.luck().seed(), &[TARGET, number, place, bolt.0 as u64]);
        for _ in 0..TRIES {
            let made_of = Recipe { bolt, parts: self.three(&mut dice)?, ratio };
            let reflectance = self.true_reflectance(&made_of)?;
            let lab = Weights::reference().lab(&reflectance);
            if Stratum::of(lab) == stratum {
                return Ok(Target { lab, reflectance, made_of, stratum });
            }
        }
        Err(nothing())
    }

    /// Three different dyes in random shares of a random depth, none above its deepest dose.
    fn three(&self, dice: &mut Dice) -> Result<Vec<Part>, Refusal> {
        let dyes = self.shelf().dyes();
        let mut jars: Vec<usize> = Vec::with_capacity(3);
        while jars.len() < 3 {
            let jar = dice.pick(dyes.len());
            if !jars.contains(&jar) {
                jars.push(jar);
            }
        }
        let (low, high) = TOTAL_PCT;
        let total = low * maths::exp(dice.roll() * maths::ln(high / low));
        let shares = [0; 3].map(|_| 0.05 + dice.roll());
        let whole: f64 = shares.iter().sum();
        jars.into_iter()
            .zip(shares)
            .map(|(jar, share)| {
                let dose = (total * share / whole).min(dyes[jar].most.to_percent());
                Ok(Part { jar: Jar(jar), dose: OnFibre::try_percent(dose)? })
            })
            .collect()
    }
}
