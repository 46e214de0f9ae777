//! Where the picture is calm, and how often each colour stands there.

use rayon::prelude::*;

use super::{Region, tones::Tone};
use crate::Picture;
use crate::pixels::Samples;

/// Bits of a channel by which colours are counted.
const BITS: u32 = 6;
/// Bins of one channel, of all.
const SIDE: usize = 1 << BITS;
const BINS: usize = SIDE * SIDE * SIDE;

/// What is known of a picture after one look at every pixel.
pub(crate) struct Calm {
    /// Largest difference of a channel in the 3 × 3 around each pixel; 255 where that is cut out.
    unrest: Vec<u8>,
    /// Solid pixels.
    pub(crate) solid: usize,
    /// Bins that were met, weightiest first.
    pub(crate) counted: Vec<Bin>,
    /// Unrest up to which a pixel may carry a label.
    limit: u8,
    /// Unrest up to which a pixel counts in full.
    quiet: u8,
}

/// Calm pixels of nearly one colour.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bin {
    /// Which.
    pub(crate) at: u32,
    /// How much they count: calmer pixels count more.
    pub(crate) weight: f64,
    /// Their mean, encoded, 0 to 1.
    pub(crate) mean: [f64; 3],
}

/// The tone of each pixel (1 is the first), 0 for none; with the light of each for what lies between.
pub(crate) struct Labels {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) tone: Vec<u8>,
    /// Encoded light, 0 to 255.
    pub(crate) light: Vec<u8>,
    pub(crate) solid: Option<Vec<bool>>,
}

/// Most tones that a label can name.
pub(crate) const MOST_TONES: usize = 254;
/// Unrest up to which a pixel counts in full, and what it counts beyond, for a picture without noise: JPEG at quality
/// 75 leaves the inside of a flat at 0, and ringing of up to about 16 steps near lines.
const WEIGHTS: [(u8, u64); 4] = [(3, 16), (6, 6), (10, 2), (18, 1)];
/// Unrest up to which a pixel may carry a label.
const LABELLED: u8 = 26;

#[derive(Clone, Copy, Default)]
struct Sum {
    weight: u64,
    rgb: [u64; 3],
}

impl Calm {
    pub(crate) fn of(picture: &Picture, region: Region) -> Self {
        let bytes = eight_bit(picture, region);
        let width = region.width;
        let solid = cut(picture, region);
        let mut unrest = vec![255_u8; width * region.height];
        let band = region.height.div_ceil(4 * rayon::current_num_threads()).max(8);
        unrest.par_chunks_mut(band * width).enumerate().for_each(|(i, rows)| {
            let mut high = vec![0_u8; 3 * width];
            let mut low = vec![0_u8; 3 * width];
            for (k, row) in rows.chunks_mut(width).enumerate() {
                let y = i * band + k;
                unrest_of_row(&bytes, region, y, &mut high, &mut low, row);
            }
        });
        if let Some(solid) = &solid {
            unrest.par_chunks_mut(width).enumerate().for_each(|(y, row)| {
                for (x, unrest) in row.iter_mut().enumerate() {
                    if !whole(solid, region, x, y) {
                        *unrest = 255;
                    }
                }
            });
        }
        let scale = noise(&unrest);
        let weights: [u64; 256] = std::array::from_fn(|u| {
            let fits = WEIGHTS.iter().find(|(most, _)| u <= usize::from(*most) * scale);
            fits.map_or(0, |(_, weight)| *weight)
        });
        let limit = u8::try_from((usize::from(LABELLED) * scale).min(250)).unwrap_or(250);
        let quiet = u8::try_from(usize::from(WEIGHTS[0].0) * scale).unwrap_or(250);
        let counted = counted(picture, region, &bytes, &unrest, &weights);
        let solid = solid.map_or(unrest.len(), |s| s.iter().filter(|s| **s).count());
        Self { unrest, solid, counted, limit, quiet }
    }

    /// Whether a pixel of the region, from its left and top, is as calm as the inside of a flat.
    pub(crate) fn is_calm(&self, x: usize, y: usize, region: Region) -> bool {
        let at = (x < region.width).then(|| y * region.width + x);
        at.and_then(|at| self.unrest.get(at)).is_some_and(|u| *u <= self.quiet)
    }

    /// Names the tone of every calm pixel.
    pub(crate) fn labels(&self, picture: &Picture, region: Region, tones: &[Tone]) -> Labels {
        let mut of_bin = vec![0_u8; BINS];
        for (i, tone) in tones.iter().enumerate() {
            for bin in &tone.bins {
                of_bin[*bin as usize] = u8::try_from(i + 1).unwrap_or(0);
            }
        }
        let bytes = eight_bit(picture, region);
        let width = region.width;
        let mut tone = vec![0_u8; width * region.height];
        let mut light = vec![0_u8; width * region.height];
        let rows = tone.par_chunks_mut(width).zip(light.par_chunks_mut(width));
        rows.enumerate().for_each(|(y, (tones, lights))| {
            let row = &bytes[3 * y * width..3 * (y + 1) * width];
            let unrest = &self.unrest[y * width..(y + 1) * width];
            let each = row.as_chunks::<3>().0.iter().zip(unrest).zip(tones).zip(lights);
            for (((rgb, unrest), tone), light) in each {
                // Rec. 601 weights in 256ths; only an order of dark and light is asked of it.
                let [r, g, b] = rgb.map(u32::from);
                *light = u8::try_from((77 * r + 150 * g + 29 * b) >> 8).unwrap_or(u8::MAX);
                if *unrest <= self.limit {
                    *tone = of_bin[bin_of(*rgb)];
                }
            }
        });
        Labels { width, height: region.height, tone, light, solid: cut(picture, region) }
    }
}

/// 8-bit samples of a region, borrowed where they stand so.
fn eight_bit(picture: &Picture, region: Region) -> std::borrow::Cow<'_, [u8]> {
    let whole = region.width == picture.width;
    let row = |y: usize| {
        let from = 3 * ((region.y + y) * picture.width + region.x);
        from..from + 3 * region.width
    };
    match &picture.samples {
        Samples::Eight(all) if whole => {
            let from = 3 * region.y * picture.width;
            std::borrow::Cow::Borrowed(&all[from..from + 3 * region.width * region.height])
        }
        Samples::Eight(all) => (0..region.height).flat_map(|y| &all[row(y)]).copied().collect(),
        Samples::Sixteen(all) => {
            let rows = (0..region.height).flat_map(|y| &all[row(y)]);
            rows.map(|v| (*v >> 8) as u8).collect()
        }
    }
}

fn cut(picture: &Picture, region: Region) -> Option<Vec<bool>> {
    let solid = picture.solid.as_ref()?;
    let rows = (region.y..region.y + region.height).flat_map(|y| {
        let from = y * picture.width + region.x;
        solid[from..from + region.width].iter()
    });
    // What is half see-through shows the colour of what is behind it.
    Some(rows.map(|s| *s >= 250).collect())
}

/// Whether a pixel and all around it are solid.
fn whole(solid: &[bool], region: Region, x: usize, y: usize) -> bool {
    let rows = y.saturating_sub(1)..(y + 2).min(region.height);
    let columns = x.saturating_sub(1)..(x + 2).min(region.width);
    rows.into_iter().all(|y| {
        solid[y * region.width + columns.start..y * region.width + columns.end].iter().all(|s| *s)
    })
}

fn unrest_of_row(
    bytes: &[u8],
    region: Region,
    y: usize,
    high: &mut [u8],
    low: &mut [u8],
    out: &mut [u8],
) {
    let width = 3 * region.width;
    let row = |y: usize| &bytes[y * width..(y + 1) * width];
    let above = row(y.saturating_sub(1));
    let below = row((y + 1).min(region.height - 1));
    let here = row(y);
    for i in 0..width {
        high[i] = above[i].max(here[i]).max(below[i]);
        low[i] = above[i].min(here[i]).min(below[i]);
    }
    let (last, inner) = (region.width - 1, region.width.saturating_sub(2));
    let range = |i: usize, j: usize, k: usize, c: usize| {
        let top = high[3 * i + c].max(high[3 * j + c]).max(high[3 * k + c]);
        let bottom = low[3 * i + c].min(low[3 * j + c]).min(low[3 * k + c]);
        top - bottom
    };
    let at = |i, j, k| range(i, j, k, 0).max(range(i, j, k, 1)).max(range(i, j, k, 2));
    out[0] = at(0, 0, last.min(1));
    out[last] = at(last.saturating_sub(1), last, last);
    let (high, low) = (&high[..width], &low[..width]);
    let windows = high.windows(9).step_by(3).zip(low.windows(9).step_by(3));
    for (out, (high, low)) in out[1..].iter_mut().take(inner).zip(windows) {
        let one = |c: usize| {
            high[c].max(high[c + 3]).max(high[c + 6]) - low[c].min(low[c + 3]).min(low[c + 6])
        };
        *out = one(0).max(one(1)).max(one(2));
    }
}

/// How many times more unrest is calm than in a clean drawing: scanned paper is never quite even.
fn noise(unrest: &[u8]) -> usize {
    let mut of = [0_usize; 256];
    let mut met = 0;
    for unrest in unrest.iter().step_by(7).filter(|u| **u < 255) {
        of[usize::from(*unrest)] += 1;
        met += 1;
    }
    let mut under = 0;
    let third = of.iter().position(|n| {
        under += n;
        3 * under >= met
    });
    third.unwrap_or(0).div_ceil(6).clamp(1, 4)
}

const fn bin_of(rgb: [u8; 3]) -> usize {
    let [r, g, b] = rgb;
    let cut = 8 - BITS;
    ((r >> cut) as usize * SIDE + (g >> cut) as usize) * SIDE + (b >> cut) as usize
}

fn counted(
    picture: &Picture,
    region: Region,
    bytes: &[u8],
    unrest: &[u8],
    weights: &[u64; 256],
) -> Vec<Bin> {
    let width = region.width;
    let bands = rayon::current_num_threads().clamp(1, 8);
    let band = region.height.div_ceil(bands);
    let sums: Vec<Vec<Sum>> = (0..bands)
        .into_par_iter()
        .map(|i| {
            let mut sums = vec![Sum::default(); BINS];
            for y in i * band..((i + 1) * band).min(region.height) {
                let row = &bytes[3 * y * width..3 * (y + 1) * width];
                for (x, rgb) in row.as_chunks::<3>().0.iter().enumerate() {
                    let weight = weights[usize::from(unrest[y * width + x])];
                    if weight == 0 {
                        continue;
                    }
                    let fine = match &picture.samples {
                        Samples::Eight(_) => rgb.map(|v| u64::from(v) * 257),
                        Samples::Sixteen(all) => {
                            let at = 3 * ((region.y + y) * picture.width + region.x + x);
                            [all[at], all[at + 1], all[at + 2]].map(u64::from)
                        }
                    };
                    let sum = &mut sums[bin_of(*rgb)];
                    sum.weight += weight;
                    for (s, v) in sum.rgb.iter_mut().zip(fine) {
                        *s += weight * v;
                    }
                }
            }
            sums
        })
        .collect();
    let mut bins = vec![];
    for at in 0..BINS {
        let mut all = Sum::default();
        for sums in &sums {
            all.weight += sums[at].weight;
            for (a, s) in all.rgb.iter_mut().zip(sums[at].rgb) {
                *a += s;
            }
        }
        if all.weight > 0 {
            #[expect(clippy::cast_precision_loss, reason = "far below 2^52 for any picture read")]
            let (weight, mean) =
                (all.weight as f64, all.rgb.map(|s| s as f64 / all.weight as f64 / 65535.0));
            bins.push(Bin { at: u32::try_from(at).unwrap_or(0), weight, mean });
        }
    }
    bins.sort_by(|a, b| b.weight.total_cmp(&a.weight).then(a.at.cmp(&b.at)));
    bins
}
