//! A plain camera laid over the patches: what it leaves unexplained speaks of faults.
//!
//! Channel by channel, the logarithm of a reading is taken as a bent line of the logarithm of a mix of the patch's red, green
//! and blue (from its known reflectance), and a slope of the light over the chart. Each of the eight numbers is believed to be
//! near an ordinary camera's; patches that fit badly are set aside step by step (weights after J. W. Tukey, as in P. J.
//! Huber, *Robust Statistics* (1981)). Solved by Gauss and Newton. It is coarser than the estimator and there to
//! doubt photographs, not to read them.

use colour::maths;

use crate::find::{solved, srgb};
use crate::sample::{median, number};
use crate::{ChartKind, Sample};

/// What the fit says.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Fit {
    /// Change of the logarithm of the light over half of the chart's length, along its rows and across them, of each channel.
    pub(crate) slope: [[f64; 2]; 3],
    /// How far that may be off.
    pub(crate) unsure: Unsure,
    /// What is left of each patch, as logarithms; none where it could not be used.
    pub(crate) left: Vec<Option<[f64; 3]>>,
    /// The middle of what is left, scaled to a standard deviation.
    pub(crate) rough: f64,
}

/// Covariances of slopes, along the chart's rows and across them: of the light, of red against green, of blue against green.
///
/// After what each patch left, with the correction for few of them (the heteroskedasticity-consistent estimator; H. White,
/// Econometrica 48 (1980) 817; J. G. `MacKinnon` and H. White, J. Econometrics 29 (1985) 305), since what a plain camera leaves
/// is neither equal nor the same in three channels.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Unsure {
    pub(crate) light: [[f64; 2]; 2],
    pub(crate) tints: [[[f64; 2]; 2]; 2],
}

/// Mix of three, bend of the line, its steepness, slopes of the light.
const UNKNOWNS: usize = 8;
/// How far each is believed to lie from an ordinary camera's: the mix, the scale, the steepness, the bend, the slopes.
const BELIEVED: [f64; UNKNOWNS] = [0.35, 0.35, 0.35, 1.0, 0.12, 0.06, 0.5, 0.5];
/// Roughness of a reading: of itself (an ordinary camera is not this plain one), and of white (noise, stray light).
const OWN: f64 = 0.035;
const OF_WHITE: f64 = 0.003;
/// Rounds of the fit.
const ROUNDS: usize = 14;
/// Weights end at so many standard deviations.
const END: f64 = 4.5;

impl Fit {
    /// None where too few patches can be used.
    pub(crate) fn of(kind: &ChartKind, samples: &[Sample]) -> Option<Self> {
        let mixes: Vec<[f64; 3]> = kind.xyz().into_iter().map(srgb).collect();
        let half = 0.5 * number(kind.across() - 1);
        let middle = [half, 0.5 * number(kind.down() - 1)];
        let places: Vec<[f64; 2]> = (0..mixes.len())
            .map(|n| {
                let [x, y] = kind.middle(n);
                [(x - middle[0]) / half, (y - middle[1]) / half]
            })
            .collect();
        let mut slope = [[0.0; 2]; 3];
        let mut moves = vec![[[0.0; 2]; 3]; mixes.len()];
        let mut left = vec![Some([0.0; 3]); mixes.len()];
        let mut all = Vec::new();
        for c in 0..3 {
            let rows: Vec<Row> = samples
                .iter()
                .zip(mixes.iter().zip(&places))
                .enumerate()
                .filter(|(_, (s, _))| s.clipped < 0.2 && s.rgb[c] > 0.002)
                .map(|(patch, (s, (mix, place)))| Row {
                    patch,
                    mix: *mix,
                    place: *place,
                    told: maths::ln(s.even(c)),
                    sigma: OWN.hypot(OF_WHITE / s.rgb[c]),
                })
                .collect();
            if rows.len() < 2 * UNKNOWNS - 4 {
                return None;
            }
            let (camera, moved) = fitted(&rows, c)?;
            slope[c] = [camera[6], camera[7]];
            for (row, by) in rows.iter().zip(moved) {
                moves[row.patch][c] = by;
            }
            for patch in &mut left.iter_mut().enumerate() {
                match (rows.iter().find(|r| r.patch == patch.0), patch.1.as_mut()) {
                    (Some(row), Some(left)) => {
                        left[c] = row.told - row.wanted(&camera, c);
                        all.push((left[c] / row.sigma).abs());
                    }
                    _ => *patch.1 = None,
                }
            }
        }
        let unsure = Unsure::of(&moves);
        Some(Self { slope, unsure, left, rough: OWN * 1.4826 * median(all) })
    }
}

impl Unsure {
    /// From how far each patch alone moves the slopes of each channel.
    fn of(moves: &[[[f64; 2]; 3]]) -> Self {
        let used = moves.iter().filter(|m| m.iter().flatten().any(|v| *v != 0.0)).count();
        let few = number(used) / number(used.saturating_sub(UNKNOWNS).max(1));
        let covariance = |of: &dyn Fn(&[[f64; 2]; 3], usize) -> f64| {
            let mut sums = [[0.0; 2]; 2];
            for all in moves {
                let by = [of(all, 0), of(all, 1)];
                for (row, a) in sums.iter_mut().zip(by) {
                    row.iter_mut().zip(by).for_each(|(sum, b)| *sum += few * a * b);
                }
            }
            sums
        };
        Self {
            light: covariance(&|m, k| (m[0][k] + m[1][k] + m[2][k]) / 3.0),
            tints: [covariance(&|m, k| m[0][k] - m[1][k]), covariance(&|m, k| m[2][k] - m[1][k])],
        }
    }

    /// Standard deviations at a place: of the light, and of the less certain of the two tints.
    pub(crate) fn at(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let of = |c: &[[f64; 2]; 2]| {
            (c[0][0] * x * x + 2.0 * c[0][1] * x * y + c[1][1] * y * y).max(0.0).sqrt()
        };
        [of(&self.light), of(&self.tints[0]).max(of(&self.tints[1]))]
    }
}

struct Row {
    patch: usize,
    mix: [f64; 3],
    place: [f64; 2],
    told: f64,
    sigma: f64,
}

impl Row {
    fn wanted(&self, camera: &[f64; UNKNOWNS], channel: usize) -> f64 {
        // The mix keeps a white as it is: what one channel gives to the others it loses.
        let others = [(channel + 1) % 3, (channel + 2) % 3];
        let own = self.mix[channel];
        let mix = own
            + camera[0] * (self.mix[others[0]] - own)
            + camera[1] * (self.mix[others[1]] - own)
            + 0.02 * camera[2];
        let log = maths::ln(mix.max(0.004));
        let bent = log + 1.7;
        camera[3]
            + log
            + camera[4] * bent
            + camera[5] * bent * bent
            + camera[6] * self.place[0]
            + camera[7] * self.place[1]
    }
}

/// The camera, and how far each row by itself moves the two slopes.
fn fitted(rows: &[Row], channel: usize) -> Option<([f64; UNKNOWNS], Vec<[f64; 2]>)> {
    let mut camera = [0.0; UNKNOWNS];
    camera[3] = median(rows.iter().map(|r| r.told - r.wanted(&camera, channel)).collect());
    let before = camera;
    let mut weights = vec![1.0; rows.len()];
    let mut moves = vec![[0.0; 2]; rows.len()];
    for round in 0..ROUNDS {
        let mut table = [[0.0; UNKNOWNS + 1]; UNKNOWNS];
        let mut pulls = Vec::with_capacity(rows.len());
        for (row, weight) in rows.iter().zip(&weights) {
            let here = row.wanted(&camera, channel);
            let away = row.told - here;
            let lean: [f64; UNKNOWNS] = std::array::from_fn(|k| {
                let mut moved = camera;
                moved[k] += 1e-4;
                (row.wanted(&moved, channel) - here) / 1e-4
            });
            let weight = weight / (row.sigma * row.sigma);
            for j in 0..UNKNOWNS {
                for k in 0..UNKNOWNS {
                    table[j][k] += weight * lean[j] * lean[k];
                }
                table[j][UNKNOWNS] += weight * lean[j] * away;
            }
            pulls.push(lean.map(|l| weight * l * away));
        }
        for k in 0..UNKNOWNS {
            let belief = 1.0 / (BELIEVED[k] * BELIEVED[k]);
            table[k][k] += belief;
            table[k][UNKNOWNS] += belief * (before[k] - camera[k]);
        }
        if round == ROUNDS - 1 {
            let back = [slope_row(&table, UNKNOWNS - 2)?, slope_row(&table, UNKNOWNS - 1)?];
            moves = pulls
                .iter()
                .map(|pull| back.map(|row| row.iter().zip(pull).map(|(b, p)| b * p).sum()))
                .collect();
        }
        let step = solved(table)?;
        for (v, s) in camera.iter_mut().zip(step) {
            *v += s.clamp(-0.5, 0.5);
        }
        // The first rounds take every patch, so that the start does not choose among them.
        if round >= 3 {
            let away: Vec<f64> =
                rows.iter().map(|r| (r.told - r.wanted(&camera, channel)) / r.sigma).collect();
            let scale = (1.4826 * median(away.iter().map(|v| v.abs()).collect())).max(0.7);
            for (weight, away) in weights.iter_mut().zip(away) {
                let share = away / (END * scale);
                *weight = (1.0 - share * share).max(0.0).powi(2);
            }
        }
    }
    camera.iter().all(|v| v.is_finite()).then_some((camera, moves))
}

/// One row of the inverse of a symmetrical table.
fn slope_row(table: &[[f64; UNKNOWNS + 1]; UNKNOWNS], row: usize) -> Option<[f64; UNKNOWNS]> {
    let mut unit = *table;
    for (k, line) in unit.iter_mut().enumerate() {
        line[UNKNOWNS] = if k == row { 1.0 } else { 0.0 };
    }
    solved(unit)
}
