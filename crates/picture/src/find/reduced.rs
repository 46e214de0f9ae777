//! The picture made small enough to look at all of it many times, and a little softened against noise.

use crate::Picture;
use crate::pixels::Samples;

/// A small picture, encoded values from 0 to 255.
pub(super) struct Reduced {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Pixels of the whole picture along one of these.
    pub(super) scale: usize,
    pub(super) pixels: Vec<[f32; 3]>,
}

impl Reduced {
    /// The picture with a longer side of about so many pixels; a picture that is smaller stays as it is.
    pub(super) fn of(picture: &Picture, longer: usize) -> Self {
        let scale = ((picture.width().max(picture.height()) + longer / 2) / longer).max(1);
        let (width, height) = (picture.width() / scale, picture.height() / scale);
        let mut pixels = Vec::with_capacity(width * height);
        for y in 0..height {
            match &picture.samples {
                Samples::Eight(all) => {
                    means(all, picture.width(), y, scale, width, 1.0, &mut pixels)
                }
                Samples::Sixteen(all) => {
                    means(all, picture.width(), y, scale, width, 1.0 / 257.0, &mut pixels)
                }
            }
        }
        Self { width, height, scale, pixels: softened(&pixels, width, height) }
    }

    pub(super) fn at(&self, x: usize, y: usize) -> [f32; 3] {
        self.pixels[y * self.width + x]
    }

    /// Mean colour about a place in this picture's pixels; none outside.
    pub(super) fn about(&self, [x, y]: [f64; 2], reach: f64) -> Option<[f64; 3]> {
        let inside = |v: f64, end: usize| {
            #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
            let end = end as f64;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "checked before"
            )]
            (v >= 0.0 && v < end).then_some(v as usize)
        };
        let mut sum = [0.0; 3];
        for (dx, dy) in [(0.0, 0.0), (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
            let pixel =
                self.at(inside(x + reach * dx, self.width)?, inside(y + reach * dy, self.height)?);
            for c in 0..3 {
                sum[c] += f64::from(pixel[c]) / 5.0;
            }
        }
        Some(sum)
    }
}

/// One row of means over squares.
fn means<S: Copy + Into<u32>>(
    all: &[S],
    across: usize,
    y: usize,
    scale: usize,
    width: usize,
    unit: f32,
    out: &mut Vec<[f32; 3]>,
) {
    let mut sums = vec![[0_u32; 3]; width];
    for row in 0..scale {
        let start = 3 * across * (y * scale + row);
        let pixels = &all[start..start + 3 * width * scale];
        for (sum, square) in sums.iter_mut().zip(pixels.chunks_exact(3 * scale)) {
            for pixel in square.chunks_exact(3) {
                for c in 0..3 {
                    sum[c] += pixel[c].into();
                }
            }
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "small squares of small numbers")]
    let unit = unit / (scale * scale) as f32;
    #[expect(clippy::cast_precision_loss, reason = "sums of a small square")]
    out.extend(sums.into_iter().map(|sum| sum.map(|v| v as f32 * unit)));
}

/// Weights 1, 2, 1 both ways.
fn softened(pixels: &[[f32; 3]], width: usize, height: usize) -> Vec<[f32; 3]> {
    let mix = |a: [f32; 3], b: [f32; 3], c: [f32; 3]| {
        std::array::from_fn(|k| 0.25 * (a[k] + 2.0 * b[k] + c[k]))
    };
    let mut rows = Vec::with_capacity(pixels.len());
    for row in pixels.chunks_exact(width) {
        rows.extend(
            (0..width).map(|x| mix(row[x.saturating_sub(1)], row[x], row[(x + 1).min(width - 1)])),
        );
    }
    let mut out = Vec::with_capacity(pixels.len());
    for y in 0..height {
        let (above, below) = (y.saturating_sub(1) * width, (y + 1).min(height - 1) * width);
        out.extend((0..width).map(|x| mix(rows[above + x], rows[y * width + x], rows[below + x])));
    }
    out
}
