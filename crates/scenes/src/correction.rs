//! A camera that corrects its colours: a 3 × 3 from what its sensor saw to linear sRGB, as its maker fitted it.
//!
//! The maker is made up, and does what makers publish that they do: photographs a chart in daylight and under the lamp at
//! hand, fits the rows by least squares so that white stays white, takes something between the two, and likes colours a little
//! more vivid than true. Colours are those of the CIE 1931 observer, the lamp's white brought to that of sRGB channel by channel
//! of XYZ. Ranges are invented. Left out: tables, and corrections that look at the picture.

use colour::{BANDS, Bands, Light, Observer, Weights};

use crate::{Camera, Chance};

/// XYZ to linear sRGB (IEC 61966-2-1).
const TO_SRGB: [[f64; 3]; 3] = [
    [3.240_625_5, -1.537_208, -0.498_628_6],
    [-0.968_930_7, 1.875_756_1, 0.041_517_5],
    [0.055_710_1, -0.204_021_1, 1.056_995_9],
];
/// White of sRGB (IEC 61966-2-1).
const WHITE: [f64; 3] = [0.950_5, 1.0, 1.089];

impl Camera {
    /// From sensitivities at 400 to 700 nm by 10 nm, corrected with a chart of these reflectances.
    #[must_use]
    pub fn corrected(
        light: Light,
        sensitivities: &[[f64; BANDS]; 3],
        chart: &[Bands],
        chance: &mut Chance,
    ) -> Self {
        let bare = Self::under(light, sensitivities);
        let share = chance.between(0.0, 1.0);
        let by_day = fitted(&Self::under(Light::D65, sensitivities), Light::D65, chart);
        let here = fitted(&bare, light, chart);
        let vivid = chance.between(1.0, 1.2);
        let mut matrix = [[0.0; 3]; 3];
        for c in 0..3 {
            for d in 0..3 {
                matrix[c][d] = share * by_day[c][d] + (1.0 - share) * here[c][d];
            }
        }
        let grey: [f64; 3] =
            std::array::from_fn(|d| (0..3).map(|c| matrix[c][d]).sum::<f64>() / 3.0);
        for row in &mut matrix {
            for (cell, grey) in row.iter_mut().zip(grey) {
                *cell = grey + vivid * (*cell - grey);
            }
        }
        bare.through(&matrix)
    }
}

/// Rows that bring the camera's channels to linear sRGB and keep white.
fn fitted(camera: &Camera, light: Light, chart: &[Bands]) -> [[f64; 3]; 3] {
    let weights = Weights::of(light, Observer::Two);
    let white = weights.white();
    // what is left of a row once the sum is one: with m = (1 − b − c, b, c), m·s = s₀ + b (s₁ − s₀) + c (s₂ − s₀)
    let mut table = [[0.0; 2]; 2];
    let mut right = [[0.0; 2]; 3];
    for patch in chart {
        let seen = camera.sees(patch);
        let free = [seen[1] - seen[0], seen[2] - seen[0]];
        let xyz = weights.xyz(patch);
        let xyz =
            [xyz.x / white.x * WHITE[0], xyz.y / white.y * WHITE[1], xyz.z / white.z * WHITE[2]];
        for j in 0..2 {
            for k in 0..2 {
                table[j][k] += free[j] * free[k];
            }
            for (row, aim) in right.iter_mut().zip(TO_SRGB) {
                let aim: f64 = aim.iter().zip(xyz).map(|(m, v)| m * v).sum();
                row[j] += free[j] * (aim - seen[0]);
            }
        }
    }
    let whole = table[0][0] * table[1][1] - table[0][1] * table[1][0];
    right.map(|r| {
        let b = (r[0] * table[1][1] - r[1] * table[0][1]) / whole;
        let c = (r[1] * table[0][0] - r[0] * table[1][0]) / whole;
        [1.0 - b - c, b, c]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn white_stays_and_colours_grow_stronger() {
        let bell = |peak: f64, width: f64| -> [f64; BANDS] {
            std::array::from_fn(|i| {
                let away = (400.0 + 10.0 * f64::from(u32::try_from(i).unwrap()) - peak) / width;
                (-0.5 * away * away).exp()
            })
        };
        let sensor = [bell(600.0, 35.0), bell(535.0, 40.0), bell(460.0, 28.0)];
        let step = |at: usize| {
            let values = std::array::from_fn(|i| if i < at { 0.1 } else { 0.8 });
            Bands::try_new(values).unwrap()
        };
        let chart: Vec<Bands> = (2..29).map(step).collect();
        let corrected = Camera::corrected(Light::D65, &sensor, &chart, &mut Chance::of(1));
        let bare = Camera::under(Light::D65, &sensor);
        let grey = corrected.sees(&Bands::flat(0.4).unwrap());
        assert!(grey.iter().all(|v| (v - 0.4).abs() < 1e-9), "{grey:?}");
        let red = step(19);
        let spread = |v: [f64; 3]| v[0] - v[2];
        assert!(spread(corrected.sees(&red)) > spread(bare.sees(&red)));
    }
}
