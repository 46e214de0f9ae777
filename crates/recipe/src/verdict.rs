//! Is another correction worth dyeing? What to say to a recipe that was dyed and read.
//!
//! The recipe held and the best next one are foretold together (they miss alike), and colours they may
//! turn out to have are drawn. *Stop* when the held one is most likely within the tolerance, or the next
//! would most likely gain less than half a unit; *improve* when the next most likely gains and seldom does
//! harm; else the swatches at hand do not settle it, and the answer says so. So no correction is
//! proposed that the noise alone explains.

use colour::{Weights, ciede2000};

use crate::Refusal;
use crate::shot::{Aimed, Shot, bath, foretold, shots};
use units::OnFibre;

/// What to do with a recipe that was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Say {
    /// Good enough.
    Stop,
    /// The next recipe is worth dyeing.
    Improve,
    /// What is known does not tell the two apart: read again, or swatch the next one to see.
    Unsettled,
}

/// An answer with its figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// What to do.
    pub say: Say,
    /// The recipe held, as foretold now.
    pub held: Shot,
    /// The best next recipe.
    pub next: Shot,
    /// Chance that the held recipe is within the tolerance.
    pub within: f64,
    /// Chance that the next one gains less than [`WORTH`].
    pub idle: f64,
    /// Chance that stopping is right: within the tolerance, or little to gain.
    pub stop_right: f64,
    /// Chance that the next one is worse by more than [`WORTH`].
    pub worse: f64,
    /// What the next one is expected to gain, ΔE00.
    pub gain: f64,
}

/// A gain or a loss that counts, ΔE00 (the house's numbers to beat).
pub const WORTH: f64 = 0.5;
/// Stop is said from this chance of being right on.
const SURE: f64 = 0.95;
/// Improve is said where the chance of harm stays below this.
const HARM: f64 = 0.2;
/// Colours drawn.
const DRAWS: usize = 400;

/// The verdict on a recipe that was dyed and read in this job.
///
/// # Errors
/// As [`shots`].
pub fn verdict(aimed: &Aimed, held: &[(usize, OnFibre)]) -> Result<Verdict, Refusal> {
    let next = shots(aimed, 1)?.into_iter().next().map(|shot| shot.doses);
    weighed(aimed, held, &next.unwrap_or_else(|| held.to_vec()))
}

/// The verdict on a recipe that was dyed and read in this job, against one other that might be dyed instead or
/// after it.
///
/// # Errors
/// A recipe the experience refuses.
pub fn weighed(
    aimed: &Aimed,
    held: &[(usize, OnFibre)],
    next: &[(usize, OnFibre)],
) -> Result<Verdict, Refusal> {
    let held = foretold(aimed, held.to_vec())?;
    let next = foretold(aimed, next.to_vec())?;
    let (one, two) = (bath(aimed, &held.doses), bath(aimed, &next.doses));
    let told = aimed.experience.foretell(&aimed.setting, &[&one, &two], aimed.scatter)?;
    let wanted = Weights::reference().lab(&aimed.target.bands);
    let draws = told.drawn(&deviates(DRAWS));
    let mut tally = [0.0; 5];
    for drawn in &draws {
        let [now, then] = [0, 1].map(|i| ciede2000(wanted, drawn[i]));
        let (fits, idle) = (now <= aimed.tolerance, now - then < WORTH);
        tally[0] += f64::from(fits);
        tally[1] += f64::from(idle);
        tally[2] += f64::from(fits || idle);
        tally[3] += f64::from(then - now > WORTH);
        tally[4] += now - then;
    }
    #[expect(clippy::cast_precision_loss, reason = "some hundred draws")]
    let [within, idle, stop_right, worse, gain] = tally.map(|t| t / draws.len() as f64);
    let say = if stop_right >= SURE {
        Say::Stop
    } else if worse <= HARM && gain > 0.0 {
        Say::Improve
    } else {
        Say::Unsettled
    };
    Ok(Verdict { say, held, next, within, idle, stop_right, worse, gain })
}

/// What to say of a recipe before its first swatch: to dye it without one, or that a swatch is worth it.
///
/// # Errors
/// As [`shots`].
pub fn before(aimed: &Aimed, shot: &Shot) -> Result<Say, Refusal> {
    let own = bath(aimed, &shot.doses);
    let told = aimed.experience.foretell(&aimed.setting, &[&own], aimed.scatter)?;
    let wanted = Weights::reference().lab(&aimed.target.bands);
    let draws = told.drawn(&deviates(DRAWS));
    let within = draws.iter().filter(|d| ciede2000(wanted, d[0]) <= aimed.tolerance).count();
    #[expect(clippy::cast_precision_loss, reason = "some hundred draws")]
    let sure = within as f64 >= SURE * draws.len() as f64;
    Ok(if sure { Say::Stop } else { Say::Improve })
}

/// Six standard normal deviates a draw, evenly spread: a Halton sequence through the normal law (Halton,
/// Numerische Mathematik 2, 1960), and each draw's mirror.
fn deviates(draws: usize) -> Vec<Vec<f64>> {
    const BASES: [usize; 6] = [2, 3, 5, 7, 11, 13];
    let one = |i: usize| BASES.map(|base| normal(halton(i + 1, base))).to_vec();
    (0..draws / 2)
        .map(one)
        .flat_map(|d| {
            let mirror = d.iter().map(|v| -v).collect();
            [d, mirror]
        })
        .collect()
}

fn halton(mut at: usize, base: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "bases and places below a thousand")]
    let (mut whole, step) = (0.0, 1.0 / base as f64);
    let mut share = step;
    while at > 0 {
        #[expect(clippy::cast_precision_loss, reason = "a digit")]
        let digit = (at % base) as f64;
        whole += digit * share;
        share *= step;
        at /= base;
    }
    whole
}

/// The normal quantile.
fn normal(share: f64) -> f64 {
    use statrs::distribution::{ContinuousCDF, Normal};
    Normal::new(0.0, 1.0).map_or(0.0, |law| law.inverse_cdf(share))
}
