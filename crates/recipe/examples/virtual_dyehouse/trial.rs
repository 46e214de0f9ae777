//! One strategy on one job: swatches dyed and read in the dyehouse, and every proposal judged.
//!
//! What is judged is the noise-free colour of the recipe proposed after n readings, which only the house
//! knows. All strategies meet the same luck, swatch by swatch.

use colour::{Lab, ciede2000};
use dyehouse::{Case, CaseJob, House, Jar, Job, Part, Recipe, Stratum};
use units::LiquorRatio;

use crate::strategy::{Doses, Fault, Opens, Strategy, Swatch, Told, Verdict};

/// Swatches of one trial.
pub(crate) const SWATCHES: u32 = 3;

/// How a strategy stood after some readings.
#[derive(Debug, Clone, Copy)]
pub(crate) struct After {
    /// True ΔE00 of the recipe proposed.
    pub(crate) off: f64,
    /// Whether its 90 % region held the truth, and the region's size.
    pub(crate) region: Option<(bool, f64)>,
    /// What it said, from the first swatch on.
    pub(crate) said: Option<Said>,
}

/// What it said, beside the truth.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Said {
    pub(crate) verdict: Verdict,
    pub(crate) alarm: bool,
    /// True ΔE00 of the recipe dyed last.
    pub(crate) dyed: f64,
    /// True ΔE00 of the best recipe if it went on.
    pub(crate) further: f64,
}

/// One strategy on one job.
#[derive(Debug, Clone)]
pub(crate) struct Trial {
    pub(crate) stratum: Stratum,
    /// After 0, 1, 2 … readings.
    pub(crate) after: Vec<After>,
    /// Whether something was really wrong that an alarm should be for: a jar, or salt forgotten in one of
    /// the first two swatches.
    pub(crate) faulty: bool,
}

/// The readings after which an alarm is due.
pub(crate) const ALARM_DUE: u32 = 2;

/// Runs a strategy on a job.
pub(crate) fn run(
    case: &Case,
    house: &House,
    at: &CaseJob,
    told: &Told,
    opens: Opens,
) -> Result<Trial, Fault> {
    let mut strategy = opens(told)?;
    let first = strategy.propose()?;
    let job = house.begin(at.number, &recipe(told, &first))?;
    let mut after = Vec::new();
    let mut faulty = job.fault().is_some();
    let mut last: Option<Doses> = None;
    for n in 0..=SWATCHES {
        after.push(judged(strategy.as_mut(), told, &job, n, last.as_ref())?);
        if n == SWATCHES {
            break;
        }
        let number = n + 1;
        let doses = strategy.swatch()?;
        let dyed = job.dye(&recipe(told, &doses), number)?;
        faulty |= dyed.salt_forgotten && number <= ALARM_DUE;
        let reading = job.read(&dyed, case.reader());
        let lot_ends = job.of_new_lot(number + 1) && !job.of_new_lot(number);
        strategy.see(&Swatch { number, doses: &doses, reading, lot_ends })?;
        last = Some(doses);
    }
    Ok(Trial { stratum: Stratum::of(told.lab), after, faulty })
}

fn judged(
    strategy: &mut dyn Strategy,
    told: &Told,
    job: &Job,
    n: u32,
    last: Option<&Doses>,
) -> Result<After, Fault> {
    let true_lab =
        |doses: &Doses| -> Result<Lab, Fault> { Ok(job.true_lab(&recipe(told, doses), n)?) };
    let off = |doses: &Doses| -> Result<f64, Fault> { Ok(ciede2000(true_lab(doses)?, told.lab)) };
    let doses = strategy.propose()?;
    let truth = true_lab(&doses)?;
    let region = strategy.region90()?.map(|region| (region.holds(truth), region.size()));
    let said = match (strategy.advice()?, last) {
        (Some(advice), Some(dyed)) => Some(Said {
            verdict: advice.verdict,
            alarm: advice.alarm,
            dyed: off(dyed)?,
            further: off(&advice.further)?,
        }),
        _ => None,
    };
    Ok(After { off: ciede2000(truth, told.lab), region, said })
}

/// Doses as the dyehouse takes them.
pub(crate) fn recipe(told: &Told, doses: &Doses) -> Recipe {
    let part = |&(place, dose): &(usize, units::OnFibre)| Part { jar: Jar(place), dose };
    let ratio: LiquorRatio = told.ratio;
    Recipe { bolt: told.bolt, parts: doses.iter().map(part).collect(), ratio }
}
