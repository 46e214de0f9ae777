//! A camera made up from a seed: three sensitivities, a main lamp it is white-balanced to, and another lamp that may
//! fall into the picture.
//!
//! Sensitivities are sums of two bells, peaks and widths about those of sensors in use (from memory); lamps are Planck's
//! law and bells for a white LED (from memory). Nothing is fitted to a measured camera. Left out: anything beyond 400
//! to 700 nm.

use colour::{BANDS, Bands, maths};

use crate::Chance;

/// A kind of lamp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lamp {
    /// A body glowing at so many kelvin: sun and sky from about 5,000, tungsten below 3,400.
    Glowing(f64),
    /// A white LED: a blue pump of this share beside a phosphor that peaks at so many nanometres.
    Led(f64, f64),
}

/// A camera and what lights its picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Eye {
    main: [[f64; BANDS]; 3],
    other: [[f64; BANDS]; 3],
}

impl Eye {
    /// A camera from chance, balanced to the main lamp; the other lamp gives as much light of its own colour.
    #[must_use]
    pub fn drawn(main: Lamp, other: Lamp, chance: &mut Chance) -> Self {
        Self::of(&sensitivities(chance), main, other)
    }

    /// Of a camera with these sensitivities, 400 to 700 nm by 10 nm.
    #[must_use]
    pub fn of(sensitivities: &[[f64; BANDS]; 3], main: Lamp, other: Lamp) -> Self {
        let (power, beside) = (main.power(), other.power());
        let total = sensitivities.map(|row| (0..BANDS).map(|i| row[i] * power[i]).sum::<f64>());
        let under = |lamp: &[f64; BANDS]| {
            std::array::from_fn(|c| {
                std::array::from_fn(|i| sensitivities[c][i] * lamp[i] / total[c])
            })
        };
        Self { main: under(&power), other: under(&beside) }
    }

    /// What it makes of a surface in the main light, and in the other; a perfect white in the main light gives 1.
    #[must_use]
    pub fn sees(&self, surface: &Bands) -> [[f64; 3]; 2] {
        [&self.main, &self.other]
            .map(|rows| rows.map(|row| row.iter().zip(surface.values()).map(|(s, r)| s * r).sum()))
    }
}

/// Sensitivities of a camera from chance: red, green, blue; 400 to 700 nm by 10 nm.
#[must_use]
pub fn sensitivities(chance: &mut Chance) -> [[f64; BANDS]; 3] {
    [(600.0, 34.0), (540.0, 38.0), (458.0, 28.0)].map(|(peak, width)| {
        let (peak, width) = (peak + 7.0 * chance.normal(), width * chance.between(0.8, 1.2));
        let (aside, share) = (chance.between(-60.0, 60.0), chance.between(0.0, 0.08));
        std::array::from_fn(|i| {
            bell(nm(i), peak, width) + share * bell(nm(i), peak + aside, 1.5 * width)
        })
    })
}

impl Lamp {
    /// A main lamp: mostly daylight, also LED.
    #[must_use]
    pub fn usual(chance: &mut Chance) -> Self {
        if chance.below(3) == 0 {
            Self::Led(chance.between(0.4, 1.0), chance.between(560.0, 595.0))
        } else {
            Self::Glowing(chance.between(4800.0, 7500.0))
        }
    }

    /// A lamp of another colour than a main one.
    #[must_use]
    pub fn unlike(chance: &mut Chance) -> Self {
        if chance.below(2) == 0 {
            Self::Glowing(chance.between(2400.0, 3200.0))
        } else {
            Self::Glowing(chance.between(11000.0, 16000.0))
        }
    }

    /// At mean power 1; second constant of radiation 1.4388e7 nm K (CODATA 2018, rounded).
    fn power(self) -> [f64; BANDS] {
        let raw: [f64; BANDS] = std::array::from_fn(|i| match self {
            Self::Glowing(kelvin) => {
                maths::pow(nm(i) / 560.0, -5.0) / (maths::exp(1.4388e7 / (nm(i) * kelvin)) - 1.0)
            }
            Self::Led(pump, phosphor) => {
                pump * bell(nm(i), 452.0, 11.0) + bell(nm(i), phosphor, 58.0)
            }
        });
        let mean = raw.iter().sum::<f64>() / 31.0;
        raw.map(|v| v / mean)
    }
}

fn nm(band: usize) -> f64 {
    u16::try_from(Bands::wavelength(band)).map_or(0.0, f64::from)
}

fn bell(at: f64, peak: f64, width: f64) -> f64 {
    let away = (at - peak) / width;
    maths::exp(-0.5 * away * away)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_white_is_white_in_the_main_light_and_coloured_in_the_other() {
        let mut chance = Chance::of(3);
        let white = Bands::flat(1.0).unwrap();
        for _ in 0..20 {
            let (main, other) = (Lamp::usual(&mut chance), Lamp::unlike(&mut chance));
            let [here, there] = Eye::drawn(main, other, &mut chance).sees(&white);
            assert!(here.iter().all(|v| (v - 1.0).abs() < 1e-9), "{here:?}");
            assert!((there[0] / there[2] - 1.0).abs() > 0.1, "{there:?}");
        }
    }
}
