//! Near colours gathered into tones, each about the colour that stands most often.

use colour::{Lab, ciede2000};

use super::calm::{Bin, MOST_TONES};
use crate::Picture;

/// A tone.
#[derive(Debug, Clone)]
pub(crate) struct Tone {
    /// D65/2°.
    pub(crate) lab: Lab,
    /// Linear device colour, 0 to 1.
    pub(crate) linear: [f64; 3],
    /// Bins that belong to it.
    pub(crate) bins: Vec<u32>,
    /// How much its calm pixels count.
    pub(crate) weight: f64,
}

/// ΔE00 within which two bins are one tone: what JPEG leaves of one flat stands within about 1, and colours nearer than
/// this nobody names apart in a drawing.
const RADIUS: f64 = 1.5;
/// ΔE00 within which a bin's pixels are averaged for the tone's colour.
const CORE: f64 = 0.9;
/// ΔE00 within which a bin that founds no tone still belongs to the nearest: ringing near lines.
const FRINGE: f64 = 4.0;
/// Most bins looked at: a photograph has more, and no flats.
const MOST_BINS: usize = 6000;
/// Least share of all weight that founds a tone.
const LEAST: f64 = 2e-5;

/// Gathers bins, weightiest first.
pub(crate) fn of(picture: &Picture, bins: &[Bin]) -> Vec<Tone> {
    let all: f64 = bins.iter().map(|b| b.weight).sum();
    let mut tones: Vec<(Tone, [f64; 4])> = vec![];
    for bin in bins.iter().take(MOST_BINS) {
        let linear = linear(picture, bin.mean);
        let lab = picture.lab_of(linear);
        let nearest = (0..tones.len())
            .filter(|i| near(tones[*i].0.lab, lab))
            .map(|i| (ciede2000(tones[i].0.lab, lab), i))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let founds = bin.weight >= LEAST * all && tones.len() < MOST_TONES;
        match nearest {
            Some((away, at)) if away <= RADIUS => {
                let (tone, core) = &mut tones[at];
                tone.bins.push(bin.at);
                tone.weight += bin.weight;
                if away <= CORE {
                    for (c, v) in core.iter_mut().zip(bin.mean) {
                        *c += bin.weight * v;
                    }
                    core[3] += bin.weight;
                }
            }
            _ if founds => {
                let [r, g, b] = bin.mean.map(|v| v * bin.weight);
                let tone = Tone { lab, linear, bins: vec![bin.at], weight: bin.weight };
                tones.push((tone, [r, g, b, bin.weight]));
            }
            Some((away, at)) if away <= FRINGE => tones[at].0.bins.push(bin.at),
            _ => {}
        }
    }
    tones
        .into_iter()
        .map(|(tone, [r, g, b, weight])| {
            let linear = linear(picture, [r, g, b].map(|v| v / weight));
            Tone { lab: picture.lab_of(linear), linear, ..tone }
        })
        .collect()
}

/// Whether two colours may lie within [`FRINGE`]: a cheap look before the difference is reckoned.
fn near(a: Lab, b: Lab) -> bool {
    let chroma = 4.0 * (1.0 + 0.05 * a.chroma().min(b.chroma()));
    (a.l - b.l).abs() < 8.0 && (a.a - b.a).abs() < chroma + 6.0 && (a.b - b.b).abs() < chroma + 8.0
}

/// Encoded 0 to 1 to linear, between the steps of the curve.
pub(crate) fn linear(picture: &Picture, encoded: [f64; 3]) -> [f64; 3] {
    let steps = if picture.is_deep() { 65535.0 } else { 255.0 };
    std::array::from_fn(|c| {
        let place = (encoded[c] * steps).clamp(0.0, steps);
        let below = place.floor();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let at = |v: f64| f64::from(picture.encoding().linear(c, v as usize));
        let (low, high) = (at(below), at((below + 1.0).min(steps)));
        low + (place - below) * (high - low)
    })
}
