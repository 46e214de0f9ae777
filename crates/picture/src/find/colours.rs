//! Whether colours in rows are those of the chart: how much of them its patches explain.
//!
//! Light, red against green and blue against green of the encoded values are each taken as a constant, a slope over the
//! chart, and the same three of the patches, by least squares. What counts is the share of what the slope leaves that the
//! patches explain, in the worst of the three, corrected for the number of unknowns. Fewer than two thirds of the patches
//! in the picture say nothing.

use super::{kind::ChartKind, map::solved};

/// The chart's encoded colours, worked out once.
pub(super) struct Wanted {
    encoded: Vec<[f64; 3]>,
    places: Vec<[f64; 2]>,
}

impl Wanted {
    pub(super) fn of(kind: &ChartKind) -> Self {
        let places = (0..kind.patches().len()).map(|n| kind.middle(n)).collect();
        Self { encoded: kind.encoded(), places }
    }

    /// Share of the variance explained, at most 1, of what was seen of each patch, row after row; none where it lies
    /// outside of the picture.
    pub(super) fn likeness(&self, seen: &[Option<[f64; 3]>]) -> f64 {
        let pairs: Vec<([f64; 6], [f64; 3])> = seen
            .iter()
            .zip(self.encoded.iter().zip(&self.places))
            .filter_map(|(seen, (e, p))| {
                Some(([1.0, e[0], e[1], e[2], 0.1 * p[0], 0.1 * p[1]], (*seen)?))
            })
            .collect();
        if pairs.len() < self.encoded.len() * 2 / 3 {
            return 0.0;
        }
        // Light and two colours, each by itself: a board of two colours has one of them alone, steps of a colour have a slope.
        let told: Vec<[f64; 3]> =
            pairs.iter().map(|(_, [r, g, b])| [(r + g + b) / 3.0, r - g, b - g]).collect();
        let rows: Vec<[f64; 6]> = pairs
            .iter()
            .map(|(row, _)| {
                let [one, r, g, b, x, y] = *row;
                [one, x, y, (r + g + b) / 3.0, r - g, b - g]
            })
            .collect();
        let n = f64::from(u32::try_from(pairs.len()).unwrap_or(u32::MAX));
        let mut explained = f64::MAX;
        for c in 0..3 {
            let Some((slope, _)) = left_over::<3, 4>(&rows, &told, c) else { return 0.0 };
            let Some((left, own)) = left_over::<6, 7>(&rows, &told, c) else { return 0.0 };
            // A bright patch is bright and a red one red: a camera never turns them round.
            if own[3 + c] <= 0.0 {
                return 0.0;
            }
            let share =
                (left + NOISE * NOISE * n) * (n - 3.0) / ((slope + NOISE * NOISE * n) * (n - 6.0));
            explained = explained.min(1.0 - share);
        }
        explained
    }
}

/// Differences of so much, of 255, are nothing.
const NOISE: f64 = 2.0;

/// Sum of squares that the first N numbers of each row leave of a column, and their weights.
fn left_over<const N: usize, const M: usize>(
    rows: &[[f64; 6]],
    told: &[[f64; 3]],
    c: usize,
) -> Option<(f64, [f64; N])> {
    let mut table = [[0.0; M]; N];
    for (row, told) in rows.iter().zip(told) {
        for j in 0..N {
            for k in 0..N {
                table[j][k] += row[j] * row[k];
            }
            table[j][N] += row[j] * told[c];
        }
    }
    for (j, row) in table.iter_mut().enumerate().skip(1) {
        row[j] += 1e-3;
    }
    let weights = solved(table)?;
    let left = rows
        .iter()
        .zip(told)
        .map(|(row, told)| told[c] - row.iter().zip(weights).map(|(a, b)| a * b).sum::<f64>())
        .map(|v| v * v)
        .sum();
    Some((left, weights))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(of: impl Fn(usize) -> [f64; 3]) -> Vec<Option<[f64; 3]>> {
        (0..24).map(|n| Some(of(n))).collect()
    }

    #[test]
    fn the_chart_is_like_itself_and_steps_boards_and_other_orders_are_not() {
        let kind = ChartKind::classic();
        let wanted = Wanted::of(kind);
        let encoded = kind.encoded();
        let of = |seen: Vec<Option<[f64; 3]>>| wanted.likeness(&seen);
        assert!(of(seen(|n| encoded[n].map(|v| 20.0 + 180.0 * v))) > 0.99);
        // A reddish lamp from the left.
        let lit = |n: usize| {
            let [r, g, b] = encoded[n].map(|v| 10.0 + 170.0 * v);
            let light = 1.0 - 0.04 * kind.middle(n)[0];
            [1.2 * r * light, g * light, 0.8 * b * light]
        };
        assert!(of(seen(lit)) > 0.9);
        assert!(of(seen(|n| encoded[23 - n].map(|v| 200.0 * v))) < 0.6, "upside down");
        let steps = |n: usize| {
            let [x, y] = kind.middle(n);
            [30.0 * x + 10.0 * y, 25.0 * x + 9.0 * y, 20.0 * x]
        };
        assert!(of(seen(steps)) < 0.6, "steps");
        let board = |n: usize| {
            if (n % 6 + n / 6).is_multiple_of(2) { [200.0, 180.0, 90.0] } else { [40.0; 3] }
        };
        assert!(of(seen(board)) < 0.6, "a board");
        let mut few = seen(|n| encoded[n].map(|v| 200.0 * v));
        few[10..].fill(None);
        assert!(of(few) < 0.1, "ten patches say nothing");
    }
}
