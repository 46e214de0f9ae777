//! One job: swatches dyed one after another towards one colour, and read.

use std::borrow::Cow;

use colour::{BANDS, Bands, Lab, Weights};

use crate::deviates::{Drawn, What};
use crate::faults::Fault;
use crate::house::{InBath, Ready};
use crate::reader::Session;
use crate::{Bolt, Finish, House, Jar, Reader, Reading, Recipe, Refusal};

/// A job in a house. Swatches are counted from 1; the same swatch number meets the same luck, whatever
/// was dyed before, so that rival programs can be compared pair by pair.
#[derive(Debug, Clone)]
pub struct Job<'a> {
    house: &'a House,
    number: u64,
    fault: Option<Fault>,
    /// Nothing is forgotten and nothing read too early.
    careful: bool,
}

/// A dyed swatch.
#[derive(Debug, Clone, PartialEq)]
pub struct Dyed {
    /// Which of the job, from 1.
    pub swatch: u32,
    /// As it looks finished: for the judge.
    pub finished: Bands,
    /// As the reader sees it, which may be too early.
    pub as_read: Bands,
    /// Whether it is read washed off: for the judge.
    pub finish: Finish,
    /// Whether the salt was forgotten: for the judge.
    pub salt_forgotten: bool,
}

/// Keys of the chances.
const SALT: u64 = 1;
const SOAP: u64 = 2;

impl<'a> Job<'a> {
    pub(crate) const fn new(house: &'a House, number: u64, fault: Option<Fault>) -> Self {
        Self { house, number, fault, careful: false }
    }

    pub(crate) const fn careful(house: &'a House, number: u64) -> Self {
        Self { house, number, fault: None, careful: true }
    }

    /// The jar at fault and how: for the judge.
    #[must_use]
    pub const fn fault(&self) -> Option<Fault> {
        self.fault
    }

    /// Whether this swatch is dyed from a new lot; a maker reads that on the pack.
    #[must_use]
    pub fn of_new_lot(&self, swatch: u32) -> bool {
        !self.careful && self.house.world().new_lot.is_some_and(|lot| swatch >= lot.from_swatch)
    }

    /// The noise-free look of a recipe after so many swatches: dyed from the lot at hand then.
    pub fn true_reflectance(&self, recipe: &Recipe, after: u32) -> Result<Bands, Refusal> {
        self.house.admit(recipe)?;
        let bath = self.bath(recipe, after + 1);
        Ok(Bands::try_new(self.house.look(recipe.bolt, recipe.ratio, &bath))?)
    }

    /// The noise-free colour, D65/10°, as [`Job::true_reflectance`].
    pub fn true_lab(&self, recipe: &Recipe, after: u32) -> Result<Lab, Refusal> {
        Ok(Weights::reference().lab(&self.true_reflectance(recipe, after)?))
    }

    /// Dyes a swatch, with the scatter of the world.
    pub fn dye(&self, recipe: &Recipe, swatch: u32) -> Result<Dyed, Refusal> {
        self.house.admit(recipe)?;
        let world = self.house.world();
        let (scatter, luck) = (world.scatter, self.house.luck());
        let deviate = |what: What, which: usize| {
            luck.one(Drawn { what, job: self.number, swatch, which }, world.tail_degrees)
        };
        let chance = |key: u64, percent: Option<f64>| {
            !self.careful && percent.is_some_and(|p| luck.happens(key, self.number, swatch, p))
        };
        let mut bath = self.bath(recipe, swatch);
        for (one, part) in bath.iter_mut().zip(&recipe.parts) {
            let off = scatter.dose_pct / 100.0 * deviate(What::Dose, part.jar.0);
            one.dose_pct *= (1.0 + off).max(0.0);
        }
        let salt_forgotten = chance(SALT, world.salt_forgotten.map(|s| s.chance_pct));
        let without_salt =
            world.salt_forgotten.filter(|_| salt_forgotten).map_or(1.0, |s| s.fixed_factor);
        let common = scatter.fixation_common_pct / 100.0 * deviate(What::Common, 0);
        let mut fixed = self.house.fixed(recipe.bolt, recipe.ratio, &bath);
        for (x, part) in fixed.iter_mut().zip(&recipe.parts) {
            let own = scatter.fixation_each_pct / 100.0 * deviate(What::Each, part.jar.0);
            *x *= (1.0 + common + own).max(0.0) * without_salt;
        }
        let finished = self.house.look_of(recipe.bolt, &bath, &fixed);
        let early = chance(SOAP, world.unsoaped.map(|u| u.chance_pct));
        let as_read = match world.unsoaped.filter(|_| early) {
            Some(unsoaped) => self.with_loose(recipe.bolt, &bath, &fixed, unsoaped.left_pct),
            None => finished,
        };
        Ok(Dyed {
            swatch,
            finished: Bands::try_new(finished)?,
            as_read: Bands::try_new(as_read)?,
            finish: if early { Finish::Unsoaped } else { Finish::WashedOff },
            salt_forgotten,
        })
    }

    /// Reads a swatch.
    #[must_use]
    pub fn read(&self, dyed: &Dyed, reader: &Reader) -> Reading {
        self.read_again(dyed, reader, 0)
    }

    /// Reads a swatch once more; `time` is 0 for the first reading. The bias stays.
    #[must_use]
    pub fn read_again(&self, dyed: &Dyed, reader: &Reader, time: u32) -> Reading {
        let world = self.house.world();
        let stated = world.unsoaped.is_none_or(|u| u.stated);
        let finish = if stated { dyed.finish } else { Finish::WashedOff };
        let session = Session { job: self.number, swatch: dyed.swatch, again: time };
        let tail = world.tail_degrees;
        reader.read(dyed.as_read.values(), finish, session, self.house.luck(), tail)
    }

    /// What is really in the bath of this swatch.
    fn bath(&self, recipe: &Recipe, swatch: u32) -> Vec<InBath<'a>> {
        let mut bath = self.house.bath(recipe, |jar| self.contents(recipe.bolt, jar, swatch));
        if let Some(Fault::Glows { jar }) = self.fault {
            for (one, part) in bath.iter_mut().zip(&recipe.parts) {
                one.glows = part.jar == jar;
            }
        }
        bath
    }

    fn contents(&self, bolt: Bolt, jar: Jar, swatch: u32) -> Option<Cow<'a, Ready>> {
        let inside = match self.fault {
            Some(Fault::Holds { jar: labelled, other }) if labelled == jar => other,
            _ => jar,
        };
        let ready = self.house.ready(bolt, inside)?;
        let lot = self.house.world().new_lot.filter(|_| self.of_new_lot(swatch));
        Some(match lot {
            None => Cow::Borrowed(ready),
            Some(lot) => {
                let seed = self.house.luck().seed();
                let (factor, nm) = (lot.strength_factor, lot.peak_nm);
                let dye = ready.dye.of_new_lot(seed, self.number, inside, factor, nm);
                Cow::Owned(Ready::of(&dye))
            }
        })
    }

    /// The same cloth before soaping: part of what was not fixed is still on it.
    fn with_loose(
        &self,
        bolt: Bolt,
        bath: &[InBath],
        fixed: &[f64],
        left_pct: f64,
    ) -> [f64; BANDS] {
        let loose = |(one, x): (&InBath, &f64)| x + left_pct / 100.0 * (one.dose_pct - x).max(0.0);
        let on_cloth: Vec<f64> = bath.iter().zip(fixed).map(loose).collect();
        self.house.look_of(bolt, bath, &on_cloth)
    }
}
