//! An edge of light that may lie between chart and cloth, seen on what they lie on: a step in its brightness without a
//! change of its colour, evenly light on both sides, in a straight line.
//!
//! From the chart's rim to the cloth's a number of paths are walked. A step counts where chart and cloth themselves are
//! neither of its sides, and where most paths cross it at one line and by one ratio. It is no proof: a sheet of grey paper on
//! grey stone looks the same. So it is told and asked about, and nothing is refused for it. Left out: cloth that lies against
//! the chart, with nothing between that could show it; soft shadows wider than half the way; ratios at which a shadow is
//! rare (below 8 %, or where less than two fifths of the light are left). Limits are judgement, tried on rendered scenes.

use crate::sample::{median, number};
use crate::{ClothPlace, FoundChart, Picture};

/// Paths, and how many of them must cross one line.
const PATHS: usize = 11;
const FEWEST: usize = 6;
/// Logarithm of the light's ratio, least and most.
const RATIO: [f64; 2] = [0.08, 0.92];
/// How far red or blue against green may change: shadow by day is a little bluer.
const TINT: f64 = 0.06;
/// Standard deviation of the logarithm within a side, as a share of the step; and never more than this.
const ROUGH: [f64; 2] = [0.3, 0.08];
/// A side that differs by less from chart or cloth may be it.
const APART: f64 = 0.12;
/// Length of a side, in pitches, and in pixels at least.
const SIDE: f64 = 0.09;
const LEAST_SIDE: usize = 5;
/// Half of the softest edge, as a share of a side.
const SOFT: f64 = 0.6;
/// Ratios that differ by less, as logarithms, are one.
const ONE_RATIO: f64 = 0.05;
/// Paths cross one line within this, in pitches.
const ONE_LINE: f64 = 0.07;
/// Within this of the chart's patches (pitches) and of their direction (radians) it may be the chart's own frame.
const FRAME: [f64; 2] = [0.8, 0.04];

/// A step that one path crosses.
#[derive(Debug, Clone, Copy)]
struct Step {
    /// Where, in pixels.
    at: [f64; 2],
    /// Logarithm of light beyond it against light before it.
    ratio: f64,
}

/// By how much the light beyond such an edge differs from that on the chart's side, as the logarithm of their ratio; none
/// where none is seen.
pub(crate) fn edge_between(
    picture: &Picture,
    chart: &FoundChart,
    place: &ClothPlace,
) -> Option<f64> {
    let pitch = chart.pitch();
    let steps: Vec<Step> = paths(chart, place)?
        .into_iter()
        .filter_map(|[from, to]| crossed(&walked(picture, from, to), [from, to], pitch))
        .collect();
    let ratio = median(steps.iter().map(|s| s.ratio).collect());
    let alike: Vec<Step> =
        steps.into_iter().filter(|s| (s.ratio - ratio).abs() < ONE_RATIO).collect();
    let on_line = line(&alike, ONE_LINE * pitch)?;
    (on_line.len() >= FEWEST && !is_frame(chart, &on_line)).then_some(ratio)
}

/// From the chart's rim to the cloth's, in pixels, where the two face each other.
fn paths(chart: &FoundChart, place: &ClothPlace) -> Option<Vec<[[f64; 2]; 2]>> {
    let square = place.square(Some(chart))?;
    let back = chart.map.inverse();
    let [across, down] = chart.size();
    let ends = [number(across) - 0.5, number(down) - 0.5];
    let rim = (0..4 * PATHS).map(|k| {
        let along = 2.0 * (number(k % PATHS) + 0.5) / number(PATHS) - 1.0;
        square.at([[along, -1.0], [along, 1.0], [-1.0, along], [1.0, along]][k / PATHS])
    });
    let mut all: Vec<(f64, [[f64; 2]; 2])> = rim
        .map(|to| {
            let there = back.at(to);
            let near = [0, 1].map(|k| there[k].clamp(-0.5, ends[k]));
            let far = (there[0] - near[0]).hypot(there[1] - near[1]);
            (far, [chart.map.at(near), to])
        })
        .filter(|(far, path)| *far > 0.0 && path.iter().flatten().all(|v| v.is_finite()))
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    Some(all.into_iter().take(PATHS).map(|(_, path)| path).collect())
}

/// Logarithms of the light along a path, pixel by pixel, each the mean over a few beside it.
fn walked(picture: &Picture, from: [f64; 2], to: [f64; 2]) -> Vec<[f64; 3]> {
    let way = [to[0] - from[0], to[1] - from[1]];
    let length = way[0].hypot(way[1]);
    if !(2.0..=1e5).contains(&length) {
        return vec![];
    }
    let along = way.map(|v| v / length);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a length")]
    let many = length as usize;
    let pixel = |t: f64, s: f64| -> Option<[f64; 3]> {
        let [x, y] = [from[0] + t * along[0] - s * along[1], from[1] + t * along[1] + s * along[0]];
        if x < 0.0 || y < 0.0 {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked")]
        let (x, y) = (x as usize, y as usize);
        let inside = x < picture.width() && y < picture.height();
        inside.then(|| picture.linear(x, y).map(f64::from))
    };
    let mut all = Vec::with_capacity(many);
    for t in 0..many {
        let beside: Vec<[f64; 3]> =
            (-3_i32..=3).filter_map(|s| pixel(number(t) + 0.5, f64::from(s))).collect();
        let mean =
            |c: usize| beside.iter().map(|p| p[c]).sum::<f64>() / number(beside.len().max(1));
        all.push([0, 1, 2].map(|c| colour::maths::ln(mean(c).max(1e-4))));
    }
    all
}

/// The clearest step of a path that is neither the chart's edge nor the cloth's.
fn crossed(light: &[[f64; 3]], [from, to]: [[f64; 2]; 2], pitch: f64) -> Option<Step> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few pixels")]
    let side = ((SIDE * pitch).round() as usize).max(LEAST_SIDE);
    let ends = side.div_ceil(3);
    if light.len() < 2 * (side + ends) {
        return None;
    }
    let chart = told(&light[..ends]).0;
    let cloth = told(&light[light.len() - ends..]).0;
    let mut best: Option<(f64, Step)> = None;
    for soft in [1, side.div_ceil(4), half(side)] {
        for at in side + soft..light.len().saturating_sub(side + soft) {
            let (before, rough) = told(&light[at - soft - side..at - soft]);
            let (beyond, rough_too) = told(&light[at + soft..at + soft + side]);
            let by: [f64; 3] = std::array::from_fn(|c| beyond[c] - before[c]);
            let ratio = by.iter().sum::<f64>() / 3.0;
            let tint = (by[0] - by[1]).abs().max((by[2] - by[1]).abs());
            let even = rough.max(rough_too) < (ROUGH[0] * ratio.abs()).min(ROUGH[1]);
            let own = apart(&before, &chart) > APART && apart(&beyond, &cloth) > APART;
            let clear = (RATIO[0]..=RATIO[1]).contains(&ratio.abs()) && tint < TINT && even && own;
            // The clearest is the one with the largest step and the most even sides.
            let worth = ratio.abs() - 2.0 * rough.max(rough_too);
            if clear && best.is_none_or(|b| worth > b.0) {
                let share = (number(at) + 0.5) / number(light.len());
                let place = [0, 1].map(|k| from[k] + share * (to[k] - from[k]));
                best = Some((worth, Step { at: place, ratio }));
            }
        }
    }
    best.map(|b| b.1)
}

fn half(side: usize) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few pixels")]
    let half = (SOFT * number(side)).round() as usize;
    half.max(2)
}

/// Mean of each channel, and the largest standard deviation about it.
fn told(side: &[[f64; 3]]) -> ([f64; 3], f64) {
    let many = number(side.len().max(1));
    let mean: [f64; 3] = std::array::from_fn(|c| side.iter().map(|v| v[c]).sum::<f64>() / many);
    let rough = (0..3)
        .map(|c| (side.iter().map(|v| (v[c] - mean[c]).powi(2)).sum::<f64>() / many).sqrt())
        .fold(0.0, f64::max);
    (mean, rough)
}

fn apart(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

/// The steps that lie on one straight line: of the lines through two of them, the one with the most.
fn line(steps: &[Step], within: f64) -> Option<Vec<Step>> {
    let mut best: Vec<Step> = vec![];
    for (n, one) in steps.iter().enumerate() {
        for other in &steps[n + 1..] {
            let way = [other.at[0] - one.at[0], other.at[1] - one.at[1]];
            let length = way[0].hypot(way[1]);
            if length < 2.0 * within {
                continue;
            }
            let off = |s: &&Step| {
                let [x, y] = [s.at[0] - one.at[0], s.at[1] - one.at[1]];
                ((x * way[1] - y * way[0]) / length).abs() <= within
            };
            let on: Vec<Step> = steps.iter().filter(off).copied().collect();
            if on.len() > best.len() {
                best = on;
            }
        }
    }
    (!best.is_empty()).then_some(best)
}

/// Whether the line runs along a side of the chart, so near to it that it may be a part of its frame.
fn is_frame(chart: &FoundChart, line: &[Step]) -> bool {
    let back = chart.map.inverse();
    let places: Vec<[f64; 2]> = line.iter().map(|s| back.at(s.at)).collect();
    let [across, down] = chart.size();
    let ends = [number(across) - 0.5, number(down) - 0.5];
    (0..2).any(|k| {
        let beyond: Vec<f64> = places.iter().map(|p| (-0.5 - p[k]).max(p[k] - ends[k])).collect();
        let (low, high) =
            beyond.iter().fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
        let (start, stop) = places
            .iter()
            .fold((f64::MAX, f64::MIN), |(l, h), p| (l.min(p[1 - k]), h.max(p[1 - k])));
        low > 0.0 && high < FRAME[0] && high - low < (FRAME[1] * (stop - start)).max(0.03)
    })
}
