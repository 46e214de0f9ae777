//! The colour of a base from the pixels inside of its panels alone.
//!
//! A tone is gathered over the whole picture, and a line nearly as dark as the darkest cloth is gathered with it. Of the
//! panel's own calm pixels the middle one of each channel is taken, and the mean of what lies about it.

use colour::Lab;

use super::calm::Calm;
use super::families::Family;
use super::panels::Panels;
use super::{Region, tones};
use crate::Picture;

/// Steps of 8 bit about the middle within which pixels are averaged: what JPEG of quality 75 leaves of one flat.
const ABOUT: f32 = 3.0;
/// Pixels that are enough: a flat is flat everywhere.
const ENOUGH: usize = 4000;
/// Fewest pixels that tell more than the tone does.
const FEWEST: usize = 12;

/// D65/2° of each family's base; none where too little of it is calm.
pub(crate) fn colours(
    picture: &Picture,
    region: Region,
    calm: &Calm,
    panels: &Panels,
    families: &[Family],
) -> Vec<Option<Lab>> {
    let mut of_part = vec![usize::MAX; panels.parts.len()];
    for (i, family) in families.iter().enumerate() {
        family.parts.iter().for_each(|p| of_part[*p] = i);
    }
    let mut inside: Vec<Vec<[f32; 3]>> = vec![vec![]; families.len()];
    let grid = &panels.grid;
    for (at, part) in grid.part.iter().enumerate().filter(|(_, p)| **p > 0) {
        let family = of_part[*part as usize - 1];
        let (x, y) = (at % grid.width * grid.step, at / grid.width * grid.step);
        let wanted = family != usize::MAX && inside[family].len() < ENOUGH;
        if wanted && calm.is_calm(x, y, region) {
            inside[family].push(picture.encoded(region.x + x, region.y + y));
        }
    }
    inside.into_iter().map(|pixels| colour(picture, &pixels)).collect()
}

fn colour(picture: &Picture, pixels: &[[f32; 3]]) -> Option<Lab> {
    if pixels.len() < FEWEST {
        return None;
    }
    let middle: [f32; 3] = std::array::from_fn(|c| {
        let mut all: Vec<f32> = pixels.iter().map(|p| p[c]).collect();
        let half = all.len() / 2;
        *all.select_nth_unstable_by(half, f32::total_cmp).1
    });
    let near = |p: &&[f32; 3]| (0..3).all(|c| (p[c] - middle[c]).abs() <= ABOUT / 255.0);
    let (mut sum, mut count) = ([0.0_f64; 3], 0.0);
    for pixel in pixels.iter().filter(near) {
        sum.iter_mut().zip(pixel).for_each(|(s, v)| *s += f64::from(*v));
        count += 1.0;
    }
    (count > 0.0).then(|| picture.lab_of(tones::linear(picture, sum.map(|s| s / count))))
}
