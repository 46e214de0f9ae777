//! What a pack claims of itself, made into a dye: "one pack colours so much dry cloth to about this".
//!
//! Nobody says what is in such a pack, and most hold a mixture. So no starter dye stands behind it: the
//! colour claimed is taken apart into three broad bands (yellow, red, blue) that give it back at the
//! depth claimed, everything about them is wide open, and the one colour is then learnt like any other
//! reading, with a wide spread of its own. The dye holds for the fibre claimed; what the same pack does
//! on another fibre is another claim.
//!
//! A mixture may split: its parts go on at different rates, so that a paler or deeper dyeing, another
//! liquor or another cloth leans to one of them. That is a spread of the proportions which no single
//! colour can narrow, added after learning.

use colour::Lab;
use nalgebra::{Matrix3, Vector3};
use units::{OnFibre, Share};

use crate::belief::{Belief, OF_ALL, Spreads};
use crate::predict::{add, vector};
use crate::{
    Absorption, Band, Dye, Knowledge, Lesson, Refusal, Seen, Substrate, Written, starter, taught,
};

/// What a pack says of itself for one fibre.
#[derive(Debug, Clone, Copy)]
pub struct Claim<'a> {
    /// Undyed cloth of that fibre, ready for the pack's class.
    pub on: &'a Substrate,
    /// One whole pack on the cloth it is said to colour: contents ÷ dry cloth.
    pub owf: OnFibre,
    /// The colour it is said to give, D65/10°.
    pub colour: Lab,
    /// True when it is, or may be, a mixture: it may split.
    pub may_split: bool,
}

/// How far the dyed cloth may be from what the pack shows, in each of L*, a*, b* (1 σ): a printed square
/// or a picture of no stated light, on a cloth not stated either. Our judgement; not measured.
pub const CLAIM: f64 = 6.0;

/// How unsure each number behind a pack is before its colour is learnt (1 σ). Wider than an estimate's in
/// everything, for what is known is neither the dye nor how much of the pack is dye; and so wide that the
/// claim, from which the bands' heights are taken, is not counted twice. Our judgement, set so that in
/// simulation the 90 % radius holds nine in ten mixtures of our starter dyes (`tests/claims.rs`).
const PACK: Spreads = Spreads {
    strength_factor: 3.0,
    saturation_factor: 2.2,
    peak_nm: 8.0,
    width_share: 0.25,
    height_share: 2.0,
    further_nm: 12.0,
};

/// How far the proportions of a mixture may lean when it is dyed otherwise than claimed (1 σ, as a share
/// of each band against the main one); of the whole, a third of its variance. Our judgement: the fixed
/// shares of one class differ by as much.
const SPLIT: f64 = 0.3;

/// Three broad bands that together give most colours of cloth: middles of the starter shelf's yellow, red
/// and blue dyes, peak (nm) and width (cm⁻¹).
const PRIMARIES: Primaries = [(425.0, 4600.0), (525.0, 3600.0), (615.0, 3300.0)];
/// Where these cannot give a vivid colour: the other peaks the starter shelf has, and narrower bands.
const OTHER_PEAKS: [f64; 3] = [405.0, 548.0, 645.0];
const NARROWER: [f64; 4] = [1.0, 0.8, 0.65, 0.5];
/// A colour met this nearly (CIELAB) needs no other bands.
const MET: f64 = 0.3;

/// Yellow, red and blue: peak, nm; full width at half height, cm⁻¹.
type Primaries = [(f64, f64); 3];

/// Nothing deeper is proposed than this many times the depth claimed: beyond it nothing is claimed.
const MOST_TIMES: f64 = 2.0;

/// The dye a pack claims to be on one fibre. Refused when the colour is that of the undyed cloth, or one
/// that no dye on that cloth gives.
pub fn claimed(id: &str, name: &str, claim: &Claim<'_>) -> Result<Dye, Refusal> {
    let (fixed, saturation) = typical(claim)?;
    let most = OnFibre::try_percent(claim.owf.to_percent() * MOST_TIMES)?;
    let made = |primaries: &Primaries, heights: [f64; 3]| -> Result<Dye, Refusal> {
        let tallest = heights.iter().copied().fold(0.0, f64::max);
        let mut bands: Vec<Band> = primaries
            .iter()
            .zip(heights)
            .map(|(&(peak_nm, width_cm), h)| Band { peak_nm, width_cm, height: h / tallest })
            .collect();
        bands.sort_by(|a, b| b.height.total_cmp(&a.height));
        let nothing = || Refusal::NoDye { id: id.to_owned() };
        let absorption = Absorption::of(bands).ok_or_else(nothing)?;
        let written = Written { absorption, strength: tallest, fixed, saturation };
        let mut dye = Dye::try_estimate(id, name, claim.on.class(), written, most)?;
        dye.belief = Belief::estimate(&PACK, PRIMARIES.len());
        Ok(dye)
    };
    let dose = claim.on.fixed(&made(&PRIMARIES, [1.0; 3])?, claim.owf);
    let (primaries, heights) = apart(claim, dose);
    let colours = heights.iter().sum::<f64>() * dose;
    if colours.is_nan() || colours < LEAST {
        return Err(Refusal::NotThisDye {
            id: id.to_owned(),
            why: "it is as light as the undyed cloth; give the colour the pack says cloth becomes"
                .to_owned(),
        });
    }
    let seen = Seen::Colour(claim.colour);
    let lesson = Lesson { on: claim.on, dose: claim.owf, seen, spread: CLAIM };
    let mut dye = taught(&made(&primaries, heights)?, &[lesson], Knowledge::PackClaim)?;
    if claim.may_split {
        let lean = colour::maths::ln(1.0 + SPLIT);
        dye.belief.covariance[(0, 0)] += lean * lean / 3.0;
        for band in 0..PRIMARIES.len() - 1 {
            let at = OF_ALL + 2 * band;
            dye.belief.covariance[(at, at)] += lean * lean;
        }
    }
    Ok(dye)
}

/// Less K/S than this, all bands together, colours nothing.
const LEAST: f64 = 0.02;

/// Fixed share and half-yield depth of a pack: the middle of the class's starter dyes, and for the class
/// that has none (union) its range in the trade. A pack is diluted with salt, so its half-yield depth is at
/// least twice the depth it claims to reach.
fn typical(claim: &Claim<'_>) -> Result<(Share, OnFibre), Refusal> {
    let class = claim.on.class();
    let of_class = || starter().iter().map(|s| &s.dye).filter(move |d| d.class == class);
    let fixed = middle(of_class().map(|d| d.fixed.to_percent())).unwrap_or(UNION_FIXED_PCT);
    let saturation =
        middle(of_class().map(|d| d.saturation.to_percent())).unwrap_or(UNION_SATURATES_PCT);
    let saturation = saturation.max(2.0 * claim.owf.to_percent());
    Ok((Share::try_percent(fixed)?, OnFibre::try_percent(saturation)?))
}

/// The trade says 60 to 85 % (judgement, there as here).
const UNION_FIXED_PCT: f64 = 72.0;
/// Of the product as sold, which holds salt; deep shades are 3 to 6 %, black to 12 % (from memory).
const UNION_SATURATES_PCT: f64 = 12.0;

fn middle(numbers: impl Iterator<Item = f64>) -> Option<f64> {
    let mut all: Vec<f64> = numbers.collect();
    all.sort_by(f64::total_cmp);
    all.get(all.len() / 2).copied()
}

/// Three bands and their heights (K/S for 1 % fixed) that give the colour claimed: the broad ones where
/// they can, else those that come nearest.
fn apart(claim: &Claim<'_>, dose: f64) -> (Primaries, [f64; 3]) {
    let mut nearest = (f64::INFINITY, PRIMARIES, [0.0; 3]);
    for narrower in NARROWER {
        for others in 0..8_usize {
            let mut primaries = PRIMARIES;
            for (k, (peak, width)) in primaries.iter_mut().enumerate() {
                *width *= narrower;
                if others >> k & 1 == 1 {
                    *peak = OTHER_PEAKS[k];
                }
            }
            let (off, heights) = fitted(claim, &primaries, dose);
            if off < nearest.0 {
                nearest = (off, primaries, heights);
            }
            if off < MET {
                return (nearest.1, nearest.2);
            }
        }
    }
    (nearest.1, nearest.2)
}

/// How near these bands come to the colour claimed (CIELAB), and their heights then: damped Gauss–Newton
/// in the logarithms of the heights.
fn fitted(claim: &Claim<'_>, primaries: &Primaries, dose: f64) -> (f64, [f64; 3]) {
    use colour::maths::{exp, ln};
    let light = colour::Weights::reference();
    let shapes = primaries.map(|(peak_nm, width_cm)| {
        Absorption::of(vec![Band { peak_nm, width_cm, height: 1.0 }])
            .map_or([0.0; colour::BANDS], |band| band.shape())
    });
    let target = vector(claim.colour);
    let off = |at: &Vector3<f64>| {
        let mut sum = [0.0; colour::BANDS];
        for (shape, ks) in shapes.iter().zip(at.iter()) {
            add(&mut sum, shape, exp(*ks));
        }
        vector(claim.on.lab_of(&sum, light)) - target
    };
    let mut at = Vector3::repeat(ln(0.5));
    let mut now = off(&at);
    let mut damping = 1e-2;
    for _ in 0..ROUNDS {
        let columns = [0, 1, 2].map(|k| {
            let mut moved = at;
            moved[k] += STEP;
            (off(&moved) - now) / STEP
        });
        let slope = Matrix3::from_columns(&columns);
        let mut curvature = slope.transpose() * slope;
        for k in 0..3 {
            curvature[(k, k)] += damping * (curvature[(k, k)] + 1.0);
        }
        let Some(inverse) = curvature.try_inverse() else { break };
        let next = (at - inverse * slope.transpose() * now).map(|x| x.clamp(-7.0, 5.0));
        let then = off(&next);
        if then.norm_squared() <= now.norm_squared() {
            (at, now) = (next, then);
            damping *= 0.3;
        } else {
            damping *= 8.0;
        }
        if now.norm() < 1e-6 || damping > 1e12 {
            break;
        }
    }
    (now.norm(), [0, 1, 2].map(|k| exp(at[k]) / dose))
}

const ROUNDS: usize = 80;
const STEP: f64 = 1e-4;
