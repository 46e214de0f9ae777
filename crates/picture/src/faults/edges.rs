//! How sharp the chart's edges are: how much of the step from a patch to its gap has crept into the patch.

use crate::{ChartKind, FoundChart, Picture, sample::number};

/// From the middle of a patch: where it must still be flat, and where it is looked at, in pitches (a patch reaches 0.4 to
/// 0.45 from its middle).
const FLAT: f64 = 0.12;
const LOOKED: f64 = 0.3;
/// A step smaller than this of full scale, encoded, says nothing.
const LEAST_STEP: f64 = 0.12;

/// Share of the steps that has crept in: 0 where edges are sharp. None where there are no steps.
pub(crate) fn crept(picture: &Picture, chart: &FoundChart, kind: &ChartKind) -> Option<f64> {
    let (mut moved, mut steps) = (0.0, 0.0);
    for n in 0..kind.patches().len() {
        let [x, y] = chart.place(n);
        for [dx, dy] in [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]] {
            let at = |t: f64| {
                let mut sum = 0.0;
                for k in -3_i32..=3 {
                    let s = 0.07 * f64::from(k);
                    let p = chart.map.at([x + t * dx - s * dy, y + t * dy + s * dx]);
                    sum += bright(picture, p)? / 7.0;
                }
                Some(sum)
            };
            let (Some(near), Some(flat), Some(edge), Some(gap)) =
                (at(0.0), at(FLAT), at(LOOKED), at(0.5))
            else {
                continue;
            };
            let flat = 0.5 * (near + flat);
            let step = flat - gap;
            // Only patches brighter than their gap; what creeps in from a brighter neighbour beyond is not of this step.
            if step > LEAST_STEP {
                moved += flat - edge;
                steps += step;
            }
        }
    }
    (steps > 4.0 * LEAST_STEP).then(|| moved / steps)
}

/// Mean of the encoded channels between the four pixels around a place.
fn bright(picture: &Picture, [x, y]: [f64; 2]) -> Option<f64> {
    let (x, y) = (x - 0.5, y - 0.5);
    if x < 0.0
        || y < 0.0
        || x >= number(picture.width().saturating_sub(1))
        || y >= number(picture.height().saturating_sub(1))
    {
        return None;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked before")]
    let (i, j) = (x as usize, y as usize);
    let (s, t) = (x - number(i), y - number(j));
    let at =
        |i: usize, j: usize| picture.encoded(i, j).iter().map(|v| f64::from(*v)).sum::<f64>() / 3.0;
    let row = |j: usize| (1.0 - s) * at(i, j) + s * at(i + 1, j);
    Some((1.0 - t) * row(j) + t * row(j + 1))
}
