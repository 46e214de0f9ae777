//! The depth law, and the shape of one dye under it.

use colour::{BANDS, Bands, Weights, maths};
use nalgebra::{Matrix3, Vector3};

use super::Scale;

/// The constants all dyes share. See the room's page for what each stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DepthLaw {
    /// The scale on which dye adds up.
    pub scale: Scale,
    /// The part of a dye's own drift that is believed between the two pieces, 0 to 1.
    pub share: f64,
    /// How far the long-wave end leads on the way to deeper, per 150 nm.
    pub tilt: f64,
    /// How far both ends lead on the way to deeper, per 25 of L* the known piece is darker than 50.
    pub bow: f64,
    /// How far bands stronger or weaker than the mean lead on the way to deeper, per squared unit of
    /// ln strength from the mean (counted up to 4).
    pub flare: f64,
}

/// One dye on one cloth: how strongly each band absorbs at amount 1, and how each band follows the
/// amount.
#[derive(Debug, Clone, PartialEq)]
pub struct DyeShape {
    scale: Scale,
    ln_strength: [f64; BANDS],
    drift: [f64; 2],
    paler: [f64; BANDS],
    deeper: [f64; BANDS],
}

/// Exponents stay above this, so that more dye is never lighter in any band.
const LEAST_EXPONENT: f64 = 0.1;

/// A band's distance from the mean, squared, counts up to this: a tail without dye (e² times weaker
/// than the mean) is read too badly to tell more.
const FARTHEST: f64 = 4.0;

/// The two pieces must differ by this much in mean ln strength (about 5 %) before a drift is read
/// off them: nearer, reading noise would be all there is (judgement).
const LEAST_RISE: f64 = 0.05;

impl DepthLaw {
    /// One factor on K/S: no drift of any kind. The rule to beat.
    pub const ONE_FACTOR: Self =
        Self { scale: Scale::KUBELKA_MUNK, share: 0.0, tilt: 0.0, bow: 0.0, flare: 0.0 };

    /// What the program carries: K/S, and half of a dye's own drift believed on the paler side
    /// (equal trust in both pieces: judgement, set beforehand). Nothing here was fitted.
    pub const SHIPPED: Self = Self { share: 0.5, ..Self::ONE_FACTOR };

    /// The shape of a dye known by one piece alone; that piece has amount 1.
    #[must_use]
    pub fn learn_one(&self, piece: &Bands) -> DyeShape {
        self.shape(piece, None)
    }

    /// The shape of a dye known by a piece (amount 1) and a paler one of the same dye on the same
    /// cloth. When the other is not paler by 5 % or so, it tells nothing and is left aside.
    #[must_use]
    pub fn learn(&self, piece: &Bands, paler: &Bands) -> DyeShape {
        self.shape(piece, Some(paler))
    }

    fn shape(&self, piece: &Bands, paler: Option<&Bands>) -> DyeShape {
        let ln_of = |bands: &Bands| bands.values().map(|r| self.scale.ln_strength(r));
        let ln_strength = ln_of(piece);
        let weights = weights(piece);
        let mean = dot(&weights, &ln_strength);
        let (drift, course) = match paler {
            Some(other) => drift(&ln_strength, &ln_of(other), &weights),
            None => ([0.0; 2], [0.0; BANDS]),
        };
        let darkness = (50.0 - Weights::reference().lab(piece).l) / 25.0;
        let exponent = |lead: f64| (1.0 + lead).max(LEAST_EXPONENT);
        DyeShape {
            scale: self.scale,
            ln_strength,
            drift,
            paler: course.map(|c| exponent(self.share * c)),
            deeper: std::array::from_fn(|i| {
                let x = place(i);
                let away = ln_strength[i] - mean;
                exponent(
                    self.tilt * x
                        + self.bow * darkness * x * x
                        + self.flare * (away * away).min(FARTHEST),
                )
            }),
        }
    }
}

impl DyeShape {
    /// The dye's own two constants: tilt and bow of its drift between the two pieces.
    #[must_use]
    pub const fn drift(&self) -> [f64; 2] {
        self.drift
    }

    /// Logarithm of the strength of each band at an amount given as its logarithm; 0 is the piece
    /// learnt from. Never falls as the amount rises.
    #[must_use]
    pub fn ln_strength(&self, ln_amount: f64) -> [f64; BANDS] {
        let exponents = if ln_amount > 0.0 { &self.deeper } else { &self.paler };
        std::array::from_fn(|i| self.ln_strength[i] + ln_amount * exponents[i])
    }

    /// Reflectance factors at an amount given as its logarithm; 0 is the piece learnt from.
    #[must_use]
    pub fn reflectance(&self, ln_amount: f64) -> [f64; BANDS] {
        self.ln_strength(ln_amount).map(|s| self.scale.reflectance(s))
    }
}

/// Place of a band on the spectrum: −1 at 400 nm, 0 at 550 nm, 1 at 700 nm.
fn place(band: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "31 bands")]
    let x = band as f64 / 15.0 - 1.0;
    x
}

/// How much each band counts in a mean: √(K/S), as pale bands are read worst on a log scale, times
/// its share of X + Y + Z under D65/10°; the sum is 1.
fn weights(piece: &Bands) -> [f64; BANDS] {
    let [x, y, z] = Weights::reference().rows();
    let raw: [f64; BANDS] = std::array::from_fn(|i| {
        let ln_ks = Scale::KUBELKA_MUNK.ln_strength(piece.values()[i]);
        (x[i] + y[i] + z[i]).max(0.0) * maths::exp(ln_ks / 2.0)
    });
    let sum: f64 = raw.iter().sum();
    raw.map(|w| w / sum)
}

/// A dye's drift: how far the rise of ln strength from the paler piece departs, band by band, from
/// the mean rise; as tilt and bow over the spectrum, and as the course they draw.
fn drift(
    piece: &[f64; BANDS],
    paler: &[f64; BANDS],
    weights: &[f64; BANDS],
) -> ([f64; 2], [f64; BANDS]) {
    let rise: [f64; BANDS] = std::array::from_fn(|i| piece[i] - paler[i]);
    let mean = dot(weights, &rise);
    if mean < LEAST_RISE {
        return ([0.0; 2], [0.0; BANDS]);
    }
    let (mut normal, mut right) = (Matrix3::zeros(), Vector3::zeros());
    for i in 0..BANDS {
        let x = place(i);
        let row = Vector3::new(1.0, x, x * x);
        normal += row * row.transpose() * weights[i];
        right += row * ((rise[i] / mean - 1.0) * weights[i]);
    }
    let Some(c) = normal.cholesky().map(|n| n.solve(&right)) else {
        return ([0.0; 2], [0.0; BANDS]);
    };
    let course = std::array::from_fn(|i| {
        let x = place(i);
        c[0] + c[1] * x + c[2] * x * x
    });
    ([c[1], c[2]], course)
}

fn dot(weights: &[f64; BANDS], values: &[f64; BANDS]) -> f64 {
    weights.iter().zip(values).map(|(w, v)| w * v).sum()
}
