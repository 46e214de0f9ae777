//! The flat colours a person would name in drawn artwork: lines, shading, highlights, softened edges and the fringes of
//! JPEG set aside.
//!
//! Where a pixel and its eight neighbours hardly differ the picture is *calm*. Calm pixels are counted by colour and
//! near colours are gathered into *tones*; what is too narrow to be a panel is opened away; and then it is looked at
//! which tones touch. A shadow or a highlight borders on its own base, while other flats are mostly parted by a line.
//! What can be read in two ways is asked, not decided.
//!
//! Limits (radius of a tone, widths, shares) are our judgement, tried on drawings made up by the room `scenes`. Left
//! out: hatching and halftone as shading, patterns as one colour, photographs.

mod calm;
mod families;
mod inside;
mod pairs;
mod panels;
mod settled;
mod shading;
mod tones;
mod touch;

pub use pairs::{Pair, Paired, paired};

use colour::{Lab, Screen, ScreenColour, Shown, ciede2000};

use crate::{Picture, Refusal};
use calm::Calm;
use families::{Doubt, Family};
use panels::Panels;
use tones::Tone;

/// A part of a picture, in pixels from its left and its top.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Region {
    /// From the left.
    pub x: usize,
    /// From the top.
    pub y: usize,
    /// Across.
    pub width: usize,
    /// Down.
    pub height: usize,
}

/// What a tone is beside its base.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShadeKind {
    /// Darker than the base.
    Shadow,
    /// Lighter than the base.
    Highlight,
}

/// A shade of a flat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shade {
    /// Which.
    pub kind: ShadeKind,
    /// Its colour, D65/2°.
    pub lab: Lab,
    /// Its share of what was looked at, 0 to 1.
    pub share: f64,
}

/// What the picture leaves open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Open {
    /// It may be a colour of its own, or a shadow (or a light) of another flat: its place in the list.
    ShadeOf(usize),
    /// The shading runs softly, and this may be the base as well.
    BaseMayBe(Lab),
}

/// A flat colour.
#[derive(Debug, Clone, PartialEq)]
pub struct Flat {
    /// Its base, D65/2°.
    pub lab: Lab,
    /// The base as a screen shows it, sRGB.
    pub screen: ScreenColour,
    /// Share of what was looked at (0 to 1), its shades counted; lines and edges are nobody's.
    pub share: f64,
    /// Share of the base alone.
    pub base_share: f64,
    /// A pixel well inside the largest part of the base, from the left and from the top.
    pub at: [usize; 2],
    /// Left, top, right, bottom in pixels, right and bottom outside.
    pub bounds: [usize; 4],
    /// Its shades, largest first.
    pub shades: Vec<Shade>,
    /// Whether the shading runs softly rather than in steps.
    pub is_soft: bool,
    /// Whether it is most of the picture's edge: then it is likely the ground and no piece.
    pub is_ground: bool,
    /// What is left open.
    pub open: Vec<Open>,
}

/// The flats of a picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Flats {
    /// Largest first.
    pub all: Vec<Flat>,
    /// What was looked at.
    pub region: Region,
    /// Share of what was looked at that is of no flat: lines, edges, small things.
    pub left_aside: f64,
    /// Share of the region that is cut out of the picture.
    pub cut_out: f64,
}

impl Flat {
    /// From the darkest shade to the lightest, D65/2°.
    #[must_use]
    pub fn range(&self) -> [Lab; 2] {
        let mut range = [self.lab; 2];
        for shade in &self.shades {
            if shade.lab.l < range[0].l {
                range[0] = shade.lab;
            }
            if shade.lab.l > range[1].l {
                range[1] = shade.lab;
            }
        }
        range
    }
}

/// Fewest pixels across or down of a region.
const FEWEST: usize = 8;
/// Share of solid pixels below which there is nothing to read.
const FEWEST_SOLID: f64 = 0.002;

impl Picture {
    /// The flat colours of drawn artwork, largest first.
    ///
    /// # Errors
    /// A region outside of the picture or too small, a picture that is cut out nearly everywhere, or one without flat
    /// colours (a photograph, noise).
    pub fn try_flats(&self, region: Option<Region>) -> Result<Flats, Refusal> {
        let region = self.region(region)?;
        let calm = Calm::of(self, region);
        #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
        let (all, solid) = ((region.width * region.height) as f64, calm.solid as f64);
        if solid < FEWEST_SOLID * all {
            return Err(Refusal::Unfit {
                what: "nearly all of the picture is cut out (transparent)".to_owned(),
                rule: "save it with the figure in it, on a plain ground".to_owned(),
            });
        }
        let tones = tones::of(self, &calm.counted);
        let soft: Vec<Vec<bool>> = tones
            .iter()
            .map(|a| tones.iter().map(|b| ciede2000(a.lab, b.lab) <= families::RUN).collect())
            .collect();
        let panels = Panels::of(&calm.labels(self, region, &tones), &soft);
        let mut families = families::of(&tones, &panels);
        if families.is_empty() {
            return Err(Refusal::Unfit {
                what: "there are no flat colours in it: it looks like a photograph, or like noise"
                    .to_owned(),
                rule: "give drawn artwork, or a region of it where a colour stands evenly"
                    .to_owned(),
            });
        }
        families.sort_by_key(|f| std::cmp::Reverse(f.area(&panels)));
        let mut flats: Vec<Flat> =
            families.iter().map(|f| flat(f, &families, &tones, &panels, region, solid)).collect();
        let inside = inside::colours(self, region, &calm, &panels, &families);
        for (flat, lab) in flats.iter_mut().zip(inside) {
            if let Some(lab) = lab {
                flat.lab = lab;
                flat.screen = Shown::of_lab2(Screen::Srgb, lab).colour;
            }
        }
        let taken: f64 = flats.iter().map(|f| f.share).sum();
        Ok(Flats {
            all: flats,
            region,
            left_aside: (1.0 - taken).clamp(0.0, 1.0),
            cut_out: 1.0 - solid / all,
        })
    }

    fn region(&self, given: Option<Region>) -> Result<Region, Refusal> {
        let whole = Region { x: 0, y: 0, width: self.width, height: self.height };
        let Some(region) = given else { return Ok(whole) };
        let right = region.x.checked_add(region.width);
        let bottom = region.y.checked_add(region.height);
        let inside =
            right.is_some_and(|r| r <= self.width) && bottom.is_some_and(|b| b <= self.height);
        let Region { x, y, width, height } = region;
        if !inside {
            return Err(Refusal::Unfit {
                what: format!(
                    "the region {x},{y},{width},{height} reaches out of the picture, which is {} × {} pixels",
                    self.width, self.height
                ),
                rule: "give left, top, width and height in pixels within it".to_owned(),
            });
        }
        if width < FEWEST || height < FEWEST {
            return Err(Refusal::Unfit {
                what: format!("a region of {width} × {height} pixels holds too little to read"),
                rule: format!("take at least {FEWEST} × {FEWEST}"),
            });
        }
        Ok(region)
    }
}

fn flat(
    family: &Family,
    families: &[Family],
    tones: &[Tone],
    panels: &Panels,
    region: Region,
    solid: f64,
) -> Flat {
    #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
    let share = |area: usize| area as f64 / solid;
    let base = &tones[family.base];
    let mut shades: Vec<Shade> = family
        .shades
        .iter()
        .map(|s| Shade {
            kind: if tones[s.tone].lab.l < base.lab.l {
                ShadeKind::Shadow
            } else {
                ShadeKind::Highlight
            },
            lab: tones[s.tone].lab,
            share: share(panels.area(&s.parts)),
        })
        .collect();
    shades.sort_by(|a, b| b.share.total_cmp(&a.share));
    let mut bounds = [usize::MAX, usize::MAX, 0, 0];
    let parts = family.parts.iter().chain(family.shades.iter().flat_map(|s| &s.parts));
    for part in parts.map(|p| &panels.parts[*p]) {
        bounds[0] = bounds[0].min(part.bounds[0]);
        bounds[1] = bounds[1].min(part.bounds[1]);
        bounds[2] = bounds[2].max(part.bounds[2]);
        bounds[3] = bounds[3].max(part.bounds[3]);
    }
    let [left, top, right, bottom] = bounds;
    let bounds = [left + region.x, top + region.y, right + region.x, bottom + region.y];
    let largest = family.parts.iter().map(|p| &panels.parts[*p]).max_by_key(|p| p.area);
    let at = largest.map_or([0, 0], |p| [p.at[0] + region.x, p.at[1] + region.y]);
    let open = family
        .doubts
        .iter()
        .filter_map(|doubt| match doubt {
            Doubt::ShadeOf(tone) => families
                .iter()
                .position(|f| f.base == *tone && !std::ptr::eq(f, family))
                .map(Open::ShadeOf),
            Doubt::BaseMayBe(tone) => Some(Open::BaseMayBe(tones[*tone].lab)),
        })
        .collect();
    Flat {
        lab: base.lab,
        screen: Shown::of_lab2(Screen::Srgb, base.lab).colour,
        share: share(family.area(panels)),
        base_share: share(panels.area(&family.parts)),
        at,
        bounds,
        shades,
        is_soft: family.is_soft,
        is_ground: families.len() > 1 && panels.is_ground(&family.parts),
        open,
    }
}
