//! Things that lie on the plane: shapes, what they are made of, and how their surface catches the light.

use colour::{Bands, maths};

use crate::Chance;

/// An outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// A rectangle of these half sides.
    Rectangle([f64; 2]),
    /// An ellipse of these half axes.
    Ellipse([f64; 2]),
}

/// How light and dark change over a surface; about 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Texture {
    /// Not at all.
    Smooth,
    /// Threads crossing, so far apart and so deep.
    Weave(f64, f64),
    /// Pile or fluff: blotches so large and so deep.
    Pile(f64, f64),
    /// Streaks along one side, as of wood.
    Streaks(f64, f64),
}

/// One thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Thing {
    /// Its outline.
    pub shape: Shape,
    /// Its middle.
    pub middle: [f64; 2],
    /// Its turn, radians.
    pub turn: f64,
    /// What it reflects.
    pub surface: Bands,
    /// Its surface's grain.
    pub texture: Texture,
}

impl Thing {
    /// A rectangle of these half sides, not turned, smooth.
    #[must_use]
    pub const fn plate(middle: [f64; 2], half: [f64; 2], surface: Bands) -> Self {
        Self { shape: Shape::Rectangle(half), middle, turn: 0.0, surface, texture: Texture::Smooth }
    }

    /// Half the sides of the rectangle around it.
    #[must_use]
    pub const fn half(&self) -> [f64; 2] {
        match self.shape {
            Shape::Rectangle(half) | Shape::Ellipse(half) => half,
        }
    }

    /// A point of it, from its own coordinates, −1 to 1 each way.
    #[must_use]
    pub fn corner(&self, [u, v]: [f64; 2]) -> [f64; 2] {
        let (c, s) = (maths::cos(self.turn), maths::sin(self.turn));
        let [x, y] = [u * self.half()[0], v * self.half()[1]];
        [self.middle[0] + c * x - s * y, self.middle[1] + s * x + c * y]
    }

    /// A test for points of the plane, with the turn worked out once.
    pub(super) fn holds(&self) -> impl Fn([f64; 2]) -> bool + use<> {
        let (c, s) = (maths::cos(self.turn), maths::sin(self.turn));
        let (shape, middle) = (self.shape, self.middle);
        move |[x, y]| {
            let (x, y) = (x - middle[0], y - middle[1]);
            let (u, v) = (c * x + s * y, c * y - s * x);
            match shape {
                Shape::Rectangle([a, b]) => u.abs() <= a && v.abs() <= b,
                Shape::Ellipse([a, b]) => u * u / (a * a) + v * v / (b * b) <= 1.0,
            }
        }
    }
}

impl Texture {
    /// How light the surface is at a point.
    pub(super) fn at(self, [x, y]: [f64; 2]) -> f64 {
        match self {
            Self::Smooth => 1.0,
            Self::Weave(apart, depth) => {
                let wave = |v: f64| maths::sin(std::f64::consts::TAU * v / apart);
                1.0 + depth
                    * (0.7 * wave(x + 0.1 * noise(x, y)) * wave(y)
                        + 0.4 * (noise(x / apart / 3.0, y / apart) - 0.5))
            }
            Self::Pile(size, depth) => {
                1.0 + 2.0
                    * depth
                    * (0.6 * noise(x / size, y / size)
                        + 0.4 * noise(2.7 * x / size, 2.7 * y / size)
                        - 0.5)
            }
            Self::Streaks(size, depth) => {
                1.0 + 2.0 * depth * (noise(x / size / 12.0, y / size) - 0.5)
            }
        }
    }
}

/// Values on a lattice, smoothed between; 0 to 1.
fn noise(x: f64, y: f64) -> f64 {
    let (fx, fy) = (x.floor(), y.floor());
    let smooth = |t: f64| t * t * (3.0 - 2.0 * t);
    let (tx, ty) = (smooth(x - fx), smooth(y - fy));
    let row = |dy: f64| lattice(fx, fy + dy) * (1.0 - tx) + lattice(fx + 1.0, fy + dy) * tx;
    row(0.0) * (1.0 - ty) + row(1.0) * ty
}

fn lattice(x: f64, y: f64) -> f64 {
    #[expect(clippy::cast_possible_truncation, reason = "whole numbers of a small plane")]
    let (i, j) = ((x as i64).cast_unsigned(), (y as i64).cast_unsigned());
    let seed = i.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ j.wrapping_mul(0xc2b2_ae3d_27d4_eb4f);
    Chance::of(seed).even()
}

/// A made-up reflectance: log odds that wander smoothly over the bands.
#[must_use]
pub fn made_up(chance: &mut Chance) -> Option<Bands> {
    let (level, swing) = (chance.between(-3.2, 1.8), chance.between(0.1, 2.0));
    let waves: Vec<[f64; 3]> = (1..=3)
        .map(|k| {
            [
                f64::from(k) * chance.between(0.6, 1.3),
                chance.between(0.0, 6.3),
                chance.normal() / f64::from(k),
            ]
        })
        .collect();
    let mut step = 0.0;
    let values = std::array::from_fn(|_| {
        step += 1.0 / 31.0;
        let odds: f64 = level
            + swing * waves.iter().map(|[f, p, a]| a * maths::sin(3.0 * f * step + p)).sum::<f64>();
        0.02 + 0.93 / (1.0 + maths::exp(-odds))
    });
    Bands::try_new(values).ok()
}
