//! The file a painting program would save.

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder};

use super::Drawn;

/// The encoder failed.
#[derive(Debug, thiserror::Error)]
#[error("the picture could not be encoded: {0}")]
pub struct NotEncoded(#[from] image::ImageError);

impl Drawn {
    /// As PNG.
    ///
    /// # Errors
    /// When the encoder fails.
    pub fn png(&self) -> Result<Vec<u8>, NotEncoded> {
        let mut out = vec![];
        let [w, h] = self.size();
        PngEncoder::new(&mut out).write_image(&self.rgb, w, h, ExtendedColorType::Rgb8)?;
        Ok(out)
    }

    /// As JPEG of a quality from 1 to 100, colour differences in full; or `halved`: averaged over two by two pixels
    /// before, as most programs save them.
    ///
    /// # Errors
    /// When the encoder fails.
    pub fn jpeg(&self, quality: u8, halved: bool) -> Result<Vec<u8>, NotEncoded> {
        let mut out = vec![];
        let [w, h] = self.size();
        let rgb = if halved { self.halved() } else { self.rgb.clone() };
        JpegEncoder::new_with_quality(&mut out, quality).encode(
            &rgb,
            w,
            h,
            ExtendedColorType::Rgb8,
        )?;
        Ok(out)
    }

    fn size(&self) -> [u32; 2] {
        [self.width, self.height].map(|v| u32::try_from(v).unwrap_or(u32::MAX))
    }

    /// Colour differences averaged over two by two pixels. The encoder here knows no halved channels; what it then
    /// loses by rounding is that of full ones, which is a little less.
    fn halved(&self) -> Vec<u8> {
        let mut out = self.rgb.clone();
        let at = |x: usize, y: usize| {
            let i = 3 * (y.min(self.height - 1) * self.width + x.min(self.width - 1));
            [0, 1, 2].map(|c| f64::from(self.rgb[i + c]))
        };
        let light = |[r, g, b]: [f64; 3]| 0.299 * r + 0.587 * g + 0.114 * b;
        for y in 0..self.height {
            for x in 0..self.width {
                let (x0, y0) = (x & !1, y & !1);
                let four = [at(x0, y0), at(x0 + 1, y0), at(x0, y0 + 1), at(x0 + 1, y0 + 1)];
                let mean = |c: usize| four.iter().map(|p| p[c] - light(*p)).sum::<f64>() / 4.0;
                let own = light(at(x, y));
                let (red, blue) = (mean(0), mean(2));
                let green = (-0.299 * red - 0.114 * blue) / 0.587;
                for (c, v) in [own + red, own + green, own + blue].into_iter().enumerate() {
                    out[3 * (y * self.width + x) + c] = super::byte(v);
                }
            }
        }
        out
    }
}
