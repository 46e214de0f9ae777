//! Averages of patches and of cloth, in linear light, with what speaks against them: noise, clipping, dust, unevenness.
//!
//! Of a patch the middle is taken, pixels far from its median are left out (dust, scratches, a thread). Of a cloth all of
//! the region given is taken and divided into blocks, each averaged over its weave and pile as the eye does, in linear light;
//! the middle ones of the blocks count, so that a speck, a stain or a small gleam does not. Left out: what cloth and
//! light are, which `faults` asks.

mod blocks;
mod laid;
mod place;
mod print;
mod read;
mod take;

pub use laid::{KnownPlace, LaidReading};
pub use place::ClothPlace;
pub use print::{CardFault, CardReading};
pub use read::PhotoReading;
pub use take::{ASK_DRY, Asked, Taken};

pub(crate) use self::blocks::Unevenness;
use crate::{FoundChart, Map, Picture};

/// One average.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Linear device colour: red, green, blue; 0 to 1.
    pub rgb: [f64; 3],
    /// Standard deviation of a pixel about it, of each channel: noise, and weave or pile.
    pub noise: [f64; 3],
    /// Pixels that count.
    pub pixels: usize,
    /// Share of the pixels that stand at the top of the scale in a channel.
    pub clipped: f64,
    /// Share of the pixels that stand at the bottom in a channel.
    pub crushed: f64,
    /// Share of the pixels left out as dust.
    pub dust: f64,
    /// Change of the light from one side of it to the other, linear.
    pub lean: f64,
    /// White paper at the same place, where it was photographed too.
    pub paper: Option<[f64; 3]>,
    /// Where its middle lies, in shares of the picture's longer side from its middle.
    pub place: [f64; 2],
}

/// A cloth's average and how even it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClothSample {
    /// The average.
    pub sample: Sample,
    /// How much its parts differ in light, once a slope is taken out: the largest of the middle nine tenths, as a share.
    pub uneven: f64,
    /// How much its parts differ in colour, as a share.
    pub discoloured: f64,
    /// Change of the light over it from one side to the other, as the logarithm of a ratio.
    pub slope: f64,
    /// Share of it that is darker than the rest by a clear step.
    pub blotched: f64,
    /// Where an edge of light may lie between the chart and it: the logarithm of the ratio of light beyond it. None where
    /// none is seen, which is no proof that there is none.
    pub edge_between: Option<f64>,
}

/// Half of the middle of a patch that is averaged, in pitches: patches are 0.8 to 0.9 wide.
const CORE: f64 = 0.26;
/// Pixels of a patch and of a cloth that are looked at; more would change nothing.
const MOST_OF_PATCH: f64 = 3000.0;
const MOST_OF_CLOTH: f64 = 20_000.0;
/// A pixel further from the median than so many standard deviations is dust; and never less than so much of it.
const DUST: f64 = 4.0;
const LEAST_DUST: f64 = 0.02;
/// Encoded value at or below which light was lost.
const CRUSHED: f32 = 1.5 / 255.0;

/// One pixel: where it lies in the region, −1 to 1 each way, and its light.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pixel {
    pub(crate) at: [f64; 2],
    pub(crate) rgb: [f64; 3],
    clipped: bool,
    crushed: bool,
}

impl Sample {
    /// A channel against the white paper at the same place, where there is one.
    pub(crate) fn even(&self, channel: usize) -> f64 {
        self.rgb[channel] / self.paper.map_or(1.0, |p| p[channel])
    }
}

impl Picture {
    /// Every patch of a chart, row after row.
    #[must_use]
    pub(crate) fn sample_patches(&self, chart: &FoundChart, patches: usize) -> Vec<Sample> {
        (0..patches)
            .map(|n| {
                let [x, y] = chart.place(n);
                let square = chart.map.after([CORE, 0.0], [0.0, CORE], [x, y]);
                average(self, &square, &self.pixels_in(&square, MOST_OF_PATCH))
            })
            .collect()
    }

    /// A cloth in a region. None where fewer than a few hundred pixels of it lie in the picture.
    #[must_use]
    pub(crate) fn sample_cloth(
        &self,
        region: &ClothPlace,
        chart: Option<&FoundChart>,
    ) -> Option<ClothSample> {
        let square = region.square(chart)?;
        let inside = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]].iter().all(|c| {
            let [x, y] = square.at(*c);
            #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
            let (w, h) = (self.width() as f64, self.height() as f64);
            (-1.0..=w + 1.0).contains(&x) && (-1.0..=h + 1.0).contains(&y)
        });
        let pixels = self.pixels_in(&square, MOST_OF_CLOTH);
        if !inside || pixels.len() < FEWEST {
            return None;
        }
        let mut sample = average(self, &square, &pixels);
        let uneven = Unevenness::of(&pixels, !self.is_deep())?;
        sample.rgb = uneven.middle;
        Some(ClothSample {
            sample,
            uneven: uneven.light,
            discoloured: uneven.colour,
            slope: uneven.slope,
            blotched: uneven.blotched,
            edge_between: None,
        })
    }

    /// The pixels of a square seen through `square`, which takes −1 to 1 each way to the picture; every second or tenth
    /// where there are more than enough.
    pub(crate) fn pixels_in(&self, square: &Map, most: f64) -> Vec<Pixel> {
        let corners = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]].map(|c| square.at(c));
        let low = |k: usize| corners.iter().map(|c| c[k]).fold(f64::MAX, f64::min);
        let high = |k: usize| corners.iter().map(|c| c[k]).fold(f64::MIN, f64::max);
        let area = (high(0) - low(0)).max(0.0) * (high(1) - low(1)).max(0.0);
        let step = natural((area / most).sqrt().ceil()).max(1);
        let back = square.inverse();
        let mut pixels = Vec::new();
        for y in (natural(low(1))..natural(high(1) + 1.0).min(self.height())).step_by(step) {
            for x in (natural(low(0))..natural(high(0) + 1.0).min(self.width())).step_by(step) {
                #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
                let at = back.at([x as f64 + 0.5, y as f64 + 0.5]);
                if at[0].abs() <= 1.0 && at[1].abs() <= 1.0 && self.is_solid(x, y) {
                    let encoded = self.encoded(x, y);
                    pixels.push(Pixel {
                        at,
                        rgb: self.linear(x, y).map(f64::from),
                        clipped: self.is_clipped(x, y),
                        crushed: encoded.iter().any(|v| *v <= CRUSHED),
                    });
                }
            }
        }
        pixels
    }
}

/// Fewest pixels of a cloth.
const FEWEST: usize = 400;

fn average(picture: &Picture, square: &Map, pixels: &[Pixel]) -> Sample {
    let [x, y] = square.at([0.0, 0.0]);
    #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
    let (w, h) = (picture.width() as f64, picture.height() as f64);
    let place = [(x - 0.5 * w) / w.max(h), (y - 0.5 * h) / w.max(h)];
    let all = number(pixels.len().max(1));
    let middle: [f64; 3] =
        std::array::from_fn(|c| median(pixels.iter().map(|p| p.rgb[c]).collect()));
    let reach: [f64; 3] = std::array::from_fn(|c| {
        let away = median(pixels.iter().map(|p| (p.rgb[c] - middle[c]).abs()).collect());
        (DUST * 1.4826 * away).max(LEAST_DUST * middle[c]).max(1e-4)
    });
    let good: Vec<&Pixel> = pixels
        .iter()
        .filter(|p| (0..3).all(|c| (p.rgb[c] - middle[c]).abs() <= reach[c]))
        .collect();
    let count = number(good.len().max(1));
    let mean: [f64; 3] =
        std::array::from_fn(|c| good.iter().map(|p| p.rgb[c]).sum::<f64>() / count);
    let share = |of: fn(&Pixel) -> bool| number(pixels.iter().filter(|p| of(p)).count()) / all;
    Sample {
        rgb: mean,
        noise: std::array::from_fn(|c| {
            (good.iter().map(|p| (p.rgb[c] - mean[c]) * (p.rgb[c] - mean[c])).sum::<f64>() / count)
                .sqrt()
        }),
        pixels: good.len(),
        clipped: share(|p| p.clipped),
        crushed: share(|p| p.crushed),
        dust: 1.0 - count / all,
        lean: lean(&good),
        paper: None,
        place,
    }
}

/// Largest change over it, of any channel: places lie evenly about 0, so that a slope is a mean of products.
fn lean(pixels: &[&Pixel]) -> f64 {
    let slope = |c: usize, k: usize| {
        let (mut product, mut square) = (0.0, 1e-9);
        for p in pixels {
            product += p.at[k] * p.rgb[c];
            square += p.at[k] * p.at[k];
        }
        let off = pixels.iter().map(|p| p.at[k]).sum::<f64>() / number(pixels.len().max(1));
        let mean = pixels.iter().map(|p| p.rgb[c]).sum::<f64>();
        (product - off * mean) / square
    };
    (0..3).map(|c| 2.0 * slope(c, 0).hypot(slope(c, 1))).fold(0.0, f64::max)
}

pub(crate) fn median(mut all: Vec<f64>) -> f64 {
    if all.is_empty() {
        return 0.0;
    }
    let half = all.len() / 2;
    *all.select_nth_unstable_by(half, f64::total_cmp).1
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to sizes of pictures"
)]
fn natural(v: f64) -> usize {
    v.clamp(0.0, 1e9) as usize
}

#[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
pub(crate) const fn number(n: usize) -> f64 {
    n as f64
}
