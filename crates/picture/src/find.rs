//! A chart in a photograph: found by itself, whichever way round it lies and up to 45° tilted, or at four corners given.
//!
//! On a reduced picture: calm spots of the shape of squares seen slantwise, spots in rows and columns, and then the one
//! place and turn at which the colours are the chart's. A chart seen in a mirror is refused, and so is a lattice of the
//! right number whose colours are another chart's. Left out: bent charts; two charts in one picture (the better one counts).

mod colours;
mod kind;
mod lattice;
mod map;
mod reduced;
mod spots;

pub use kind::ChartKind;
pub(crate) use kind::srgb;
pub use map::Map;
pub(crate) use map::solved;

use self::{colours::Wanted, lattice::Lattice, reduced::Reduced};
use crate::{PhotoRefusal, Picture};

/// Where a chart lies in a picture.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundChart {
    /// From the chart's coordinates (the first patch's middle is the origin, the next one's is 1 away along its row) to
    /// pixels, a pixel's middle lying at half.
    pub map: Map,
    /// How much of the colours' variance the chart explains, at most 1.
    pub likeness: f64,
    across: usize,
    down: usize,
}

/// Longer sides at which the picture is looked at: small first; larger, where nothing was found.
const SIDES: [usize; 2] = [1000, 2000];
/// Differences of neighbours that count as calm, of 255.
const CALM: [f32; 5] = [6.0, 10.0, 16.0, 3.5, 26.0];
/// Lattices looked at in each.
const LATTICES: usize = 12;
/// From here on the colours are the chart's (judgement; what charts and other things have stands in docs/measured.md).
const SURE: f64 = 0.75;
/// So sure that no other look is needed.
const CERTAIN: f64 = 0.9;
/// Above this a chart may be meant, and the refusal says so.
const PERHAPS: f64 = 0.45;
/// Channels nearer than this, of full scale, are one grey: a level of 8 bit and its rounding.
const GREY: f32 = 1.6 / 255.0;
/// Pixels of the longer side that are looked at for colour.
const LOOKS: usize = 400;
/// A pitch that is too small to read a patch, pixels of the picture.
const SMALLEST_PITCH: f64 = 9.0;

impl FoundChart {
    /// The middle of a patch, in pixels.
    #[must_use]
    pub fn middle(&self, patch: usize) -> [f64; 2] {
        self.map.at(self.place(patch))
    }

    /// The middle of a patch, in the chart's coordinates.
    #[expect(clippy::cast_precision_loss, reason = "patches of a chart")]
    pub(crate) const fn place(&self, patch: usize) -> [f64; 2] {
        [(patch % self.across) as f64, (patch / self.across) as f64]
    }

    /// Patches across and down.
    pub(crate) const fn size(&self) -> [usize; 2] {
        [self.across, self.down]
    }

    /// Four corners half a pitch out from the corner patches' middles, in pixels: at the first patch, the last of the first
    /// row, the last, the first of the last row.
    #[must_use]
    pub fn corners(&self) -> [[f64; 2]; 4] {
        let (r, b) = self.ends();
        [[-0.5, -0.5], [r + 0.5, -0.5], [r + 0.5, b + 0.5], [-0.5, b + 0.5]].map(|p| self.map.at(p))
    }

    /// Pixels from one patch to the next, where it is least.
    #[must_use]
    pub fn pitch(&self) -> f64 {
        let (r, b) = self.ends();
        let apart = |p: [f64; 2], q: [f64; 2]| {
            let (p, q) = (self.map.at(p), self.map.at(q));
            (p[0] - q[0]).hypot(p[1] - q[1])
        };
        [[0.0, 0.0], [r - 1.0, 0.0], [0.0, b - 1.0], [r - 1.0, b - 1.0]]
            .iter()
            .flat_map(|p| [apart(*p, [p[0] + 1.0, p[1]]), apart(*p, [p[0], p[1] + 1.0])])
            .fold(f64::MAX, f64::min)
    }

    #[expect(clippy::cast_precision_loss, reason = "patches of a chart")]
    const fn ends(&self) -> (f64, f64) {
        ((self.across - 1) as f64, (self.down - 1) as f64)
    }
}

/// A place and turn that was tried.
#[derive(Debug, Clone, Copy)]
struct Tried {
    explained: f64,
    map: Map,
    mirrored: bool,
}

impl Picture {
    /// Finds a chart of this kind.
    ///
    /// # Errors
    /// No chart; a mirrored one; one cut by the frame; other colours than the chart's; one too small to read.
    pub fn find_chart(&self, kind: &ChartKind) -> Result<FoundChart, PhotoRefusal> {
        let wanted = Wanted::of(kind);
        let mut best: Option<Tried> = None;
        let mut scale = 0;
        for side in SIDES {
            let reduced = Reduced::of(self, side);
            if reduced.scale == scale {
                break;
            }
            scale = reduced.scale;
            for calm in CALM {
                for lattice in lattice::lattices(&spots::spots(&reduced, calm), LATTICES) {
                    let tried = placed(&reduced, &lattice, kind, &wanted);
                    best = better(best, tried.map(|t| Tried { map: whole(&t.map, scale), ..t }));
                }
                if best.is_some_and(|b| b.explained > CERTAIN) {
                    break;
                }
            }
            if best.is_some_and(|b| b.explained > SURE) {
                break;
            }
        }
        self.judged(best, kind)
    }

    /// Takes the chart as lying at four corners, in pixels: the outer corners of its corner patches, one after another
    /// around it, from any of them on. Which is the first patch is seen from the colours.
    ///
    /// # Errors
    /// Corners that are no four-sided figure; and all that [`Self::find_chart`] refuses.
    pub fn chart_at(
        &self,
        kind: &ChartKind,
        corners: [[f64; 2]; 4],
    ) -> Result<FoundChart, PhotoRefusal> {
        if !is_convex(&corners) {
            return Err(PhotoRefusal::Corners);
        }
        let reduced = Reduced::of(self, SIDES[1]);
        let wanted = Wanted::of(kind);
        #[expect(clippy::cast_precision_loss, reason = "patches of a chart")]
        let (r, b) = (kind.across() as f64 - 1.0 + HALF, kind.down() as f64 - 1.0 + HALF);
        let plane = [[-HALF, -HALF], [r, -HALF], [r, b], [-HALF, b]];
        let mut best = None;
        for turn in 0..4 {
            for mirrored in [false, true] {
                let pairs: Vec<_> = (0..4)
                    .map(|k| {
                        let n = if mirrored { (8 - k - turn) % 4 } else { (k + turn) % 4 };
                        (plane[k], corners[n])
                    })
                    .collect();
                let Some(map) = Map::fitted(&pairs) else { continue };
                let here = map.scaled(1.0 / small(reduced.scale));
                let explained = wanted.likeness(&colours_at(&reduced, &here, kind));
                // Corners may be given either way round; which way the picture shows them is seen from the map.
                let mirrored = is_mirrored(&map);
                let tried = Tried { explained, map, mirrored };
                best = better(best, Some(tried));
            }
        }
        self.judged(best, kind)
    }

    fn judged(&self, best: Option<Tried>, kind: &ChartKind) -> Result<FoundChart, PhotoRefusal> {
        if best.is_none_or(|b| b.explained < SURE) && self.is_grey() {
            return Err(PhotoRefusal::Grey);
        }
        let Some(best) = best.filter(|b| b.explained > PERHAPS) else {
            return Err(PhotoRefusal::NoChart);
        };
        if best.explained < SURE {
            return Err(PhotoRefusal::OtherColours { across: kind.across(), down: kind.down() });
        }
        if best.mirrored {
            return Err(PhotoRefusal::Mirrored);
        }
        let found = FoundChart {
            map: best.map,
            likeness: best.explained,
            across: kind.across(),
            down: kind.down(),
        };
        let outside = (0..kind.patches().len())
            .filter(|n| !self.holds_patch(&found.map, kind.middle(*n)))
            .count();
        if outside > 0 {
            return Err(PhotoRefusal::Cut { patches: outside });
        }
        if found.pitch() < SMALLEST_PITCH {
            return Err(PhotoRefusal::Small { pixels: found.pitch() });
        }
        Ok(found)
    }

    /// Whether a look at every so-manieth pixel finds no colour, but for the rounding of files.
    pub(crate) fn is_grey(&self) -> bool {
        let step = (self.width.max(self.height) / LOOKS).max(1);
        (0..self.height).step_by(step).all(|y| {
            (0..self.width).step_by(step).all(|x| {
                let [r, g, b] = self.encoded(x, y);
                r.max(g).max(b) - r.min(g).min(b) <= GREY
            })
        })
    }

    /// Whether a patch lies in the picture whole, its gap aside.
    fn holds_patch(&self, map: &Map, middle: [f64; 2]) -> bool {
        [[-0.4, -0.4], [0.4, -0.4], [0.4, 0.4], [-0.4, 0.4]].iter().all(|c| {
            let [x, y] = map.at([middle[0] + c[0], middle[1] + c[1]]);
            x >= 0.0 && y >= 0.0 && x <= small(self.width) && y <= small(self.height)
        })
    }
}

/// Half a patch, where its gap is a seventh of the pitch, as is usual.
const HALF: f64 = 0.43;

fn better(one: Option<Tried>, other: Option<Tried>) -> Option<Tried> {
    match (one, other) {
        (Some(a), Some(b)) => Some(if b.explained > a.explained { b } else { a }),
        (a, b) => a.or(b),
    }
}

/// The best place and turn of the chart on a lattice.
fn placed(
    picture: &Reduced,
    lattice: &Lattice,
    kind: &ChartKind,
    wanted: &Wanted,
) -> Option<Tried> {
    let (across, down) = (whole_number(kind.across()), whole_number(kind.down()));
    let ends = |k: usize| {
        let all = lattice.cells.keys().map(|c| c[k]);
        Some((all.clone().min()?, all.max()?))
    };
    let ((left, right), (top, bottom)) = (ends(0)?, ends(1)?);
    let fewest = kind.patches().len() * 5 / 12;
    let mut best: Option<Tried> = None;
    for (wide, high, lies) in [(across, down, true), (down, across, false)] {
        for y in (top - high + 2)..=(bottom - 1) {
            for x in (left - wide + 2)..=(right - 1) {
                let held = lattice
                    .cells
                    .keys()
                    .filter(|c| (x..x + wide).contains(&c[0]) && (y..y + high).contains(&c[1]));
                if held.count() < fewest {
                    continue;
                }
                let [l, t] = [f64::from(x), f64::from(y)];
                let [r, b] = [f64::from(x + wide - 1), f64::from(y + high - 1)];
                // x and y of the chart along the lattice, and where its first patch lies; then the mirrored ones.
                let turns = if lies {
                    [
                        ([1.0, 0.0], [0.0, 1.0], [l, t], false),
                        ([-1.0, 0.0], [0.0, -1.0], [r, b], false),
                        ([-1.0, 0.0], [0.0, 1.0], [r, t], true),
                        ([1.0, 0.0], [0.0, -1.0], [l, b], true),
                    ]
                } else {
                    [
                        ([0.0, 1.0], [-1.0, 0.0], [r, t], false),
                        ([0.0, -1.0], [1.0, 0.0], [l, b], false),
                        ([0.0, 1.0], [1.0, 0.0], [l, t], true),
                        ([0.0, -1.0], [-1.0, 0.0], [r, b], true),
                    ]
                };
                for (along, across, origin, mirrored) in turns {
                    let map = lattice.map.after(along, across, origin);
                    let explained = wanted.likeness(&colours_at(picture, &map, kind));
                    let tried = Tried { explained, map, mirrored };
                    best = better(best, Some(tried));
                }
            }
        }
    }
    // The perspective anew, from the spots that are patches.
    let best = best?;
    let back = best.map.inverse();
    let pairs: Vec<_> = lattice
        .cells
        .values()
        .filter_map(|seen| {
            let [x, y] = back.at(*seen);
            let near = [x.round(), y.round()];
            let inside = near[0] >= 0.0
                && near[1] >= 0.0
                && near[0] < f64::from(across)
                && near[1] < f64::from(down);
            (inside && (x - near[0]).abs() < 0.3 && (y - near[1]).abs() < 0.3)
                .then_some((near, *seen))
        })
        .collect();
    let map =
        if pairs.len() >= lattice::FEWEST { Map::fitted(&pairs) } else { None }.unwrap_or(best.map);
    Some(Tried { map, ..best })
}

fn colours_at(picture: &Reduced, map: &Map, kind: &ChartKind) -> Vec<Option<[f64; 3]>> {
    let centre = kind.middle(kind.patches().len() / 2);
    (0..kind.patches().len())
        .map(|n| {
            let middle = kind.middle(n);
            let (here, beside) = (map.at(middle), map.at([middle[0] + 0.15, middle[1]]));
            if !map.same_side(centre, middle) {
                return None;
            }
            picture.about(here, (here[0] - beside[0]).hypot(here[1] - beside[1]))
        })
        .collect()
}

fn whole(map: &Map, scale: usize) -> Map {
    map.scaled(small(scale))
}

fn is_mirrored(map: &Map) -> bool {
    let [o, x, y] = [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]].map(|p| map.at(p));
    (x[0] - o[0]) * (y[1] - o[1]) - (x[1] - o[1]) * (y[0] - o[0]) < 0.0
}

fn is_convex(corners: &[[f64; 2]; 4]) -> bool {
    let turns: Vec<f64> = (0..4)
        .map(|k| {
            let [a, b, c] = [corners[k], corners[(k + 1) % 4], corners[(k + 2) % 4]];
            (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
        })
        .collect();
    corners.iter().flatten().all(|v| v.is_finite())
        && (turns.iter().all(|t| *t > 1.0) || turns.iter().all(|t| *t < -1.0))
}

#[expect(clippy::cast_precision_loss, reason = "pixels and patches")]
const fn small(n: usize) -> f64 {
    n as f64
}

fn whole_number(n: usize) -> i32 {
    i32::try_from(n).unwrap_or(i32::MAX)
}
