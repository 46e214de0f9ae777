//! Cases: many jobs with hidden dyes, drawn from a seed or made by somebody else as files.
//!
//! The files are described in `docs/cases.md`. This room turns them into texts and back; the caller
//! reads and writes the disk. The program judged sees the shelf, the targets, the ladders and what is
//! read of the swatches it asks for; everything else is for the judge.

mod made;
mod table;
mod told;

use std::sync::Arc;

use colour::{Bands, Lab};
use units::{LiquorRatio, OnFibre};

use crate::{Bolt, Deviates, House, Jar, LadderStep, Reader, Refusal, Shelf, Truth, World};

/// The files of a case. `LADDERS` is there when the case starts from ladders, `DRAWS` may be.
pub const FILES: [&str; 6] =
    [told::CASE, told::ESTIMATES, table::TARGETS, table::LADDERS, told::TRUTH, table::DRAWS];

/// What the program knows of the dyes before the first swatch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// What is published.
    Estimates,
    /// That, and a ladder of every dye.
    Ladders,
}

/// One job of a case.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CaseJob {
    /// Its number; no two alike.
    pub number: u64,
    /// The house it is dyed in, by place.
    pub house: usize,
    /// The cloth.
    pub bolt: Bolt,
    /// The colour to reach, D65/10°.
    pub target: Lab,
}

/// One step of a ladder in a case.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// The house, by place.
    pub house: usize,
    /// The cloth.
    pub bolt: Bolt,
    /// The dye.
    pub jar: Jar,
    /// The dose.
    pub dose: OnFibre,
    /// What was read, D65/10°.
    pub lab: Lab,
    /// The spectrum read, if any.
    pub spectrum: Option<Bands>,
}

/// Many jobs.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    about: String,
    world: World,
    shelf: Arc<Shelf>,
    ratio: LiquorRatio,
    reader: Reader,
    start: Start,
    luck: Deviates,
    truths: Vec<Truth>,
    steps: Vec<Step>,
    jobs: Vec<CaseJob>,
}

impl Case {
    /// What it is, in words.
    #[must_use]
    pub fn about(&self) -> &str {
        &self.about
    }

    /// The world of all its houses: for the judge.
    #[must_use]
    pub const fn world(&self) -> &World {
        &self.world
    }

    /// What is published.
    #[must_use]
    pub fn shelf(&self) -> &Arc<Shelf> {
        &self.shelf
    }

    /// The liquor ratio of every dyeing.
    #[must_use]
    pub const fn ratio(&self) -> LiquorRatio {
        self.ratio
    }

    /// The reader of ladders and swatches.
    #[must_use]
    pub const fn reader(&self) -> &Reader {
        &self.reader
    }

    /// What is known at the start.
    #[must_use]
    pub const fn start(&self) -> Start {
        self.start
    }

    /// The jobs.
    #[must_use]
    pub fn jobs(&self) -> &[CaseJob] {
        &self.jobs
    }

    /// How many houses there are.
    #[must_use]
    pub fn houses(&self) -> usize {
        self.truths.len()
    }

    /// The house of this place, which must be below [`Case::houses`].
    pub fn try_house(&self, place: usize) -> Result<House, Refusal> {
        let truth = self.truths.get(place).cloned().ok_or_else(|| {
            let have = self.truths.len();
            Refusal::file(
                told::TRUTH,
                format!("there is no house {place}: {have} are told, from 0"),
            )
        })?;
        let shelf = Arc::clone(&self.shelf);
        Ok(House::of_truth(&self.world, self.luck.clone(), shelf, truth))
    }

    /// The ladders of one house: the steps of one dye on one cloth follow one another.
    pub fn ladders(&self, house: usize) -> impl Iterator<Item = &Step> {
        self.steps.iter().filter(move |s| s.house == house)
    }
}

impl Step {
    fn of(house: usize, bolt: Bolt, jar: Jar, step: &LadderStep) -> Self {
        let LadderStep { dose, reading } = *step;
        Self { house, bolt, jar, dose, lab: reading.lab, spectrum: reading.spectrum }
    }
}
