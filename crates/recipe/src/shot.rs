//! The next recipe for one target, from everything the swatches have taught.
//!
//! Every set of dyes is solved with the dyes as believed now; the best are foretold with what is in doubt
//! of their dyes *together*, and the one with the least expected error is the next to dye. A set whose
//! mix was swatched is known far better than its dyes are one by one, so the answer stays with what
//! was learnt unless another set is clearly nearer.
//!
//! Left out: cost, weighing and the other sides of a recipe (`propose`); whether dyeing it is worth it
//! (`verdict`).

use colour::{Lab, Light, Weights, ciede2000, maths};
use dyeing::{Dye, Experience, InBath, Scatter, Setting, Spread};
use units::OnFibre;

use crate::engine::{self, Aim, Palette, Settings};
use crate::setting::{LEAST_PCT, aim, palette_of};
use crate::{Refusal, Target};

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct Aimed<'a> {
    /// What is known of the dyes.
    pub experience: &'a Experience,
    /// The cloth and the job.
    pub setting: Setting<'a>,
    /// Places in the stock of the dyes that may be used.
    pub dyes: &'a [usize],
    /// What it should look like.
    pub target: Target,
    /// The lights it must hold under; D65 is always looked at first.
    pub lights: &'a [Light],
    /// Most dyes in one recipe, 1 to 4.
    pub most_dyes: usize,
    /// The most dye, all together, that the bath is good for.
    pub most_total: Option<OnFibre>,
    /// Relative scatter of a dose as it will be measured out.
    pub dosing: f64,
    /// How alike two dyeings of one recipe come out.
    pub scatter: Scatter,
    /// The piece's tolerance, ΔE00.
    pub tolerance: f64,
}

/// A recipe with what is foretold of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Shot {
    /// Places in the stock, with the dose of each; the largest dose first.
    pub doses: Vec<(usize, OnFibre)>,
    /// The expected colour, D65/10°.
    pub lab: Lab,
    /// ΔE00 between that and the target.
    pub difference: f64,
    /// How far off the noise-free colour may be.
    pub recipe: Spread,
    /// How far off the dyed piece may be.
    pub piece: Spread,
    /// What would stay in doubt once it was swatched, read and corrected, rms ΔE00; none where it was not
    /// asked (`first_swatch`).
    pub left: Option<f64>,
}

impl Shot {
    /// Expected error of the recipe: what it misses by, and what is in doubt.
    #[must_use]
    pub fn expected_error(&self) -> f64 {
        self.difference.hypot(self.recipe.rms())
    }

    /// What recipes are ranked by. Doubt counts less than a miss, for the least doubtful of many is partly
    /// so by luck; before the first swatch what counts is what the swatch would leave.
    fn rank(&self) -> f64 {
        let doubt = self.recipe.rms();
        match self.left {
            Some(left) => (self.difference.powi(2) + left * left + NOW * doubt * doubt).sqrt(),
            None => self.difference.hypot(DOUBT * doubt),
        }
    }
}

/// How much doubt counts beside a miss once there are swatches, and how much of today's doubt (squared)
/// beside what a first swatch would leave. In simulation, 500 targets from estimates read at 1.0: within 2.0
/// after one swatch 59 % with all doubt counted today, 70 % so.
const DOUBT: f64 = 0.6;
const NOW: f64 = 0.1;

/// How many of the nearest sets are foretold, and of how many of those the swatch is thought through.
const LOOKED_AT: usize = 120;
const THOUGHT_THROUGH: usize = 40;
/// How many of the best have their doses moved to where the expected error is least.
const MOVED: usize = 4;

/// The recipes to dye next, the least expected error first, at most `keep`.
///
/// # Errors
/// No dyes, or a set the engine or the experience refuses.
pub fn shots(aimed: &Aimed, keep: usize) -> Result<Vec<Shot>, Refusal> {
    let Setting { on, fibre, job } = aimed.setting;
    let dyes: Vec<(usize, Dye)> = aimed
        .dyes
        .iter()
        .filter_map(|&place| aimed.experience.dye(place, fibre).map(|dye| (place, dye)))
        .collect();
    if dyes.is_empty() {
        return Err(Refusal::NoDyes { class: on.class().to_string() });
    }
    let believed: Vec<&Dye> = dyes.iter().map(|d| &d.1).collect();
    let palette = palette_of(on, &believed, aimed.most_total);
    let goal = aim(&aimed.target, aimed.lights);
    let settings = Settings { keep: LOOKED_AT, finish: LOOKED_AT, ..Settings::default() };
    let found = engine::search(&palette, &goal, aimed.most_dyes, &settings, 1)
        .map_err(|e| Refusal::Engine(e.to_string()))?;
    let mut shots = vec![];
    for combo in &found.combos {
        let n = usize::from(combo.n);
        let set: Vec<usize> = combo.dyes[..n].iter().map(|d| usize::from(*d)).collect();
        let wanted: Vec<(usize, f64)> = set.into_iter().zip(combo.x).collect();
        let doses = in_company(aimed, &dyes, &wanted)?;
        if !doses.is_empty() && within(aimed, &doses) {
            shots.push(foretold(aimed, doses)?);
        }
    }
    let best = shots.iter().map(Shot::expected_error).fold(f64::INFINITY, f64::min);
    let first = !aimed.experience.has_seen(job) && best > aimed.tolerance;
    if first {
        shots.sort_by(|a, b| sooner(a).total_cmp(&sooner(b)));
        shots.truncate(keep.max(THOUGHT_THROUGH));
        for shot in &mut shots {
            shot.left = Some(left(aimed, shot)?);
        }
    }
    shots.sort_by(|a, b| a.rank().total_cmp(&b.rank()));
    shots.truncate(keep.max(MOVED));
    for shot in shots.iter_mut().take(MOVED).filter(|_| !first) {
        *shot = surest(aimed, (&palette, &goal, &dyes), shot.clone())?;
    }
    shots.sort_by(|a, b| a.rank().total_cmp(&b.rank()));
    shots.truncate(keep);
    Ok(shots)
}

/// A first look at what a swatch may leave: a part of today's doubt.
fn sooner(shot: &Shot) -> f64 {
    shot.difference.hypot(0.3 * shot.recipe.rms())
}

/// Rounds of doses against yields; what a dose more of one dye takes from another fades quickly.
const ROUNDS: usize = 4;

/// The doses that fix so much of each dye once what the dyes do in company is reckoned with; dyes that show
/// nothing are left out.
fn in_company(
    aimed: &Aimed,
    dyes: &[(usize, Dye)],
    wanted: &[(usize, f64)],
) -> Result<Vec<(usize, OnFibre)>, Refusal> {
    let on = aimed.setting.on;
    let mut yields = vec![1.0; wanted.len()];
    let mut doses: Vec<(usize, OnFibre)> = vec![];
    for _ in 0..ROUNDS {
        let all: Option<Vec<(usize, OnFibre)>> = wanted
            .iter()
            .zip(&yields)
            .map(|(&(d, x), by)| Some((dyes[d].0, on.dose_for(&dyes[d].1, x / by)?)))
            .collect();
        // No dose fixes so much in this company.
        let Some(all) = all else { return Ok(vec![]) };
        doses = all;
        if wanted.len() < 2 {
            break;
        }
        yields = aimed.experience.yields(&aimed.setting, &bath(aimed, &doses))?;
    }
    doses.retain(|(_, dose)| dose.to_percent() >= LEAST_PCT);
    Ok(doses)
}

fn within(aimed: &Aimed, doses: &[(usize, OnFibre)]) -> bool {
    let total: f64 = doses.iter().map(|d| d.1.to_percent()).sum();
    aimed.most_total.is_none_or(|cap| total <= cap.to_percent() * (1.0 + 1e-6))
}

/// A recipe with what is foretold of it.
pub(crate) fn foretold(aimed: &Aimed, mut doses: Vec<(usize, OnFibre)>) -> Result<Shot, Refusal> {
    doses.sort_by(|a, b| b.1.to_percent().total_cmp(&a.1.to_percent()).then(a.0.cmp(&b.0)));
    let bath = bath(aimed, &doses);
    let told = aimed.experience.foretell(&aimed.setting, &[&bath], aimed.scatter)?;
    let lab = told.labs()[0];
    let wanted = Weights::reference().lab(&aimed.target.bands);
    let difference = ciede2000(wanted, lab);
    Ok(Shot { doses, lab, difference, recipe: told.recipe(0), piece: told.piece(0), left: None })
}

/// What would stay in doubt of the corrected recipe once this one was swatched and read, rms ΔE00: the mean
/// over six ways it may turn out off, each corrected with the same dyes.
fn left(aimed: &Aimed, shot: &Shot) -> Result<f64, Refusal> {
    let own = bath(aimed, &shot.doses);
    let told = aimed.experience.foretell(&aimed.setting, &[&own], aimed.scatter)?;
    let moved = |factors: &Vec<f64>| -> Result<Vec<InBath>, Refusal> {
        let one = |(one, by): (&InBath, &f64)| {
            let dose = one.dose.to_percent() * maths::exp(*by);
            Ok(InBath { dose: OnFibre::try_percent(dose)?, ..*one })
        };
        own.iter().zip(factors).map(one).collect()
    };
    let corrected: Vec<Vec<InBath>> =
        told.corrections(0).iter().map(moved).collect::<Result<_, _>>()?;
    let all: Vec<&[InBath]> =
        [own.as_slice()].into_iter().chain(corrected.iter().map(Vec::as_slice)).collect();
    let told = aimed.experience.foretell(&aimed.setting, &all, aimed.scatter)?;
    let square: f64 = (1..all.len()).map(|k| told.left(k, 0, READ).powi(2)).sum();
    #[expect(clippy::cast_precision_loss, reason = "six corrections")]
    let count = corrected.len().max(1) as f64;
    Ok((square / count).sqrt())
}

/// What a swatch is taken to be read to, rms ΔE00: a telephone and some care (the house's numbers).
const READ: f64 = 1.0;

pub(crate) fn bath(aimed: &Aimed, doses: &[(usize, OnFibre)]) -> Vec<InBath> {
    doses.iter().map(|&(dye, dose)| InBath { dye, dose, scatter: aimed.dosing }).collect()
}

/// Factors by which one dye is moved, coarse first.
const MOVES: [f64; 2] = [1.5, 1.15];
/// What the expected error must gain for doses to be moved.
const GAIN: f64 = 0.01;

/// The same dyes in the doses with the least expected error: one dye after the other is taken up or down,
/// the rest solved again around it.
fn surest(
    aimed: &Aimed,
    (palette, goal, dyes): (&Palette, &Aim, &[(usize, Dye)]),
    shot: Shot,
) -> Result<Shot, Refusal> {
    let mut best = shot;
    if best.doses.len() < 2 {
        return Ok(best);
    }
    let on = aimed.setting.on;
    for times in MOVES.into_iter().flat_map(|f| [f, 1.0 / f]) {
        for k in 0..best.doses.len() {
            let place_of = |stock: usize| dyes.iter().position(|d| d.0 == stock);
            let Some(held) = place_of(best.doses[k].0) else { continue };
            let yields = aimed.experience.yields(&aimed.setting, &bath(aimed, &best.doses))?;
            let fixed = times * yields[k] * on.fixed(&dyes[held].1, best.doses[k].1);
            if fixed > palette.most[held] {
                continue;
            }
            let others: Vec<usize> =
                best.doses.iter().filter_map(|d| place_of(d.0)).filter(|d| *d != held).collect();
            let mut left = Palette {
                shapes: others.iter().map(|p| palette.shapes[*p]).collect(),
                most: others.iter().map(|p| palette.most[*p]).collect(),
                ..palette.clone()
            };
            for (ks, a) in left.cloth_ks.iter_mut().zip(palette.shapes[held]) {
                *ks += fixed * a;
            }
            let set: Vec<usize> = (0..others.len()).collect();
            let solved = engine::solve_one(&left, goal, &set, &Settings::default(), 1)
                .map_err(|e| Refusal::Engine(e.to_string()))?;
            let amounts = set.iter().map(|&slot| {
                let at = (0..usize::from(solved.n)).find(|i| usize::from(solved.dyes[*i]) == slot);
                (others[slot], at.map_or(0.0, |i| solved.x[i]))
            });
            let wanted: Vec<(usize, f64)> =
                amounts.chain([(held, fixed)]).filter(|(_, x)| *x > 0.0).collect();
            let doses = in_company(aimed, dyes, &wanted)?;
            if doses.len() != best.doses.len() || !within(aimed, &doses) {
                continue;
            }
            let moved = foretold(aimed, doses)?;
            if moved.rank() < best.rank() - GAIN {
                best = moved;
            }
        }
    }
    Ok(best)
}
