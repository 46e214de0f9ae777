//! The fewest swatches for a whole costume: how every piece stands, which to swatch next, when to stop.
//!
//! Pieces that share dyes teach each other, both ways: a swatch of the last piece may settle the first. So
//! no piece is swatched to its end before the next is begun. After every reading all pieces are looked at
//! again with everything learnt, and the swatch that takes most of the doubt that still stands in the way, of
//! all pieces together, is the next. Most pieces are then settled by swatches of others.
//!
//! A piece is settled when dyeing it now is right: the recipe swatched last is good enough (`verdict`), or
//! the next recipe is most likely within the tolerance without being swatched itself (`before`). It is never
//! settled for good: every later reading is looked at for it too, until it is dyed.
//!
//! What a swatch would settle is reckoned before it is dyed, from how the errors of all recipes hang
//! together; that is a forecast, and what is read may settle more or less. Left out: pots and days, and
//! which readings may teach.

use dyeing::{Foretold, Thought};
use units::OnFibre;

use crate::Refusal;
use crate::shot::{Aimed, Shot, bath, foretold, shots};
use crate::verdict::{Say, Verdict, before, verdict};

/// A piece that waits for its colour.
#[derive(Debug, Clone, Copy)]
pub struct Waiting<'a> {
    /// What is asked of it; all pieces have one experience.
    pub aimed: Aimed<'a>,
    /// The recipe it was swatched by last, if it was.
    pub held: Option<&'a [(usize, OnFibre)]>,
    /// What its first swatch is dyed by, where that is settled; none: the best shot.
    pub first: Option<&'a [(usize, OnFibre)]>,
    /// How it stands, where that was asked before ([`stands_by`]); none: it is looked at here.
    pub stands: Option<&'a Stands>,
    /// Whether a further swatch of it can be cut and dyed.
    pub may_swatch: bool,
}

/// How a piece stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Stands {
    /// The recipe to dye it by, as things are.
    pub dye_by: Shot,
    /// What a swatch of it would be dyed by.
    pub swatch_by: Shot,
    /// What is said of the recipe to dye by: stop swatching, improve it, or that it is not settled.
    pub say: Say,
    /// Whether dyeing it now is right.
    pub settled: bool,
}

/// One swatch to dye.
#[derive(Debug, Clone, PartialEq)]
pub struct Turn {
    /// Which piece, by its place.
    pub piece: usize,
    /// What it is dyed by.
    pub swatch: Shot,
    /// The pieces it would likely settle, by their places.
    pub settles: Vec<usize>,
    /// By piece not settled yet: its place, and what is in doubt of its recipe before and after, rms ΔE00.
    pub doubts: Vec<(usize, f64, f64)>,
}

/// How all pieces stand, and the swatches to come.
#[derive(Debug, Clone, PartialEq)]
pub struct Rota {
    /// Every piece, in the order given.
    pub stands: Vec<Stands>,
    /// The swatches that would likely settle all that can be swatched, the most telling first. Only the first is
    /// sure to be worth it: ask again once it was read. None when it is time to stop.
    pub turns: Vec<Turn>,
}

/// Share of the tolerance that the doubt of a settled recipe takes at most: 95 of 100 colours scattered alike
/// along three axes with this rms lie within (chi-square 7.81, three degrees of freedom, standard tables).
const SETTLED: f64 = 0.62;
/// Most swatches of one piece that are thought ahead.
const AHEAD: usize = 3;
/// What a swatch must take of the doubt in the way, in tolerances, to be worth its cloth.
const WORTH_A_SWATCH: f64 = 1e-3;

/// How every piece stands, and the fewest swatches in the best order. `read` is what a swatch will be read
/// to, rms ΔE00, bias with it.
///
/// Pieces on several fibres: make the experience ready for each of them first (`also_on`), or what one fibre
/// taught counts for nothing on another.
///
/// # Errors
/// As `shots`, for any piece.
pub fn rota(pieces: &[Waiting], read: f64) -> Result<Rota, Refusal> {
    let stands: Vec<Stands> = pieces.iter().map(stands).collect::<Result<_, _>>()?;
    let turns = turns(pieces, &stands, read)?;
    Ok(Rota { stands, turns })
}

fn stands(piece: &Waiting) -> Result<Stands, Refusal> {
    if let Some(stands) = piece.stands {
        return Ok(stands.clone());
    }
    let aimed = &piece.aimed;
    if let Some(held) = piece.held {
        return stands_by(aimed, &verdict(aimed, held)?);
    }
    let none = || Refusal::NoDyes { class: aimed.setting.on.class().to_string() };
    let shot = match piece.first {
        Some(first) => foretold(aimed, first.to_vec())?,
        None => shots(aimed, 1)?.into_iter().next().ok_or_else(none)?,
    };
    let say = before(aimed, &shot)?;
    let settled = say == Say::Stop;
    Ok(Stands { dye_by: shot.clone(), swatch_by: shot, say, settled })
}

/// How a piece stands by the verdict on its swatch: dyed by the swatch's recipe where that is good enough, and where
/// nothing tells whether the next one is better; else by the next one.
///
/// # Errors
/// A recipe the experience refuses.
pub fn stands_by(aimed: &Aimed, told: &Verdict) -> Result<Stands, Refusal> {
    let Verdict { say, held, next, .. } = told;
    let stop = *say == Say::Stop;
    let settled = stop || before(aimed, next)? == Say::Stop;
    let stays =
        stop || !settled && *say == Say::Unsettled && held.expected_error() < next.expected_error();
    let dye_by = if stays { held } else { next }.clone();
    Ok(Stands { dye_by, swatch_by: next.clone(), say: *say, settled })
}

/// The swatches thought ahead, one after the other: each the one that takes most of the doubt in the way.
fn turns(pieces: &[Waiting], stands: &[Stands], read: f64) -> Result<Vec<Turn>, Refusal> {
    let open: Vec<usize> = (0..pieces.len()).filter(|&i| !stands[i].settled).collect();
    let may: Vec<usize> = (0..open.len()).filter(|&k| pieces[open[k]].may_swatch).collect();
    let Some(first) = may.first().map(|&k| pieces[open[k]].aimed.experience) else {
        return Ok(vec![]);
    };
    let baths: Vec<_> =
        open.iter().map(|&i| bath(&pieces[i].aimed, &stands[i].swatch_by.doses)).collect();
    let thoughts: Vec<Thought> = open
        .iter()
        .zip(&baths)
        .map(|(&i, bath)| Thought {
            setting: pieces[i].aimed.setting,
            bath,
            scatter: pieces[i].aimed.scatter,
        })
        .collect();
    let mut told = first.foretell_all(&thoughts)?;
    let tolerance = |k: usize| pieces[open[k]].aimed.tolerance;
    let bar = |k: usize| {
        let miss = stands[open[k]].swatch_by.difference;
        SETTLED * (tolerance(k) - miss).max(0.25 * tolerance(k))
    };
    let in_the_way = |told: &Foretold| -> Vec<f64> {
        let of = |k| ((told.recipe(k).rms() - bar(k)) / tolerance(k)).max(0.0);
        (0..open.len()).map(of).collect()
    };
    let mut left = vec![AHEAD; open.len()];
    let mut turns = vec![];
    loop {
        let now = in_the_way(&told);
        let mut best: Option<(f64, usize, Foretold)> = None;
        for &k in may.iter().filter(|&&k| left[k] > 0) {
            let then = told.once_all_read(&[k], 0.0, read);
            let after: f64 = in_the_way(&then).iter().sum();
            let gain = now.iter().sum::<f64>() - after;
            if best.as_ref().is_none_or(|b| gain > b.0 + 1e-9) {
                best = Some((gain, k, then));
            }
        }
        // What nothing takes is not waited for; but a piece that is not settled gets its swatch.
        let Some((gain, k, then)) = best else { break };
        let enough = gain < WORTH_A_SWATCH;
        if enough && !turns.is_empty() {
            break;
        }
        let after = in_the_way(&then);
        let over = |i: &usize| now[*i] > 0.0 && after[*i] <= 0.0;
        let doubt = |i: usize| (open[i], told.recipe(i).rms(), then.recipe(i).rms());
        turns.push(Turn {
            piece: open[k],
            swatch: stands[open[k]].swatch_by.clone(),
            settles: (0..open.len()).filter(over).map(|i| open[i]).collect(),
            doubts: (0..open.len()).map(doubt).collect(),
        });
        left[k] -= 1;
        told = then;
        if enough {
            break;
        }
    }
    Ok(turns)
}
