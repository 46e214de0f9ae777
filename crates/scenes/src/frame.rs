//! A frame seen from straight above: cells of one reflectance each, a camera, a light that falls off to one side, and what
//! the camera does to its numbers before it stores them.
//!
//! Left out: perspective, blur, glare, weave.

use colour::{BANDS, Bands, Light, maths};

use crate::Chance;

/// A camera under a light: what each channel makes of each band; a perfect white gives 1 in each.
#[derive(Debug, Clone, PartialEq)]
pub struct Camera {
    response: [[f64; BANDS]; 3],
}

impl Camera {
    /// From sensitivities at 400 to 700 nm by 10 nm.
    #[must_use]
    pub fn under(light: Light, sensitivities: &[[f64; BANDS]; 3]) -> Self {
        let power = light.power();
        Self {
            response: sensitivities.map(|row| {
                let seen: [f64; BANDS] = std::array::from_fn(|i| row[i] * power[i]);
                let total: f64 = seen.iter().sum();
                seen.map(|v| v / total)
            }),
        }
    }

    /// The same with its channels mixed.
    pub(crate) fn through(&self, rows: &[[f64; 3]; 3]) -> Self {
        let response = rows.map(|row| {
            std::array::from_fn(|i| (0..3).map(|d| row[d] * self.response[d][i]).sum::<f64>())
        });
        Self { response }
    }

    /// What it makes of a cloth in even light.
    #[must_use]
    pub fn sees(&self, cloth: &Bands) -> [f64; 3] {
        self.response.map(|row| row.iter().zip(cloth.values()).map(|(s, r)| s * r).sum())
    }
}

/// Where a cell lies, in pixels; the ends are left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(missing_docs, reason = "the sides are their own names")]
pub struct Cell {
    pub left: usize,
    pub top: usize,
    pub right: usize,
    pub bottom: usize,
}

/// Cells side by side, row after row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sheet {
    /// Cells across.
    pub across: usize,
    /// Cells down.
    pub down: usize,
    /// Pixels along a cell's side.
    pub side: usize,
}

impl Sheet {
    /// The middle of a cell, a fifth of its side left out all round.
    #[must_use]
    pub const fn middle(&self, cell: usize) -> Cell {
        let (x, y) = ((cell % self.across) * self.side, (cell / self.across) * self.side);
        let rim = self.side / 5;
        Cell {
            left: x + rim,
            top: y + rim,
            right: x + self.side - rim,
            bottom: y + self.side - rim,
        }
    }

    /// Pixels across and down.
    #[must_use]
    pub const fn size(&self) -> (usize, usize) {
        (self.across * self.side, self.down * self.side)
    }
}

/// What happens on the way from the light to the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Development {
    /// Linear light of a perfect white in the frame's middle.
    pub exposure: f64,
    /// Gains of the three channels after the white balance.
    pub gains: [f64; 3],
    /// Change of the light over the frame as a share, and towards where (radians).
    pub gradient: f64,
    /// Direction of the gradient.
    pub towards: f64,
    /// Share of the S 3v² − 2v³ laid over the encoded value.
    pub s_curve: f64,
    /// Standard deviation of each pixel's noise, of full scale in linear light.
    pub noise: f64,
}

/// Pixels of 8 bit, red, green and blue in turn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Frame {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// The pixels.
    pub bytes: Vec<u8>,
}

impl Development {
    /// The frame as sRGB of 8 bit, with each cell's colour in turn; black where there are fewer.
    #[must_use]
    pub fn frame(&self, sheet: Sheet, cells: &[[f64; 3]], chance: &mut Chance) -> Frame {
        let (width, height) = sheet.size();
        let (dx, dy) = (maths::cos(self.towards), maths::sin(self.towards));
        let share = |at: usize, of: usize| (number(at) + 0.5) / number(of) - 0.5;
        let reach = (dx.abs() + dy.abs()).max(1e-9);
        let mut bytes = Vec::with_capacity(3 * width * height);
        for y in 0..height {
            for x in 0..width {
                let cell = (y / sheet.side) * sheet.across + x / sheet.side;
                let colour = cells.get(cell).copied().unwrap_or([0.0; 3]);
                // from −½ to ½ of the gradient between the two corners that lie furthest apart that way
                let along = (dx * share(x, width) + dy * share(y, height)) / reach;
                let light = self.exposure * (1.0 + self.gradient * along);
                for (value, gain) in colour.iter().zip(self.gains) {
                    let linear = light * gain * value + self.noise * chance.normal();
                    let v = encode(linear.clamp(0.0, 1.0));
                    let bent = v + self.s_curve * (v * v * (3.0 - 2.0 * v) - v);
                    bytes.push(byte(bent));
                }
            }
        }
        Frame { width, height, bytes }
    }
}

// The transfer of IEC 61966-2-1 (sRGB).
fn encode(linear: f64) -> f64 {
    if linear <= 0.003_130_8 {
        12.92 * linear
    } else {
        1.055 * maths::pow(linear, 1.0 / 2.4) - 0.055
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "rounded and kept within 0 to 255"
)]
fn byte(v: f64) -> u8 {
    (v * 255.0).round().clamp(0.0, 255.0) as u8
}

#[expect(clippy::cast_precision_loss, reason = "pixels of a frame, far below 2^52")]
const fn number(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAIN: Development = Development {
        exposure: 1.0,
        gains: [1.0; 3],
        gradient: 0.0,
        towards: 0.0,
        s_curve: 0.0,
        noise: 0.0,
    };
    const SHEET: Sheet = Sheet { across: 2, down: 1, side: 10 };

    #[test]
    fn cells_stand_where_they_are_said_to_and_light_falls_off() {
        let frame = PLAIN.frame(SHEET, &[[1.0; 3], [0.5, 0.2, 0.0]], &mut Chance::of(1));
        let at = |cell: usize| {
            let Cell { left, top, .. } = SHEET.middle(cell);
            let at = 3 * (top * frame.width + left);
            [frame.bytes[at], frame.bytes[at + 1], frame.bytes[at + 2]]
        };
        assert_eq!(at(0), [255; 3]);
        // sRGB of 0.5 and 0.2: 188 and 124
        assert_eq!(at(1), [188, 124, 0]);
        let steep = Development { gradient: 0.3, exposure: 0.5, ..PLAIN };
        let frame = steep.frame(SHEET, &[[1.0; 3]; 2], &mut Chance::of(1));
        assert!(frame.bytes[0] < 180 && frame.bytes[57] > 192, "{:?}", frame.bytes);
    }

    #[test]
    fn white_is_even_in_every_light() {
        let flat = [[1.0; BANDS], [0.3; BANDS], [0.2; BANDS]];
        for light in [Light::D65, Light::LedB3, Light::A] {
            let seen = Camera::under(light, &flat).sees(&Bands::flat(0.5).unwrap());
            assert!(seen.iter().all(|v| (v - 0.5).abs() < 1e-12));
        }
    }
}
