//! The light that falls on the plane: even, falling off, of two colours, or mirrored in a gloss.

use colour::maths;

/// Light over the plane. Everything is in the plane's own units.
#[derive(Debug, Clone, PartialEq)]
pub struct Lit {
    /// A lamp that stands near: where, how high, and how much of all light is its own. Far sources are even.
    pub near: Option<Near>,
    /// Change of the logarithm of the light from one side of the plane to the other, and towards where (radians).
    pub slope: [f64; 2],
    /// A lamp of another colour that reaches a part.
    pub other: Option<Other>,
    /// A shadow of something beside the picture.
    pub shadow: Option<Shadow>,
    /// Mirrored light.
    pub glare: Vec<Glare>,
    /// Loss of light in the picture's corners, as a share.
    pub corners: f64,
}

/// A lamp near the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    /// Above which point.
    pub over: [f64; 2],
    /// How high.
    pub high: f64,
    /// Its share of the light right beneath it.
    pub share: f64,
}

/// A second lamp whose light ends along a soft line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Other {
    /// A point of the line.
    pub from: [f64; 2],
    /// Towards where the light grows, radians.
    pub towards: f64,
    /// How soft the line is.
    pub soft: f64,
    /// Its share of the light where it reaches; the main lamp gives the rest.
    pub share: f64,
}

/// A shadow that begins along a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shadow {
    /// A point of the line.
    pub from: [f64; 2],
    /// Towards where it is darker, radians.
    pub towards: f64,
    /// How soft the line is.
    pub soft: f64,
    /// The share of the light that is taken away.
    pub takes: f64,
}

/// One mirrored lamp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glare {
    /// Its middle.
    pub middle: [f64; 2],
    /// How far it reaches (a standard deviation) each way.
    pub reach: [f64; 2],
    /// Light added at its middle, a perfect white being 1.
    pub strength: f64,
}

impl Lit {
    /// Even light.
    #[must_use]
    pub const fn evenly() -> Self {
        Self {
            near: None,
            slope: [0.0, 0.0],
            other: None,
            shadow: None,
            glare: Vec::new(),
            corners: 0.0,
        }
    }

    /// At a point of a plane whose middle and half breadth are given: the main lamp's light, the other's, what is
    /// mirrored.
    pub(super) fn at(&self, point: [f64; 2], middle: [f64; 2], breadth: f64) -> [f64; 3] {
        let [x, y] = [(point[0] - middle[0]) / breadth, (point[1] - middle[1]) / breadth];
        let along = x * maths::cos(self.slope[1]) + y * maths::sin(self.slope[1]);
        let mut main = maths::exp(0.5 * self.slope[0] * along);
        if let Some(near) = self.near {
            let away = square(point, near.over) / (near.high * near.high);
            main *= 1.0 - near.share + near.share / maths::pow(1.0 + away, 1.5);
        }
        if let Some(shadow) = self.shadow {
            let over = (point[0] - shadow.from[0]) * maths::cos(shadow.towards)
                + (point[1] - shadow.from[1]) * maths::sin(shadow.towards);
            main *= 1.0 - shadow.takes / (1.0 + maths::exp(-over / shadow.soft));
        }
        let mut other = 0.0;
        if let Some(lamp) = self.other {
            let over = (point[0] - lamp.from[0]) * maths::cos(lamp.towards)
                + (point[1] - lamp.from[1]) * maths::sin(lamp.towards);
            let share = lamp.share / (1.0 + maths::exp(-over / lamp.soft));
            other = main * share;
            main -= other;
        }
        let glare = self.glare.iter().map(|g| {
            let [u, v] =
                [(point[0] - g.middle[0]) / g.reach[0], (point[1] - g.middle[1]) / g.reach[1]];
            g.strength * maths::exp(-0.5 * (u * u + v * v))
        });
        [main, other, glare.sum()]
    }
}

fn square(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1])
}
