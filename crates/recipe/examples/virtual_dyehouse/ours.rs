//! Ours: one belief about all dyes, learnt from every swatch; the recipe with the least expected error next.

use std::sync::LazyLock;

use colour::Light;
use dyeing::{Dyeing, Experience, Glimpse, InBath, Scatter, Seen, Setting, Stocked, Surprise};
use recipe::{Aimed, Say, Shot, shots};

use crate::strategy::{
    Advice, Carries, Doses, Fault, NINETY_OF_THREE, Region, Strategy, Swatch, Told, Verdict,
};

/// Dyeing scatter of the words of the simulation.
const SCATTER: Scatter = Scatter { common: 0.03, each: 0.03 };
/// A reading with less chance than this is beyond belief, whatever the reason.
const BEYOND: f64 = 0.002;
/// Jobs of ladders are numbered from here on.
const LADDERS: u64 = 1 << 32;

static LIGHTS: LazyLock<Vec<Light>> = LazyLock::new(|| vec![Light::D65]);

struct Ours<'a> {
    told: &'a Told<'a>,
    experience: Experience,
    job: u64,
    /// True once the packs are of a new lot.
    new_lot: bool,
    /// What was dyed last in this job.
    held: Option<Doses>,
    surprises: Vec<Surprise>,
    /// What was believed before this job, and the swatches of the job that teach.
    before: Experience,
    swatches: Vec<Dyeing>,
    /// True while the swatches of the job speak for a fault.
    alarm: bool,
    standing: Standing,
}

/// What it stands by, and why.
struct Standing {
    doses: Doses,
    shot: Shot,
    further: Doses,
    say: Say,
}

/// Opens it on a piece.
pub(crate) fn open<'a>(told: &'a Told<'a>) -> Result<Box<dyn Strategy + 'a>, Fault> {
    Ok(Box::new(Ours::new(told)?))
}

/// Opens it on the first piece of a costume.
pub(crate) fn open_carrying<'a>(told: &'a Told<'a>) -> Result<Box<dyn Carries<'a> + 'a>, Fault> {
    Ok(Box::new(Ours::new(told)?))
}

impl<'a> Carries<'a> for Ours<'a> {
    fn turn_to(&mut self, told: &'a Told<'a>) -> Result<(), Fault> {
        self.told = told;
        self.experience.also_on(fibre(told))?;
        self.job += 1;
        self.held = None;
        self.surprises.clear();
        self.before = self.experience.clone();
        self.swatches.clear();
        self.alarm = false;
        self.standing = self.stand()?;
        Ok(())
    }
}

/// The stock: every dye of the shelf, and after them a further lot of each.
fn stock(told: &Told) -> Vec<Stocked> {
    let first = told.published.iter().map(|dye| Stocked { dye: dye.clone(), lot_of: None });
    let further = told
        .published
        .iter()
        .enumerate()
        .map(|(place, dye)| Stocked { dye: dye.clone(), lot_of: Some(place) });
    first.chain(further).collect()
}

impl<'a> Ours<'a> {
    fn new(told: &'a Told<'a>) -> Result<Self, Fault> {
        // A further lot is stocked only once there is one: it would ride along for nothing.
        let mut first = stock(told);
        first.truncate(told.published.len());
        let mut experience = Experience::try_new(first)?;
        experience.learn(ladders(told))?;
        let dyes = places(told, false);
        let shot = first_of(&aimed(&experience, told, 0, &dyes))?;
        let standing = Standing {
            doses: shot.doses.clone(),
            further: shot.doses.clone(),
            shot,
            say: Say::Improve,
        };
        let mut ours = Self {
            told,
            before: experience.clone(),
            experience,
            job: 0,
            new_lot: false,
            held: None,
            surprises: vec![],
            swatches: vec![],
            alarm: false,
            standing,
        };
        ours.standing = ours.stand()?;
        Ok(ours)
    }

    fn stand(&self) -> Result<Standing, Fault> {
        let dyes = places(self.told, self.new_lot);
        let aimed = aimed(&self.experience, self.told, self.job, &dyes);
        let Some(held) = &self.held else {
            let shot = first_of(&aimed)?;
            let say = recipe::before(&aimed, &shot)?;
            return Ok(Standing {
                doses: shot.doses.clone(),
                further: shot.doses.clone(),
                shot,
                say,
            });
        };
        let verdict = recipe::verdict(&aimed, &self.of_the_lot(held))?;
        let stays = match verdict.say {
            Say::Stop => true,
            Say::Improve => false,
            Say::Unsettled => verdict.held.expected_error() < verdict.next.expected_error(),
        };
        let further = verdict.next.doses.clone();
        let shot = if stays { verdict.held } else { verdict.next };
        Ok(Standing { doses: shot.doses.clone(), shot, further, say: verdict.say })
    }

    /// The same recipe from the packs at hand.
    fn of_the_lot(&self, doses: &Doses) -> Doses {
        let shelf = self.told.published.len();
        let place = |d: usize| d % shelf + if self.new_lot { shelf } else { 0 };
        doses.iter().map(|&(d, dose)| (place(d), dose)).collect()
    }

    fn on_the_shelf(&self, doses: &Doses) -> Doses {
        let shelf = self.told.published.len();
        doses.iter().map(|&(d, dose)| (d % shelf, dose)).collect()
    }
}

fn places(told: &Told, new_lot: bool) -> Vec<usize> {
    let shelf = told.published.len();
    let from = if new_lot { shelf } else { 0 };
    (from..from + shelf).collect()
}

fn fibre(told: &Told) -> &'static str {
    ["first cloth", "second cloth", "third cloth"][told.bolt.0.min(2)]
}

fn aimed<'b>(experience: &'b Experience, told: &'b Told, job: u64, dyes: &'b [usize]) -> Aimed<'b> {
    Aimed {
        experience,
        setting: Setting { on: told.on, fibre: fibre(told), job },
        dyes,
        target: told.target,
        lights: &LIGHTS,
        most_dyes: 4,
        most_total: None,
        dosing: told.dosing,
        scatter: SCATTER,
        tolerance: told.tolerance,
    }
}

fn first_of(aimed: &Aimed) -> Result<Shot, Fault> {
    shots(aimed, 1)?.into_iter().next().ok_or_else(|| "no recipe was found".into())
}

fn glimpse(seen: Seen, reading: f64) -> Glimpse {
    // Half of the variance of the reader is one bias of the job.
    let half = reading * 0.5f64.sqrt();
    Glimpse { seen, bias: half, spread: half }
}

fn ladders(told: &Told) -> Vec<Dyeing> {
    let one = |step: &dyehouse::Step| Dyeing {
        on: told.on.clone(),
        fibre: fibre(told).to_owned(),
        job: LADDERS + step.jar.0 as u64,
        bath: vec![InBath { dye: step.jar.0, dose: step.dose, scatter: told.dosing }],
        scatter: SCATTER,
        glimpse: glimpse(
            step.spectrum.map_or(Seen::Colour(step.lab), Seen::Spectrum),
            told.reading,
        ),
    };
    told.ladders.iter().map(one).collect()
}

impl Strategy for Ours<'_> {
    fn propose(&mut self) -> Result<Doses, Fault> {
        Ok(self.on_the_shelf(&self.standing.doses))
    }

    fn swatch(&mut self) -> Result<Doses, Fault> {
        // Where it would stop it still dyes the further recipe: a further look costs nothing here.
        Ok(self.on_the_shelf(&self.standing.further))
    }

    fn see(&mut self, swatch: &Swatch) -> Result<(), Fault> {
        let bath = self.of_the_lot(swatch.doses);
        if swatch.teaches() {
            let seen =
                swatch.reading.spectrum.map_or(Seen::Colour(swatch.reading.lab), Seen::Spectrum);
            let dyeing = Dyeing {
                on: self.told.on.clone(),
                fibre: fibre(self.told).to_owned(),
                job: self.job,
                bath: bath
                    .iter()
                    .map(|&(dye, dose)| InBath { dye, dose, scatter: self.told.dosing })
                    .collect(),
                scatter: SCATTER,
                glimpse: glimpse(seen, swatch.reading.scatter),
            };
            self.swatches.push(dyeing.clone());
            self.surprises.extend(self.experience.learn(vec![dyeing])?);
            let others = places(self.told, false);
            let doubt = self.before.doubt(&self.swatches, &others)?;
            // What speaks now: the odds are of all swatches so far, and a further one may clear them.
            self.alarm = doubt.asks() || self.surprises.iter().any(|s| s.chance < BEYOND);
        }
        self.held = Some(bath);
        if swatch.lot_ends && !self.new_lot {
            self.new_lot = true;
            self.experience.restock(stock(self.told))?;
            self.before.restock(stock(self.told))?;
        }
        self.standing = self.stand()?;
        Ok(())
    }

    fn region90(&mut self) -> Result<Option<Region>, Fault> {
        let shot = &self.standing.shot;
        let covariance = shot.recipe.covariance();
        Ok(Some(Region::Ellipsoid { centre: shot.lab, covariance, within: NINETY_OF_THREE }))
    }

    fn advice(&mut self) -> Result<Option<Advice>, Fault> {
        let verdict = match self.standing.say {
            Say::Stop => Verdict::Stop,
            Say::Improve => Verdict::Improve,
            Say::Unsettled => Verdict::Unsettled,
        };
        Ok(Some(Advice {
            verdict,
            alarm: self.alarm,
            further: self.on_the_shelf(&self.standing.further),
        }))
    }
}
