//! How even a cloth is: its blocks against each other.
//!
//! Shade and folds change all channels by one factor; mirrored light adds the same to each, and so takes colour away; a
//! damp place is darker. Shares of the middle block count, so that dark cloth is judged as strictly as light; but of a file
//! of 8 bits one level is not the cloth's: where a channel is dark, as of a red or a navy, that is a tenth of it, and JPEG
//! rounds whole blocks of pixels by so much.

use super::{Pixel, median, number};
use crate::find::solved;

/// Blocks along a side.
const SIDE: usize = 6;

/// What the blocks say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Unevenness {
    /// Mean of the middle half of the blocks, channel by channel.
    pub(crate) middle: [f64; 3],
    /// Largest departure of a block's light from a slope, one in twenty left out.
    pub(crate) light: f64,
    /// Largest departure of a block's colour, one in twenty left out.
    pub(crate) colour: f64,
    /// Change of the light from side to side: the logarithm of the ratio.
    pub(crate) slope: f64,
    /// Share of blocks beyond a clear step to the dark.
    pub(crate) blotched: f64,
}

impl Unevenness {
    /// None where hardly a block has pixels.
    pub(crate) fn of(pixels: &[Pixel], eight_bit: bool) -> Option<Self> {
        let mut blocks = blocks(pixels);
        if blocks.len() < SIDE * SIDE / 2 {
            return None;
        }
        let middle: [f64; 3] =
            std::array::from_fn(|c| middle_half(blocks.iter().map(|b| b.1[c]).collect()));
        // A channel at the bottom of the scale tells nothing of evenness: the brightest stands for it.
        let top = (0..3).fold(0, |best, c| if middle[c] > middle[best] { c } else { best });
        for (_, rgb) in &mut blocks {
            let bright = rgb[top];
            for (value, middle) in rgb.iter_mut().zip(middle) {
                if middle < BOTTOM {
                    *value = bright;
                }
            }
        }
        // Light and colours as logarithms; colour as red and blue against green.
        let told: Vec<([f64; 2], [f64; 3])> = blocks
            .iter()
            .map(|(at, rgb)| {
                let [r, g, b] = rgb.map(|v| colour::maths::ln(v.max(1e-4)));
                (*at, [(r + g + b) / 3.0, r - g, b - g])
            })
            .collect();
        let planes: [[f64; 3]; 3] = [plane(&told, 0)?, plane(&told, 1)?, plane(&told, 2)?];
        let left: Vec<f64> = told.iter().map(|(at, v)| v[0] - level(&planes[0], *at)).collect();
        let level = if eight_bit { middle.map(one_level) } else { [0.0; 3] };
        let all_levels = level[0].hypot(level[1]).hypot(level[2]) / 3.0;
        let darkest = left.iter().filter(|v| **v < -STEP - all_levels).count();
        let shift = |k: usize| {
            let middle = median(told.iter().map(|(_, v)| v[k]).collect());
            let own = level[if k == 1 { 0 } else { 2 }].hypot(level[1]);
            let away = told.iter().map(|(_, v)| (v[k] - middle).abs()).collect();
            (nineteen_of_twenty(away) - own).max(0.0)
        };
        let [_, x, y] = planes[0];
        Some(Self {
            middle,
            light: (nineteen_of_twenty(left.iter().map(|v| v.abs()).collect()) - all_levels)
                .max(0.0),
            colour: shift(1).max(shift(2)),
            slope: 2.0 * x.hypot(y),
            blotched: number(darkest) / number(blocks.len()),
        })
    }
}

/// A step that weave and pile do not make in a block: a tenth (judgement).
const STEP: f64 = 0.1;

/// The bottom of the scale: some five levels of 255 of sRGB, linear.
const BOTTOM: f64 = 0.001_5;

/// One level of 255, as a share of a linear value; about so in every file, as IEC 61966-2-1 (sRGB) has it.
fn one_level(linear: f64) -> f64 {
    let v = linear.max(1e-4);
    let encoded = if v > 0.003_130_8 {
        // the slope of 1.055 v^(1/2.4) − 0.055
        1.055 / 2.4 * colour::maths::pow(v, 1.0 / 2.4 - 1.0)
    } else {
        12.92
    };
    1.0 / (255.0 * encoded * v)
}

fn blocks(pixels: &[Pixel]) -> Vec<([f64; 2], [f64; 3])> {
    let mut sums = vec![([0.0; 2], [0.0; 3], 0.0); SIDE * SIDE];
    for pixel in pixels {
        let cell = |v: f64| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            let cell = (0.5 * (v + 1.0) * number(SIDE)).clamp(0.0, number(SIDE - 1)) as usize;
            cell
        };
        let sum = &mut sums[cell(pixel.at[1]) * SIDE + cell(pixel.at[0])];
        for k in 0..2 {
            sum.0[k] += pixel.at[k];
        }
        for c in 0..3 {
            sum.1[c] += pixel.rgb[c];
        }
        sum.2 += 1.0;
    }
    sums.into_iter()
        .filter(|(.., n)| *n >= 8.0)
        .map(|(at, rgb, n)| (at.map(|v| v / n), rgb.map(|v| v / n)))
        .collect()
}

/// Constant and slopes of one number over the blocks, by least squares.
fn plane(told: &[([f64; 2], [f64; 3])], k: usize) -> Option<[f64; 3]> {
    let mut table = [[0.0; 4]; 3];
    for ([x, y], v) in told {
        let row = [1.0, *x, *y];
        for i in 0..3 {
            for j in 0..3 {
                table[i][j] += row[i] * row[j];
            }
            table[i][3] += row[i] * v[k];
        }
    }
    solved(table)
}

fn level(plane: &[f64; 3], [x, y]: [f64; 2]) -> f64 {
    plane[0] + plane[1] * x + plane[2] * y
}

fn nineteen_of_twenty(mut all: Vec<f64>) -> f64 {
    all.sort_by(f64::total_cmp);
    let last = all.len().saturating_sub(1);
    all.get(last - last / 20).copied().unwrap_or(0.0)
}

fn middle_half(mut all: Vec<f64>) -> f64 {
    all.sort_by(f64::total_cmp);
    let aside = all.len() / 4;
    let kept = &all[aside..all.len() - aside];
    kept.iter().sum::<f64>() / number(kept.len().max(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A cloth of 48 by 48 pixels whose right half is another colour.
    fn halves(left: [f64; 3], right: [f64; 3]) -> Vec<Pixel> {
        (0..48 * 48)
            .map(|n| {
                let at = [n % 48, n / 48].map(|k| (number(k) + 0.5) / 24.0 - 1.0);
                let rgb = if at[0] < 0.0 { left } else { right };
                Pixel { at, rgb, clipped: false, crushed: false }
            })
            .collect()
    }

    #[test]
    fn one_level_of_eight_bits_is_not_the_cloths_own() {
        // A red: levels 128, 20 and 31 of sRGB; on the right the green stands a level higher.
        let (left, right) = ([0.2159, 0.006_995, 0.013_70], [0.2159, 0.007_499, 0.013_70]);
        let of = |bits| Unevenness::of(&halves(left, right), bits).unwrap();
        assert!(of(true).colour < 0.01, "{:?}", of(true));
        assert!(of(false).colour > 0.06, "{:?}", of(false));
        // A gleam that is more than that is seen in either.
        let gleam = left.map(|v| v + 0.002);
        let seen = Unevenness::of(&halves(left, gleam), true).unwrap();
        assert!(seen.colour > 0.06, "{seen:?}");
    }
}
