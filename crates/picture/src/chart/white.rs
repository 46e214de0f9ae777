//! One white and nothing else: it tells how bright the light was in each channel, and neither the camera nor the lamp.
//!
//! So the whole belief about cameras and lamps stands, and is drawn from: a made-up sensor under a lamp, where the picture is
//! developed with a tone curve and mostly the camera's own correction, and the white as far as it is known; each draw is scaled to the white, reads the cloth, and counts
//! alike. One mean and one covariance of the response, as a chart leaves them, would not do: the lamp moves the three channels
//! together, and a cloth's colour bends with it, so that the draws lie far wider and more lopsided than a mean response says.
//! Where the kind of lamp is told, its lamps are equally likely; else first the kinds are.

use colour::{BANDS, Bands};

use super::{
    Chain, Patch, Row, Told,
    corrected::{Corrections, Primaries, lit},
    dot,
    lamps::{KINDS, LampKind, lamps},
    response::Response,
    search::Reading,
    sensors::{Steps, sensor},
    tone::Tone,
};

/// How far a stated white may be off (standard deviations of the logarithm of its reflectance).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WhiteSpread {
    /// As a whole.
    pub whole: f64,
    /// From one end of the spectrum to the other, half of it.
    pub tint: f64,
}

/// Draws; with four times as many the stated interval changes by about a hundredth.
const DRAWS: usize = 320;
/// How rough readings are, of white and of themselves: a quiet file, and a camera's JPEG (as `response` weighs them; one
/// patch cannot tell).
const QUIET: [f64; 2] = [0.0005 * 0.0005, 0.003 * 0.003];
const JPEG: [f64; 2] = [0.003 * 0.003, 0.006 * 0.006];

/// The ways in which the white may have come to be seen so, each as likely as any other.
pub(super) fn readings(
    white: &Patch,
    spread: WhiteSpread,
    Told { chain, lamp: told }: Told,
) -> Vec<Reading> {
    let mut steps = Steps::of(0x_3417);
    let kinds = by_kind();
    let weight = 1.0 / count(DRAWS);
    (0..DRAWS)
        .map(|n| {
            let (kind, turn) = match told {
                Some(kind) => (&kinds[kind.index()], n),
                None => (&kinds[n % KINDS], n / KINDS),
            };
            let lamp = &kind[turn % kind.len()];
            let sensor = sensor(&mut steps);
            let tone = match chain {
                Chain::Linear => Tone::PLAIN,
                Chain::Developed => Tone::drawn(steps.normal(), steps.normal()),
            };
            let (whole, tint) = (spread.whole * steps.normal(), spread.tint * steps.normal());
            let surface = off(&white.reflectance, whole, tint);
            let mean = match development(chain, n) {
                None => sensor.map(|curve| lit(&curve, lamp)),
                Some(primaries) => Corrections::all().drawn(&sensor, lamp, primaries, &mut steps),
            };
            let rough = if chain == Chain::Linear { QUIET } else { JPEG };
            let plain = Reading::drawn(weight, Response::drawn(mean, rough), tone, [1.0; 3]);
            let seen = plain.of(&white.seen);
            let scale = std::array::from_fn(|c| (seen[c] / dot(&mean[c], &surface)).max(1e-9));
            plain.scaled(scale)
        })
        .collect()
}

fn by_kind() -> [Vec<Row>; KINDS] {
    let mut all: [Vec<Row>; KINDS] = std::array::from_fn(|_| Vec::new());
    for lamp in lamps() {
        all[LampKind::index(lamp.kind)].push(lamp.power);
    }
    all
}

/// What the nth draw's camera brings its colours to; nothing where it leaves them as the sensor saw them, which of cameras
/// that save developed pictures few do (one in five: judgement; a chart would tell, a white does not).
const fn development(chain: Chain, n: usize) -> Option<Primaries> {
    match (chain, n / KINDS % 5) {
        (Chain::Linear, _) | (_, 0) => None,
        (Chain::Developed, 1 | 2) => Some(Primaries::Srgb),
        (Chain::Developed, _) => Some(Primaries::P3),
    }
}

fn off(white: &Bands, whole: f64, tint: f64) -> Row {
    let ends = count(BANDS - 1);
    let values = white.values();
    std::array::from_fn(|i| {
        let along = 2.0 * count(i) / ends - 1.0;
        values[i] * colour::maths::exp(whole + tint * along)
    })
}

#[expect(clippy::cast_precision_loss, reason = "draws and bands, far below 2^52")]
const fn count(n: usize) -> f64 {
    n as f64
}
