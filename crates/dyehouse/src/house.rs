//! The house: one world, one seed, one shelf, and the dyes that are really in the jars.

use std::borrow::Cow;
use std::sync::Arc;

use colour::{BANDS, Bands, Lab, Weights};
use units::{LiquorRatio, OnFibre};

use crate::faults::{Fault, glowing};
use crate::law;
use crate::{Bolt, Cloth, Deviates, Jar, Job, Refusal, Shelf, TrueDye, Truth, World};

/// One dye of a recipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// From which jar.
    pub jar: Jar,
    /// How much.
    pub dose: OnFibre,
}

/// What is to be dyed.
#[derive(Debug, Clone, PartialEq)]
pub struct Recipe {
    /// On which cloth.
    pub bolt: Bolt,
    /// With which dyes; no jar twice.
    pub parts: Vec<Part>,
    /// In how much liquor.
    pub ratio: LiquorRatio,
}

/// A virtual dyehouse.
#[derive(Debug, Clone)]
pub struct House {
    world: World,
    shelf: Arc<Shelf>,
    luck: Deviates,
    truth: Truth,
    on: Vec<On>,
}

/// One cloth with every dye ready for it.
#[derive(Debug, Clone)]
struct On {
    undyed_ks: [f64; BANDS],
    dyes: Vec<Ready>,
}

/// A true dye and its absorption.
#[derive(Debug, Clone)]
pub(crate) struct Ready {
    pub(crate) dye: TrueDye,
    pub(crate) absorbs: [f64; BANDS],
}

impl Ready {
    pub(crate) fn of(dye: &TrueDye) -> Self {
        Self { dye: dye.clone(), absorbs: dye.absorbs() }
    }
}

/// One dye in a bath, as it went in.
#[derive(Debug, Clone)]
pub(crate) struct InBath<'a> {
    pub(crate) ready: Cow<'a, Ready>,
    pub(crate) dose_pct: f64,
    pub(crate) glows: bool,
}

impl House {
    /// A house whose dyes and luck are drawn from a seed.
    #[must_use]
    pub fn drawn(world: &World, seed: u64, shelf: Arc<Shelf>) -> Self {
        let truth = Truth::drawn(&shelf, &world.truth, seed);
        Self::of_truth(world, Deviates::of_seed(seed), shelf, truth)
    }

    /// A house with these dyes, made from this very shelf, and this luck.
    #[must_use]
    pub fn of_truth(world: &World, luck: Deviates, shelf: Arc<Shelf>, truth: Truth) -> Self {
        let on = shelf.cloths().iter().enumerate().map(|(i, cloth)| On {
            undyed_ks: law::undyed_ks(cloth),
            dyes: truth.on(Bolt(i)).iter().map(Ready::of).collect(),
        });
        let on = on.collect();
        Self { world: world.clone(), shelf, luck, truth, on }
    }

    /// The world it stands in.
    #[must_use]
    pub const fn world(&self) -> &World {
        &self.world
    }

    /// What is published of its dyes.
    #[must_use]
    pub fn shelf(&self) -> &Arc<Shelf> {
        &self.shelf
    }

    /// What is really in its jars: for the judge, never for the program judged.
    #[must_use]
    pub const fn truth(&self) -> &Truth {
        &self.truth
    }

    /// The noise-free look of a recipe, as every jar is labelled and of the old lot.
    pub fn true_reflectance(&self, recipe: &Recipe) -> Result<Bands, Refusal> {
        self.admit(recipe)?;
        let bath = self.bath(recipe, |jar| self.ready(recipe.bolt, jar).map(Cow::Borrowed));
        Ok(Bands::try_new(self.look(recipe.bolt, recipe.ratio, &bath))?)
    }

    /// The noise-free colour of a recipe, D65/10°, as [`House::true_reflectance`].
    pub fn true_lab(&self, recipe: &Recipe) -> Result<Lab, Refusal> {
        Ok(Weights::reference().lab(&self.true_reflectance(recipe)?))
    }

    /// Begins a job. `first` is the first recipe proposed: where the world has a fault in a jar, it is
    /// a jar of this recipe, so that the fault bites. `number` tells the jobs of one house apart.
    pub fn begin(&self, number: u64, first: &Recipe) -> Result<Job<'_>, Refusal> {
        self.admit(first)?;
        Ok(Job::new(self, number, Fault::of(self, number, first)?))
    }

    pub(crate) const fn luck(&self) -> &Deviates {
        &self.luck
    }

    pub(crate) fn ready(&self, bolt: Bolt, jar: Jar) -> Option<&Ready> {
        self.on.get(bolt.0)?.dyes.get(jar.0)
    }

    pub(crate) fn cloth(&self, bolt: Bolt) -> &Cloth {
        &self.shelf.cloths()[bolt.0]
    }

    /// A recipe that this house can dye.
    pub(crate) fn admit(&self, recipe: &Recipe) -> Result<(), Refusal> {
        let refuse = |why: String| Err(Refusal::Recipe { why });
        if recipe.bolt.0 >= self.shelf.cloths().len() {
            let have = self.shelf.cloths().len();
            return refuse(format!(
                "there is no cloth {}: {have} are there, from 0",
                recipe.bolt.0
            ));
        }
        if recipe.parts.is_empty() {
            return refuse("it names no dye".to_owned());
        }
        for (i, part) in recipe.parts.iter().enumerate() {
            if part.jar.0 >= self.shelf.dyes().len() {
                let have = self.shelf.dyes().len();
                return refuse(format!("there is no jar {}: {have} are there, from 0", part.jar.0));
            }
            if recipe.parts[..i].iter().any(|p| p.jar == part.jar) {
                let id = &self.shelf.dyes()[part.jar.0].id;
                return refuse(format!("'{id}' stands in it twice: add the two doses up"));
            }
        }
        Ok(())
    }

    /// The dyes of a recipe, whatever `contents` finds in each jar.
    pub(crate) fn bath<'a>(
        &'a self,
        recipe: &Recipe,
        contents: impl Fn(Jar) -> Option<Cow<'a, Ready>>,
    ) -> Vec<InBath<'a>> {
        recipe
            .parts
            .iter()
            .filter_map(|part| {
                let ready = contents(part.jar)?;
                Some(InBath { ready, dose_pct: part.dose.to_percent(), glows: false })
            })
            .collect()
    }

    /// Dye fixed (% owf) of each in a bath.
    pub(crate) fn fixed(&self, bolt: Bolt, ratio: LiquorRatio, bath: &[InBath]) -> Vec<f64> {
        let doses: Vec<(&TrueDye, f64)> =
            bath.iter().map(|one| (&one.ready.dye, one.dose_pct)).collect();
        let at_ratio = law::at_ratio(self.cloth(bolt), ratio);
        law::fixed(&doses, at_ratio, self.world.competition)
    }

    /// What is seen of a bath dyed without any scatter.
    pub(crate) fn look(&self, bolt: Bolt, ratio: LiquorRatio, bath: &[InBath]) -> [f64; BANDS] {
        self.look_of(bolt, bath, &self.fixed(bolt, ratio, bath))
    }

    /// What is seen when so much of each dye is on the cloth.
    pub(crate) fn look_of(&self, bolt: Bolt, bath: &[InBath], on_cloth: &[f64]) -> [f64; BANDS] {
        let (cloth, undyed) = (self.cloth(bolt), &self.on[bolt.0].undyed_ks);
        let parts: Vec<(&[f64; BANDS], f64)> =
            bath.iter().zip(on_cloth).map(|(one, x)| (&one.ready.absorbs, *x)).collect();
        let added = law::added(&self.world.mixing, cloth.gain, &parts);
        let mut seen = law::seen(cloth.surface, undyed, &added);
        let glow = self.world.fluorescent.as_ref();
        for ((one, x), glow) in bath.iter().zip(on_cloth).filter(|(one, _)| one.glows).zip(glow) {
            let own = one.ready.absorbs.map(|a| a * x * cloth.gain);
            let all: [f64; BANDS] = std::array::from_fn(|i| undyed[i] + added[i]);
            let sent = glowing(glow, &one.ready.dye, &own, &all, undyed);
            seen = std::array::from_fn(|i| (seen[i] + sent[i]).min(Bands::CEILING));
        }
        seen
    }
}
