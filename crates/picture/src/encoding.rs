//! How a picture's numbers stand for light: the curves and primaries of its profile, or sRGB where it has none.
//!
//! Only profiles of three curves and a matrix are used, which is what cameras and screens write; a profile of
//! tables is refused, for its curves cannot be undone exactly. Source: ICC.1:2022, annex F.3; IEC 61966-2-1 (sRGB).

use std::sync::Arc;

use colour::{Screen, ScreenColour, Xyz, maths};
use moxcms::{ColorProfile, DataColorSpace, Matrix3d, ToneReprCurve};

use crate::Refusal;
use crate::find::solved;
use crate::png::{Curve, Told};

/// Where the encoding is from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Profile {
    /// Nothing in the file: sRGB is taken, as every program takes it.
    Assumed,
    /// The file says in other words than a profile that it is sRGB.
    Srgb,
    /// The file's own profile, or what it says in other words of its primaries and curve.
    Embedded,
}

/// Curves and primaries of a picture.
#[derive(Debug, Clone)]
pub struct Encoding {
    profile: Profile,
    /// Linear light from 0 to 1 for each step of each channel.
    curves: [Arc<[f32]>; 3],
    /// From linear device colour to XYZ of D65/2°, white at Y = 1.
    to_xyz: [[f64; 3]; 3],
}

impl Encoding {
    /// sRGB, of so many steps a channel (256 or 65536).
    pub(crate) fn srgb(steps: usize) -> Self {
        Self { profile: Profile::Assumed, ..Self::of_screen(Screen::Srgb, Curve::Srgb, steps) }
    }

    fn of_screen(screen: Screen, curve: Curve, steps: usize) -> Self {
        let is_srgb = screen == Screen::Srgb && curve == Curve::Srgb;
        let curve = curve.table(steps);
        let column = |rgb: [f64; 3]| {
            let xyz = ScreenColour::try_new(screen, rgb).map(|c| c.to_xyz2());
            xyz.map_or([0.0; 3], |xyz| [xyz.x / 100.0, xyz.y / 100.0, xyz.z / 100.0])
        };
        let columns = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].map(column);
        let to_xyz = std::array::from_fn(|i| std::array::from_fn(|c| columns[c][i]));
        let profile = if is_srgb { Profile::Srgb } else { Profile::Embedded };
        Self { profile, curves: [curve.clone(), curve.clone(), curve], to_xyz }
    }

    /// From what a PNG file says beside a profile.
    ///
    /// # Errors
    /// Primaries that make no white.
    pub(crate) fn of_chunks(told: Told, steps: usize) -> Result<Self, Refusal> {
        match told {
            Told::Named { screen, curve, .. } => Ok(Self::of_screen(screen, curve, steps)),
            Told::Own { curve, primaries: None } => Ok(Self::of_screen(Screen::Srgb, curve, steps)),
            Told::Own { curve, primaries: Some([white, red, green, blue]) } => {
                let to_xyz = primaries(white, [red, green, blue]).ok_or_else(|| {
                    let why = "the three colours that its cHRM names do not make its white";
                    Refusal::Profile { why: why.to_owned() }
                })?;
                let curve = curve.table(steps);
                let curves = [curve.clone(), curve.clone(), curve];
                Ok(Self { profile: Profile::Embedded, curves, to_xyz })
            }
        }
    }

    /// From an ICC profile.
    ///
    /// # Errors
    /// A profile that is broken, is not of red, green and blue (or grey), or is made of tables.
    pub(crate) fn of_profile(bytes: &[u8], grey: bool, steps: usize) -> Result<Self, Refusal> {
        let no = |why: &str| Refusal::Profile { why: why.to_owned() };
        let profile = ColorProfile::new_from_slice(bytes).map_err(|_| no("it is broken"))?;
        match (profile.color_space, grey) {
            (DataColorSpace::Rgb, _) => {}
            (DataColorSpace::Gray, true) => {
                let curve = curve(profile.gray_trc.as_ref(), steps)?;
                let plain = Self::srgb(2);
                return Ok(Self {
                    profile: Profile::Embedded,
                    curves: [curve.clone(), curve.clone(), curve],
                    ..plain
                });
            }
            (other, _) => {
                return Err(no(&format!("it is for {other:?}, not for red, green and blue")));
            }
        }
        let tables =
            profile.lut_a_to_b_perceptual.is_some() || profile.lut_a_to_b_colorimetric.is_some();
        if tables && profile.red_trc.is_none() {
            return Err(no("it is made of tables"));
        }
        let curves = [
            curve(profile.red_trc.as_ref(), steps)?,
            curve(profile.green_trc.as_ref(), steps)?,
            curve(profile.blue_trc.as_ref(), steps)?,
        ];
        let Matrix3d { v } = profile.rgb_to_xyz_matrix();
        let whole: Vec<f64> = v.iter().flatten().copied().collect();
        let white: [f64; 3] = v.map(|row| row.iter().sum());
        // The three primaries make the profile's white, D50; a matrix that does not is none of a picture.
        let near = white.iter().zip(D50).all(|(a, b)| (a - b).abs() < 0.02);
        if whole.iter().any(|x| !x.is_finite()) || !near {
            return Err(no("its three colours do not make a white"));
        }
        let to_d65 = bradford(D50, d65());
        let to_xyz = product(to_d65, v);
        Ok(Self { profile: Profile::Embedded, curves, to_xyz })
    }

    /// Where it is from.
    #[must_use]
    pub const fn profile(&self) -> &Profile {
        &self.profile
    }

    /// Linear light of one step of one channel.
    #[inline]
    pub(crate) fn linear(&self, channel: usize, step: usize) -> f32 {
        self.curves[channel].get(step).copied().unwrap_or(0.0)
    }

    /// XYZ of D65/2°, white at Y = 100, of linear device colour.
    #[must_use]
    pub fn xyz(&self, linear: [f64; 3]) -> Xyz {
        let [x, y, z] =
            self.to_xyz.map(|row| 100.0 * row.iter().zip(linear).map(|(m, v)| m * v).sum::<f64>());
        Xyz { x, y, z }
    }
}

impl Curve {
    fn table(self, steps: usize) -> Arc<[f32]> {
        table(steps, |v| match self {
            Self::Srgb if v <= 0.040_45 => v / 12.92,
            Self::Srgb => maths::pow((v + 0.055) / 1.055, 2.4),
            Self::Power(power) => maths::pow(v, power),
        })
    }
}

/// From linear device colour to XYZ of D65/2°, of chromaticities: as much of each as makes the white, and the white brought
/// to D65. None where they cannot.
fn primaries(white: [f64; 2], rgb: [[f64; 2]; 3]) -> Option<[[f64; 3]; 3]> {
    let real = |[x, y]: [f64; 2]| x >= 0.0 && y > 0.01 && x + y <= 1.0;
    if !real(white) || !rgb.into_iter().all(real) {
        return None;
    }
    let xyz = |[x, y]: [f64; 2]| [x / y, 1.0, (1.0 - x - y) / y];
    let (white, columns) = (xyz(white), rgb.map(xyz));
    let mut table = [[0.0; 4]; 3];
    for (i, row) in table.iter_mut().enumerate() {
        *row = [columns[0][i], columns[1][i], columns[2][i], white[i]];
    }
    let amounts: [f64; 3] = solved(table)?;
    let all_give = amounts.iter().all(|v| v.is_finite() && (1e-3..=1.0).contains(v));
    let own = std::array::from_fn(|i| std::array::from_fn(|c| columns[c][i] * amounts[c]));
    all_give.then(|| product(bradford(white, d65()), own))
}

/// White of the profile connection space (ICC.1:2022, 7.2.16).
const D50: [f64; 3] = [0.9642, 1.0, 0.8249];

/// White of D65/2°, as the colour room has it.
fn d65() -> [f64; 3] {
    let white = ScreenColour::try_new(Screen::Srgb, [1.0; 3]).map(|c| c.to_xyz2());
    white.map_or([0.9505, 1.0, 1.089], |w| [w.x / 100.0, w.y / 100.0, w.z / 100.0])
}

fn table(steps: usize, of: impl Fn(f64) -> f64) -> Arc<[f32]> {
    #[expect(clippy::cast_precision_loss, reason = "65536 steps at most")]
    let last = steps.saturating_sub(1).max(1) as f64;
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        reason = "a curve of 0 to 1"
    )]
    let step = |i: usize| of(i as f64 / last).clamp(0.0, 1.0) as f32;
    (0..steps).map(step).collect()
}

fn curve(told: Option<&ToneReprCurve>, steps: usize) -> Result<Arc<[f32]>, Refusal> {
    let no = |why: &str| Refusal::Profile { why: why.to_owned() };
    let told = told.ok_or_else(|| no("it has no curves"))?;
    let eval = told.make_linear_evaluator().map_err(|_| no("its curves are broken"))?;
    #[expect(clippy::cast_possible_truncation, reason = "0 to 1")]
    let table = table(steps, |v| f64::from(eval.evaluate_value(v as f32)));
    let sound =
        table.iter().all(|v| v.is_finite()) && table.windows(2).all(|w| w[1] >= w[0] - 1e-6);
    let ends = table.first().is_some_and(|v| *v < 0.05) && table.last().is_some_and(|v| *v > 0.9);
    if sound && ends { Ok(table) } else { Err(no("its curves do not rise from dark to light")) }
}

/// Bradford's matrix from cone responses (ICC.1:2022, annex E).
const BRADFORD: [[f64; 3]; 3] =
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];
/// Its inverse.
const BRADFORD_BACK: [[f64; 3]; 3] = [
    [0.986_992_9, -0.147_054_3, 0.159_962_7],
    [0.432_305_3, 0.518_360_3, 0.049_291_2],
    [-0.008_528_7, 0.040_042_8, 0.968_486_7],
];

fn bradford(from: [f64; 3], to: [f64; 3]) -> [[f64; 3]; 3] {
    let cones = |white: [f64; 3]| {
        BRADFORD.map(|row| row.iter().zip(white).map(|(m, w)| m * w).sum::<f64>())
    };
    let (from, to) = (cones(from), cones(to));
    let scaled: [[f64; 3]; 3] = std::array::from_fn(|i| BRADFORD[i].map(|m| m * to[i] / from[i]));
    product(BRADFORD_BACK, scaled)
}

fn product(a: [[f64; 3]; 3], b: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
    std::array::from_fn(|i| std::array::from_fn(|c| (0..3).map(|k| a[i][k] * b[k][c]).sum()))
}
