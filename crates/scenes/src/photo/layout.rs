//! What lies where: a chart of patches in a dark frame with black gaps, cloths beside it, paper beneath or beside, and
//! clutter around.
//!
//! The plane's unit is the distance from one patch's middle to the next; the chart's middle is the origin. A maker's
//! photograph: near and nearly upright mostly; the trial of finding asks for more.

use std::ops::Range;

use colour::{Bands, maths};

use super::{
    Eye, Lamp, Lit, Near, Processing, Scene, Stand, Texture, Thing, View,
    thing::{Shape, made_up},
};
use crate::Chance;

/// Where the chart's patches and the cloths are among the things.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Laid {
    /// The patches, row after row; none without a chart.
    pub patches: Option<Range<usize>>,
    /// Patches across.
    pub across: usize,
    /// The cloths.
    pub cloths: Vec<usize>,
}

/// What is asked of a scene.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Reflectances of the chart's patches, row after row.
    pub patches: Vec<Bands>,
    /// Patches across.
    pub across: usize,
    /// What the cloths beside it reflect.
    pub cloths: Vec<Bands>,
    /// Most turn in the picture's plane, radians.
    pub turn: f64,
    /// Least and most tilt, degrees.
    pub tilt: [f64; 2],
    /// Least and most share of the picture that chart and cloths fill.
    pub fills: [f64; 2],
    /// Longer side of the picture, pixels, least and most.
    pub side: [usize; 2],
    /// Number of things strewn around.
    pub clutter: usize,
    /// Least and most gap between chart and cloth, in pitches of the chart.
    pub away: [f64; 2],
}

impl Layout {
    /// A maker's careful photograph: the chart any way round, tilted by at most 20°, filling most of the picture.
    #[must_use]
    pub fn careful(patches: &[Bands], across: usize, cloths: Vec<Bands>) -> Self {
        Self {
            patches: patches.to_vec(),
            across,
            cloths,
            turn: std::f64::consts::PI,
            tilt: [0.0, 20.0],
            fills: [0.65, 0.92],
            side: [1000, 1300],
            clutter: 8,
            away: [0.2, 0.7],
        }
    }

    /// The scene, all else from chance.
    #[must_use]
    pub fn scene(&self, chance: &mut Chance) -> Scene {
        let grey = |v: f64| Bands::flat(v).unwrap_or_else(|_| self.patches[0]);
        let down = self.patches.len().div_ceil(self.across.max(1));
        let gap = chance.between(0.1, 0.2);
        let margin = chance.between(0.12, 0.5);
        let half = [
            0.5 * number(self.across) + margin - 0.5 * gap,
            0.5 * number(down) + margin - 0.5 * gap,
        ];
        let mut bounds = [-half[0], -half[1], half[0], half[1]];

        let mut cloths = vec![];
        let first_side = chance.below(4);
        for (n, cloth) in self.cloths.iter().enumerate() {
            let size = [chance.between(0.9, 1.7), chance.between(0.9, 1.7)];
            let away = chance.between(self.away[0], self.away[1]);
            let side = (first_side + n * (1 + chance.below(3)).min(3) + 2 * (n / 2)) % 4;
            let along = chance.between(-0.5, 0.5);
            let middle = match side {
                0 => [half[0] + away + size[0], along * half[1]],
                1 => [along * half[0], half[1] + away + size[1]],
                2 => [-half[0] - away - size[0], along * half[1]],
                _ => [along * half[0], -half[1] - away - size[1]],
            };
            let texture = if chance.below(3) == 0 {
                Texture::Pile(chance.between(0.08, 0.3), chance.between(0.03, 0.12))
            } else {
                Texture::Weave(chance.between(0.03, 0.12), chance.between(0.05, 0.2))
            };
            cloths.push(Thing {
                turn: chance.between(-0.08, 0.08),
                texture,
                ..Thing::plate(middle, size, *cloth)
            });
            let reach = [size[0] + 0.15, size[1] + 0.15];
            bounds = [
                bounds[0].min(middle[0] - reach[0]),
                bounds[1].min(middle[1] - reach[1]),
                bounds[2].max(middle[0] + reach[0]),
                bounds[3].max(middle[1] + reach[1]),
            ];
        }
        let middle = [0.5 * (bounds[0] + bounds[2]), 0.5 * (bounds[1] + bounds[3])];
        let breadth = 0.5 * (bounds[2] - bounds[0]).max(bounds[3] - bounds[1]);

        let mut things = vec![
            Self::table(middle, breadth, chance)
                .unwrap_or_else(|| Thing::plate(middle, [99.0; 2], grey(0.3))),
        ];
        for _ in 0..self.clutter {
            things.extend(strewn(middle, breadth, chance));
        }
        if chance.below(3) != 0 {
            let paper = [0.5 * (bounds[2] - bounds[0]) + 0.3, 0.5 * (bounds[3] - bounds[1]) + 0.3];
            things.push(Thing::plate(middle, paper, grey(chance.between(0.82, 0.92))));
        }
        things.push(Thing::plate([0.0, 0.0], half, grey(chance.between(0.02, 0.05))));
        let start = things.len();
        let side = 0.5 * (1.0 - gap);
        for (n, patch) in self.patches.iter().enumerate() {
            let x = number(n % self.across) - 0.5 * number(self.across - 1);
            let y = number(n / self.across) - 0.5 * number(down - 1);
            things.push(Thing::plate([x, y], [side, side], *patch));
        }
        let end = things.len();
        things.append(&mut cloths);
        let laid = Laid {
            patches: Some(start..end),
            across: self.across,
            cloths: (end..things.len()).collect(),
        };

        let (width, height) = self.size(chance);
        let stand = self.stand(chance);
        let view = View::of(&stand, bounds, number(width), number(height));
        let (main, other) = (Lamp::usual(chance), Lamp::unlike(chance));
        let eye = Eye::drawn(main, other, chance);
        let mut lit = Lit::evenly();
        lit.slope = [chance.between(0.0, 0.25), chance.between(0.0, std::f64::consts::TAU)];
        lit.corners = chance.between(0.0, 0.12);
        if chance.below(3) == 0 {
            let towards = chance.between(0.0, std::f64::consts::TAU);
            let far = chance.between(0.5, 3.0) * breadth;
            let over =
                [middle[0] + far * maths::cos(towards), middle[1] + far * maths::sin(towards)];
            lit.near = Some(Near { over, high: 5.0 * breadth, share: 1.0 });
        }
        let processing = Self::processing(chance);
        Scene { width, height, view, things, middle: (middle, breadth), lit, eye, processing, laid }
    }

    pub(super) fn size(&self, chance: &mut Chance) -> (usize, usize) {
        let long = self.side[0] + chance.below(self.side[1] - self.side[0] + 1);
        if chance.below(2) == 0 { (long, long * 3 / 4) } else { (long * 3 / 4, long) }
    }

    pub(super) fn stand(&self, chance: &mut Chance) -> Stand {
        Stand {
            turn: chance.between(-self.turn, self.turn),
            tilt: chance.between(self.tilt[0], self.tilt[1]).to_radians(),
            axis: chance.between(0.0, std::f64::consts::TAU),
            lens: chance.between(0.7, 1.4),
            fills: chance.between(self.fills[0], self.fills[1]),
            off: [chance.between(-0.8, 0.8), chance.between(-0.8, 0.8)],
        }
    }

    pub(super) fn table(middle: [f64; 2], breadth: f64, chance: &mut Chance) -> Option<Thing> {
        let texture = match chance.below(3) {
            0 => Texture::Streaks(chance.between(0.1, 0.6), chance.between(0.05, 0.3)),
            1 => Texture::Pile(chance.between(0.05, 0.6), chance.between(0.02, 0.2)),
            _ => Texture::Smooth,
        };
        Some(Thing {
            texture,
            turn: chance.between(0.0, 3.0),
            ..Thing::plate(middle, [60.0 * breadth; 2], made_up(chance)?)
        })
    }

    pub(super) fn processing(chance: &mut Chance) -> Processing {
        let gain = |chance: &mut Chance| chance.between(0.97, 1.03);
        Processing {
            blur: chance.between(0.3, 1.1),
            exposure: chance.between(0.68, 0.88),
            gains: [gain(chance), 1.0, gain(chance)],
            vivid: chance.between(0.0, 0.25),
            s_curve: chance.between(0.0, 0.2),
            noise: [chance.between(0.0005, 0.002), chance.between(0.003, 0.012)],
            quality: u8::try_from(86 + chance.below(11)).unwrap_or(90),
        }
    }
}

/// A few things of one kind, somewhere around the middle.
pub(super) fn strewn(middle: [f64; 2], breadth: f64, chance: &mut Chance) -> Vec<Thing> {
    let at = |chance: &mut Chance| {
        [
            middle[0] + breadth * chance.between(-2.0, 2.0),
            middle[1] + breadth * chance.between(-2.0, 2.0),
        ]
    };
    let place = at(chance);
    let turn = chance.between(0.0, 3.2);
    let long = breadth * chance.between(0.08, 0.5);
    let kind = chance.below(4);
    let many = if kind == 3 { 2 + chance.below(5) } else { 1 };
    (0..many)
        .filter_map(|k| {
            let surface = made_up(chance)?;
            let mut thing = Thing::plate(place, [long, long * chance.between(0.2, 1.0)], surface);
            thing.turn = turn;
            match kind {
                0 => thing.shape = Shape::Ellipse(thing.half()),
                1 => thing.shape = Shape::Rectangle([long, 0.06 * long]),
                3 => {
                    thing.middle =
                        [place[0] + 0.9 * long * number(k), place[1] + 0.2 * long * chance.normal()]
                }
                _ => {}
            }
            if chance.below(2) == 0 {
                thing.texture = Texture::Pile(0.2 * long, chance.between(0.02, 0.15));
            }
            Some(thing)
        })
        .collect()
}

#[expect(clippy::cast_precision_loss, reason = "counts of things")]
const fn number(n: usize) -> f64 {
    n as f64
}
