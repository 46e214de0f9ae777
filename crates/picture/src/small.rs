//! A picture made small, as a file that a page can hold: sRGB, each pixel the mean light of those it stands for.

use colour::{Screen, Shown, maths};
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder};
use rayon::prelude::*;

use crate::{Picture, Profile, Refusal};

/// Largest side that is asked for: a page needs no more, and its file stays small.
const MOST_SIDE: usize = 4096;
/// Samples across a new pixel that are averaged; more change nothing that is seen.
const SAMPLES: usize = 4;
/// Quality of a JPEG to point at (of 100): no blocks are seen, and it stays small.
const TO_POINT_AT: u8 = 85;
/// White, which stands behind what is cut out.
const BEHIND: f64 = 1.0;

impl Picture {
    /// A PNG whose longer side is at most `side` pixels (1 to 4096), in sRGB; cut-out parts are white.
    ///
    /// # Errors
    /// A picture that could not be written as PNG.
    pub fn try_small_png(&self, side: usize) -> Result<Vec<u8>, Refusal> {
        let (w, h, rgb) = self.small(side)?;
        let mut file = vec![];
        let encoder =
            PngEncoder::new_with_quality(&mut file, CompressionType::Best, FilterType::Adaptive);
        encoder
            .write_image(&rgb, w, h, ExtendedColorType::Rgb8)
            .map_err(|e| not_small(&format!(": {e}")))?;
        Ok(file)
    }

    /// The same as a JPEG, which holds a photograph in a tenth of the bytes and its colours a little less truly: to
    /// point at, not to read.
    ///
    /// # Errors
    /// A picture that could not be written as JPEG.
    pub fn try_small_jpeg(&self, side: usize) -> Result<Vec<u8>, Refusal> {
        let (w, h, rgb) = self.small(side)?;
        let mut file = vec![];
        let encoder = JpegEncoder::new_with_quality(&mut file, TO_POINT_AT);
        encoder
            .write_image(&rgb, w, h, ExtendedColorType::Rgb8)
            .map_err(|e| not_small(&format!(": {e}")))?;
        Ok(file)
    }

    /// Width, height and 8-bit sRGB.
    fn small(&self, side: usize) -> Result<(u32, u32, Vec<u8>), Refusal> {
        let side = side.clamp(1, MOST_SIDE);
        let longer = self.width.max(self.height).max(1);
        let by = |length: usize| (length * side.min(longer)).div_ceil(longer).clamp(1, side);
        let (width, height) = (by(self.width), by(self.height));
        let mut rgb = vec![0_u8; 3 * width * height];
        rgb.par_chunks_mut(3 * width).enumerate().for_each(|(y, row)| {
            let rows = taken(y, height, self.height);
            for (x, out) in row.as_chunks_mut::<3>().0.iter_mut().enumerate() {
                *out = self.shown(&taken(x, width, self.width), &rows);
            }
        });
        let no = |_| not_small("");
        Ok((u32::try_from(width).map_err(no)?, u32::try_from(height).map_err(no)?, rgb))
    }

    fn shown(&self, columns: &[usize], rows: &[usize]) -> [u8; 3] {
        let mut sum = [0.0; 3];
        for (x, y) in rows.iter().flat_map(|y| columns.iter().map(move |x| (*x, *y))) {
            let linear =
                if self.is_solid(x, y) { self.linear(x, y).map(f64::from) } else { [BEHIND; 3] };
            sum.iter_mut().zip(linear).for_each(|(s, v)| *s += v);
        }
        #[expect(clippy::cast_precision_loss, reason = "a few samples")]
        let mean = sum.map(|s| s / (columns.len() * rows.len()).max(1) as f64);
        match self.encoding.profile() {
            Profile::Assumed | Profile::Srgb => mean.map(encoded),
            Profile::Embedded => Shown::of_lab2(Screen::Srgb, self.lab_of(mean)).colour.to_bytes(),
        }
    }
}

fn not_small(why: &str) -> Refusal {
    Refusal::Unfit {
        what: format!("the picture could not be written small{why}"),
        rule: "export it as PNG or JPEG anew".to_owned(),
    }
}

/// Columns (or rows) of the picture that the small picture's `at` stands for.
fn taken(at: usize, of: usize, whole: usize) -> Vec<usize> {
    let (from, to) = (at * whole / of, ((at + 1) * whole / of).max(at * whole / of + 1));
    let step = (to - from).div_ceil(SAMPLES).max(1);
    (from..to.min(whole)).step_by(step).collect()
}

/// sRGB's curve (IEC 61966-2-1), to 8 bit.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
fn encoded(linear: f64) -> u8 {
    let v = linear.clamp(0.0, 1.0);
    let v = if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * maths::pow(v, 1.0 / 2.4) - 0.055 };
    (255.0 * v).round().clamp(0.0, 255.0) as u8
}
