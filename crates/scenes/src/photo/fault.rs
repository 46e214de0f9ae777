//! Faults a photograph may have, each in a strength from nothing to very much, laid over a scene that has none.

use colour::{Bands, maths};

use super::{Glare, Near, Other, Scene, Shadow, Thing, View};
use crate::Chance;

/// One fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PhotoFault {
    /// Too much light: the brightest parts stand at the end of the scale.
    Clipped,
    /// A lamp mirrored in the chart.
    GlareChart,
    /// A lamp mirrored at the edge of the cloth.
    GlareEdge,
    /// A lamp mirrored within the cloth, or all over it.
    GlareCloth,
    /// A second lamp of another colour reaches a part.
    TwoLights,
    /// A lamp near by, so that light falls off steeply.
    Steep,
    /// Out of focus.
    Blur,
    /// Part of the chart is outside of the frame.
    Cut,
    /// The patches have other values than those that are believed.
    WrongChart,
    /// Patches have changed places.
    Shuffled,
    /// The edge of a shadow lies between chart and cloth.
    ShadowBetween,
}

impl PhotoFault {
    /// All of them.
    pub const ALL: [Self; 11] = [
        Self::Clipped,
        Self::GlareChart,
        Self::GlareEdge,
        Self::GlareCloth,
        Self::TwoLights,
        Self::Steep,
        Self::Blur,
        Self::Cut,
        Self::WrongChart,
        Self::Shuffled,
        Self::ShadowBetween,
    ];

    /// As a key of JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Clipped => "clipped",
            Self::GlareChart => "glare_chart",
            Self::GlareEdge => "glare_edge",
            Self::GlareCloth => "glare_cloth",
            Self::TwoLights => "two_lights",
            Self::Steep => "steep",
            Self::Blur => "blur",
            Self::Cut => "cut",
            Self::WrongChart => "wrong_chart",
            Self::Shuffled => "shuffled",
            Self::ShadowBetween => "shadow_between",
        }
    }

    /// The scene with this fault, `strength` from 0 to 1.
    #[must_use]
    pub fn upon(self, sound: &Scene, strength: f64, chance: &mut Chance) -> Scene {
        let mut scene = sound.clone();
        match self {
            Self::Clipped => scene.processing.exposure *= 1.0 + 2.5 * strength,
            Self::GlareChart | Self::GlareEdge | Self::GlareCloth => {
                self.glare(&mut scene, strength, chance)
            }
            Self::TwoLights => {
                let towards = chance.between(0.0, std::f64::consts::TAU);
                let from = patch_at(&scene, chance);
                scene.lit.other = Some(Other {
                    from,
                    towards,
                    soft: chance.between(0.1, 2.5),
                    share: 0.8 * strength,
                });
            }
            Self::Steep => {
                let (middle, breadth) = scene.middle;
                let (towards, far) = (
                    chance.between(0.0, std::f64::consts::TAU),
                    breadth * chance.between(0.5, 1.5),
                );
                let over =
                    [middle[0] + far * maths::cos(towards), middle[1] + far * maths::sin(towards)];
                let high = breadth * (0.25 + 2.0 * (1.0 - strength) * (1.0 - strength));
                // The exposure is set to the brightest place, as a camera does it.
                scene.lit.near = Some(Near { over, high, share: 1.0 });
                let brightest = brightest(&scene).max(1e-6);
                scene.processing.exposure /= brightest;
            }
            Self::ShadowBetween => between(&mut scene, strength, chance),
            Self::Blur => scene.processing.blur += strength * strength * 0.9 * pitch(&scene),
            Self::Cut => cut(&mut scene, strength, chance),
            Self::WrongChart => {
                let Some(patches) = scene.laid.patches.clone() else { return scene };
                for patch in &mut scene.things[patches] {
                    if let Some(other) = super::made_up(chance) {
                        patch.surface = mixed(&patch.surface, &other, strength);
                    }
                }
            }
            Self::Shuffled => {
                let Some(patches) = scene.laid.patches.clone() else { return scene };
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "at most 12"
                )]
                let swaps = 1 + (11.0 * strength) as usize;
                for _ in 0..swaps {
                    let one = patches.start + chance.below(patches.len());
                    let two = patches.start + chance.below(patches.len());
                    let surface = scene.things[one].surface;
                    scene.things[one].surface = scene.things[two].surface;
                    scene.things[two].surface = surface;
                }
            }
        }
        scene
    }

    fn glare(self, scene: &mut Scene, strength: f64, chance: &mut Chance) {
        let cloth = scene.laid.cloths.first().map(|n| scene.things[*n].clone());
        let (middle, reach) = match (self, cloth) {
            (Self::GlareEdge, Some(cloth)) => {
                let along = chance.between(-0.7, 0.7);
                let edge =
                    [[along, 0.8], [along, -0.8], [0.8, along], [-0.8, along]][chance.below(4)];
                (cloth.corner(edge), [chance.between(0.25, 1.2), chance.between(0.25, 1.2)])
            }
            (Self::GlareCloth, Some(cloth)) => {
                let at = cloth.corner([chance.between(-0.4, 0.4), chance.between(-0.4, 0.4)]);
                // Within it, or as wide as all of it and more.
                let wide = if chance.below(2) == 0 {
                    chance.between(0.15, 0.6)
                } else {
                    chance.between(1.0, 4.0)
                };
                (at, [wide, wide * chance.between(0.6, 1.0)])
            }
            _ => (patch_at(scene, chance), [chance.between(0.3, 2.5), chance.between(0.3, 2.5)]),
        };
        scene.lit.glare.push(Glare {
            middle,
            reach,
            strength: 0.6 * strength * strength + 0.01 * strength,
        });
    }
}

fn patch_at(scene: &Scene, chance: &mut Chance) -> [f64; 2] {
    let patches = scene.laid.patches.clone().unwrap_or(0..1);
    let n = patches.start + chance.below(patches.len());
    scene.things.get(n).map_or([0.0; 2], |t| t.middle)
}

/// The pixels from one patch to the next.
fn pitch(scene: &Scene) -> f64 {
    let [a, b] = [[0.0, 0.0], [1.0, 0.0]].map(|p| scene.view.pixel(p));
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// Light of the brightest spot among chart and cloths, the paper's reflectance being about 0.9.
fn brightest(scene: &Scene) -> f64 {
    let patches = scene.laid.patches.clone().unwrap_or(0..0);
    let things: Vec<&Thing> = patches
        .chain(scene.laid.cloths.iter().copied())
        .filter_map(|n| scene.things.get(n))
        .collect();
    let spots = things.iter().flat_map(|t| {
        [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0], [0.0, 0.0]].map(|c| t.corner(c))
    });
    spots.map(|p| scene.lit.at(p, scene.middle.0, scene.middle.1)[0]).fold(0.0, f64::max)
}

/// Lays a shadow over the first cloth, or over the chart, whose edge runs through the gap between them.
fn between(scene: &mut Scene, strength: f64, chance: &mut Chance) {
    let Some(cloth) = scene.laid.cloths.first().and_then(|n| scene.things.get(*n)) else { return };
    let frame = scene.laid.patches.clone().and_then(|p| scene.things.get(p.start.checked_sub(1)?));
    let Some(frame) = frame else { return };
    // The chart lies straight about the origin of the plane; the cloth beyond one of its sides.
    let (cloth, half) = (cloth, frame.half());
    let mut gap = (f64::MIN, 0, 1.0);
    for (axis, sign) in [(0, 1.0), (0, -1.0), (1, 1.0), (1, -1.0)] {
        let corners = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]].map(|c| cloth.corner(c));
        let nearest = corners.iter().map(|c| sign * c[axis]).fold(f64::MAX, f64::min);
        if nearest - half[axis] > gap.0 {
            gap = (nearest - half[axis], axis, sign);
        }
    }
    let (wide, axis, sign) = gap;
    let along = cloth.middle[1 - axis].clamp(-half[1 - axis], half[1 - axis]);
    let mut from = [along; 2];
    from[axis] = sign * (half[axis] + wide * chance.between(0.35, 0.65));
    let across =
        [[0.0, std::f64::consts::PI], [1.0, -1.0].map(|s| s * std::f64::consts::FRAC_PI_2)];
    let towards = across[axis][usize::from(sign < 0.0)] + chance.between(-0.1, 0.1);
    let turned = if chance.below(4) == 0 { std::f64::consts::PI } else { 0.0 };
    let soft = wide * chance.between(0.01, 0.12);
    scene.lit.shadow =
        Some(Shadow { from, towards: towards + turned, soft, takes: 0.6 * strength });
}

/// Moves the frame so that a side of it cuts off up to three columns or rows of patches.
fn cut(scene: &mut Scene, strength: f64, chance: &mut Chance) {
    let Some(corners) = scene.chart_corners() else { return };
    let deep = pitch(scene) * (0.1 + 2.9 * strength);
    let (w, h) = (number(scene.width), number(scene.height));
    let low = |k: usize| corners.iter().map(|c| c[k]).fold(f64::MAX, f64::min);
    let high = |k: usize| corners.iter().map(|c| c[k]).fold(f64::MIN, f64::max);
    let by = match chance.below(4) {
        0 => [-low(0) - deep, 0.0],
        1 => [w - high(0) + deep, 0.0],
        2 => [0.0, -low(1) - deep],
        _ => [0.0, h - high(1) + deep],
    };
    scene.view = View::moved(&scene.view, by);
}

fn mixed(one: &Bands, other: &Bands, share: f64) -> Bands {
    let values =
        std::array::from_fn(|i| (1.0 - share) * one.values()[i] + share * other.values()[i]);
    Bands::try_new(values).unwrap_or(*one)
}

#[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
const fn number(n: usize) -> f64 {
    n as f64
}
