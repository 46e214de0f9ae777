//! What is believed of one dye on fibre: its numbers as deviations from the written estimate, each
//! with its spread.
//!
//! The deviations are, in order: ln strength, ln saturation, shift of all bands (nm), ln width of
//! all bands, then for each further band ln height and own shift (nm). A starter dye believes zero
//! for all of them, with the spreads of a published estimate; readings narrow them (`teach`).

use nalgebra::{DMatrix, DVector};

use crate::{Absorption, Band};

/// Spreads (1 σ) of a published estimate, from the house's numbers to beat: strength ×/÷ 1.4,
/// saturation ×/÷ 1.6, peak 8 nm, width 15 %, further bands ± 50 % in height and ± 4 nm.
/// Judgement, used alike by our simulations; coverage on real cloth has not been measured.
pub const ESTIMATE: Spreads = Spreads {
    strength_factor: 1.4,
    saturation_factor: 1.6,
    peak_nm: 8.0,
    width_share: 0.15,
    height_share: 0.5,
    further_nm: 4.0,
};

/// How unsure each number of a dye is (1 σ).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spreads {
    /// Strength may be this factor off, either way.
    pub strength_factor: f64,
    /// Saturation may be this factor off, either way.
    pub saturation_factor: f64,
    /// Shift of the absorption, nm.
    pub peak_nm: f64,
    /// Relative error of the band width.
    pub width_share: f64,
    /// Relative error of a further band's height.
    pub height_share: f64,
    /// Shift of a further band, nm.
    pub further_nm: f64,
}

/// A mean and a covariance over the deviations of one dye.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    pub(crate) mean: DVector<f64>,
    pub(crate) covariance: DMatrix<f64>,
}

/// How many deviations come before those of the further bands.
pub(crate) const OF_ALL: usize = 4;

impl Belief {
    /// The belief of an estimate with these spreads, for a dye with `bands` bands.
    #[must_use]
    pub fn estimate(spreads: &Spreads, bands: usize) -> Self {
        use colour::maths::ln;
        let mut sigma = vec![
            ln(spreads.strength_factor),
            ln(spreads.saturation_factor),
            spreads.peak_nm,
            spreads.width_share,
        ];
        for _ in 1..bands {
            sigma.push(spreads.height_share);
            sigma.push(spreads.further_nm);
        }
        let mean = DVector::zeros(sigma.len());
        let covariance = DMatrix::from_diagonal(&DVector::from_iterator(
            sigma.len(),
            sigma.iter().map(|s| s * s),
        ));
        Self { mean, covariance }
    }

    /// Deviations that lie these standard normal deviates from what is believed; deviates that are
    /// missing count as 0.
    pub(crate) fn drawn(&self, deviates: &[f64]) -> DVector<f64> {
        let mut deviates = deviates.to_vec();
        deviates.resize(self.len(), 0.0);
        let root = self.covariance.clone().cholesky().map(|c| c.unpack());
        match root {
            Some(root) => &self.mean + root * DVector::from_vec(deviates),
            // A belief without any doubt left has no root, and only one draw.
            None => self.mean.clone(),
        }
    }

    /// How many deviations there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.mean.len()
    }

    /// True when nothing is uncertain: a dye always has deviations, so never.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.mean.is_empty()
    }
}

/// The numbers of a dye with deviations applied.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Numbers {
    pub(crate) absorption: Vec<Band>,
    pub(crate) strength: f64,
    pub(crate) saturation: f64,
}

/// Written numbers moved by deviations.
pub(crate) fn moved(
    absorption: &Absorption,
    strength: f64,
    saturation: f64,
    deviations: &DVector<f64>,
) -> Numbers {
    use colour::maths::exp;
    let wider = (1.0 + deviations[3]).clamp(0.3, 3.0);
    let bands = absorption
        .bands()
        .iter()
        .enumerate()
        .map(|(i, b)| {
            let (taller, own) = match i {
                0 => (1.0, 0.0),
                _ => {
                    let at = OF_ALL + 2 * (i - 1);
                    ((1.0 + deviations[at]).clamp(0.02, 5.0), deviations[at + 1])
                }
            };
            Band {
                peak_nm: (b.peak_nm + deviations[2] + own).clamp(250.0, 900.0),
                width_cm: b.width_cm * wider,
                height: b.height * taller,
            }
        })
        .collect();
    Numbers {
        absorption: bands,
        strength: strength * exp(deviations[0].clamp(-4.0, 4.0)),
        saturation: saturation * exp(deviations[1].clamp(-4.0, 4.0)),
    }
}
