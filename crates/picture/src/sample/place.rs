//! Where a cloth lies: four corners in the picture, or a place beside the chart.

use super::number;
use crate::{FoundChart, Map};

/// From the middle of the chart's outermost patches to where they surely still are, in pitches.
const RIM: f64 = 0.35;
/// Steps across a place that are looked at.
const STEPS: usize = 8;

/// A four-sided place that is all cloth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ClothPlace {
    /// Corners in pixels, one after another around it.
    Corners([[f64; 2]; 4]),
    /// Left, top, right, bottom in the chart's own units: the first patch's middle is the origin, and the next one's in its
    /// row is 1 to the right of it, whichever way the chart lies in the picture.
    Beside([f64; 4]),
}

impl ClothPlace {
    /// An upright rectangle of the picture: left, top, right, bottom in pixels.
    #[must_use]
    pub const fn rectangle([l, t, r, b]: [f64; 4]) -> Self {
        Self::Corners([[l, t], [r, t], [r, b], [l, b]])
    }

    /// Whether any of it lies on the chart's patches.
    pub(crate) fn is_on(&self, chart: &FoundChart) -> bool {
        let Some(square) = self.square(Some(chart)) else { return false };
        let (back, [across, down]) = (chart.map.inverse(), chart.size());
        let inside = |v: f64, many: usize| v > -RIM && v < number(many - 1) + RIM;
        let steps = || (0..=STEPS).map(|k| 2.0 * number(k) / number(STEPS) - 1.0);
        steps().any(|u| {
            steps().any(|v| {
                let pixel = square.at([u, v]);
                let [x, y] = back.at(pixel);
                inside(x, across) && inside(y, down)
            })
        })
    }

    /// The map from −1 to 1 each way to pixels.
    pub(crate) fn square(&self, chart: Option<&FoundChart>) -> Option<Map> {
        match self {
            Self::Corners(c) => Map::fitted(&[
                ([-1.0, -1.0], c[0]),
                ([1.0, -1.0], c[1]),
                ([1.0, 1.0], c[2]),
                ([-1.0, 1.0], c[3]),
            ]),
            Self::Beside([l, t, r, b]) if r > l && b > t => Some(chart?.map.after(
                [0.5 * (r - l), 0.0],
                [0.0, 0.5 * (b - t)],
                [0.5 * (l + r), 0.5 * (t + b)],
            )),
            Self::Beside(_) => None,
        }
    }
}
