//! Photographs without a chart that have something of one: boards, window panes, tiles, swatch cards, clutter.

use colour::Bands;

use super::{Eye, Laid, Lamp, Layout, Lit, Scene, Texture, Thing, View, layout::strewn, made_up};
use crate::Chance;

/// A kind of picture without a chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoChart {
    /// Things strewn about.
    Clutter,
    /// A board of two colours.
    Board,
    /// Window panes of sky and garden in a frame.
    Panes,
    /// Tiles of many colours with joints between, any number across and down; also four by six.
    Tiles,
    /// Grey steps or one colour's steps in rows, as of a card of swatches.
    Steps,
}

impl NoChart {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Clutter, Self::Board, Self::Panes, Self::Tiles, Self::Steps];

    /// A picture of this kind.
    #[must_use]
    pub fn scene(self, chance: &mut Chance) -> Scene {
        let (across, down) = match self {
            Self::Clutter => (1, 1),
            Self::Board => (4 + chance.below(7), 4 + chance.below(7)),
            Self::Panes => (2 + chance.below(4), 2 + chance.below(4)),
            Self::Tiles | Self::Steps if chance.below(2) == 0 => (6, 4),
            Self::Tiles | Self::Steps => (3 + chance.below(8), 2 + chance.below(6)),
        };
        let bounds = [0.0, 0.0, number(across), number(down)];
        let (middle, breadth) =
            ([0.5 * bounds[2], 0.5 * bounds[3]], 0.5 * number(across.max(down)));
        let mut things: Vec<Thing> = Layout::table(middle, breadth, chance).into_iter().collect();
        let scattered = if self == Self::Clutter { 40 } else { 8 };
        for _ in 0..scattered {
            things.extend(strewn(middle, breadth, chance));
        }
        things.extend(self.grid(across, down, chance));
        let layout = Layout {
            patches: Vec::new(),
            across: 0,
            cloths: Vec::new(),
            turn: std::f64::consts::PI,
            tilt: [0.0, 45.0],
            fills: [0.3, 1.3],
            side: [900, 1300],
            clutter: 0,
            away: [0.2, 0.7],
        };
        let (width, height) = layout.size(chance);
        let view = View::of(&layout.stand(chance), bounds, number(width), number(height));
        let (main, other) = (Lamp::usual(chance), Lamp::unlike(chance));
        Scene {
            width,
            height,
            view,
            things,
            middle: (middle, breadth),
            lit: Lit {
                slope: [chance.between(0.0, 0.6), chance.between(0.0, std::f64::consts::TAU)],
                ..Lit::evenly()
            },
            eye: Eye::drawn(main, other, chance),
            processing: Layout::processing(chance),
            laid: Laid::default(),
        }
    }

    fn grid(self, across: usize, down: usize, chance: &mut Chance) -> Vec<Thing> {
        if self == Self::Clutter {
            return Vec::new();
        }
        let grey = |v: f64| Bands::flat(v.clamp(0.0, 1.0)).ok();
        let joint = match self {
            Self::Board => 0.0,
            _ => chance.between(0.04, 0.25),
        };
        let frame = match self {
            Self::Panes => grey(chance.between(0.02, 0.9)),
            _ if chance.below(2) == 0 => grey(chance.between(0.02, 0.06)),
            _ => grey(chance.between(0.1, 0.9)),
        };
        let two = [made_up(chance), made_up(chance)];
        let mut things = vec![];
        let half = [0.5 * number(across) + 0.3, 0.5 * number(down) + 0.3];
        things.extend(
            frame.map(|f| Thing::plate([0.5 * number(across), 0.5 * number(down)], half, f)),
        );
        let level = chance.between(0.4, 0.9);
        for n in 0..across * down {
            let (x, y) = (n % across, n / across);
            let surface = match self {
                Self::Board => two[(x + y) % 2],
                Self::Steps => {
                    let step = number(n + 1) / number(across * down);
                    match (&two[0], chance.below(1)) {
                        (Some(of), _) => {
                            Bands::try_new(of.values().map(|v| (v * step * level / 0.5).min(1.0)))
                                .ok()
                        }
                        _ => grey(step),
                    }
                }
                _ => made_up(chance),
            };
            let Some(surface) = surface else { continue };
            let side = 0.5 * (1.0 - joint);
            let mut thing = Thing::plate([number(x) + 0.5, number(y) + 0.5], [side, side], surface);
            if self == Self::Panes {
                thing.texture = Texture::Pile(chance.between(0.3, 2.0), chance.between(0.0, 0.3));
            }
            things.push(thing);
        }
        things
    }
}

#[expect(clippy::cast_precision_loss, reason = "counts of tiles")]
const fn number(n: usize) -> f64 {
    n as f64
}
