//! The lamps a chart may have been photographed under: a believed range, not told by the maker.
//!
//! Daylights and some tubes and LEDs are the CIE's tables; tungsten lamps are Planck's law; white LEDs are made up of a
//! blue pump and a phosphor (widths and peaks from memory: pump 445–460 nm, phosphor 555–600 nm). Every lamp is equally
//! likely before the chart is read.

use colour::{BANDS, Light, maths};

use super::{Row, sensors::nm};

/// Every lamp believed possible; each of mean power 1.
pub(super) fn lamps() -> Vec<Row> {
    let mut all: Vec<Row> = Vec::new();
    let days = [Light::D50, Light::D55, Light::D65, Light::D75].map(|l| even(&l.power()));
    for pair in days.windows(2) {
        all.push(pair[0]);
        all.push(std::array::from_fn(|i| 0.5 * (pair[0][i] + pair[1][i])));
    }
    all.push(days[3]);
    all.extend([2400.0, 2700.0, 3000.0, 3400.0].map(tungsten));
    for pump in [445.0, 452.0, 460.0] {
        for (phosphor, width) in [(555.0, 60.0), (570.0, 60.0), (585.0, 65.0), (600.0, 65.0)] {
            all.extend([0.35, 0.6, 0.9, 1.3].map(|share| white_led(pump, share, phosphor, width)));
        }
    }
    let tables = [
        Light::Fl2,
        Light::Fl7,
        Light::Fl11,
        Light::Fl12,
        Light::LedV1,
        Light::LedV2,
        Light::LedBh1,
    ];
    all.extend(tables.map(|l| even(&l.power())));
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
