//! Ladders: one dye at several depths, dyed with care and read by the same reader as the jobs.

use units::{LiquorRatio, OnFibre};

use crate::{Bolt, House, Jar, Job, Part, Reader, Reading, Recipe, Refusal, Shelf};

/// One step of a ladder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LadderStep {
    /// The dose.
    pub dose: OnFibre,
    /// What was read.
    pub reading: Reading,
}

impl Shelf {
    /// Three depths for a ladder of this dye: a sixteenth, a quarter and the whole of its deepest dose.
    pub fn ladder_doses(&self, jar: Jar) -> Result<[OnFibre; 3], Refusal> {
        let Some(dye) = self.dyes().get(jar.0) else {
            return Err(Refusal::Recipe { why: format!("there is no jar {}", jar.0) });
        };
        let most = dye.most.to_percent();
        let dose = OnFibre::try_percent;
        Ok([dose(most / 16.0)?, dose(most / 4.0)?, dose(most)?])
    }
}

impl House {
    /// Dyes and reads a ladder of one dye, of the old lot. It is a job of its own, so its readings
    /// share a bias; scatter is that of the world, but nothing is forgotten, mislabelled or read too
    /// early.
    pub fn ladder(
        &self,
        bolt: Bolt,
        jar: Jar,
        doses: &[OnFibre],
        ratio: LiquorRatio,
        reader: &Reader,
    ) -> Result<Vec<LadderStep>, Refusal> {
        // Counted down from the end, away from the numbers of any other job.
        let number = u64::MAX - 1000 * bolt.0 as u64 - jar.0 as u64;
        let job = Job::careful(self, number);
        (1u32..)
            .zip(doses)
            .map(|(swatch, &dose)| {
                let recipe = Recipe { bolt, parts: vec![Part { jar, dose }], ratio };
                let dyed = job.dye(&recipe, swatch)?;
                Ok(LadderStep { dose, reading: job.read(&dyed, reader) })
            })
            .collect()
    }
}
