//! Chance from a seed: the same numbers on every machine.
//!
//! SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014); normal deviates by
//! Box and Muller (Ann. Math. Stat. 29 (1958) 610).

use colour::maths;

/// A source of chance.
#[derive(Debug, Clone)]
pub struct Chance {
    state: u64,
}

impl Chance {
    /// From a seed.
    #[must_use]
    pub const fn of(seed: u64) -> Self {
        Self { state: seed }
    }

    /// The next 64 bits.
    pub const fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.state ^ (self.state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly from 0 to below 1.
    pub fn even(&mut self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit")]
        let bits = (self.bits() >> 11) as f64;
        bits / 9_007_199_254_740_992.0
    }

    /// Evenly between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }

    /// A whole number below `end`; 0 where that is 0.
    pub fn below(&mut self, end: usize) -> usize {
        // The bias of a remainder is below 1e-12 for any number of a scene.
        usize::try_from(self.bits() % (end.max(1) as u64)).unwrap_or(0)
    }

    /// A standard normal deviate.
    pub fn normal(&mut self) -> f64 {
        let (a, b) = (1.0 - self.even(), self.even());
        (-2.0 * maths::ln(a)).sqrt() * maths::cos(std::f64::consts::TAU * b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_numbers_are_the_published_ones() {
        // Seed 1234567, as published with the reference code of SplitMix64.
        let mut chance = Chance::of(1_234_567);
        let first: Vec<u64> = (0..3).map(|_| chance.bits()).collect();
        assert_eq!(
            first,
            [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]
        );
    }

    #[test]
    fn normal_deviates_have_no_mean_and_unit_spread() {
        let mut chance = Chance::of(7);
        let all: Vec<f64> = (0..20_000).map(|_| chance.normal()).collect();
        let mean = all.iter().sum::<f64>() / 20_000.0;
        let square = all.iter().map(|v| v * v).sum::<f64>() / 20_000.0;
        assert!(mean.abs() < 0.03 && (square - 1.0).abs() < 0.04, "{mean} {square}");
    }
}
