//! Camera sensors made up: what is believed of a phone's or camera's three sensitivities before it saw a chart.
//!
//! Made from parts, not measured: silicon under glass that rises from the violet and falls towards the red, a violet and
//! an infrared cut, and for each channel one bell (steeper or flatter than Gaussian, its two sides apart), a little of what
//! leaks through elsewhere, and a slow ripple. **All ranges are from memory or judgement**: peaks of colour filters about
//! 455, 533 and 600 nm, cuts where camera makers put them. No measured camera went into them. Only mean and covariance of
//! the curves are kept. Lamps multiply them (`lamps`).
//!
//! Left out: sensors without colour filters of red, green and blue.

use std::sync::OnceLock;

use colour::{BANDS, Bands, maths};

use super::{Row, Square};

/// What is believed of one channel: its sensitivity, or what it makes of the bands under a lamp; its values sum to one on
/// average.
#[derive(Debug, Clone)]
pub(super) struct Channel {
    /// The mean.
    pub(super) mean: Row,
    /// The covariance.
    pub(super) covariance: Box<Square>,
}

/// Sensors made up; with more the covariance changes by less than its ranges are unsure.
const MADE: u32 = 1_500;

/// The three channels: red, green, blue.
pub(super) fn channels() -> &'static [Channel; 3] {
    static ALL: OnceLock<[Channel; 3]> = OnceLock::new();
    ALL.get_or_init(|| {
        let mut steps = Steps::of(0x5eed);
        let all: Vec<[Row; 3]> = (0..MADE).map(|_| sensor(&mut steps)).collect();
        std::array::from_fn(|c| moments(&all, c))
    })
}

/// Mean and covariance of one channel.
#[expect(clippy::cast_precision_loss, reason = "sensors made up, far below 2^52")]
pub(super) fn moments(all: &[[Row; 3]], channel: usize) -> Channel {
    let n = all.len() as f64;
    let mut mean = [0.0; BANDS];
    for sensor in all {
        for (m, s) in mean.iter_mut().zip(&sensor[channel]) {
            *m += s / n;
        }
    }
    let mut covariance = Box::new([[0.0; BANDS]; BANDS]);
    for sensor in all {
        let away: Row = std::array::from_fn(|i| sensor[channel][i] - mean[i]);
        for (line, a) in covariance.iter_mut().zip(&away) {
            for (cell, b) in line.iter_mut().zip(&away) {
                *cell += a * b / n;
            }
        }
    }
    Channel { mean, covariance }
}

/// A bell's ranges: peak (nm), both widths (nm), steepness (2 is Gaussian).
struct Bell {
    peak: Range,
    short: Range,
    long: Range,
}

/// What leaks through: height, and where.
struct Leak {
    height: Range,
    peak: Range,
    width: f64,
}

type Range = (f64, f64);

const RED: Bell = Bell { peak: (585.0, 620.0), short: (15.0, 35.0), long: (35.0, 70.0) };
const GREEN: Bell = Bell { peak: (522.0, 545.0), short: (28.0, 45.0), long: (28.0, 45.0) };
const BLUE: Bell = Bell { peak: (440.0, 470.0), short: (22.0, 45.0), long: (22.0, 40.0) };
const STEEPNESS: Range = (1.7, 2.6);

const RED_LEAKS: &[Leak] = &[
    Leak { height: (0.0, 0.1), peak: (420.0, 470.0), width: 40.0 },
    Leak { height: (0.0, 0.08), peak: (510.0, 550.0), width: 40.0 },
];
const GREEN_LEAKS: &[Leak] = &[
    Leak { height: (0.0, 0.08), peak: (430.0, 460.0), width: 40.0 },
    Leak { height: (0.0, 0.1), peak: (620.0, 680.0), width: 40.0 },
];
const BLUE_LEAKS: &[Leak] = &[Leak { height: (0.0, 0.06), peak: (540.0, 640.0), width: 60.0 }];

/// Waves of the ripple over the range, and the first one's height (natural logarithm).
const RIPPLES: u32 = 6;
const RIPPLE: f64 = 0.06;

/// One sensor; each channel sums to one.
pub(super) fn sensor(steps: &mut Steps) -> [Row; 3] {
    let silicon = [
        (400.0, steps.within((0.35, 0.75))),
        (450.0, steps.within((0.65, 0.95))),
        (550.0, 1.0),
        (620.0, steps.within((0.75, 1.0))),
        (700.0, steps.within((0.45, 0.8))),
    ];
    let violet = (steps.within((395.0, 425.0)), steps.within((4.0, 10.0)));
    let infrared = (steps.within((630.0, 690.0)), steps.within((8.0, 22.0)));
    [(&RED, RED_LEAKS), (&GREEN, GREEN_LEAKS), (&BLUE, BLUE_LEAKS)].map(|(bell, leaks)| {
        let mut curve = filter(bell, leaks, steps);
        for (i, s) in curve.iter_mut().enumerate() {
            let at = nm(i);
            *s *= line(&silicon, at)
                / (1.0 + maths::exp((violet.0 - at) / violet.1))
                / (1.0 + maths::exp((at - infrared.0) / infrared.1));
        }
        let total: f64 = curve.iter().sum();
        curve.map(|s| s / total)
    })
}

fn filter(bell: &Bell, leaks: &[Leak], steps: &mut Steps) -> Row {
    let (peak, steep) = (steps.within(bell.peak), steps.within(STEEPNESS));
    let (short, long) = (steps.within(bell.short), steps.within(bell.long));
    let leaks: Vec<(f64, f64, f64)> =
        leaks.iter().map(|l| (steps.within(l.height), steps.within(l.peak), l.width)).collect();
    let ripple: Vec<f64> =
        (1..=RIPPLES).map(|k| steps.normal() * RIPPLE / f64::from(k).sqrt()).collect();
    std::array::from_fn(|i| {
        let at = nm(i);
        let away = if at < peak { (peak - at) / short } else { (at - peak) / long };
        let mut sum = maths::exp(-0.5 * maths::pow(away, steep));
        for (height, place, width) in &leaks {
            let away = (at - place) / width;
            sum += height * maths::exp(-0.5 * away * away);
        }
        let turn = std::f64::consts::PI * (at - 400.0) / 300.0;
        let wave: f64 =
            ripple.iter().zip(1_u32..).map(|(a, k)| a * maths::cos(f64::from(k) * turn)).sum();
        sum * maths::exp(wave)
    })
}

fn line(points: &[(f64, f64)], at: f64) -> f64 {
    let mut low = points[0];
    for &(place, value) in points {
        if at <= place {
            let share = if place > low.0 { (at - low.0) / (place - low.0) } else { 1.0 };
            return low.1 + share * (value - low.1);
        }
        low = (place, value);
    }
    low.1
}

pub(super) fn nm(band: usize) -> f64 {
    u16::try_from(Bands::wavelength(band)).map_or(f64::NAN, f64::from)
}

/// One fixed row of numbers, the same for everybody and always: a table that is not written out. (SplitMix64, Steele, Lea
/// and Flood 2014.)
pub(super) struct Steps(u64);

impl Steps {
    pub(super) const fn of(start: u64) -> Self {
        Self(start)
    }

    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        let high = u32::try_from((z ^ (z >> 31)) >> 32).unwrap_or(u32::MAX);
        (f64::from(high) + 0.5) / 4_294_967_296.0
    }

    pub(super) fn within(&mut self, (low, high): Range) -> f64 {
        low + (high - low) * self.next()
    }

    pub(super) fn normal(&mut self) -> f64 {
        let (a, b) = (self.next(), self.next());
        (-2.0 * maths::ln(a)).sqrt() * maths::cos(std::f64::consts::TAU * b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn channels_peak_in_their_order_and_sum_to_one() {
        let [r, g, b] = channels();
        let peak = |c: &Channel| {
            (0..BANDS).fold(0, |best, i| if c.mean[i] > c.mean[best] { i } else { best })
        };
        assert!(peak(b) < peak(g) && peak(g) < peak(r));
        for c in [r, g, b] {
            assert!((c.mean.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            assert!((0..BANDS).all(|i| c.covariance[i][i] > 0.0));
        }
    }
}
