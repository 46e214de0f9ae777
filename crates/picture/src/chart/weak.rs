//! Light under which a photograph says little: tungsten, which leaves the blue dark, and three-band tubes, which leave
//! gaps. The chart shows the lamp; how much weaker the reading is comes from the chart's own patches, read under this lamp
//! and as they would be read in daylight, with readings as rough as these.
//!
//! By which camera in daylight? The one that the chart tells apart from its lamp, but that is told badly: the camera has
//! balanced its white, and what tungsten does to a usual sensor another sensor does by itself. With 60 cameras made up
//! (`chart_photos --made-up 60 --seed 6`, 17 lights of the CIE) the logarithm of what a camera really does in daylight lies
//! half way (0.51) between that of a usual camera and that of the one told apart; half way is taken.

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
    /// Whether the camera corrected its colours.
    corrected: bool,
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

/// Light is called weak from this many times the daylight spread on: there, with the same 60 cameras, as many of the lights
/// that ought to be told are missed (A, FL11, FL12) as of those that ought not are told (D50, D65, D75, the white LED-B3, B4
/// and B5).
const WEAK: f64 = 1.45;
/// The same of a camera that corrects its colours, of whose daylight half way says a little too well: with twelve made up
/// (`--chain phone --made-up 12 --seed 8`) one in nine of either is then told wrongly.
const WEAK_CORRECTED: f64 = 1.6;

impl WeakLight {
    /// How many times wider what is read lies than in daylight.
    #[must_use]
    pub const fn times(&self) -> f64 {
        self.within90 / self.in_daylight
    }

    /// Whether it is worth telling.
    pub(super) const fn is_weak(&self) -> bool {
        self.times() > if self.corrected { WEAK_CORRECTED } else { WEAK }
    }
}

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

/// What is read in this light beside what would be read in daylight, whether it is weak or not.
pub(super) fn beside_daylight(
    prepared: &Prepared,
    response: &Response,
    patches: &[Row],
    belief: &Belief,
) -> Option<WeakLight> {
    let [own, usual] = prepared.in_daylight(patches, response)?;
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
    let within90 = mean(response)?;
    let in_daylight = (mean(&own)? * mean(&usual)?).sqrt();
    let kind = if response.lamps[LampKind::ThreeBand.index()] > 0.5 {
        WeakKind::ThreeBand
    } else {
        WeakKind::Warm
    };
    let corrected = prepared.is_corrected(response);
    Some(WeakLight { kind, within90, in_daylight, corrected })
}
