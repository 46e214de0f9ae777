//! Artwork made up from a seed, with its truth: a figure of flat colours, each with two shadow tones and a highlight,
//! lines between them, edges softened by averaging, and the file a painting program would save.
//!
//! Drawn at three times the size in each direction as a map of *paints* and averaged in encoded colour, as painting
//! programs do. Left out: anything a person would recognise; textures of cloth; hatching in two directions.

mod encode;
mod layout;
mod paints;
mod shapes;

pub use encode::NotEncoded;

use colour::{Lab, ScreenColour};

use crate::Chance;
use layout::Layout;
use paints::Palette;
use shapes::Canvas;

/// How the shades of a flat meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shading {
    /// Two shadow tones and a highlight with hard edges.
    Hard,
    /// One soft run from highlight to shadow, with a plateau of the base.
    Soft,
    /// Flats alone.
    None,
}

/// What to draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Manner {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// Flat colours, the ground not counted.
    pub flats: usize,
    /// How they are shaded.
    pub shading: Shading,
    /// Width of the lines in pixels; 0: none.
    pub line: f64,
    /// Whether the ground is busy: blots, strokes and a run of colour behind the figure.
    pub clutter: bool,
}

/// One flat of the truth.
#[derive(Debug, Clone, PartialEq)]
pub struct FlatDrawn {
    /// Its base as written in the file before compression.
    pub hex: String,
    /// The same, D65/2°.
    pub lab: Lab,
    /// Its darkest and lightest tone, D65/2°; both the base where there is no shading.
    pub range: [Lab; 2],
    /// Share of the picture, shades counted; base alone.
    pub share: [f64; 2],
    /// Left, top, right, bottom in pixels, right and bottom outside.
    pub bounds: [usize; 4],
    /// Whether it is the ground that the figure stands on.
    pub is_ground: bool,
}

/// A picture and its truth.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// Red, green, blue.
    pub rgb: Vec<u8>,
    /// What is in it, largest first.
    pub flats: Vec<FlatDrawn>,
    /// Which flat each pixel is mostly of; 255 for lines and clutter.
    owner: Vec<u8>,
}

/// The renderer.
#[derive(Debug, Clone, Copy)]
pub struct Artwork;

impl Manner {
    /// The demanded kind: lines, 8–24 flats, two shadow tones and a highlight, of a size seen in reference sheets.
    #[must_use]
    pub fn usual(chance: &mut Chance) -> Self {
        let width = 900 + chance.below(900);
        let height = 900 + chance.below(900);
        Self {
            width,
            height,
            flats: 8 + chance.below(17),
            shading: Shading::Hard,
            line: chance.between(2.0, 6.0),
            clutter: chance.below(2) == 0,
        }
    }
}

impl Artwork {
    /// Draws a picture.
    #[must_use]
    pub fn drawn(manner: &Manner, chance: &mut Chance) -> Drawn {
        let palette = Palette::drawn(manner, chance);
        let mut canvas = Canvas::new(manner.width * FINE, manner.height * FINE);
        Layout { manner, palette: &palette }.draw(&mut canvas, chance);
        averaged(manner, &palette, &canvas)
    }
}

/// Samples across a pixel.
const FINE: usize = 3;

fn averaged(manner: &Manner, palette: &Palette, canvas: &Canvas) -> Drawn {
    let (width, height) = (manner.width, manner.height);
    let mut rgb = Vec::with_capacity(width * height * 3);
    let mut owner = Vec::with_capacity(width * height);
    let mut seen = vec![Seen::default(); palette.flats()];
    for y in 0..height {
        for x in 0..width {
            let mut sum = [0.0; 3];
            let mut owners = [0_u8; FINE * FINE];
            for (k, own) in owners.iter_mut().enumerate() {
                let (sx, sy) = (x * FINE + k % FINE, y * FINE + k / FINE);
                let paint = canvas.at(sx, sy);
                let colour = palette.colour(paint, sx, sy);
                for (s, c) in sum.iter_mut().zip(colour) {
                    *s += c;
                }
                *own = palette.flat_of(paint);
            }
            #[expect(clippy::cast_precision_loss, reason = "nine samples")]
            let samples = (FINE * FINE) as f64;
            rgb.extend(sum.map(|s| byte(s / samples)));
            let middle = canvas.at(x * FINE + 1, y * FINE + 1);
            let whole = owners.iter().all(|o| *o == owners[0]);
            owner.push(if whole { owners[0] } else { 255 });
            if let Some(seen) = seen.get_mut(usize::from(palette.flat_of(middle))) {
                seen.add(x, y, palette.is_base(middle, x * FINE, y * FINE));
            }
        }
    }
    let mut flats = vec![];
    let mut order: Vec<usize> = (0..seen.len()).collect();
    order.sort_by_key(|i| std::cmp::Reverse(seen[*i].all));
    order.retain(|i| seen[*i].base > 0);
    let mut renamed = [255_u8; 256];
    #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
    let pixels = (width * height) as f64;
    for (place, i) in order.into_iter().enumerate() {
        let seen = &seen[i];
        renamed[i] = u8::try_from(place).unwrap_or(255);
        let screen = palette.base(i);
        #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
        flats.push(FlatDrawn {
            hex: screen.to_hex(),
            lab: screen.to_lab2(),
            range: palette.range(i).map(|c: ScreenColour| c.to_lab2()),
            share: [seen.all as f64 / pixels, seen.base as f64 / pixels],
            bounds: [seen.left, seen.top, seen.right + 1, seen.bottom + 1],
            is_ground: i == 0,
        });
    }
    for own in &mut owner {
        *own = renamed[usize::from(*own)];
    }
    Drawn { width, height, rgb, flats, owner }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
fn byte(v: f64) -> u8 {
    v.round().clamp(0.0, 255.0) as u8
}

#[derive(Debug, Clone, Copy)]
struct Seen {
    all: usize,
    base: usize,
    left: usize,
    top: usize,
    right: usize,
    bottom: usize,
}

impl Default for Seen {
    fn default() -> Self {
        Self { all: 0, base: 0, left: usize::MAX - 1, top: usize::MAX - 1, right: 0, bottom: 0 }
    }
}

impl Seen {
    fn add(&mut self, x: usize, y: usize, base: bool) {
        self.all += 1;
        self.base += usize::from(base);
        self.left = self.left.min(x);
        self.top = self.top.min(y);
        self.right = self.right.max(x);
        self.bottom = self.bottom.max(y);
    }
}

impl Drawn {
    /// Which flat a pixel is wholly of; none on lines, edges and clutter.
    #[must_use]
    pub fn flat_at(&self, x: usize, y: usize) -> Option<usize> {
        let inside = x < self.width && y < self.height;
        let own = inside.then(|| self.owner[y * self.width + x])?;
        (own != 255).then(|| usize::from(own))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn manner() -> Manner {
        let shading = Shading::Hard;
        Manner { width: 400, height: 300, flats: 10, shading, line: 3.0, clutter: true }
    }

    #[test]
    fn one_seed_draws_one_picture_and_another_draws_another() {
        let of = |seed| Artwork::drawn(&manner(), &mut Chance::of(seed)).rgb;
        assert_eq!(of(3), of(3));
        assert_ne!(of(3), of(4));
    }

    #[test]
    fn the_truth_is_in_the_picture() {
        for (seed, shading) in (0..6).zip([Shading::Hard, Shading::Soft, Shading::None].repeat(2)) {
            let drawn = Artwork::drawn(&Manner { shading, ..manner() }, &mut Chance::of(seed));
            assert!(drawn.flats.len() >= 9, "{}", drawn.flats.len());
            let mut found = vec![0_usize; drawn.flats.len()];
            for y in 0..drawn.height {
                for x in 0..drawn.width {
                    let Some(flat) = drawn.flat_at(x, y) else { continue };
                    let at = 3 * (y * drawn.width + x);
                    let [r, g, b] = [drawn.rgb[at], drawn.rgb[at + 1], drawn.rgb[at + 2]];
                    let hex = format!("#{r:02x}{g:02x}{b:02x}");
                    found[flat] += usize::from(hex == drawn.flats[flat].hex);
                }
            }
            for (flat, found) in drawn.flats.iter().zip(found) {
                assert!(found > 20 || flat.share[1] < 0.001, "{flat:?} stands {found} times");
                assert!(flat.range[0].l <= flat.lab.l && flat.lab.l <= flat.range[1].l, "{flat:?}");
            }
        }
    }
}
