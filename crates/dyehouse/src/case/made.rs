//! A case drawn from a seed: every job in a house of its own, targets evenly over the strata.

use std::sync::Arc;

use units::LiquorRatio;

use super::{Case, CaseJob, Start, Step};
use crate::dice::Dice;
use crate::{Bolt, Deviates, House, Jar, Reader, Refusal, Shelf, Stratum, Truth, World};

/// Key of the houses' own seeds.
const HOUSE: u64 = 5_000_000;

/// The largest seed that a case file can hold.
const MOST: u64 = i64::MAX.unsigned_abs();

impl Case {
    /// Draws `targets` jobs, each with dyes of its own, on the first cloth of the shelf; job `i` lies
    /// in stratum `i` modulo 8. Seeds up to 2⁶³ − 1.
    pub fn try_drawn(
        world: &World,
        seed: u64,
        shelf: Arc<Shelf>,
        ratio: LiquorRatio,
        reader: Reader,
        start: Start,
        targets: usize,
    ) -> Result<Self, Refusal> {
        if seed > MOST {
            let what = format!("the seed {seed} is too large: take one up to {MOST}");
            return Err(Refusal::file(super::told::TRUTH, what));
        }
        let (bolt, luck) = (Bolt(0), Deviates::of_seed(seed));
        let mut case = Self {
            about: format!("drawn from seed {seed} in world '{}'", world.name),
            world: world.clone(),
            shelf: Arc::clone(&shelf),
            ratio,
            reader,
            start,
            luck: luck.clone(),
            truths: Vec::with_capacity(targets),
            steps: Vec::new(),
            jobs: Vec::with_capacity(targets),
        };
        for (number, stratum) in (0..targets).zip(Stratum::ALL.into_iter().cycle()) {
            let own = Dice::of(seed, &[HOUSE, number as u64]).whole();
            let truth = Truth::drawn(&shelf, &world.truth, own);
            // Targets and ladders hang on the house's own seed, swatches on the job's number.
            let at_home = Deviates::of_seed(own);
            let house = House::of_truth(world, at_home, Arc::clone(&shelf), truth.clone());
            let target = house.target(number as u64, stratum, bolt, ratio)?.lab;
            if start == Start::Ladders {
                for jar in (0..shelf.dyes().len()).map(Jar) {
                    let doses = shelf.ladder_doses(jar)?;
                    let steps = house.ladder(bolt, jar, &doses, ratio, &case.reader)?;
                    case.steps.extend(steps.iter().map(|s| Step::of(number, bolt, jar, s)));
                }
            }
            case.truths.push(truth);
            case.jobs.push(CaseJob { number: number as u64, house: number, bolt, target });
        }
        Ok(case)
    }
}
