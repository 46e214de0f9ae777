//! Panels: what is left of the labels when lines and other narrow things are opened away, in connected parts.
//!
//! Done on a grid that takes every so-manieth pixel of a large picture. Opening by a square (Serra, *Image Analysis and
//! Mathematical Morphology*, 1982) with the chessboard distance in two sweeps (Rosenfeld and Pfaltz, J. ACM 13 (1966)
//! 471). Where a colour runs softly into the next, their border is no edge.

use std::collections::HashMap;

use super::calm::Labels;
use super::touch::{Touch, touches};

/// A connected part of one tone.
#[derive(Debug, Clone)]
pub(crate) struct Part {
    pub(crate) tone: usize,
    /// Pixels, about.
    pub(crate) area: usize,
    /// Left, top, right, bottom in pixels of the region, right and bottom outside.
    pub(crate) bounds: [usize; 4],
    /// A pixel well inside.
    pub(crate) at: [usize; 2],
    /// Cells of it at the region's border.
    border: usize,
    deepest: u16,
}

/// All parts, and where they touch.
pub(crate) struct Panels {
    pub(crate) parts: Vec<Part>,
    pub(crate) of_tone: Vec<Vec<usize>>,
    /// By lower and higher part.
    pub(crate) touches: HashMap<(u32, u32), Touch>,
    /// Pixels of the region.
    pub(crate) pixels: usize,
    /// Pixels of the narrowest square that is a panel.
    pub(crate) smallest: usize,
    pub(crate) grid: Grid,
    border: usize,
}

/// The part of each cell: 0 for none, else one more than its place.
pub(crate) struct Grid {
    pub(crate) step: usize,
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) part: Vec<u32>,
}

/// Cells that are looked at, at most about so many.
const CELLS: f64 = 500_000.0;
/// Half the width of what is too narrow for a panel, as a share of the picture's side: lines of reference sheets are
/// up to seven thousandths wide.
const NARROW: f64 = 0.0032;
/// Share of the border from which a flat is the ground.
const GROUND: f64 = 0.5;

impl Panels {
    pub(crate) fn of(labels: &Labels, soft: &[Vec<bool>]) -> Self {
        let pixels = labels.width * labels.height;
        #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
        let side = (pixels as f64).sqrt();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "small and positive"
        )]
        let (step, narrow) =
            ((side / CELLS.sqrt()).round().max(1.0) as usize, (side * NARROW).max(1.5));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "small and positive"
        )]
        let reach = (narrow / step as f64).round().max(1.0) as u16;
        let (width, height) = (labels.width.div_ceil(step), labels.height.div_ceil(step));
        let cell = |x: usize, y: usize| labels.tone[y * step * labels.width + x * step];
        let mut tone: Vec<u8> = (0..width * height).map(|i| cell(i % width, i / width)).collect();
        let depth = depth(&tone, width, soft);
        open(&mut tone, &depth, width, reach, soft);
        let (part, count) = connected(&tone, width);
        let mut parts: Vec<Option<Part>> = vec![None; count];
        for (i, id) in part.iter().enumerate().filter(|(_, id)| **id > 0) {
            let (x, y) = (i % width, i / width);
            let at = [(x * step).min(labels.width - 1), (y * step).min(labels.height - 1)];
            let one = parts[*id as usize - 1].get_or_insert(Part {
                tone: usize::from(tone[i]) - 1,
                area: 0,
                bounds: [at[0], at[1], 0, 0],
                at,
                border: 0,
                deepest: 0,
            });
            one.area += step * step;
            one.bounds[0] = one.bounds[0].min(at[0]);
            one.bounds[1] = one.bounds[1].min(at[1]);
            one.bounds[2] = one.bounds[2].max((at[0] + step).min(labels.width));
            one.bounds[3] = one.bounds[3].max((at[1] + step).min(labels.height));
            // Well inside of the picture, too.
            let aside = (x + 1).min(y + 1).min(width - x).min(height - y);
            let deep = depth[i].min(u16::try_from(aside).unwrap_or(u16::MAX));
            if deep > one.deepest {
                (one.deepest, one.at) = (deep, at);
            }
            let edge = x == 0 || y == 0 || x + 1 == width || y + 1 == height;
            one.border += usize::from(edge);
        }
        let parts: Vec<Part> = parts.into_iter().flatten().collect();
        let mut of_tone = vec![vec![]; soft.len()];
        for (i, part) in parts.iter().enumerate() {
            of_tone[part.tone].push(i);
        }
        let grid = Grid { step, width, height, part };
        let touches = touches(labels, &grid, &parts, usize::from(reach) * step);
        let square = (2 * usize::from(reach) + 1) * step;
        let border = 2 * (grid.width + grid.height);
        let cut = labels.solid.as_ref().map_or(0, |solid| {
            let row = |y: usize| &solid[y * labels.width..(y + 1) * labels.width];
            let ends = row(0).iter().chain(row(labels.height - 1)).filter(|s| !**s).count();
            let sides = (0..labels.height)
                .map(|y| usize::from(!row(y)[0]) + usize::from(!row(y)[labels.width - 1]))
                .sum::<usize>();
            (ends + sides) / step
        });
        let border = if 2 * cut > border { usize::MAX } else { border };
        Self { parts, of_tone, touches, pixels, smallest: square * square, grid, border }
    }

    pub(crate) fn area(&self, parts: &[usize]) -> usize {
        parts.iter().map(|p| self.parts[*p].area).sum()
    }

    /// Whether these parts are most of the border.
    pub(crate) fn is_ground(&self, parts: &[usize]) -> bool {
        let at_border: usize = parts.iter().map(|p| self.parts[*p].border).sum();
        #[expect(clippy::cast_precision_loss, reason = "a count of cells")]
        let share = at_border as f64 / self.border as f64;
        share >= GROUND
    }
}

/// How far each cell is from an edge, in cells; the picture's own border is none.
fn depth(tone: &[u8], width: usize, soft: &[Vec<bool>]) -> Vec<u16> {
    let height = tone.len() / width;
    let mut depth = vec![0_u16; tone.len()];
    let mut sweep = |order: &mut dyn Iterator<Item = usize>, sign: isize, first: bool| {
        let row = width.cast_signed();
        let back = [-sign, -sign * row, -sign * (row + 1), -sign * (row - 1)];
        for i in order {
            if tone[i] == 0 {
                continue;
            }
            let x = i % width;
            let mut least = if first { u16::MAX - 1 } else { depth[i] };
            for (k, by) in back.into_iter().enumerate() {
                let dx = [-sign, 0, -sign, sign][k];
                if x.checked_add_signed(dx).is_none_or(|x| x >= width) {
                    continue;
                }
                let Some(j) = i.checked_add_signed(by).filter(|j| *j < tone.len()) else {
                    continue;
                };
                let same = tone[j] == tone[i] || runs(soft, tone[i], tone[j]);
                least = least.min(if same { depth[j].saturating_add(1) } else { 1 });
            }
            depth[i] = least;
        }
    };
    sweep(&mut (0..width * height), 1, true);
    sweep(&mut (0..width * height).rev(), -1, false);
    depth
}

/// Whether two labels run softly into each other.
fn runs(soft: &[Vec<bool>], a: u8, b: u8) -> bool {
    a > 0 && b > 0 && soft[usize::from(a) - 1][usize::from(b) - 1]
}

/// Takes away what no square of twice `reach` and one fits into.
fn open(tone: &mut [u8], depth: &[u16], width: usize, reach: u16, soft: &[Vec<bool>]) {
    // Nearest core cell, and its tone.
    let far = u16::MAX;
    let mut near: Vec<(u16, u8)> = depth
        .iter()
        .zip(tone.iter())
        .map(|(d, t)| if *d > reach { (0, *t) } else { (far, 0) })
        .collect();
    let mut look = |i: usize, back: [Option<usize>; 4]| {
        for j in back.into_iter().flatten() {
            let (away, of) = near[j];
            let here = tone[i];
            if away.saturating_add(1) < near[i].0 && (here == of || runs(soft, here, of)) {
                near[i] = (away + 1, of);
            }
        }
    };
    let count = tone.len();
    for i in 0..count {
        let (x, up) = (i % width, i.checked_sub(width));
        let (left, right) = (x > 0, x + 1 < width);
        look(
            i,
            [
                left.then(|| i - 1),
                up,
                up.filter(|_| left).map(|u| u - 1),
                up.filter(|_| right).map(|u| u + 1),
            ],
        );
    }
    for i in (0..count).rev() {
        let (x, down) = (i % width, Some(i + width).filter(|d| *d < count));
        let (left, right) = (x > 0, x + 1 < width);
        look(
            i,
            [
                right.then(|| i + 1),
                down,
                down.filter(|_| left).map(|d| d - 1),
                down.filter(|_| right).map(|d| d + 1),
            ],
        );
    }
    for (tone, (away, _)) in tone.iter_mut().zip(near) {
        if away > reach {
            *tone = 0;
        }
    }
}

/// Parts of one tone that hang together over sides: the number of each cell, from 1, and how many.
fn connected(tone: &[u8], width: usize) -> (Vec<u32>, usize) {
    let mut id = vec![0_u32; tone.len()];
    let mut leads: Vec<u32> = vec![0];
    for i in 0..tone.len() {
        if tone[i] == 0 {
            continue;
        }
        let left = (i % width > 0 && tone[i - 1] == tone[i]).then(|| id[i - 1]);
        let up = (i >= width && tone[i - width] == tone[i]).then(|| id[i - width]);
        id[i] = match (left, up) {
            (Some(a), Some(b)) => {
                let (a, b) = (root(&mut leads, a), root(&mut leads, b));
                let (low, high) = (a.min(b), a.max(b));
                leads[high as usize] = low;
                low
            }
            (Some(a), None) | (None, Some(a)) => a,
            (None, None) => {
                let new = u32::try_from(leads.len()).unwrap_or(0);
                leads.push(new);
                new
            }
        };
    }
    let mut named = vec![0_u32; leads.len()];
    let mut count = 0;
    for one in &mut id {
        if *one > 0 {
            let root = root(&mut leads, *one) as usize;
            if named[root] == 0 {
                count += 1;
                named[root] = count;
            }
            *one = named[root];
        }
    }
    (id, count as usize)
}

fn root(leads: &mut [u32], mut of: u32) -> u32 {
    while leads[of as usize] != of {
        leads[of as usize] = leads[leads[of as usize] as usize];
        of = leads[of as usize];
    }
    of
}
