//! Whether one colour may be another in shadow or in light.
//!
//! Less light on the same cloth scales linear red, green and blue alike, but for the tint of the shadow that an artist
//! gives; a highlight is a mixture with something near white. Limits are wide: who touches whom decides more.

use colour::Lab;

use super::tones::Tone;

/// Least and most of the base's light that a shadow keeps.
const KEEPS: [f64; 2] = [0.1, 0.995];
/// How unequally red, green and blue may be kept.
const TINT: f64 = 3.0;
/// How far the hue may turn, degrees, where both colours have a hue.
const TURN: f64 = 42.0;
/// Chroma below which a colour has no hue to speak of.
const GREY: f64 = 7.0;
/// Share of the way to white that a large highlight goes at most, in linear light.
const MODEST: f64 = 0.6;
/// What is added to linear light before a ratio: black is never quite black.
const BLACK: f64 = 0.006;

/// Whether a tone may be the base's shadow or highlight.
pub(crate) fn may_be(base: &Tone, tone: &Tone) -> bool {
    if tone.lab.l < base.lab.l { shadow(base, tone) } else { highlight(base, tone) }
}

/// Whether a highlight leaves so much of the base that it may be large; a gleam of nearly white is small.
pub(crate) fn is_modest(base: &Tone, tone: &Tone) -> bool {
    let (from, to) = (light(base.linear), light(tone.linear));
    to - from <= MODEST * (1.0 - from)
}

fn light(rgb: [f64; 3]) -> f64 {
    0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]
}

fn shadow(base: &Tone, tone: &Tone) -> bool {
    let kept: [f64; 3] =
        std::array::from_fn(|c| (tone.linear[c] + BLACK) / (base.linear[c] + BLACK));
    let keeps = (light(tone.linear) + BLACK) / (light(base.linear) + BLACK);
    let most = kept.iter().copied().fold(0.0, f64::max);
    let least = kept.iter().copied().fold(f64::INFINITY, f64::min);
    (KEEPS[0]..=KEEPS[1]).contains(&keeps)
        && most <= TINT * least
        && turn(base.lab, tone.lab) <= TURN
        && tone.lab.chroma() <= 1.35 * base.lab.chroma() + 8.0
}

fn highlight(base: &Tone, tone: &Tone) -> bool {
    let rises = (0..3).all(|c| tone.linear[c] >= 0.9 * base.linear[c] - 0.01);
    rises && turn(base.lab, tone.lab) <= TURN && tone.lab.chroma() <= 1.15 * base.lab.chroma() + 5.0
}

/// Degrees between two hues; 0 where one has none.
fn turn(a: Lab, b: Lab) -> f64 {
    if a.chroma() < GREY || b.chroma() < GREY {
        return 0.0;
    }
    let away = (a.to_lch().h - b.to_lch().h).abs();
    away.min(360.0 - away)
}
