//! What the camera does to the light on its way to the file: blur, noise, balance, a curve, eight bits.
//!
//! The transfer is that of IEC 61966-2-1 (sRGB) with a share of an S laid over it. Left out: sharpening, local
//! contrast, the removal of noise.

use colour::maths;

use crate::Chance;

/// A camera's settings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Processing {
    /// Blur's standard deviation, pixels.
    pub blur: f64,
    /// Linear value of a perfect white in full light.
    pub exposure: f64,
    /// Gains of the channels beside the balance.
    pub gains: [f64; 3],
    /// How far each channel is moved away from their mean: 0 not at all.
    pub vivid: f64,
    /// Share of the S 3v² − 2v³ laid over the encoded value.
    pub s_curve: f64,
    /// Noise: a part of full scale, and a part that grows with the root of the light.
    pub noise: [f64; 2],
    /// Quality of the JPEG file.
    pub quality: u8,
}

/// Linear light to bytes.
pub(super) fn developed(
    mut light: Vec<f32>,
    width: usize,
    how: &Processing,
    chance: &mut Chance,
) -> Vec<u8> {
    if how.blur > 0.2 {
        light = blurred(&light, width, how.blur);
    }
    let curve = curve(how.s_curve);
    let mut bytes = Vec::with_capacity(light.len());
    for pixel in light.chunks_exact(3) {
        let seen: [f64; 3] = std::array::from_fn(|c| {
            let v = f64::from(pixel[c]) * how.exposure * how.gains[c];
            let spread =
                (how.noise[0] * how.noise[0] + how.noise[1] * how.noise[1] * v.max(0.0)).sqrt();
            // A sensor is full at 1, whatever is made of it later.
            (v + spread * quick(chance)).min(1.0)
        });
        let mean = seen.iter().sum::<f64>() / 3.0;
        bytes.extend(seen.map(|v| {
            let v = (v + how.vivid * (v - mean)).clamp(0.0, 1.0);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            let at = (v * STEPS + 0.5) as usize;
            curve[at]
        }));
    }
    bytes
}

const STEPS: f64 = 16384.0;

fn curve(s: f64) -> Vec<u8> {
    (0..=16384_u16)
        .map(|step| {
            let v = f64::from(step) / STEPS;
            let e =
                if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * maths::pow(v, 1.0 / 2.4) - 0.055 };
            let e = (1.0 - s) * e + s * e * e * (3.0 - 2.0 * e);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            let byte = (255.0 * e).round().clamp(0.0, 255.0) as u8;
            byte
        })
        .collect()
}

/// Nearly normal: four even numbers of 16 bits added up. Quicker than the exact one, which a million pixels would feel.
fn quick(chance: &mut Chance) -> f64 {
    let bits = chance.bits();
    let sum: u64 = (0..4).map(|k| (bits >> (16 * k)) & 0xffff).sum();
    #[expect(clippy::cast_precision_loss, reason = "18 bits")]
    let sum = sum as f64;
    // Mean 2 × 65535, variance 4/12 of 65536².
    (sum - 131_070.0) / (65_536.0 * 0.577_350_27)
}

/// Gauss, rows and then columns.
fn blurred(light: &[f32], width: usize, sigma: f64) -> Vec<f32> {
    let height = light.len() / 3 / width;
    let once = along(light, width, height, sigma);
    along(&once, height, width, sigma)
}

/// Blurs the rows and gives the picture back on its side, so that twice is both ways.
fn along(light: &[f32], width: usize, height: usize, sigma: f64) -> Vec<f32> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few pixels")]
    let reach = (3.0 * sigma).ceil() as usize;
    let weights: Vec<f32> = {
        let raw: Vec<f64> = (0..=reach)
            .map(|k| {
                #[expect(clippy::cast_precision_loss, reason = "a few pixels")]
                let away = k as f64 / sigma;
                maths::exp(-0.5 * away * away)
            })
            .collect();
        let total = 2.0 * raw.iter().sum::<f64>() - raw[0];
        #[expect(clippy::cast_possible_truncation, reason = "weights below 1")]
        let weights = raw.iter().map(|w| (w / total) as f32).collect();
        weights
    };
    let mut out = vec![0.0; light.len()];
    let mut row = vec![0.0_f32; 3 * (width + 2 * reach)];
    for y in 0..height {
        let from = &light[3 * y * width..3 * (y + 1) * width];
        for x in 0..width + 2 * reach {
            let at = 3 * x.saturating_sub(reach).min(width - 1);
            row[3 * x..3 * x + 3].copy_from_slice(&from[at..at + 3]);
        }
        for x in 0..width {
            for c in 0..3 {
                let middle = 3 * (x + reach) + c;
                let mut sum = weights[0] * row[middle];
                for (k, w) in weights.iter().enumerate().skip(1) {
                    sum += w * (row[middle - 3 * k] + row[middle + 3 * k]);
                }
                out[3 * (x * height + y) + c] = sum;
            }
        }
    }
    out
}
