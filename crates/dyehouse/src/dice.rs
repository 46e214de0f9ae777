//! Chance from a seed: one small stream per thing that is drawn, so that what happens to one swatch
//! does not depend on what was drawn before it.
//!
//! Rival programs that dye the same swatch number of the same job so meet the same luck.

use std::f64::consts::TAU;

use colour::maths;

/// `SplitMix64` (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014).
#[derive(Debug, Clone)]
pub(crate) struct Dice(u64);

impl Dice {
    /// The stream that belongs to these keys.
    pub(crate) fn of(seed: u64, keys: &[u64]) -> Self {
        let mut dice = Self(seed);
        for key in keys {
            // Each key moves a mixed state, so (1, 2) and (2, 1) lead to different streams.
            let mixed = dice.next();
            dice.0 = mixed ^ key.wrapping_mul(0xd6e8_feb8_6659_fd93);
        }
        dice.next();
        dice
    }

    /// All 64 bits, for a further seed.
    pub(crate) fn whole(&mut self) -> u64 {
        self.next()
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Even in 0 up to 1.
    pub(crate) fn roll(&mut self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "53 bits are what a double holds")]
        let whole = (self.next() >> 11) as f64;
        whole / 9_007_199_254_740_992.0
    }

    /// Standard normal, by Box and Muller's transform.
    pub(crate) fn normal(&mut self) -> f64 {
        let far = (-2.0 * maths::ln(1.0 - self.roll())).sqrt();
        far * maths::cos(TAU * self.roll())
    }

    /// A place below `of`, which must not be 0.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a place below `of`, which is small"
    )]
    pub(crate) fn pick(&mut self, of: usize) -> usize {
        ((self.roll() * of as f64) as usize).min(of - 1)
    }

    /// The factor that gives a normal deviate the tails of Student's t with these degrees of freedom (3
    /// or more) and leaves its variance alone.
    pub(crate) fn stretch(&mut self, degrees: u32) -> f64 {
        let squares: f64 = (0..degrees)
            .map(|_| {
                let z = self.normal();
                z * z
            })
            .sum();
        let degrees = f64::from(degrees);
        // t = z / sqrt(chi2/d) has variance d/(d - 2).
        (degrees / squares.max(1e-9)).sqrt() * ((degrees - 2.0) / degrees).sqrt()
    }
}
