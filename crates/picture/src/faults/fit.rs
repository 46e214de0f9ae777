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
    /// What is left of each patch, as logarithms; none where it could not be used.
    pub(crate) left: Vec<Option<[f64; 3]>>,
    /// The middle of what is left, scaled to a standard deviation.
    pub(crate) rough: f64,
}

/// Mix of three, bend of the line, its steepness, slopes of the light.
const UNKNOWNS: usize = 8;
/// How far each is believed to lie from an ordinary camera's: the mix, the scale, the steepness, the bend, the slopes.
const BELIEVED: [f64; UNKNOWNS] = [0.35, 0.35, 0.35, 1.0, 0.12, 0.06, 0.5, 0.5];
/// Roughness of a reading: of itself (an ordinary camera is not this plain one), and of white (noise, stray light).
const OWN: f64 = 0.035;
const OF_WHITE: f64 = 0.003;
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
            let camera = fitted(&rows, c)?;
            slope[c] = [camera[6], camera[7]];
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
        Some(Self { slope, left, rough: OWN * 1.4826 * median(all) })
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

fn fitted(rows: &[Row], channel: usize) -> Option<[f64; UNKNOWNS]> {
    let mut camera = [0.0; UNKNOWNS];
    camera[3] = median(rows.iter().map(|r| r.told - r.wanted(&camera, channel)).collect());
    let before = camera;
    let mut weights = vec![1.0; rows.len()];
    for round in 0..14 {
        let mut table = [[0.0; UNKNOWNS + 1]; UNKNOWNS];
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
        }
        for k in 0..UNKNOWNS {
            let belief = 1.0 / (BELIEVED[k] * BELIEVED[k]);
            table[k][k] += belief;
            table[k][UNKNOWNS] += belief * (before[k] - camera[k]);
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
    camera.iter().all(|v| v.is_finite()).then_some(camera)
}
