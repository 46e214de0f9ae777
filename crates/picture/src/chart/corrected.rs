//! What a camera's own development makes of its channels: a 3 × 3 that brings them to the primaries of the file.
//!
//! Made up, as the sensors are (`sensors`), and not measured. The 3 × 3 is the least squares one that keeps white, for
//! reflectances of which nothing is believed but that they change slowly with the wavelength (maximum ignorance with
//! smoothness), partly for daylight and partly for the lamp at hand, since cameras go between two; then made a little more or
//! less vivid, and a little off. The colour it aims at is that of the CIE 1931 observer with the lamp's white brought to the
//! white of the file. **Ranges are from memory or judgement.** Only mean and covariance of the curves are kept, for each lamp.
//!
//! Left out: corrections by table, and such as look at the picture.

use std::sync::OnceLock;

use colour::{Light, Observer, Screen, ScreenColour, Weights, maths};

use super::{
    Row, Square, dot,
    lamps::{D65, lamps},
    sensors::{Channel, Steps, moments, nm, sensor},
};

/// Primaries of a file, white being D65.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Primaries {
    /// Those of sRGB.
    Srgb,
    /// Those of Display P3.
    P3,
}

impl Primaries {
    /// Both.
    pub(super) const ALL: [Self; 2] = [Self::Srgb, Self::P3];
}

/// Sensors made up for each lamp and primaries; with twice as many the readings of a chart change by less than a tenth of
/// their spread.
const MADE: usize = 300;
/// How slowly reflectances are believed to change: correlation falls as a Gaussian of this standard deviation, nm (judgement).
const SLOWLY: f64 = 45.0;
/// So much of them changes from band to band as it likes.
const FREELY: f64 = 0.003;
/// How much more vivid than true colours are made: the distance to grey is multiplied by this.
const VIVID: (f64, f64) = (0.9, 1.25);
/// How far each cell lies off (standard deviation).
const OFF: f64 = 0.04;

/// Rows of 3 × 3 that make the channels.
type Matrix = [[f64; 3]; 3];

/// How cameras correct: what stays the same from sensor to sensor.
pub(super) struct Corrections {
    smooth: Box<Square>,
    cmf: [Row; 3],
    day: Row,
}

/// What one camera does.
struct Habits {
    by_day: f64,
    vivid: f64,
    off: Matrix,
}

impl Corrections {
    pub(super) fn all() -> &'static Self {
        static ALL: OnceLock<Corrections> = OnceLock::new();
        ALL.get_or_init(|| {
            let smooth = std::array::from_fn(|i| {
                std::array::from_fn(|k| {
                    let away = (nm(i) - nm(k)) / SLOWLY;
                    maths::exp(-0.5 * away * away) + if i == k { FREELY } else { 0.0 }
                })
            });
            let weights = Weights::of(Light::D65, Observer::Two).rows();
            let power = Light::D65.power();
            let cmf = weights.map(|row| std::array::from_fn(|i| row[i] / power[i]));
            Self { smooth: Box::new(smooth), cmf, day: lamps()[D65].power }
        })
    }

    /// A drawn camera's three channels under a lamp, corrected; each sums to one.
    pub(super) fn drawn(
        &self,
        sensor: &[Row; 3],
        lamp: &Row,
        primaries: Primaries,
        steps: &mut Steps,
    ) -> [Row; 3] {
        let habits = Habits::drawn(steps);
        let by_day = self.fit(&sensor.map(|s| lit(&s, &self.day)), &self.day, primaries);
        self.corrected(sensor, (lamp, primaries), &habits, &by_day)
    }

    fn corrected(
        &self,
        sensor: &[Row; 3],
        (lamp, primaries): (&Row, Primaries),
        habits: &Habits,
        by_day: &Matrix,
    ) -> [Row; 3] {
        let own = sensor.map(|s| lit(&s, lamp));
        let here = self.fit(&own, lamp, primaries);
        let matrix: Matrix = std::array::from_fn(|c| {
            std::array::from_fn(|d| {
                habits.by_day * by_day[c][d] + (1.0 - habits.by_day) * here[c][d] + habits.off[c][d]
            })
        });
        let mixed: [Row; 3] = matrix
            .map(|row| std::array::from_fn(|i| (0..3).map(|d| row[d] * own[d][i]).sum::<f64>()));
        std::array::from_fn(|c| {
            std::array::from_fn(|i| {
                let grey: f64 = (0..3).map(|d| GREY[d] * mixed[d][i]).sum();
                grey + habits.vivid * (mixed[c][i] - grey)
            })
        })
    }

    /// The 3 × 3 for channels under their lamp; its rows sum to one.
    fn fit(&self, own: &[Row; 3], lamp: &Row, primaries: Primaries) -> Matrix {
        let aim = self.aim(lamp, primaries);
        let pull = own.map(|row| -> Row { std::array::from_fn(|i| dot(&row, &self.smooth[i])) });
        let table = pull.map(|p| [dot(&p, &own[0]), dot(&p, &own[1]), dot(&p, &own[2])]);
        let back = inverse(table);
        let times =
            |v: [f64; 3]| back.map(|row| row.iter().zip(v).map(|(a, b)| a * b).sum::<f64>());
        let even = times([1.0; 3]);
        let evens: f64 = even.iter().sum();
        aim.map(|row| {
            let free = times([dot(&row, &pull[0]), dot(&row, &pull[1]), dot(&row, &pull[2])]);
            let short = (1.0 - free.iter().sum::<f64>()) / evens;
            std::array::from_fn(|d| free[d] + short * even[d])
        })
    }

    /// What each channel of the file should make of each band under this lamp; sums to one.
    fn aim(&self, lamp: &Row, primaries: Primaries) -> [Row; 3] {
        let white = to_xyz(primaries).map(|row| row.iter().sum::<f64>());
        let from_xyz = inverse(to_xyz(primaries));
        let xyz = self.cmf.map(|cmf| lit(&cmf, lamp));
        from_xyz.map(|row| {
            std::array::from_fn(|i| (0..3).map(|k| row[k] * white[k] * xyz[k][i]).sum::<f64>())
        })
    }
}

/// About how much each channel adds to lightness (IEC 61966-2-1, rounded).
const GREY: [f64; 3] = [0.21, 0.72, 0.07];

impl Habits {
    fn drawn(steps: &mut Steps) -> Self {
        let by_day = steps.within((0.0, 1.0));
        let vivid = steps.within(VIVID);
        let off = std::array::from_fn(|_| {
            let [a, b, c]: [f64; 3] = std::array::from_fn(|_| OFF * steps.normal());
            let mean = (a + b + c) / 3.0;
            [a - mean, b - mean, c - mean]
        });
        Self { by_day, vivid, off }
    }
}

/// What is believed of the three corrected channels under each of the lamps, in their order.
pub(super) fn corrected(primaries: Primaries) -> &'static [[Channel; 3]] {
    static ALL: [OnceLock<Vec<[Channel; 3]>>; 2] = [OnceLock::new(), OnceLock::new()];
    ALL[primaries as usize].get_or_init(|| {
        let corrections = Corrections::all();
        let mut steps = Steps::of(0x0c04_4ec7);
        let made: Vec<([Row; 3], Habits, Matrix)> = (0..MADE)
            .map(|_| {
                let sensor = sensor(&mut steps);
                let day = &corrections.day;
                let by_day = corrections.fit(&sensor.map(|s| lit(&s, day)), day, primaries);
                (sensor, Habits::drawn(&mut steps), by_day)
            })
            .collect();
        lamps()
            .iter()
            .map(|lamp| {
                let all: Vec<[Row; 3]> = made
                    .iter()
                    .map(|(sensor, habits, by_day)| {
                        corrections.corrected(sensor, (&lamp.power, primaries), habits, by_day)
                    })
                    .collect();
                std::array::from_fn(|c| moments(&all, c))
            })
            .collect()
    })
}

/// A curve under a lamp; sums to one.
pub(super) fn lit(curve: &Row, lamp: &Row) -> Row {
    let total = dot(curve, lamp);
    std::array::from_fn(|i| curve[i] * lamp[i] / total)
}

/// XYZ of D65/2° of linear red, green and blue, white at Y = 1.
fn to_xyz(primaries: Primaries) -> Matrix {
    let screen = match primaries {
        Primaries::Srgb => Screen::Srgb,
        Primaries::P3 => Screen::DisplayP3,
    };
    let column = |rgb: [f64; 3]| {
        let xyz = ScreenColour::try_new(screen, rgb).map(|c| c.to_xyz2());
        xyz.map_or([0.0; 3], |xyz| [xyz.x / 100.0, xyz.y / 100.0, xyz.z / 100.0])
    };
    let columns = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].map(column);
    std::array::from_fn(|i| std::array::from_fn(|c| columns[c][i]))
}

/// Of a 3 × 3 that can be inverted; by its cofactors.
fn inverse(m: Matrix) -> Matrix {
    let cofactor = |i: usize, k: usize| {
        let [a, b] = [(i + 1) % 3, (i + 2) % 3];
        let [c, d] = [(k + 1) % 3, (k + 2) % 3];
        m[a][c] * m[b][d] - m[a][d] * m[b][c]
    };
    let whole: f64 = (0..3).map(|k| m[0][k] * cofactor(0, k)).sum();
    std::array::from_fn(|i| std::array::from_fn(|k| cofactor(k, i) / whole))
}

#[cfg(test)]
mod tests {
    use colour::BANDS;

    use super::*;

    #[test]
    fn an_eye_needs_no_correction() {
        // a camera that sees as the observer does is brought exactly to the colours of sRGB
        let all = Corrections::all();
        let own = all.cmf.map(|cmf| lit(&cmf, &all.day));
        let matrix = all.fit(&own, &all.day, Primaries::Srgb);
        let aim = all.aim(&all.day, Primaries::Srgb);
        for c in 0..3 {
            for i in 0..BANDS {
                let got: f64 = (0..3).map(|d| matrix[c][d] * own[d][i]).sum();
                assert!((got - aim[c][i]).abs() < 1e-9, "{c} {i}: {got} {}", aim[c][i]);
            }
        }
        // white stays white, and sRGB's green reaches below zero in the red channel about 500 nm
        assert!(aim.iter().all(|row| (row.iter().sum::<f64>() - 1.0).abs() < 1e-9));
        assert!(aim[0][10] < 0.0, "{}", aim[0][10]);
    }

    #[test]
    fn corrected_channels_sum_to_one_under_every_lamp() {
        for primaries in Primaries::ALL {
            for channels in corrected(primaries) {
                for c in channels {
                    assert!((c.mean.iter().sum::<f64>() - 1.0).abs() < 1e-9);
                    assert!((0..BANDS).all(|i| c.covariance[i][i] >= 0.0));
                }
            }
        }
    }
}
