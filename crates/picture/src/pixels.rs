//! A picture in memory: samples as they were encoded, upright, with what they stand for.

use colour::{Lab, Light, Observer, Weights, Xyz};

use crate::Encoding;

/// Samples, red, green and blue in turn.
#[derive(Debug, Clone)]
pub(crate) enum Samples {
    /// 8 bit.
    Eight(Vec<u8>),
    /// 16 bit.
    Sixteen(Vec<u16>),
}

/// A picture, upright.
#[derive(Debug, Clone)]
pub struct Picture {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) samples: Samples,
    /// How solid each pixel is, 255 wholly; none where all are.
    pub(crate) solid: Option<Vec<u8>>,
    pub(crate) encoding: Encoding,
}

impl Picture {
    /// Pixels across.
    #[must_use]
    pub const fn width(&self) -> usize {
        self.width
    }

    /// Pixels down.
    #[must_use]
    pub const fn height(&self) -> usize {
        self.height
    }

    /// How its numbers stand for light.
    #[must_use]
    pub const fn encoding(&self) -> &Encoding {
        &self.encoding
    }

    /// Whether its samples are of 16 bit.
    #[must_use]
    pub const fn is_deep(&self) -> bool {
        matches!(self.samples, Samples::Sixteen(_))
    }

    /// Linear device colour of a pixel, 0 to 1; black outside of the picture.
    #[must_use]
    pub fn linear(&self, x: usize, y: usize) -> [f32; 3] {
        let at = self.at(x, y);
        std::array::from_fn(|c| self.encoding.linear(c, at.map_or(0, |at| self.step(at + c))))
    }

    /// The pixel as encoded, 0 to 1.
    #[must_use]
    pub fn encoded(&self, x: usize, y: usize) -> [f32; 3] {
        let Some(at) = self.at(x, y) else { return [0.0; 3] };
        std::array::from_fn(|c| match &self.samples {
            Samples::Eight(all) => f32::from(all[at + c]) / 255.0,
            Samples::Sixteen(all) => f32::from(all[at + c]) / 65535.0,
        })
    }

    /// Whether a channel stands at the very top, where light was lost.
    #[must_use]
    pub fn is_clipped(&self, x: usize, y: usize) -> bool {
        self.encoded(x, y).iter().any(|v| *v >= CLIPPED)
    }

    /// Whether the pixel is part of the picture, not cut out of it.
    #[must_use]
    pub fn is_solid(&self, x: usize, y: usize) -> bool {
        let at = self.at(x, y).map(|at| at / 3);
        match (&self.solid, at) {
            (_, None) => false,
            (None, Some(_)) => true,
            (Some(solid), Some(at)) => solid[at] >= 128,
        }
    }

    /// Lab, D65/2°, as a screen shows linear device colour.
    #[must_use]
    pub fn lab_of(&self, linear: [f64; 3]) -> Lab {
        let Xyz { x, y, z } = self.encoding.xyz(linear);
        let white = Weights::of(Light::D65, Observer::Two).white();
        Xyz { x, y, z }.to_lab(white)
    }

    fn at(&self, x: usize, y: usize) -> Option<usize> {
        (x < self.width && y < self.height).then(|| 3 * (y * self.width + x))
    }

    fn step(&self, at: usize) -> usize {
        match &self.samples {
            Samples::Eight(all) => usize::from(all[at]),
            Samples::Sixteen(all) => usize::from(all[at]),
        }
    }
}

/// From here on a sample counts as clipped: the top half per cent, where cameras roll off (judgement).
pub(crate) const CLIPPED: f32 = 0.995;
