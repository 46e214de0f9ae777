//! A printer at home, made up from a seed: paper and three inks, and a black, laid as dots; what it prints for a screen colour.
//!
//! Inks are bells of optical density in wavelength with a tail towards the violet, the paper a white that falls off there;
//! dots mix as Neugebauer has it with the weights of Demichel, softened by Yule and Nielsen's exponent (from memory). All
//! numbers are invented. Left out: brightener in the paper, gloss, bleeding, more than four inks.

use colour::{BANDS, Bands, maths};

use crate::{Chance, Scene, Stand, Thing, View};

/// One printer with its paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Printer {
    paper: [f64; BANDS],
    /// Cyan, magenta, yellow, black: density of full ink.
    inks: [[f64; BANDS]; 4],
    /// Dots grow: the exponent of the coverage asked for.
    gain: [f64; 3],
    /// Part of the grey that is printed in black, from a half on.
    black: f64,
}

/// Yule and Nielsen's exponent.
const SPREADS: f64 = 2.0;

impl Printer {
    /// From chance.
    #[must_use]
    pub fn drawn(chance: &mut Chance) -> Self {
        let (top, dip) = (chance.between(0.84, 0.9), chance.between(0.02, 0.15));
        let paper = std::array::from_fn(|i| top - dip * maths::exp(-over_400(i) / 25.0));
        let ink = |peak: (f64, f64), width: (f64, f64), deep: (f64, f64), chance: &mut Chance| {
            let (peak, width) = (chance.between(peak.0, peak.1), chance.between(width.0, width.1));
            let (deep, tail) = (chance.between(deep.0, deep.1), chance.between(0.05, 0.2));
            let flat = chance.between(0.01, 0.06);
            std::array::from_fn(|i| {
                let away = (400.0 + over_400(i) - peak) / width;
                let bell = maths::exp(-0.5 * away * away);
                deep * (bell + tail * maths::exp(-over_400(i) / 60.0) + flat)
            })
        };
        let inks = [
            ink((618.0, 650.0), (48.0, 68.0), (0.9, 1.4), chance),
            ink((535.0, 560.0), (30.0, 42.0), (0.9, 1.4), chance),
            ink((420.0, 445.0), (32.0, 45.0), (0.9, 1.4), chance),
            [chance.between(1.1, 1.6); BANDS],
        ];
        let gain = std::array::from_fn(|_| chance.between(0.75, 1.1));
        Self { paper, inks, gain, black: chance.between(0.0, 0.8) }
    }

    /// What it prints when so much red, green and blue is asked of it (sRGB).
    #[must_use]
    pub fn prints(&self, rgb: [u8; 3]) -> Bands {
        let asked: [f64; 3] =
            std::array::from_fn(|c| maths::pow(1.0 - f64::from(rgb[c]) / 255.0, self.gain[c]));
        let grey = asked.iter().copied().fold(1.0, f64::min);
        let black = self.black * (2.0 * grey - 1.0).max(0.0);
        let dots = [asked[0] - 0.5 * black, asked[1] - 0.5 * black, asked[2] - 0.5 * black, black];
        let factors = std::array::from_fn(|i| {
            let mut sum = 0.0;
            for over in 0..16_usize {
                let (mut share, mut density) = (1.0, 0.0);
                for (k, dot) in dots.iter().enumerate() {
                    let inked = over >> k & 1 == 1;
                    share *= if inked { *dot } else { 1.0 - dot };
                    density += if inked { self.inks[k][i] } else { 0.0 };
                }
                let seen = self.paper[i] * maths::pow(10.0, -density) + 0.012;
                sum += share * maths::pow(seen, 1.0 / SPREADS);
            }
            maths::pow(sum, SPREADS)
        });
        Bands::try_new(factors).unwrap_or(Bands::WHITE)
    }
}

/// Lays a printed card, so many patches across, to the right of the chart of a scene, and photographs both whole.
#[must_use]
pub fn with_print(mut scene: Scene, prints: &[Bands], across: usize, chance: &mut Chance) -> Scene {
    let across = across.max(1);
    let down = prints.len().div_ceil(across);
    let pitch = 0.9;
    let half = [0.5 * pitch * count(across), 0.5 * pitch * count(down)];
    // The chart reaches about 3.6 from its middle.
    let middle = [4.1 + half[0] + 0.5, 0.0];
    let mut plate = |wider: f64, bands: Bands| {
        scene.things.push(Thing::plate(middle, half.map(|v| v + wider), bands));
    };
    let flat = |v: f64| Bands::flat(v).unwrap_or(Bands::WHITE);
    plate(0.5, flat(0.85));
    plate(0.3, flat(0.2));
    plate(0.06, flat(0.04));
    for (n, print) in prints.iter().enumerate() {
        let at = [
            middle[0] - half[0] + pitch * (count(n % across) + 0.5),
            middle[1] - half[1] + pitch * (count(n / across) + 0.5),
        ];
        scene.things.push(Thing::plate(at, [0.43 * pitch; 2], *print));
    }
    let stand = Stand {
        turn: chance.between(-3.0, 3.0),
        tilt: chance.between(0.0, 0.2),
        axis: chance.between(0.0, 6.0),
        lens: 1.1,
        fills: 0.92,
        off: [0.0, 0.0],
    };
    let (right, low) = (middle[0] + half[0] + 0.6, half[1].max(2.6) + 0.6);
    let bounds = [-3.9, -low, right, low];
    scene.view = View::of(&stand, bounds, count(scene.width), count(scene.height));
    scene.middle = ([0.5 * (right - 3.9), 0.0], 0.5 * (right + 3.9));
    scene.lit.near = None;
    scene.lit.slope[0] *= 0.3;
    scene
}

#[expect(clippy::cast_precision_loss, reason = "patches and pixels")]
const fn count(n: usize) -> f64 {
    n as f64
}

fn over_400(band: usize) -> f64 {
    u16::try_from(10 * band).map_or(0.0, f64::from)
}

#[cfg(test)]
mod tests {
    use colour::Weights;

    use super::*;

    #[test]
    fn paper_is_white_full_ink_is_dark_and_inks_have_their_hues() {
        let mut chance = Chance::of(2);
        for _ in 0..30 {
            let printer = Printer::drawn(&mut chance);
            let lab = |rgb: [u8; 3]| Weights::reference().lab(&printer.prints(rgb));
            assert!(lab([255; 3]).l > 90.0 && lab([0; 3]).l < 35.0);
            // Magenta inks are drawn wide on purpose: with some of them red leans far to orange.
            assert!(lab([255, 0, 0]).a > 10.0 && lab([0, 255, 0]).a < -25.0);
            assert!(lab([0, 0, 255]).b < -15.0 && lab([255, 255, 0]).b > 50.0);
            let greys: Vec<f64> = [20, 90, 160, 230].map(|v| lab([v; 3]).l).to_vec();
            assert!(greys.windows(2).all(|w| w[1] > w[0] + 5.0), "{greys:?}");
        }
    }
}
