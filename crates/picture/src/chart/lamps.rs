//! The lamps a chart may have been photographed under: a believed range, not told by the maker.
//!
//! Daylights and some tubes and LEDs are the CIE's tables; tungsten lamps are Planck's law; white LEDs are made up of a
//! blue pump and a phosphor (widths and peaks from memory: pump 445–460 nm, phosphor 555–600 nm). Every lamp is equally
//! likely before the chart is read.

use colour::{BANDS, Light, maths};

use super::{Row, sensors::nm};

/// Kinds of light, as a chart can tell them apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LampKind {
    /// Sun and sky.
    Daylight,
    /// A glowing wire, halogen too.
    Tungsten,
    /// A fluorescent tube with a broad spectrum.
    Tube,
    /// A fluorescent tube of three narrow bands.
    ThreeBand,
    /// A white LED.
    WhiteLed,
}

/// How many kinds there are.
pub(super) const KINDS: usize = 5;

impl LampKind {
    pub(super) const fn index(self) -> usize {
        self as usize
    }
}

/// One lamp; of mean power 1.
pub(super) struct Lamp {
    pub(super) kind: LampKind,
    pub(super) power: Row,
}

/// Where D65 stands among the lamps.
pub(super) const D65: usize = 4;

/// Every lamp believed possible.
pub(super) fn lamps() -> Vec<Lamp> {
    let lamp = |kind: LampKind| move |power: Row| Lamp { kind, power };
    let mut all = Vec::new();
    let days = [Light::D50, Light::D55, Light::D65, Light::D75].map(|l| even(&l.power()));
    for pair in days.windows(2) {
        all.push(lamp(LampKind::Daylight)(pair[0]));
        all.push(lamp(LampKind::Daylight)(std::array::from_fn(|i| {
            0.5 * (pair[0][i] + pair[1][i])
        })));
    }
    all.push(lamp(LampKind::Daylight)(days[3]));
    all.extend([2400.0, 2700.0, 3000.0, 3400.0].map(tungsten).map(lamp(LampKind::Tungsten)));
    for pump in [445.0, 452.0, 460.0] {
        for (phosphor, width) in [(555.0, 60.0), (570.0, 60.0), (585.0, 65.0), (600.0, 65.0)] {
            all.extend(
                [0.35, 0.6, 0.9, 1.3]
                    .map(|share| white_led(pump, share, phosphor, width))
                    .map(lamp(LampKind::WhiteLed)),
            );
        }
    }
    for (kind, light) in [
        (LampKind::Tube, Light::Fl2),
        (LampKind::Tube, Light::Fl7),
        (LampKind::ThreeBand, Light::Fl11),
        (LampKind::ThreeBand, Light::Fl12),
        (LampKind::WhiteLed, Light::LedV1),
        (LampKind::WhiteLed, Light::LedV2),
        (LampKind::WhiteLed, Light::LedBh1),
    ] {
        all.push(lamp(kind)(even(&light.power())));
    }
    all
}

/// Planck's law; second constant 1.4388e7 nm K (CODATA 2018, rounded).
fn tungsten(kelvin: f64) -> Row {
    even(&std::array::from_fn(|i| {
        let at = nm(i);
        maths::pow(at / 560.0, -5.0) / (maths::exp(1.4388e7 / (at * kelvin)) - 1.0)
    }))
}

fn white_led(pump: f64, share: f64, phosphor: f64, width: f64) -> Row {
    let bell = |at: f64, peak: f64, short: f64, long: f64| {
        let away = (at - peak) / if at < peak { short } else { long };
        maths::exp(-0.5 * away * away)
    };
    even(&std::array::from_fn(|i| {
        share * bell(nm(i), pump, 9.0, 12.0) + bell(nm(i), phosphor, 0.75 * width, width)
    }))
}

fn even(power: &Row) -> Row {
    let mean = power.iter().sum::<f64>() / 31.0;
    debug_assert_eq!(BANDS, 31);
    power.map(|p| p / mean)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn daylight_stands_where_it_is_said_to() {
        let all = lamps();
        assert_eq!(all[D65].power, even(&Light::D65.power()));
        assert!(all.iter().all(|l| l.power.iter().all(|p| *p >= 0.0 && p.is_finite())));
    }
}
