//! The spectrum of a cloth whose dyes are known: their shapes say what the camera cannot.
//!
//! Shapes are absorptions (K/S for one unit of amount) that come as an argument, with the undyed cloth; amounts are found
//! with the cloth. Dyes mix as Kubelka and Munk have it (Z. techn. Phys. 12 (1931) 593). About the amounts the belief is
//! straightened until they stand still (Gauss and Newton); a small part of the belief about any cloth stays beside it, since
//! no shape is known exactly. Left out: which dyes they are.

use colour::{BANDS, Bands, maths};

use super::{
    Calibration, ClothSeen, Row, Seen, Square, Way,
    cloth::{Belief, guess},
    likeliest,
    solve::Factor,
    too_bright_or_dark, unsolved, usable,
};
use crate::Refusal;

/// The undyed cloth, and what each dye in it absorbs.
#[derive(Debug, Clone, PartialEq)]
pub struct Shapes {
    undyed: Row,
    dyes: Vec<Row>,
}

/// Logarithm of an amount whose highest K/S is 1: mean, and standard deviation. Wide: K/S 0.02 to 20 within two (judgement).
const AMOUNT: (f64, f64) = (-0.5, 1.75);
/// Share of the covariance believed of any cloth that stays beside the shapes: shapes are known to about a tenth of what
/// cloths differ (judgement).
const BESIDE: f64 = 0.01;
/// The most dyes; more than three channels can tell rest on the belief about amounts.
const MOST: usize = 4;
const ROUNDS: usize = 8;

impl Shapes {
    /// Of an undyed cloth and one to four dyes, K/S at 400 to 700 nm by 10 nm for any one amount of each.
    ///
    /// # Errors
    /// [`Refusal::Unfit`] when there is no dye or more than four, or when one absorbs nothing or is no number.
    pub fn try_new(undyed: &Bands, dyes: Vec<[f64; BANDS]>) -> Result<Self, Refusal> {
        if dyes.is_empty() || dyes.len() > MOST {
            return Err(Refusal::Unfit {
                what: format!("{} dyes are said to be in the cloth", dyes.len()),
                rule: format!("name one to {MOST}"),
            });
        }
        let mut scaled = Vec::with_capacity(dyes.len());
        for dye in dyes {
            let top = dye.iter().copied().fold(0.0, f64::max);
            if !dye.iter().all(|v| v.is_finite() && *v >= 0.0) || top <= 0.0 {
                return Err(Refusal::Unfit {
                    what: "a dye's absorption has a value that is no number, is negative, or is nowhere above 0".to_owned(),
                    rule: "give K/S at 400 to 700 nm by 10 nm".to_owned(),
                });
            }
            scaled.push(dye.map(|v| v / top));
        }
        let undyed = undyed.values().map(|r| {
            let r = r.min(0.995);
            (1.0 - r) * (1.0 - r) / (2.0 * r)
        });
        Ok(Self { undyed, dyes: scaled })
    }

    /// Log odds of these amounts (logarithms), and how they move with each.
    fn odds(&self, amounts: &[f64]) -> (Row, Vec<Row>) {
        let absorbed: Row = std::array::from_fn(|i| {
            self.undyed[i]
                + self.dyes.iter().zip(amounts).map(|(d, a)| maths::exp(*a) * d[i]).sum::<f64>()
        });
        let (mut odds, mut by) = ([0.0; BANDS], [0.0; BANDS]);
        for i in 0..BANDS {
            let ks = absorbed[i];
            let root = (ks * (ks + 2.0)).sqrt().max(1e-9);
            let r = (1.0 / (1.0 + ks + root)).clamp(0.003, 0.995);
            odds[i] = maths::ln((r - 0.002) / (1.0 - r));
            // dR/d(K/S) = −R/√(ks² + 2 ks); dz/dR = 0.998/((R − 0.002)(1 − R))
            by[i] = -r / root * 0.998 / ((r - 0.002) * (1.0 - r));
        }
        let slopes = self
            .dyes
            .iter()
            .zip(amounts)
            .map(|(d, a)| std::array::from_fn(|i| by[i] * maths::exp(*a) * d[i]))
            .collect();
        (odds, slopes)
    }

    /// What is believed of a cloth of these dyes about these amounts.
    fn belief(&self, amounts: &[f64], any: &Belief) -> (Belief, Vec<Row>) {
        let (odds, slopes) = self.odds(amounts);
        let variance = AMOUNT.1 * AMOUNT.1;
        let mean = std::array::from_fn(|i| {
            odds[i] + slopes.iter().zip(amounts).map(|(s, a)| s[i] * (AMOUNT.0 - a)).sum::<f64>()
        });
        let covariance: Box<Square> = Box::new(std::array::from_fn(|i| {
            std::array::from_fn(|k| {
                BESIDE * any.covariance[i][k]
                    + variance * slopes.iter().map(|s| s[i] * s[k]).sum::<f64>()
            })
        }));
        (Belief { mean, covariance }, slopes)
    }
}

impl Calibration {
    /// The colour and spectrum of a cloth whose dyes are known by their shapes.
    ///
    /// # Errors
    /// [`Refusal::Unfit`] when the cloth is clipped or black, when no amounts explain it, and when the camera under its lamp
    /// is not known well enough for a spectrum (a card of the maker's own, or a camera like none that is believed in).
    pub fn try_dyed(&self, seen: &Seen, shapes: &Shapes) -> Result<ClothSeen, Refusal> {
        if !usable(seen) {
            return Err(too_bright_or_dark());
        }
        let Way::Sensor { readings, belief: any, .. } = &self.way else {
            return Err(Refusal::Unfit {
                what: "this card gives colours without the camera's own curves, and dyes cannot be used with it".to_owned(),
                rule: "read the cloth's colour alone, or photograph with a chart of known reflectances".to_owned(),
            });
        };
        let best = readings.first().ok_or_else(unsolved)?;
        let mut amounts = vec![AMOUNT.0; shapes.dyes.len()];
        for _ in 0..ROUNDS {
            let (belief, slopes) = shapes.belief(&amounts, any);
            let found = guess(best.of(seen), &best.response, &belief).ok_or_else(unsolved)?;
            let odds =
                found.reflectance.map(|r| maths::ln((r - 0.002).max(1e-6) / (1.0 - r).max(1e-6)));
            let table: Vec<f64> = belief.covariance.iter().flatten().copied().collect();
            let factor = Factor::of(table, BANDS).ok_or_else(unsolved)?;
            let away: Row = std::array::from_fn(|i| odds[i] - belief.mean[i]);
            let weights = factor.solve(&away);
            let mut step = 0.0_f64;
            for (amount, slope) in amounts.iter_mut().zip(&slopes) {
                let pull: f64 = slope.iter().zip(&weights).map(|(s, w)| s * w).sum();
                let next = AMOUNT.0 + AMOUNT.1 * AMOUNT.1 * pull;
                let by = (next - *amount).clamp(-1.0, 1.0);
                *amount += by;
                step = step.max(by.abs());
            }
            if step < 1e-4 {
                break;
            }
        }
        Ok(self.beside.widen(likeliest(seen, readings, &shapes.belief(&amounts, any).0)?, false))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shapes() -> Shapes {
        let bell = |peak: f64| -> Row {
            std::array::from_fn(|i| {
                let at = 400.0 + f64::from(u8::try_from(i).unwrap()) * 10.0;
                (-0.5 * ((at - peak) / 35.0).powi(2)).exp()
            })
        };
        Shapes::try_new(&Bands::flat(0.85).unwrap(), vec![bell(430.0), bell(530.0)]).unwrap()
    }

    #[test]
    fn slopes_are_those_of_small_steps() {
        let shapes = shapes();
        let (at, slopes) = shapes.odds(&[-1.0, 0.5]);
        let (moved, _) = shapes.odds(&[-1.0, 0.5 + 1e-6]);
        for i in 0..BANDS {
            assert!(((moved[i] - at[i]) / 1e-6 - slopes[1][i]).abs() < 1e-3, "{i}");
        }
    }

    #[test]
    fn what_is_no_absorption_is_refused() {
        let white = Bands::flat(0.85).unwrap();
        for bad in [
            vec![],
            vec![[0.0; BANDS]],
            vec![[-1.0; BANDS]],
            vec![[f64::NAN; BANDS]],
            vec![[1.0; BANDS]; 5],
        ] {
            assert!(Shapes::try_new(&white, bad).is_err());
        }
    }
}
