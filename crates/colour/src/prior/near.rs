//! What the clothes of nearly the same colour say: a local mean and scatter.
//!
//! Around the wanted colour the log odds are taken as an affine function of Lab, fitted to the
//! hundred nearest clothes with weights that fall off with distance (locally weighted regression:
//! W. S. Cleveland, J. Am. Stat. Assoc. 74 (1979) 829–836). Each neighbour is then carried along
//! that function to the wanted colour itself; the carried neighbours are samples of what cloth of
//! this colour looks like under other lights. Their geometric median there (E. Weiszfeld, 1937) is
//! the answer, rather than their mean, since dye mixtures of one colour fall into groups.

use super::{
    belief::count,
    meet::{Target, approach},
    odds::{Curve, Table, reflectance, solve, three},
};
use crate::{BANDS, Lab, Light, Observer, Weights};

/// Neighbours asked. This and [`BANDWIDTH`], [`RIDGE`] and [`SOFT`] were chosen by ten-fold trials on
/// the training half of a real shade collection; the figures hardly move between 40 and 200.
const NEIGHBOURS: usize = 100;
/// Width of the weights as a share of the distance to the hundredth neighbour.
const BANDWIDTH: f64 = 0.3;
/// How strongly the slopes are held back, as a share of the summed weights.
const RIDGE: f64 = 0.05;
/// Distance (about ΔE) below which the geometric median turns into a mean.
const SOFT: f64 = 1.0;
/// Neighbours with less weight than this share of the nearest's are not asked.
const LEAST_WEIGHT: f64 = 0.01;
/// Share of the scatter of all clothes added to the local one, so that every direction is open.
const OPEN: f64 = 1e-4;

/// A cloth that was learnt from.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cloth {
    pub(super) lab: Lab,
    pub(super) odds: Curve,
}

/// Mean and covariance of the log odds near a colour.
pub(super) struct Near {
    pub(super) mean: Curve,
    pub(super) table: Box<Table>,
    /// Distance in Lab to the tenth neighbour: how well the place is known.
    pub(super) distance: f64,
}

/// What the neighbours of `place` (Lab D65/10°) say of a cloth that meets `target`.
pub(super) fn near(cloths: &[Cloth], core: &Table, place: Lab, target: Target) -> Option<Near> {
    let here = three(place);
    let mut far: Vec<(f64, usize)> = cloths
        .iter()
        .enumerate()
        .map(|(n, cloth)| {
            let at = three(cloth.lab);
            ((0..3).map(|k| (at[k] - here[k]) * (at[k] - here[k])).sum::<f64>().sqrt(), n)
        })
        .collect();
    let asked = NEIGHBOURS.min(far.len());
    // ties are broken by the order of learning, so that every machine picks the same ones
    far.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    far.truncate(asked);
    let distance = far.get(asked.min(10).checked_sub(1)?)?.0;
    let radius = far.last()?.0.max(1e-3);
    let width = (BANDWIDTH * crate::maths::cbrt(count(NEIGHBOURS) / count(asked))).min(1.0);
    let weight = |d: f64| crate::maths::exp(-0.5 * (d / (width * radius)) * (d / (width * radius)));
    let nearest = weight(far[0].0);
    let group: Vec<Weighed> = far
        .iter()
        .map(|&(d, n)| (weight(d), n))
        .filter(|&(w, _)| w >= LEAST_WEIGHT * nearest)
        .map(|(weight, n)| {
            let at = three(cloths[n].lab);
            let away = std::array::from_fn(|k| (at[k] - here[k]) / radius);
            Weighed { weight, away, odds: &cloths[n].odds }
        })
        .collect();

    let (fit, scatter) = affine(&group, core)?;
    let carried: Vec<(f64, Curve)> = group
        .iter()
        .filter_map(|g| Some((g.weight, approach(&g.carried(&fit), &scatter, target)?)))
        .collect();
    Some(Near { mean: middle(&carried, place)?, table: scatter, distance })
}

struct Weighed<'a> {
    weight: f64,
    away: [f64; 3],
    odds: &'a Curve,
}

impl Weighed<'_> {
    const fn regressors(&self) -> [f64; 4] {
        [1.0, self.away[0], self.away[1], self.away[2]]
    }

    /// This cloth brought to the wanted colour along the local slopes.
    fn carried(&self, fit: &[Curve; 4]) -> Curve {
        std::array::from_fn(|i| {
            self.odds[i] - (0..3).map(|k| self.away[k] * fit[k + 1][i]).sum::<f64>()
        })
    }
}

/// The local affine fit (level and three slopes) and the scatter about it. The residuals are those
/// of a fit without the cloth itself, so the scatter is not flattered by the fit.
fn affine(group: &[Weighed], core: &Table) -> Option<([Curve; 4], Box<Table>)> {
    let total: f64 = group.iter().map(|g| g.weight).sum();
    let mut left = [[0.0; 4]; 4];
    let mut right = [[0.0; BANDS]; 4];
    for g in group {
        let x = g.regressors();
        for j in 0..4 {
            for k in 0..4 {
                left[j][k] += g.weight * x[j] * x[k];
            }
            for (cell, z) in right[j].iter_mut().zip(g.odds) {
                *cell += g.weight * x[j] * z;
            }
        }
    }
    for (k, line) in left.iter_mut().enumerate().skip(1) {
        line[k] += RIDGE * total;
    }
    let fit = solve(left, right)?;
    let mut table = Box::new(core.map(|line| line.map(|c| OPEN * c)));
    for g in group {
        let x = g.regressors();
        let back = solve(left, x.map(|x| [x]))?;
        let leverage: f64 = (0..4).map(|k| g.weight * x[k] * back[k][0]).sum();
        let off: Curve = std::array::from_fn(|i| {
            let fitted: f64 = (0..4).map(|k| x[k] * fit[k][i]).sum();
            (g.odds[i] - fitted) / (1.0 - leverage).max(0.1)
        });
        for (line, a) in table.iter_mut().zip(&off) {
            for (cell, b) in line.iter_mut().zip(&off) {
                *cell += g.weight / total * a * b;
            }
        }
    }
    Some((fit, table))
}

/// The geometric median of the carried clothes, as seen under tungsten, tri-band and LED light.
fn middle(carried: &[(f64, Curve)], place: Lab) -> Option<Curve> {
    let seen: Vec<[f64; 9]> = carried.iter().map(|(_, z)| elsewhere(z, place)).collect();
    let mut shares: Vec<f64> = carried.iter().map(|c| c.0).collect();
    for _ in 0..15 {
        let total: f64 = shares.iter().sum();
        if total.is_nan() || total <= 0.0 {
            return None;
        }
        let centre: [f64; 9] = std::array::from_fn(|k| {
            seen.iter().zip(&shares).map(|(s, share)| s[k] * share).sum::<f64>() / total
        });
        for (share, (s, c)) in shares.iter_mut().zip(seen.iter().zip(carried)) {
            let d2: f64 = (0..9).map(|k| (s[k] - centre[k]) * (s[k] - centre[k])).sum();
            *share = c.0 / (d2 + SOFT * SOFT).sqrt();
        }
    }
    let total: f64 = shares.iter().sum();
    Some(std::array::from_fn(|i| {
        carried.iter().zip(&shares).map(|(c, share)| c.1[i] * share).sum::<f64>() / total
    }))
}

/// Lab under three other lights, scaled about as CIEDE2000 scales it at `place`
/// (chroma by 1 + 0.045 C, hue by about 1 + 0.015 C).
fn elsewhere(z: &Curve, place: Lab) -> [f64; 9] {
    let r = reflectance(z);
    let c = place.chroma();
    let (ua, ub) = if c > 1e-9 { (place.a / c, place.b / c) } else { (1.0, 0.0) };
    let mut all = [0.0; 9];
    for (n, light) in [Light::A, Light::Fl11, Light::LedB3].into_iter().enumerate() {
        let lab = Weights::of(light, Observer::Ten).lab_of(&r);
        all[3 * n] = lab.l;
        all[3 * n + 1] = (ua * lab.a + ub * lab.b) / (1.0 + 0.045 * c);
        all[3 * n + 2] = (ua * lab.b - ub * lab.a) / (1.0 + 0.015 * c);
    }
    all
}
