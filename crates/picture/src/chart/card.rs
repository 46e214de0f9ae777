//! A card of many known cloths: it teaches camera, lamp and kind of cloth at once, whatever the camera is like.
//!
//! Four ways of reading are taught and judged by patches they were not taught, a tenth of the card at a time: the plain
//! correction with what it leaves carried to its neighbours (`kernel`), the likeliest cloth under a response learnt from the
//! card alone (smooth, no belief about sensors) with the card's own cloths as belief, the same with the neighbours, and the
//! same with the shipped belief and the neighbours. They are mixed; the better one was, the more it counts. What is stated
//! rests on the same errors: the radius within which nine of ten patches left out were held, drawn out where the ways
//! disagree (split conformal prediction: J. Lei et al., J. Am. Stat. Assoc. 113 (2018) 1094–1111).

use colour::{BANDS, Lab, ciede2000, maths};

use super::{
    Row, Square,
    cloth::{Belief, guess},
    kernel::Kernel,
    plain::Plain,
    response::Response,
    solve::Factor,
};

/// From this many patches on a card is read this way (judgement: a tenth is then four patches).
pub(super) const MANY: usize = 40;
/// Parts of the card that are left out in turn.
const PARTS: usize = 10;
/// How much a way counts: the inverse of its mean error to this power (judgement; 2 to 8 hardly differ).
const FAVOUR: i32 = 4;
/// Weight of the response's curvature against the card's readings, in squared shares of white (judgement).
const SMOOTH: f64 = 0.01;
/// Held on the diagonal so that every response is solvable.
const HELD: f64 = 1e-5;
/// Roughness of a reading under a response so learnt, of white and of itself (judgement: what a smooth response leaves).
const ROUGH: [f64; 2] = [0.002 * 0.002, 0.01 * 0.01];
/// Variance of single bands of log odds beside what the card's cloths teach (judgement).
const SINGLE: f64 = 1e-3;

/// One patch: its reading in even light and what it reflects.
pub(super) type Known = ([f64; 3], Row);

/// A card once read.
#[derive(Debug, Clone)]
pub(super) struct Card {
    scale: [f64; 3],
    ways: Vec<(f64, Way)>,
    floor: f64,
    stretch: f64,
    /// Mean ΔE00 of patches that were left out.
    pub(super) missed: f64,
}

/// A cloth as the card reads it.
#[derive(Debug, Clone, Copy)]
pub(super) struct CardSees {
    pub(super) lab: [f64; 3],
    pub(super) within90: f64,
}

#[derive(Debug, Clone)]
struct Way {
    base: Base,
    rest: Option<Kernel>,
}

#[derive(Debug, Clone)]
enum Base {
    Plain(Plain),
    Cloth(Box<(Response, Belief)>),
}

impl Card {
    /// Of its patches; none where they cannot be solved.
    pub(super) fn learn(seen: &[Known], shipped: &Belief) -> Option<Self> {
        // white at about 1, so that the exposure counts for nothing
        let whole = mean(seen.iter().flat_map(|(_, factors)| factors.iter().copied()));
        let scale: [f64; 3] =
            std::array::from_fn(|c| (mean(seen.iter().map(|(rgb, _)| rgb[c])) / whole).max(1e-9));
        let known: Vec<Known> = seen.iter().map(|(rgb, f)| (scaled(*rgb, scale), *f)).collect();
        let known = known.as_slice();
        let mut missed: Vec<Vec<[f64; 3]>> = vec![Vec::new(); 4];
        let mut truths = Vec::with_capacity(known.len());
        for part in 0..PARTS {
            let (out, kept): (Vec<_>, Vec<_>) =
                known.iter().enumerate().partition(|(n, _)| n % PARTS == part);
            let kept: Vec<Known> = kept.into_iter().map(|(_, k)| *k).collect();
            let ways = ways(&kept, shipped)?;
            for (_, (rgb, factors)) in out {
                truths.push(lab_of(factors));
                for (all, way) in missed.iter_mut().zip(&ways) {
                    all.push(way.lab(*rgb)?);
                }
            }
        }
        let shares: Vec<f64> = missed
            .iter()
            .map(|seen| mean(seen.iter().zip(&truths).map(|(a, b)| apart(*a, *b))).max(0.01))
            .map(|error| error.powi(-FAVOUR))
            .collect();
        let total: f64 = shares.iter().sum();
        let shares: Vec<f64> = shares.iter().map(|s| s / total).collect();
        let mixes: Vec<([f64; 3], f64)> = (0..truths.len())
            .map(|n| mixed(shares.iter().copied().zip(missed.iter().map(|seen| seen[n]))))
            .collect();
        let errors: Vec<f64> =
            mixes.iter().zip(&truths).map(|((lab, _), truth)| apart(*lab, *truth)).collect();
        let floor = median(&errors).max(0.01);
        let ratios: Vec<f64> =
            errors.iter().zip(&mixes).map(|(error, (_, odds))| error / odds.hypot(floor)).collect();
        let ways = shares.into_iter().zip(ways(known, shipped)?).collect();
        Some(Self {
            scale,
            ways,
            floor,
            stretch: nine_of_ten(&ratios),
            missed: mean(errors.into_iter()),
        })
    }

    /// The colour of a cloth.
    pub(super) fn sees(&self, rgb: [f64; 3]) -> Option<CardSees> {
        let rgb = scaled(rgb, self.scale);
        let mut each = Vec::with_capacity(self.ways.len());
        for (share, way) in &self.ways {
            each.push((*share, way.lab(rgb)?));
        }
        let (lab, odds) = mixed(each.into_iter());
        Some(CardSees { lab, within90: self.stretch * odds.hypot(self.floor) })
    }
}

fn scaled(rgb: [f64; 3], scale: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|c| rgb[c] / scale[c])
}

impl Way {
    fn with_rest(base: Base, known: &[Known]) -> Option<Self> {
        let mut left = Vec::with_capacity(known.len());
        for (rgb, factors) in known {
            let (truth, seen) = (lab_of(factors), base.lab(*rgb)?);
            left.push(std::array::from_fn(|k| truth[k] - seen[k]));
        }
        let rgb: Vec<[f64; 3]> = known.iter().map(|k| k.0).collect();
        let rest = Some(Kernel::fit(&rgb, &left)?);
        Some(Self { base, rest })
    }

    fn lab(&self, rgb: [f64; 3]) -> Option<[f64; 3]> {
        let lab = self.base.lab(rgb)?;
        let add = self.rest.as_ref().map_or([0.0; 3], |kernel| kernel.add(rgb));
        Some(std::array::from_fn(|k| lab[k] + add[k]))
    }
}

impl Base {
    fn lab(&self, rgb: [f64; 3]) -> Option<[f64; 3]> {
        match self {
            Self::Plain(plain) => Some(plain.lab(rgb)),
            Self::Cloth(both) => guess(rgb, &both.0, &both.1).map(|g| g.lab),
        }
    }
}

fn ways(known: &[Known], shipped: &Belief) -> Option<[Way; 4]> {
    let response = response(known)?;
    let own = own_belief(known, shipped);
    let cloth = |belief: &Belief| Base::Cloth(Box::new((response.clone(), belief.clone())));
    Some([
        Way::with_rest(Base::Plain(Plain::fit(known)?), known)?,
        Way { base: cloth(&own), rest: None },
        Way::with_rest(cloth(&own), known)?,
        Way::with_rest(cloth(shipped), known)?,
    ])
}

/// The smoothest response that makes the readings.
fn response(known: &[Known]) -> Option<Response> {
    let mut table = vec![0.0; BANDS * BANDS];
    for i in 0..BANDS {
        table[i * BANDS + i] += HELD;
    }
    for i in 1..BANDS - 1 {
        let bend = [(i - 1, 1.0), (i, -2.0), (i + 1, 1.0)];
        for (j, a) in bend {
            for (k, b) in bend {
                table[j * BANDS + k] += SMOOTH * a * b;
            }
        }
    }
    let mut right = [[0.0; BANDS]; 3];
    for (rgb, factors) in known {
        for j in 0..BANDS {
            for k in 0..BANDS {
                table[j * BANDS + k] += factors[j] * factors[k];
            }
            for (side, value) in right.iter_mut().zip(rgb) {
                side[j] += factors[j] * value;
            }
        }
    }
    let factor = Factor::of(table, BANDS)?;
    let mut mean = [[0.0; BANDS]; 3];
    for (row, side) in mean.iter_mut().zip(&right) {
        for (cell, value) in row.iter_mut().zip(factor.solve(side)) {
            *cell = value;
        }
    }
    Some(Response::drawn(mean, ROUGH))
}

/// Mean of the card's cloths, and their covariance with the shipped one's, which counts as much as one cloth a band.
fn own_belief(known: &[Known], shipped: &Belief) -> Belief {
    let odds: Vec<Row> = known.iter().map(|(_, factors)| factors.map(log_odds)).collect();
    let n = count(odds.len());
    let mut mean = [0.0; BANDS];
    for curve in &odds {
        for (m, z) in mean.iter_mut().zip(curve) {
            *m += z / n;
        }
    }
    let bands = count(BANDS);
    let (own, theirs) = (1.0 / (n + bands), bands / (n + bands));
    let mut covariance: Box<Square> =
        Box::new(shipped.covariance.map(|row| row.map(|cell| theirs * cell)));
    for curve in &odds {
        let away: Row = std::array::from_fn(|i| curve[i] - mean[i]);
        for (line, a) in covariance.iter_mut().zip(&away) {
            for (cell, b) in line.iter_mut().zip(&away) {
                *cell += own * a * b;
            }
        }
    }
    for (i, line) in covariance.iter_mut().enumerate() {
        line[i] += SINGLE;
    }
    Belief { mean, covariance }
}

/// ln((R − 0.002)/(1 − R)), as `ClothPrior::log_odds`, drawn in a little from both ends.
fn log_odds(factor: f64) -> f64 {
    let r = factor.clamp(0.0025, 0.995);
    maths::ln((r - 0.002) / (1.0 - r))
}

/// The weighed mean of colours, and the root mean square ΔE00 of each from it.
fn mixed(each: impl Iterator<Item = (f64, [f64; 3])> + Clone) -> ([f64; 3], f64) {
    let mut lab = [0.0; 3];
    for (share, one) in each.clone() {
        for (sum, v) in lab.iter_mut().zip(one) {
            *sum += share * v;
        }
    }
    let square: f64 = each.map(|(share, one)| share * apart(one, lab).powi(2)).sum();
    (lab, square.sqrt())
}

/// The least value that holds nine of ten, counting one more that was not seen.
pub(super) fn nine_of_ten(all: &[f64]) -> f64 {
    let mut sorted = all.to_vec();
    sorted.sort_by(f64::total_cmp);
    let wanted = 0.9 * (count(sorted.len()) + 1.0);
    let at = (1..=sorted.len()).find(|n| count(*n) >= wanted).unwrap_or(sorted.len());
    at.checked_sub(1).and_then(|at| sorted.get(at)).copied().unwrap_or(f64::INFINITY)
}

fn median(all: &[f64]) -> f64 {
    let mut sorted = all.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(f64::INFINITY)
}

pub(super) fn mean(all: impl Iterator<Item = f64>) -> f64 {
    let (sum, n) = all.fold((0.0, 0.0), |(sum, n), v| (sum + v, n + 1.0));
    sum / n
}

pub(super) fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    ciede2000(Lab::new(a[0], a[1], a[2]), Lab::new(b[0], b[1], b[2]))
}

pub(super) fn lab_of(factors: &Row) -> [f64; 3] {
    let lab = colour::Weights::reference().lab_of(factors);
    [lab.l, lab.a, lab.b]
}

#[expect(clippy::cast_precision_loss, reason = "patches and bands, far below 2^52")]
const fn count(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nine_of_ten_counts_the_one_to_come() {
        let all: Vec<f64> = (1..=19).map(f64::from).collect();
        assert!((nine_of_ten(&all) - 18.0).abs() < 1e-12);
        assert!((nine_of_ten(&all[..5]) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn a_response_without_belief_makes_the_readings() {
        let flat = [0.5; BANDS];
        let known: Vec<Known> = (0..50)
            .map(|n| {
                let turn = f64::from(n);
                let factors: Row = std::array::from_fn(|i| {
                    0.4 + 0.3 * (0.11 * turn * count(i) / 10.0 + turn).sin()
                });
                (
                    [0, 1, 2].map(|c: usize| (0..10).map(|i| 0.1 * factors[10 * c + i]).sum()),
                    factors,
                )
            })
            .collect();
        let r = response(&known).unwrap();
        for c in 0..3 {
            let seen: f64 = r.mean[c].iter().zip(&flat).map(|(a, b)| a * b).sum();
            assert!((seen - 0.5).abs() < 0.01, "{seen}");
        }
    }
}
