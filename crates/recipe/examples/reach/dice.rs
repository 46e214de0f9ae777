//! A small generator, so that a seed means the same targets on every machine.
//!
//! `SplitMix64` (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014; the
//! constants from memory).

/// The generator.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// A number from 0 to below 1.
    #[expect(clippy::cast_precision_loss, reason = "53 bits are kept")]
    pub(crate) fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// One place out of `of`.
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a roll is from 0 to below 1"
    )]
    pub(crate) fn pick(&mut self, of: usize) -> usize {
        (self.roll() * of as f64) as usize
    }
}
