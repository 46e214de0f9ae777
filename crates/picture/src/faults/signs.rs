//! What a photograph of a chart shows of its own faults, as numbers; and from which number on it is refused.
//!
//! The limits were set on rendered scenes with and without faults (`photo_faults`, seeds 77 and 101, never one that is
//! reported), never on photographs: they are trials' values, not measurements of cameras. Each stands where at most one
//! sound photograph in a hundred has its sign, and further out where that costs no spoilt one; of the roughness an ordinary
//! camera leaves, room is left for cameras less smooth than those made up, none of which left more than 0.03.

use super::{
    edges::crept,
    fit::{Fit, Unsure},
};
use crate::{ChartKind, ClothSample, FoundChart, PhotoRefusal, Picture, Sample, sample::number};

/// Signs of faults in the chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Signs {
    /// Patches with more than a fifth of their pixels at the top of the scale.
    pub clipped: usize,
    /// What an ordinary camera leaves unexplained of the patches, in the middle, as a share of each.
    pub rough: f64,
    /// Patches that an ordinary camera cannot have seen so, counted from 1.
    pub strange: Vec<usize>,
    /// The largest that is left of a patch, as the root mean square over the channels, a share of the patch.
    pub strangest: f64,
    /// The most light that lies over a patch beyond what it reflects, as a share of white.
    pub added: f64,
    /// The largest change of light within the middle of a patch, as a share of it.
    pub lean: f64,
    /// Share of the step from a patch to its gap that has crept into the patch.
    pub crept: f64,
    /// Change of the logarithm of the light over half of the chart's length: along its rows and across, red, green, blue.
    pub slope: [[f64; 2]; 3],
    /// How far that may be off.
    pub unsure: Unsure,
}

/// Limits on the chart. See the head of this file.
const ROUGHEST: f64 = 0.036;
const MOST_STRANGE: usize = 2;
const STRANGEST: f64 = 0.42;
const MOST_ADDED: f64 = 0.015;
pub(crate) const MOST_LEAN: f64 = 0.14;
pub(crate) const MOST_CREPT: f64 = 0.12;
const MOST_TINT: f64 = 0.08;
const STEEPEST: f64 = 0.25;
/// Limits on a cloth.
const CLIPPED_CLOTH: f64 = 0.02;
const CRUSHED_CLOTH: f64 = 0.3;
/// A cloth with no channel above this part of full scale is dark (judgement).
const DARK_CLOTH: f64 = 0.03;
const UNEVEN_CLOTH: f64 = 0.09;
const BLOTCHED_CLOTH: f64 = 0.12;
const DISCOLOURED_CLOTH: f64 = 0.06;
const SLOPE_ON_CLOTH: f64 = 0.21;
/// Light on the cloth against light on the chart's middle, as a logarithm of their ratio, and its colour.
const FAR_LIGHT: f64 = 0.34;
const FAR_TINT: f64 = 0.08;
/// And so many standard deviations of what the chart tells of it: its slope is drawn out to a cloth far away, and what it may
/// be off is drawn out with it. With two, no spoilt scene of 120 of each fault was lost (seed 106), and with 2.5 one was.
const SURELY: f64 = 2.0;
/// A patch is strange from here on, in standard deviations of the fit.
const STRANGE: f64 = 0.25;

impl Signs {
    pub(crate) fn of(
        picture: &Picture,
        chart: &FoundChart,
        kind: &ChartKind,
        samples: &[Sample],
    ) -> Option<Self> {
        let fit = Fit::of(kind, samples)?;
        let white = samples.iter().map(|s| s.rgb[1]).fold(0.0, f64::max);
        let mut strange = Vec::new();
        let (mut strangest, mut added) = (0.0, 0.0);
        for (n, (left, sample)) in fit.left.iter().zip(samples).enumerate() {
            let Some(left) = left else { continue };
            let size = (left.iter().map(|v| v * v).sum::<f64>() / 3.0).sqrt();
            // Of the darkest patches a share of white counts that is noise and stray light.
            let dark = sample.rgb.iter().copied().fold(f64::MAX, f64::min) / white;
            let size = size * dark / (dark + 0.012);
            if size > STRANGE {
                strange.push(n + 1);
            }
            strangest = f64::max(strangest, size);
            let more = (0..3).map(|c| (1.0 - colour::maths::exp(-left[c])) * sample.rgb[c] / white);
            added = f64::max(added, more.fold(f64::MAX, f64::min));
        }
        // Against its brightest channel, which has the largest lean where light as such changes.
        let brightest = |s: &Sample| s.rgb.iter().copied().fold(0.03 * white, f64::max);
        let lean = samples.iter().map(|s| s.lean / brightest(s)).fold(0.0, f64::max);
        Some(Self {
            clipped: samples.iter().filter(|s| s.clipped > 0.2).count(),
            rough: fit.rough,
            strange,
            strangest,
            added,
            lean,
            crept: crept(picture, chart, kind).unwrap_or(1.0),
            slope: fit.slope,
            unsure: fit.unsure,
        })
    }

    /// The first fault of the chart, the most certain ones first.
    ///
    /// # Errors
    /// That fault.
    pub(crate) fn judge(&self) -> Result<(), PhotoRefusal> {
        if self.clipped > 0 {
            return Err(PhotoRefusal::Clipped { patches: self.clipped });
        }
        if self.crept > MOST_CREPT {
            return Err(PhotoRefusal::Blurred);
        }
        let (along, across) = (self.falls([1.0, 0.0]), self.falls([0.0, 0.6]));
        let [light, tint] = [along[0].max(across[0]), along[1].max(across[1])];
        if tint > MOST_TINT {
            return Err(PhotoRefusal::TwoLights { percent: 100.0 * tint });
        }
        if light > STEEPEST {
            return Err(PhotoRefusal::Steep { percent: 100.0 * (colour::maths::exp(light) - 1.0) });
        }
        if self.lean > MOST_LEAN {
            return Err(PhotoRefusal::Glare);
        }
        // A gleam lies over some patches; where all fit badly, or several not at all, it is another chart.
        if self.rough > ROUGHEST || self.strange.len() > MOST_STRANGE {
            return Err(PhotoRefusal::OtherValues { patches: self.strange.clone() });
        }
        if self.added > MOST_ADDED {
            return Err(PhotoRefusal::Glare);
        }
        if self.strangest > STRANGEST {
            return Err(PhotoRefusal::OtherValues { patches: self.strange.clone() });
        }
        Ok(())
    }

    /// How light and its colour differ at a place (in half lengths of the chart from its middle) from the middle:
    /// logarithms of ratios.
    pub(crate) fn falls(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [r, g, b] = self.slope.map(|s| s[0] * x + s[1] * y);
        [((r + g + b) / 3.0).abs(), (r - g).abs().max((b - g).abs())]
    }
}

impl ClothSample {
    /// The first fault of a cloth.
    ///
    /// # Errors
    /// That fault.
    pub(crate) fn judge(&self, signs: &Signs, place: [f64; 2]) -> Result<(), PhotoRefusal> {
        self.own_fault()?;
        let [light, tint] = signs.falls(place);
        let [light_off, tint_off] = signs.unsure.at(place);
        if tint > FAR_TINT.max(SURELY * tint_off) {
            return Err(PhotoRefusal::TwoLights { percent: 100.0 * tint });
        }
        if light > FAR_LIGHT.max(SURELY * light_off) {
            return Err(PhotoRefusal::Steep { percent: 100.0 * (colour::maths::exp(light) - 1.0) });
        }
        Ok(())
    }

    /// Whether a channel stands at the bottom of the scale. In a bright place that is no dark cloth, but a colour stronger
    /// than the file can hold: what is read there has the wider spread.
    #[must_use]
    pub fn is_cut_off(&self) -> bool {
        self.sample.crushed > CRUSHED_CLOTH
    }

    /// The first fault that it shows by itself, whatever lies beside it.
    ///
    /// # Errors
    /// That fault.
    pub(crate) fn own_fault(&self) -> Result<(), PhotoRefusal> {
        if self.sample.clipped > CLIPPED_CLOTH {
            return Err(PhotoRefusal::ClothClipped { percent: 100.0 * self.sample.clipped });
        }
        if self.is_cut_off() && self.sample.rgb.iter().all(|v| *v < DARK_CLOTH) {
            return Err(PhotoRefusal::ClothDark);
        }
        if self.discoloured > DISCOLOURED_CLOTH {
            return Err(PhotoRefusal::ClothDiscoloured { percent: 100.0 * self.discoloured });
        }
        if self.blotched > BLOTCHED_CLOTH {
            return Err(PhotoRefusal::ClothBlotched { percent: 100.0 * self.blotched });
        }
        if self.uneven > UNEVEN_CLOTH || self.slope > SLOPE_ON_CLOTH {
            return Err(PhotoRefusal::ClothUneven { percent: 100.0 * self.uneven.max(self.slope) });
        }
        Ok(())
    }
}

/// A place in the picture, in half lengths of the chart from its middle.
pub(crate) fn from_chart(chart: &FoundChart, pixel: [f64; 2]) -> [f64; 2] {
    let [across, down] = chart.size();
    let half = 0.5 * number(across - 1);
    let [x, y] = chart.map.inverse().at(pixel);
    [(x - half) / half, (y - 0.5 * number(down - 1)) / half]
}
