//! All jobs of a case, several at once, each with every strategy asked for.

use colour::ClothPrior;
use dyehouse::{Case, CaseJob, Step};
use rayon::prelude::*;
use recipe::Target;

use crate::believed::Believed;
use crate::strategy::{Fault, Opens, Told};
use crate::trial::{self, Trial};

/// Tolerance of a piece in the dyehouse, ΔE00 (the project's words).
pub(crate) const TOLERANCE: f64 = 2.0;

/// A strategy by name.
pub(crate) type Named = (&'static str, Opens);

/// The trials of each strategy, job by job in the order of the case; the same for any number of threads.
pub(crate) fn run(case: &Case, strategies: &[Named]) -> Result<Vec<Vec<Trial>>, Fault> {
    let believed = Believed::all(case.shelf(), case.ratio())?;
    let one = |job: &CaseJob| {
        let trials = on(case, job, &believed, strategies);
        trials.map_err(|e| -> Fault { format!("job {}: {e}", job.number).into() })
    };
    let by_job: Vec<Vec<Trial>> = case.jobs().par_iter().map(one).collect::<Result<_, _>>()?;
    let of = |k: usize| by_job.iter().map(|trials| trials[k].clone()).collect();
    Ok((0..strategies.len()).map(of).collect())
}

fn on(
    case: &Case,
    job: &CaseJob,
    believed: &[Believed],
    strategies: &[Named],
) -> Result<Vec<Trial>, Fault> {
    let house = case.try_house(job.house)?;
    let cloth = believed.get(job.bolt.0).ok_or("there is no such cloth")?;
    let known = cloth.known(case, job.house, job.bolt)?;
    let ladders: Vec<Step> =
        case.ladders(job.house).filter(|s| s.bolt == job.bolt).copied().collect();
    let told = Told {
        bolt: job.bolt,
        on: &cloth.on,
        published: &cloth.published,
        known: &known,
        ladders: &ladders,
        ratio: case.ratio(),
        dosing: case.world().scatter.dose_pct / 100.0,
        reading: case.reader().scatter(),
        lab: job.target,
        target: Target { bands: ClothPrior::shipped().likely(job.target)?.bands, assumed: true },
        tolerance: TOLERANCE,
    };
    let one = |&(name, opens): &Named| {
        let trial = trial::run(case, &house, job, &told, opens);
        trial.map_err(|e| -> Fault { format!("{name}: {e}").into() })
    };
    strategies.iter().map(one).collect()
}
