//! The paints of a picture: a base for each flat, its shades, the line, and what clutters the ground.
//!
//! How artists shade is our judgement after common practice: shadows keep 55–78 % and 30–52 % of the light and turn a
//! little towards blue or towards red; a highlight is mixed with white.

use colour::{Lab, Lch, Screen, ScreenColour, Shown, ciede2000};

use super::{Manner, Shading};
use crate::Chance;

/// Paints of a flat: base, shadow, deep shadow, highlight.
const TONES: usize = 4;
/// The line's paint, then clutter's.
pub(crate) const LINE: u8 = 248;
const CLUTTER: u8 = 249;
pub(crate) const CLUTTERS: usize = 6;

/// All paints.
#[derive(Debug, Clone)]
pub(crate) struct Palette {
    /// Encoded, 0 to 255, by flat and tone; flat 0 is the ground.
    tones: Vec<[[f64; 3]; TONES]>,
    line: [f64; 3],
    clutter: [[f64; 3]; CLUTTERS],
    soft: Option<Soft>,
    has_shades: bool,
}

/// A soft run across the picture: repeats over a length, so that each part of a flat has all of it.
#[derive(Debug, Clone, Copy)]
struct Soft {
    across: [f64; 2],
    length: f64,
}

impl Palette {
    pub(crate) fn drawn(manner: &Manner, chance: &mut Chance) -> Self {
        let line = bytes(Lab::new(
            chance.between(2.0, 14.0),
            chance.between(-2.0, 4.0),
            chance.between(-4.0, 4.0),
        ));
        let bases = bases(manner.flats.min(60), chance);
        let tint = [chance.between(-0.06, 0.06), chance.between(-0.04, 0.02)];
        let tones = bases.iter().enumerate().map(|(i, base)| match (manner.shading, i) {
            (Shading::None, _) | (_, 0) => [*base; TONES],
            _ => shades(*base, tint, chance),
        });
        let tones: Vec<_> = tones.collect();
        let clutter = std::array::from_fn(|_| {
            let by = chance.between(-9.0, 9.0);
            tones[0][0].map(|v| (v + by + chance.between(-4.0, 4.0)).clamp(0.0, 255.0))
        });
        let angle = chance.between(0.0, std::f64::consts::TAU);
        #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
        let length = 0.22 * manner.width.min(manner.height) as f64 * 3.0;
        let soft = (manner.shading == Shading::Soft)
            .then_some(Soft { across: [angle.cos(), angle.sin()], length });
        let has_shades = manner.shading != Shading::None;
        Self { tones, line, clutter, soft, has_shades }
    }

    pub(crate) fn flats(&self) -> usize {
        self.tones.len()
    }

    pub(crate) fn paint(flat: usize, tone: usize) -> u8 {
        u8::try_from(flat * TONES + tone).unwrap_or(0)
    }

    pub(crate) fn clutter(i: usize) -> u8 {
        CLUTTER + u8::try_from(i % CLUTTERS).unwrap_or(0)
    }

    /// The flat a paint is of; 255 for line and clutter.
    pub(crate) fn flat_of(&self, paint: u8) -> u8 {
        if paint >= LINE { 255 } else { paint / 4 }
    }

    pub(crate) fn is_base(&self, paint: u8, x: usize, y: usize) -> bool {
        let hard = usize::from(paint) % TONES == 0;
        match self.soft {
            Some(soft) if paint >= 4 => hard && soft.run(x, y) == 0.0,
            _ => hard,
        }
    }

    pub(crate) fn colour(&self, paint: u8, x: usize, y: usize) -> [f64; 3] {
        match paint {
            LINE => return self.line,
            CLUTTER.. => return self.clutter[usize::from(paint - CLUTTER) % CLUTTERS],
            _ => {}
        }
        let tones = &self.tones[usize::from(paint) / TONES];
        match self.soft {
            Some(soft) if paint >= 4 => {
                let run = soft.run(x, y);
                let to = if run > 0.0 { tones[3] } else { tones[2] };
                std::array::from_fn(|c| tones[0][c] + run.abs() * (to[c] - tones[0][c]))
            }
            _ => tones[usize::from(paint) % TONES],
        }
    }

    pub(crate) fn base(&self, flat: usize) -> ScreenColour {
        screen(self.tones[flat][0])
    }

    /// Darkest and lightest.
    pub(crate) fn range(&self, flat: usize) -> [ScreenColour; 2] {
        let tones = &self.tones[flat];
        if self.has_shades { [screen(tones[2]), screen(tones[3])] } else { [screen(tones[0]); 2] }
    }
}

impl Soft {
    /// −1 deep shadow, 0 base, 1 highlight; the base has a plateau of four tenths.
    fn run(self, x: usize, y: usize) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "samples of a picture")]
        let along = (self.across[0] * x as f64 + self.across[1] * y as f64) / self.length;
        let wave = (std::f64::consts::TAU * along).sin();
        let smooth = |t: f64| t * t * (3.0 - 2.0 * t);
        if wave.abs() < 0.58 {
            return 0.0;
        }
        let t = smooth(((wave.abs() - 0.58) / 0.42).min(1.0));
        if wave > 0.0 { 0.6 * t } else { -t }
    }
}

fn screen(bytes: [f64; 3]) -> ScreenColour {
    let of = ScreenColour::try_new(Screen::Srgb, bytes.map(|v| (v / 255.0).clamp(0.0, 1.0)));
    // Clamped just before, so never refused; black where it were.
    of.or_else(|_| ScreenColour::from_hex("#000000"))
        .unwrap_or_else(|_| Shown::of_lab2(Screen::Srgb, Lab::new(0.0, 0.0, 0.0)).colour)
}

fn bytes(lab: Lab) -> [f64; 3] {
    Shown::of_lab2(Screen::Srgb, lab).colour.to_bytes().map(f64::from)
}

/// The ground, and so many bases that are at least [`APART`] from each other.
fn bases(many: usize, chance: &mut Chance) -> Vec<[f64; 3]> {
    let ground = match chance.below(3) {
        0 => [255.0; 3],
        1 => bytes(Lab::new(chance.between(75.0, 97.0), 0.0, chance.between(-4.0, 6.0))),
        _ => bytes(any(chance)),
    };
    let mut all = vec![ground];
    while all.len() < many + 1 {
        let one = bytes(any(chance));
        let lab = screen(one).to_lab2();
        if all.iter().all(|o| ciede2000(screen(*o).to_lab2(), lab) > APART) {
            all.push(one);
        }
    }
    all
}

/// ΔE00 between two bases of one picture: nearer ones a person would hardly name apart.
const APART: f64 = 6.0;

/// A colour as costumes have them: cloth of any hue, skin, hair, leather, white, black, metal.
fn any(chance: &mut Chance) -> Lab {
    match chance.below(10) {
        0 => Lab::new(
            chance.between(88.0, 98.0),
            chance.between(-3.0, 3.0),
            chance.between(-3.0, 8.0),
        ),
        1 => Lab::new(
            chance.between(12.0, 26.0),
            chance.between(-4.0, 4.0),
            chance.between(-8.0, 4.0),
        ),
        2 | 3 => {
            let h = chance.between(40.0, 78.0);
            Lch { l: chance.between(30.0, 86.0), c: chance.between(12.0, 38.0), h }.to_lab()
        }
        _ => {
            let h = chance.between(0.0, 360.0);
            Lch { l: chance.between(22.0, 88.0), c: chance.between(8.0, 80.0), h }.to_lab()
        }
    }
}

/// Base, two shadows and a highlight.
fn shades(base: [f64; 3], tint: [f64; 2], chance: &mut Chance) -> [[f64; 3]; TONES] {
    let first = chance.between(0.55, 0.78);
    let second = chance.between(0.30, 0.52);
    let white = chance.between(0.22, 0.6);
    let own = [0, 1].map(|i| tint[i] + chance.between(-0.03, 0.03));
    let darker = |keeps: f64| {
        let turned = [1.0 + own[1], 1.0, 1.0 + own[0]];
        std::array::from_fn(|c| {
            encoded(linear(base[c]) * keeps * (1.0 + (turned[c] - 1.0) * 2.0 * (1.0 - keeps)))
                .round()
        })
    };
    let lighter = std::array::from_fn(|c| (base[c] + white * (255.0 - base[c])).round());
    [base, darker(first), darker(second), lighter]
}

fn linear(v: f64) -> f64 {
    let v = v / 255.0;
    if v <= 0.040_45 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
}

fn encoded(v: f64) -> f64 {
    let v = v.clamp(0.0, 1.0);
    255.0 * if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 }
}
