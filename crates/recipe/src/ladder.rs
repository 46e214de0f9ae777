//! A ladder for a dye: which depths, on which fibre, would settle most about it. By expected information.
//!
//! A new dye is dyed alone at a few depths. Which depths those should be hangs on what is in doubt of the dye:
//! its strength shows at any depth, its build-up only when deep, the height of a second band best where
//! the cloth is neither pale nor black. Every depth that could be dyed is foretold together with every depth the
//! dye may be wanted at; the rungs taken are those after which least is in doubt on the mean of those. Rungs
//! are read in one session, so that what the reader is off by altogether is in all of them: a second rung
//! beside the first says less than one far away.
//!
//! Left out: which dye deserves a ladder at all, and what the rungs look like on a sheet. Sources: design for
//! the least mean variance of what is foretold (V-optimal design) as in any textbook of experiments; taken
//! greedily, then exchanged rung by rung while that gains.

use colour::maths;
use dyeing::{Experience, Foretold, InBath, Scatter, Setting, Substrate, Thought};
use units::OnFibre;

use crate::Refusal;

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct AskedLadder<'a> {
    /// What is known of the dyes.
    pub experience: &'a Experience,
    /// The cloths a rung may be of and the dye is wanted on, each with its fibre; all ready for the class.
    pub on: &'a [(&'a Substrate, &'a str)],
    /// The dye: its place in the stock.
    pub dye: usize,
    /// How many rungs, 2 to 4.
    pub rungs: usize,
    /// What all readings of a session are off by together, and each beside that, rms ΔE00.
    pub read: (f64, f64),
    /// Relative scatter of a dose as it will be measured out.
    pub dosing: f64,
    /// How alike two dyeings come out.
    pub scatter: Scatter,
}

/// One depth on one cloth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rung {
    /// The place of the cloth.
    pub on: usize,
    /// The dose.
    pub dose: OnFibre,
}

/// A ladder, its most telling rung first.
#[derive(Debug, Clone, PartialEq)]
pub struct LadderPlan {
    /// What is in doubt of the dye before, rms ΔE00 over all depths and cloths it may be wanted at.
    pub before: f64,
    /// Each rung, with what would stay in doubt after it and those before it.
    pub rungs: Vec<(Rung, f64)>,
}

/// Depths that are looked at: the deepest dose and, each two thirds of the one before, down to a sixtieth.
const DEPTHS: usize = 11;
const STEP: f64 = 1.5;
/// What an exchange of one rung must gain, ΔE00.
const GAIN: f64 = 1e-4;

/// The ladder that would leave least in doubt of a dye.
///
/// # Errors
/// A dye that is not in stock, no cloth, or a number of rungs that is none of 2 to 4.
pub fn ladder(asked: &AskedLadder) -> Result<LadderPlan, Refusal> {
    if !(2..=4).contains(&asked.rungs) {
        return Err(Refusal::Rungs { given: asked.rungs });
    }
    let wanted = wanted(asked)?;
    let told = foretold(asked, &wanted)?;
    let all = wanted.len();
    let left = |rungs: &[usize]| mean(&told.once_all_read(rungs, asked.read.0, asked.read.1), all);
    let mut taken: Vec<usize> = vec![];
    while taken.len() < asked.rungs {
        let with = |rung: usize| left(&[taken.as_slice(), &[rung]].concat());
        let best = (0..all)
            .filter(|rung| !taken.contains(rung))
            .map(|rung| (with(rung), rung))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, rung)) = best else { break };
        taken.push(rung);
    }
    let mut now = left(&taken);
    let mut moved = true;
    while moved {
        moved = false;
        for k in 0..taken.len() {
            for rung in 0..all {
                if taken.contains(&rung) {
                    continue;
                }
                let mut next = taken.clone();
                next[k] = rung;
                let then = left(&next);
                if then < now - GAIN {
                    (taken, now, moved) = (next, then, true);
                }
            }
        }
    }
    // The most telling first, so that a maker who stops early stops well.
    let mut order: Vec<usize> = vec![];
    let mut rungs = vec![];
    while !taken.is_empty() {
        let with = |k: usize| left(&[order.as_slice(), &[taken[k]]].concat());
        let best = (0..taken.len()).map(|k| (with(k), k)).min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((doubt, k)) = best else { break };
        let rung = taken.remove(k);
        order.push(rung);
        rungs.push((wanted[rung], doubt));
    }
    Ok(LadderPlan { before: mean(&told, all), rungs })
}

/// What a ladder of one's own would leave in doubt of the dye, rms ΔE00, by the same reckoning.
///
/// # Errors
/// As [`ladder`], or a rung on a cloth that is not there.
pub fn left_in_doubt(asked: &AskedLadder, rungs: &[Rung]) -> Result<f64, Refusal> {
    let mut all = wanted(asked)?;
    let count = all.len();
    if let Some(rung) = rungs.iter().find(|r| r.on >= asked.on.len()) {
        return Err(Refusal::NoSuchCloth { place: rung.on, cloths: asked.on.len() });
    }
    all.extend(rungs);
    let told = foretold(asked, &all)?;
    let read: Vec<usize> = (count..all.len()).collect();
    Ok(mean(&told.once_all_read(&read, asked.read.0, asked.read.1), count))
}

/// Every depth on every cloth that the dye may be wanted at.
fn wanted(asked: &AskedLadder) -> Result<Vec<Rung>, Refusal> {
    if asked.on.is_empty() {
        return Err(Refusal::NoSuchCloth { place: 0, cloths: 0 });
    }
    let stock = asked.experience.stock();
    let Some(stocked) = stock.get(asked.dye) else {
        let (place, stock) = (asked.dye, stock.len());
        return Err(dyeing::Refusal::NotInStock { place, stock }.into());
    };
    let most = stocked.dye.most.to_percent();
    let mut all = vec![];
    for on in 0..asked.on.len() {
        for k in 0..DEPTHS {
            #[expect(clippy::cast_precision_loss, reason = "eleven depths")]
            let dose = most / maths::exp(k as f64 * maths::ln(STEP));
            all.push(Rung { on, dose: OnFibre::try_percent(dose)? });
        }
    }
    Ok(all)
}

fn foretold(asked: &AskedLadder, rungs: &[Rung]) -> Result<Foretold, Refusal> {
    let bath = |rung: &Rung| [InBath { dye: asked.dye, dose: rung.dose, scatter: asked.dosing }];
    let baths: Vec<[InBath; 1]> = rungs.iter().map(bath).collect();
    let thoughts: Vec<Thought> = rungs
        .iter()
        .zip(&baths)
        .map(|(rung, bath)| {
            let (on, fibre) = asked.on[rung.on];
            // A ladder is a job of its own; a dye alone in its bath does nothing together with others.
            Thought { setting: Setting { on, fibre, job: u64::MAX }, bath, scatter: asked.scatter }
        })
        .collect();
    Ok(asked.experience.foretell_all(&thoughts)?)
}

/// What is in doubt of the first of these on the mean, rms ΔE00.
fn mean(told: &Foretold, count: usize) -> f64 {
    let square: f64 = (0..count).map(|k| told.recipe(k).rms().powi(2)).sum();
    #[expect(clippy::cast_precision_loss, reason = "some depths")]
    let count = count.max(1) as f64;
    (square / count).sqrt()
}
