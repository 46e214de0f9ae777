//! Two cloths dyed with the same invented dyes, the second with other amounts.
//!
//! Dyes are bells in wavenumber, the cloth a white that falls off towards the violet; they mix as Kubelka and Munk have it
//! (Z. techn. Phys. 12 (1931) 593). All numbers are invented, and drawn anew for each pair. Left out: fibre, fastness, and
//! any law of uptake; an amount is what is on the fibre.

use colour::{BANDS, Bands, maths};

use crate::Chance;

/// Peak (nm), full width at half height (cm⁻¹) and how far peaks are drawn around (nm), by hue.
const YELLOW: [f64; 3] = [415.0, 6500.0, 20.0];
const RED: [f64; 3] = [520.0, 4200.0, 20.0];
const BLUE: [f64; 3] = [600.0, 4000.0, 25.0];
/// Range of K/S at the peak of a dye's main band, drawn evenly in its logarithm.
const DEPTH: (f64, f64) = (0.05, 12.0);

/// A cloth and the same with each amount off by this much (standard deviation of its logarithm).
pub fn dyed_pair(off: f64, chance: &mut Chance) -> [Bands; 2] {
    let dip = chance.between(0.02, 0.2);
    let top = chance.between(0.8, 0.92);
    let ground: [f64; BANDS] = std::array::from_fn(|i| {
        let white = top - dip * maths::exp(-nm_above_400(i) / 40.0);
        (1.0 - white) * (1.0 - white) / (2.0 * white)
    });
    let dyes = [YELLOW, RED, BLUE].map(|hue| {
        let depth = maths::exp(chance.between(maths::ln(DEPTH.0), maths::ln(DEPTH.1)));
        // one dye in three is hardly there
        let share = if chance.even() < 0.33 { 0.03 } else { 1.0 };
        (band(hue, chance), depth * share)
    });
    let second = dyes.map(|(_, amount)| amount * maths::exp(off * chance.normal()));
    let first = dyes.map(|(_, amount)| amount);
    [first, second].map(|amounts| {
        let factors = std::array::from_fn(|i| {
            let dyed: f64 = dyes.iter().zip(amounts).map(|((shape, _), a)| shape[i] * a).sum();
            let ks = ground[i] + dyed;
            1.0 / (1.0 + ks + (ks * (ks + 2.0)).sqrt())
        });
        Bands::try_new(factors).unwrap_or(Bands::WHITE)
    })
}

/// The main band, and a lower one towards the violet.
fn band([peak, width, around]: [f64; 3], chance: &mut Chance) -> [f64; BANDS] {
    let peak = peak + around * (2.0 * chance.even() - 1.0);
    let width = width * chance.between(0.85, 1.2);
    let (second, height) = (peak - chance.between(40.0, 70.0), chance.between(0.2, 0.7));
    let bell = |at: f64, nm: f64| {
        let away = (1e7 / at - 1e7 / nm) / width;
        maths::exp(-4.0 * std::f64::consts::LN_2 * away * away)
    };
    std::array::from_fn(|i| {
        let at = 400.0 + nm_above_400(i);
        bell(at, peak) + height * bell(at, second)
    })
}

fn nm_above_400(band: usize) -> f64 {
    u16::try_from(10 * band).map_or(0.0, f64::from)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_change_of_amounts_is_no_change_and_more_is_darker() {
        let mut chance = Chance::of(5);
        for _ in 0..50 {
            let [a, b] = dyed_pair(0.0, &mut chance);
            assert_eq!(a, b);
            assert!(a.values().iter().all(|r| *r > 0.01 && *r < 0.95), "{a:?}");
        }
        let [a, b] = dyed_pair(0.15, &mut chance);
        assert_ne!(a, b);
    }
}
