//! The doors of the engine: the whole search, one set, and the forward model.

use rayon::prelude::*;
use wide::f32x4;

use super::{
    Aim, BANDS, Combo, Found, Law, MOST_DYES, Palette, Settings, Unsearchable, Way, WhyStopped,
    check::{check, check_size},
    fit::{Answer, Dyes, Job, Limits, fit},
    law::{BandLaw, Ceiling, Plain, Sides},
    level::{CHUNK, Level, Part, Quads, Rough, Shop, Yield, keep_best, order, quads},
    sets::{Places, count},
    start::Starts,
    view::View,
};

/// Every set of 1 to `most_dyes` dyes of the palette, best first.
///
/// `threads`: 1 stays on the caller's thread, 0 uses all cores. The answer does not depend on it.
///
/// # Errors
/// [`Unsearchable`] when a number of the palette or the aim cannot be used.
pub fn search(
    palette: &Palette,
    aim: &Aim,
    most_dyes: usize,
    settings: &Settings,
    threads: usize,
) -> Result<Found, Unsearchable> {
    check(palette, aim)?;
    check_size(most_dyes)?;
    let work = || match &palette.law {
        Law::Plain => with_law(palette, aim, most_dyes, settings, threads != 1, Plain),
        Law::Ceiling(c) => {
            with_law(palette, aim, most_dyes, settings, threads != 1, Ceiling::new(c))
        }
        Law::Sides(s) => with_law(palette, aim, most_dyes, settings, threads != 1, Sides::new(s)),
    };
    if threads > 1
        && let Ok(pool) = rayon::ThreadPoolBuilder::new().num_threads(threads).build()
    {
        return Ok(pool.install(work));
    }
    Ok(work())
}

/// The best amounts for one set of dyes (places in the palette, ascending), in f64.
///
/// `starts` beyond the first add fixed trial points spread over the bounds; the best end wins.
///
/// # Errors
/// [`Unsearchable`] when a number cannot be used or the set is not one.
pub fn solve_one(
    palette: &Palette,
    aim: &Aim,
    set: &[usize],
    settings: &Settings,
    starts: usize,
) -> Result<Combo, Unsearchable> {
    check(palette, aim)?;
    let known = set.iter().all(|dye| *dye < palette.shapes.len());
    if !known || !set.is_sorted_by(|a, b| a < b) {
        return Err(Unsearchable::Set(set.to_vec()));
    }
    match &palette.law {
        Law::Plain => one(palette, aim, set, settings, starts, Plain),
        Law::Ceiling(c) => one(palette, aim, set, settings, starts, Ceiling::new(c)),
        Law::Sides(s) => one(palette, aim, set, settings, starts, Sides::new(s)),
    }
}

/// Reflectance of the cloth with `x` of each dye fixed (pairs of place and amount).
#[must_use]
pub fn reflectance(palette: &Palette, recipe: &[(usize, f64)]) -> [f64; BANDS] {
    std::array::from_fn(|band| {
        let dye: f64 = recipe.iter().map(|(dye, x)| x * palette.shapes[*dye][band]).sum();
        let q = palette.cloth_ks[band] + dye;
        let inner = match &palette.law {
            Law::Plain => Plain.see(band, q).0,
            Law::Ceiling(c) => Ceiling::new(c).see(band, q).0,
            Law::Sides(s) => Sides::new(s).see(band, q).0,
        };
        palette.surface + (1.0 - palette.surface) * inner
    })
}

/// L*, a*, b* under each light of the aim, by the same path the search takes, in f64.
#[must_use]
pub fn labs(palette: &Palette, aim: &Aim, recipe: &[(usize, f64)]) -> Vec<[f64; 3]> {
    let total = |band: usize| recipe.iter().map(|(d, x)| x * palette.shapes[*d][band]).sum();
    let columns: [[f64; 1]; BANDS] = std::array::from_fn(|band| [total(band)]);
    match &palette.law {
        Law::Plain => View::<f64, _>::new(palette, aim, Plain).labs(&columns, [1.0]),
        Law::Ceiling(c) => View::<f64, _>::new(palette, aim, Ceiling::new(c)).labs(&columns, [1.0]),
        Law::Sides(s) => View::<f64, _>::new(palette, aim, Sides::new(s)).labs(&columns, [1.0]),
    }
}

fn with_law<B: BandLaw + Clone>(
    palette: &Palette,
    aim: &Aim,
    most_dyes: usize,
    settings: &Settings,
    threaded: bool,
    law: B,
) -> Found {
    let dyes = palette.shapes.len();
    let starts = Starts::new(palette, aim, &law);
    let places = Places::new(dyes, MOST_DYES);
    let view = View::<f32x4, B>::new(palette, aim, law.clone());
    let shapes: Vec<Quads> = palette.shapes.iter().map(quads).collect();
    let mut found = Found {
        combos: Vec::new(),
        tried: 0,
        idle: 0,
        too_far: 0,
        unsettled: 0,
        stopped: WhyStopped::EverySet,
    };
    let mut best = Vec::new();
    let mut below = Level::default();
    let mut last = most_dyes.min(dyes);
    let mut all = 0;
    for size in 1..=last {
        let sets = count(dyes, size);
        all += sets;
        if all > settings.most_sets {
            found.stopped = WhyStopped::TooManySets { size, sets };
            last = size - 1;
            break;
        }
    }
    for size in 1..=last {
        let sets = count(dyes, size);
        let shop = Shop {
            view: &view,
            dyes: Dyes { shapes: &palette.shapes, most: &palette.most },
            quads: &shapes,
            starts: &starts,
            places: &places,
            settings,
            more: settings.way == Way::Climb && size < last,
        };
        let mut level = Level::default();
        let yields = match size {
            1 => sweep::<B, 1>(&shop, sets, &below, &mut level, threaded),
            2 => sweep::<B, 2>(&shop, sets, &below, &mut level, threaded),
            3 => sweep::<B, 3>(&shop, sets, &below, &mut level, threaded),
            _ => sweep::<B, 4>(&shop, sets, &below, &mut level, threaded),
        };
        found.tried += sets;
        for part in yields {
            found.idle += part.idle;
            found.too_far += part.too_far;
            found.unsettled += part.unsettled;
            best.extend(part.best);
        }
        below = level;
    }
    keep_best(&mut best, settings.keep);
    best.sort_unstable_by(order);
    found.combos = finish(palette, aim, settings, &best, law);
    found
}

/// All sets of one size; fills `level` when a further size will climb from it.
fn sweep<B: BandLaw, const N: usize>(
    shop: &Shop<'_, B>,
    sets: usize,
    below: &Level,
    level: &mut Level,
    threaded: bool,
) -> Vec<Yield> {
    let below = (N > 1).then_some(below);
    // Few sets still make work for every core.
    let chunk = if threaded { CHUNK.min(sets.div_ceil(8)).max(64) } else { CHUNK };
    let size = |at: usize| chunk.min(sets - at * chunk);
    if !shop.more {
        let run = |at: usize| shop.chunk::<N>(at * chunk, size(at), below, None);
        let chunks = sets.div_ceil(chunk);
        return if threaded {
            (0..chunks).into_par_iter().map(run).collect()
        } else {
            (0..chunks).map(run).collect()
        };
    }
    level.rms = vec![0.0; sets];
    level.x = vec![[0.0; MOST_DYES]; sets];
    level.pull = vec![quads(&[0.0; BANDS]); sets];
    let rows = level.rms.chunks_mut(chunk).zip(level.x.chunks_mut(chunk));
    let parts: Vec<(usize, Part<'_>)> = rows
        .zip(level.pull.chunks_mut(chunk))
        .map(|((rms, x), pull)| Part { rms, x, pull })
        .enumerate()
        .collect();
    let run = |(at, part)| shop.chunk::<N>(at * chunk, size(at), below, Some(part));
    if threaded {
        parts.into_par_iter().map(run).collect()
    } else {
        parts.into_iter().map(run).collect()
    }
}

/// Finishes the best in f64 and sorts again.
fn finish<B: BandLaw>(
    palette: &Palette,
    aim: &Aim,
    settings: &Settings,
    best: &[Rough],
    law: B,
) -> Vec<Combo> {
    let view = View::<f64, B>::new(palette, aim, law);
    let dyes = Dyes { shapes: &palette.shapes, most: &palette.most };
    let limits = limits(settings);
    let mut combos: Vec<Combo> = best
        .iter()
        .map(|r| Combo {
            dyes: r.dyes,
            n: r.n,
            finished: false,
            x: r.x.map(f64::from),
            rms: f64::from(r.rms),
        })
        .collect();
    let fine = settings.finish.min(combos.len());
    for combo in &mut combos[..fine] {
        match combo.n {
            1 => finish_one::<B, 1>(&view, &dyes, &limits, combo),
            2 => finish_one::<B, 2>(&view, &dyes, &limits, combo),
            3 => finish_one::<B, 3>(&view, &dyes, &limits, combo),
            _ => finish_one::<B, 4>(&view, &dyes, &limits, combo),
        }
    }
    if !settings.list_idle {
        combos.retain(|combo| combo.x[..usize::from(combo.n)].iter().all(|x| *x > 0.0));
    }
    combos.sort_by(|a, b| a.rms.total_cmp(&b.rms).then(a.n.cmp(&b.n)).then(a.dyes.cmp(&b.dyes)));
    combos
}

fn finish_one<B: BandLaw, const N: usize>(
    view: &View<f64, B>,
    dyes: &Dyes<'_>,
    limits: &Limits,
    combo: &mut Combo,
) {
    let job = Job {
        dyes: std::array::from_fn(|i| combo.dyes[i]),
        start: std::array::from_fn(|i| combo.x[i]),
    };
    for answer in fit::<f64, B, N>(view, dyes, &[job], limits) {
        combo.x[..N].copy_from_slice(&answer.x);
        combo.rms = answer.rms;
        combo.finished = true;
    }
}

fn one<B: BandLaw>(
    palette: &Palette,
    aim: &Aim,
    set: &[usize],
    settings: &Settings,
    starts: usize,
    law: B,
) -> Result<Combo, Unsearchable> {
    match *set {
        [a] => Ok(one_of(palette, aim, [a], settings, starts, law)),
        [a, b] => Ok(one_of(palette, aim, [a, b], settings, starts, law)),
        [a, b, c] => Ok(one_of(palette, aim, [a, b, c], settings, starts, law)),
        [a, b, c, d] => Ok(one_of(palette, aim, [a, b, c, d], settings, starts, law)),
        _ => Err(Unsearchable::Set(set.to_vec())),
    }
}

fn one_of<B: BandLaw, const N: usize>(
    palette: &Palette,
    aim: &Aim,
    set: [usize; N],
    settings: &Settings,
    starts: usize,
    law: B,
) -> Combo {
    let gram = Starts::new(palette, aim, &law).of::<f64, N>(&[set]);
    let view = View::<f64, B>::new(palette, aim, law);
    let dyes = Dyes { shapes: &palette.shapes, most: &palette.most };
    #[expect(clippy::cast_possible_truncation, reason = "a palette has at most 60 000 dyes")]
    let numbers = set.map(|dye| dye as u16);
    let jobs: Vec<Job<N>> = (0..starts.max(1))
        .map(|trial| match trial {
            0 => Job { dyes: numbers, start: gram[0] },
            _ => Job { dyes: numbers, start: spread(trial, set.map(|dye| palette.most[dye])) },
        })
        .collect();
    let answers = fit::<f64, B, N>(&view, &dyes, &jobs, &limits(settings));
    let mut best: Answer<N> = answers[0];
    for answer in &answers[1..] {
        if answer.rms < best.rms {
            best = *answer;
        }
    }
    let mut combo = Combo {
        dyes: [0; MOST_DYES],
        #[expect(clippy::cast_possible_truncation, reason = "N is at most 4")]
        n: N as u8,
        finished: true,
        x: [0.0; MOST_DYES],
        rms: best.rms,
    };
    combo.dyes[..N].copy_from_slice(&numbers);
    combo.x[..N].copy_from_slice(&best.x);
    combo
}

/// Fixed trial points: Halton's sequence in the bounds, squared so that pale amounts come often.
fn spread<const N: usize>(trial: usize, most: [f64; N]) -> [f64; N] {
    const BASES: [usize; MOST_DYES] = [2, 3, 5, 7];
    std::array::from_fn(|i| {
        let (mut left, mut step, mut at) = (trial, 1.0, 0.0);
        while left > 0 {
            step /= BASES[i] as f64;
            at += step * (left % BASES[i]) as f64;
            left /= BASES[i];
        }
        at * at * most[i]
    })
}

fn limits(settings: &Settings) -> Limits {
    // The finish is not paid for by the million: a hundredth of the gain.
    Limits { steps: settings.steps, gain: settings.gain * 0.01, too_far: f64::INFINITY }
}
