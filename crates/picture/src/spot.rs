//! The colour of one place in a picture: what was pointed at, or what a drawn frame holds.
//!
//! A point stands for the pixels around it that are like it: one pixel alone may be a fringe of JPEG. A frame stands
//! for all of it. Both tell from where to where their lightness runs, so that shading is seen and not averaged away
//! unsaid. How large a point is, and how like "like" is, are our judgement. Left out: what is a shade of what, which
//! [`Picture::try_flats`] decides over the whole picture.

use colour::{Lab, Screen, ScreenColour, Shown, ciede2000};

use crate::flats::Region;
use crate::{Picture, Refusal};

/// The colour of a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// What was looked at.
    pub region: Region,
    /// Its mean light as a colour, D65/2°.
    pub lab: Lab,
    /// The same as a screen shows it, sRGB.
    pub screen: ScreenColour,
    /// The darkest and the lightest tenth, each by its mean, D65/2°.
    pub range: [Lab; 2],
    /// Pixels that count.
    pub pixels: usize,
}

/// A point reaches this share of the picture's shorter side to each side of it.
const REACH: f64 = 0.004;
/// And at least, and at most, so many pixels.
const LEAST_REACH: usize = 2;
const MOST_REACH: usize = 12;
/// ΔE00 within which a pixel beside a point is of the same colour.
const LIKE: f64 = 4.0;
/// Pixels of a frame that are looked at: more change nothing that is seen.
const MOST_LOOKED_AT: usize = 40_000;
/// The share of the pixels that counts as the darkest, and as the lightest.
const TENTH: usize = 10;

impl Picture {
    /// The colour at a point: of the pixels around it that are like it.
    ///
    /// # Errors
    /// A point outside of the picture, or in what is cut out of it.
    pub fn try_point(&self, x: usize, y: usize) -> Result<Spot, Refusal> {
        if x >= self.width || y >= self.height {
            return Err(self.outside(&format!("the point {x},{y} lies outside of the picture")));
        }
        if !self.is_solid(x, y) {
            return Err(Refusal::Unfit {
                what: format!("at {x},{y} the picture is cut out (transparent)"),
                rule: "point at the figure".to_owned(),
            });
        }
        #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
        let reach = (self.width.min(self.height) as f64 * REACH).round();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few pixels")]
        let reach = (reach as usize).clamp(LEAST_REACH, MOST_REACH);
        let (left, top) = (x.saturating_sub(reach), y.saturating_sub(reach));
        let region = Region {
            x: left,
            y: top,
            width: (x + reach + 1).min(self.width) - left,
            height: (y + reach + 1).min(self.height) - top,
        };
        let here = self.lab_of(self.linear(x, y).map(f64::from));
        let all = self.looked_at(region, 1);
        Ok(self.spot(region, all.into_iter().filter(|(lab, _)| ciede2000(*lab, here) <= LIKE)))
    }

    /// The colour of a frame: of all that is in it.
    ///
    /// # Errors
    /// A frame that holds nothing, or reaches out of the picture, or is cut out of it.
    pub fn try_frame(&self, region: Region) -> Result<Spot, Refusal> {
        let Region { x, y, width, height } = region;
        let right = x.checked_add(width).filter(|r| *r <= self.width);
        let bottom = y.checked_add(height).filter(|b| *b <= self.height);
        if right.is_none() || bottom.is_none() || width == 0 || height == 0 {
            let what =
                format!("the frame {x},{y},{width},{height} does not lie within the picture");
            return Err(self.outside(&what));
        }
        let step = (1..).find(|s| (width / s) * (height / s) <= MOST_LOOKED_AT).unwrap_or(1);
        let all = self.looked_at(region, step);
        if all.is_empty() {
            return Err(Refusal::Unfit {
                what: "all of that frame is cut out (transparent)".to_owned(),
                rule: "draw it on the figure".to_owned(),
            });
        }
        Ok(self.spot(region, all.into_iter()))
    }

    fn outside(&self, what: &str) -> Refusal {
        Refusal::Unfit {
            what: what.to_owned(),
            rule: format!("it is {} pixels across and {} down", self.width, self.height),
        }
    }

    /// Solid pixels with their light, every so many.
    fn looked_at(&self, region: Region, step: usize) -> Vec<(Lab, [f64; 3])> {
        let rows = (region.y..region.y + region.height).step_by(step);
        let all = rows
            .flat_map(|y| (region.x..region.x + region.width).step_by(step).map(move |x| (x, y)));
        all.filter(|(x, y)| self.is_solid(*x, *y))
            .map(|(x, y)| {
                let linear = self.linear(x, y).map(f64::from);
                (self.lab_of(linear), linear)
            })
            .collect()
    }

    fn spot(&self, region: Region, all: impl Iterator<Item = (Lab, [f64; 3])>) -> Spot {
        let mut all: Vec<(Lab, [f64; 3])> = all.collect();
        all.sort_by(|a, b| a.0.l.total_cmp(&b.0.l));
        let tenth = (all.len() / TENTH).max(1).min(all.len());
        let mean = |of: &[(Lab, [f64; 3])]| {
            #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
            let n = of.len().max(1) as f64;
            let sum = of.iter().fold([0.0; 3], |sum: [f64; 3], (_, linear)| {
                std::array::from_fn(|c| sum[c] + linear[c])
            });
            self.lab_of(sum.map(|s| s / n))
        };
        let lab = mean(&all);
        Spot {
            region,
            lab,
            screen: Shown::of_lab2(Screen::Srgb, lab).colour,
            range: [mean(&all[..tenth]), mean(&all[all.len() - tenth..])],
            pixels: all.len(),
        }
    }
}
