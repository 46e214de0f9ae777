//! Light under which a photograph says little: tungsten, which leaves the blue dark, and three-band tubes, which leave
//! gaps. The chart shows the lamp; how much weaker the reading is comes from the chart's own patches, read under this lamp
//! and as they would be read in daylight by the camera believed in, with readings as rough as these.

use std::fmt;

use super::{
    NINE_OF_TEN, Row,
    cloth::{Belief, guess, radius},
    dot,
    lamps::LampKind,
    response::{Prepared, Response},
};

/// A reading weaker than in daylight, and by how much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeakLight {
    /// What the light looks like.
    pub kind: WeakKind,
    /// Nine of ten cloths are read to this ΔE00, on average over the chart's colours.
    pub within90: f64,
    /// The same in daylight.
    pub in_daylight: f64,
}

/// What makes a light weak, as far as a white-balanced picture shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeakKind {
    /// A fluorescent tube of three narrow bands.
    ThreeBand,
    /// Tungsten, a warm LED, or another smooth light that leaves a part of the colours weak; which of them cannot be told
    /// once the camera has balanced its white.
    Warm,
}

/// Light is called weak from this many times the daylight spread on. In simulation with a smooth camera: D50 1.2, LED-B3
/// 1.3, FL2 1.4; A 2.2, FL11 2.0, the warm LED-B1 2.2 (judgement where to cut).
const WEAK: f64 = 1.5;

impl fmt::Display for WeakLight {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let looks = match self.kind {
            WeakKind::ThreeBand => {
                "the light looks like a three-band tube, which leaves colours out"
            }
            WeakKind::Warm => {
                "the light looks like a tungsten lamp or a warm LED, which leaves blues dark"
            }
        };
        write!(
            f,
            "{looks}: nine of ten cloths are read to about ΔE {:.1} here, and to {:.1} in daylight; photograph at a window \
             if you can",
            self.within90, self.in_daylight
        )
    }
}

/// Whether the light is weak, as the chart shows it.
pub(super) fn weak(
    prepared: &Prepared,
    response: &Response,
    patches: &[Row],
    belief: &Belief,
) -> Option<WeakLight> {
    let day = prepared.in_daylight(response.rough)?;
    let mean = |response: &Response| -> Option<f64> {
        let (mut sum, mut count) = (0.0, 0.0);
        for patch in patches {
            let seen = std::array::from_fn(|c| dot(&response.mean[c], patch));
            let it = guess(seen, response, belief)?;
            sum += radius(it.lab, &it.covariance, NINE_OF_TEN);
            count += 1.0;
        }
        Some(sum / count)
    };
    let (within90, in_daylight) = (mean(response)?, mean(&day)?);
    let kind = if response.lamps[LampKind::ThreeBand.index()] > 0.5 {
        WeakKind::ThreeBand
    } else {
        WeakKind::Warm
    };
    (within90 > WEAK * in_daylight).then_some(WeakLight { kind, within90, in_daylight })
}
