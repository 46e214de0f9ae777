//! A kind of chart: patches in rows, and what each reflects.

use std::sync::OnceLock;

use colour::{BANDS, Bands, Light, Observer, Weights, maths};

use crate::PhotoRefusal;

/// Patches in rows, each of a known reflectance.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartKind {
    across: usize,
    down: usize,
    patches: Vec<Bands>,
    spreads: Vec<f64>,
}

/// Fewest and most patches of a chart that is found by its colours (judgement: fewer than twelve would be found where
/// there is none).
const FEWEST: usize = 12;
const MOST: usize = 400;

impl ChartKind {
    /// The classic chart of 24 patches, six across, with its published reflectances.
    #[must_use]
    pub fn classic() -> &'static Self {
        static IT: OnceLock<ChartKind> = OnceLock::new();
        IT.get_or_init(|| Self { across: 6, down: 4, patches: classic(), spreads: Vec::new() })
    }

    /// Patches row after row, so many across.
    ///
    /// # Errors
    /// [`PhotoRefusal::Kind`] when the rows are not full, or when there are fewer than 12 patches or more than 400.
    pub fn try_new(across: usize, patches: Vec<Bands>) -> Result<Self, PhotoRefusal> {
        let full = across > 1 && patches.len().is_multiple_of(across) && patches.len() > across;
        if !full || patches.len() < FEWEST || patches.len() > MOST {
            return Err(PhotoRefusal::Kind { patches: patches.len(), across });
        }
        let down = patches.len() / across;
        Ok(Self { across, down, patches, spreads: Vec::new() })
    }

    /// The same with patches whose values were read and not measured: root mean square ΔE00 of each.
    ///
    /// # Errors
    /// [`PhotoRefusal::Kind`] when there are not as many as patches.
    pub fn read_to(self, spreads: Vec<f64>) -> Result<Self, PhotoRefusal> {
        if spreads.len() != self.patches.len() {
            return Err(PhotoRefusal::Kind { patches: spreads.len(), across: self.across });
        }
        Ok(Self { spreads, ..self })
    }

    /// How far each patch's value may be off, root mean square ΔE00; empty where they were measured.
    #[must_use]
    pub fn spreads(&self) -> &[f64] {
        &self.spreads
    }

    /// Patches across.
    #[must_use]
    pub const fn across(&self) -> usize {
        self.across
    }

    /// Patches down.
    #[must_use]
    pub const fn down(&self) -> usize {
        self.down
    }

    /// What each patch reflects, row after row.
    #[must_use]
    pub fn patches(&self) -> &[Bands] {
        &self.patches
    }

    /// Where a patch's middle lies; the first patch's is the origin, and the next one's is 1 away.
    #[must_use]
    pub(crate) fn middle(&self, patch: usize) -> [f64; 2] {
        [number(patch % self.across), number(patch / self.across)]
    }

    /// X, Y and Z of each patch in daylight (D65/2°).
    pub(crate) fn xyz(&self) -> Vec<[f64; 3]> {
        let weights = Weights::of(Light::D65, Observer::Two);
        self.patches
            .iter()
            .map(|bands| {
                let xyz = weights.xyz(bands);
                [xyz.x, xyz.y, xyz.z]
            })
            .collect()
    }

    /// About what a camera encodes of each patch: cube roots of the channels of sRGB, negative ones as nothing.
    pub(crate) fn encoded(&self) -> Vec<[f64; 3]> {
        self.xyz().into_iter().map(|xyz| srgb(xyz).map(|v| maths::cbrt(v.max(0.0)))).collect()
    }
}

/// Linear sRGB of X, Y, Z on a scale where white has Y 1 (IEC 61966-2-1).
pub(crate) fn srgb([x, y, z]: [f64; 3]) -> [f64; 3] {
    let white = Weights::of(Light::D65, Observer::Two).white().y;
    let [x, y, z] = [x / white, y / white, z / white];
    [
        3.240_62 * x - 1.537_2 * y - 0.498_6 * z,
        -0.968_9 * x + 1.875_8 * y + 0.041_5 * z,
        0.055_7 * x - 0.204 * y + 1.057 * z,
    ]
}

fn classic() -> Vec<Bands> {
    include_str!("../../data/chart24.csv")
        .lines()
        .skip(1)
        .filter_map(|line| {
            let values: Vec<f64> = line.split(',').skip(2).filter_map(|v| v.parse().ok()).collect();
            let values: [f64; BANDS] = values.try_into().ok()?;
            Bands::try_new(values).ok()
        })
        .collect()
}

#[expect(clippy::cast_precision_loss, reason = "patches of a chart")]
const fn number(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_classic_chart_is_whole_and_its_last_row_are_greys() {
        let chart = ChartKind::classic();
        assert_eq!((chart.patches().len(), chart.across(), chart.down()), (24, 6, 4));
        let greys: Vec<f64> = chart.encoded()[18..].iter().map(|p| p[1]).collect();
        assert!(greys.windows(2).all(|w| w[0] > w[1] + 0.05), "{greys:?}");
        for grey in &chart.encoded()[18..] {
            assert!((grey[0] - grey[2]).abs() < 0.03, "{grey:?}");
        }
    }

    #[test]
    fn rows_must_be_full() {
        let white = Bands::flat(0.9).unwrap();
        for (across, many) in [(6, 23), (6, 6), (1, 24), (0, 24), (3, 9), (25, 425)] {
            assert!(ChartKind::try_new(across, vec![white; many]).is_err(), "{across} {many}");
        }
        assert!(ChartKind::try_new(7, vec![white; 35]).is_ok());
    }
}
