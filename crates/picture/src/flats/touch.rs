//! Where parts touch, and whether a line stands between them.
//!
//! Every so-manieth row and column is walked; between two parts lies a gap of restless pixels. When the gap is darker
//! than both its sides, or lighter, a line parts them; else they border on each other directly.

use std::collections::HashMap;

use rayon::prelude::*;

use super::calm::Labels;
use super::panels::{Grid, Part};

/// How often two parts were met side by side.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Touch {
    /// With nothing between them but a softened edge.
    pub(crate) direct: u32,
    /// Of these, running into each other without any edge.
    pub(crate) soft: u32,
    /// Parted by a line.
    pub(crate) lined: u32,
}

type All = HashMap<(u32, u32), Touch>;

/// Pixels beyond a line's own width that may be restless beside it: a JPEG block on each side.
const BESIDE: usize = 18;
/// How much darker or lighter than both sides a gap must be for a line, in steps of 8 bit: more than the overshoot of
/// JPEG, which grows with the contrast.
const LINE: i32 = 8;
/// The same as a share of the contrast.
const OVERSHOOT: i32 = 5;

/// Encoded light below which a dark line beside a panel cannot be told from it by its light; then a gap as wide as this,
/// which no softened edge leaves (two to four pixels), tells it.
const DARK: u8 = 72;
const WIDE: usize = 5;

/// Walks rows and columns.
pub(crate) fn touches(labels: &Labels, grid: &Grid, parts: &[Part], narrow: usize) -> All {
    let widest = 2 * narrow + BESIDE;
    let stride = grid.step.max(2);
    let part = |x: usize, y: usize| {
        let id = grid.part[(y / grid.step).min(grid.height - 1) * grid.width + x / grid.step];
        let tone = labels.tone[y * labels.width + x];
        let own = id > 0 && parts[id as usize - 1].tone + 1 == usize::from(tone);
        if own { id } else { 0 }
    };
    let rows: Vec<usize> = (0..labels.height).step_by(stride).collect();
    let columns: Vec<usize> = (0..labels.width).step_by(stride).collect();
    let by_rows = rows.par_chunks(64).map(|rows| {
        let mut all = All::new();
        for y in rows {
            let mut walk = Walk::default();
            for x in 0..labels.width {
                let light = labels.light[y * labels.width + x];
                walk.step(part(x, *y), light, widest, &mut all);
            }
        }
        all
    });
    let by_columns = columns.par_chunks(64).map(|columns| {
        let mut all = All::new();
        let mut walks = vec![Walk::default(); columns.len()];
        for y in 0..labels.height {
            for (walk, x) in walks.iter_mut().zip(columns) {
                let light = labels.light[y * labels.width + x];
                walk.step(part(*x, y), light, widest, &mut all);
            }
        }
        all
    });
    let mut all = All::new();
    for found in by_rows.chain(by_columns).collect::<Vec<_>>() {
        for (pair, touch) in found {
            let sum = all.entry(pair).or_default();
            sum.direct += touch.direct;
            sum.soft += touch.soft;
            sum.lined += touch.lined;
        }
    }
    all
}

/// Where a walk stands: the last part met, and the gap since.
#[derive(Debug, Clone, Copy)]
struct Walk {
    part: u32,
    light: u8,
    gap: usize,
    darkest: u8,
    lightest: u8,
}

impl Default for Walk {
    fn default() -> Self {
        Self { part: 0, light: 0, gap: 0, darkest: 255, lightest: 0 }
    }
}

impl Walk {
    fn step(&mut self, part: u32, light: u8, widest: usize, all: &mut All) {
        if part == 0 {
            self.gap += 1;
            self.darkest = self.darkest.min(light);
            self.lightest = self.lightest.max(light);
            return;
        }
        if part != self.part && self.part != 0 && self.gap <= widest {
            let pair = (self.part.min(part), self.part.max(part));
            let touch = all.entry(pair).or_default();
            if self.is_lined(light) {
                touch.lined += 1;
            } else {
                touch.direct += 1;
                touch.soft += u32::from(self.gap == 0);
            }
        }
        *self = Self { part, light, ..Self::default() };
    }

    fn is_lined(&self, light: u8) -> bool {
        let (low, high) = (self.light.min(light), self.light.max(light));
        let more = LINE + i32::from(high - low) / OVERSHOOT;
        let dips = i32::from(self.darkest) < i32::from(low) - more
            || i32::from(self.lightest) > i32::from(high) + more;
        let lost = self.gap >= WIDE && low < DARK && self.darkest <= low.saturating_add(6);
        self.gap > 0 && (dips || lost)
    }
}
