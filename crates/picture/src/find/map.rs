//! A plane seen in perspective: the map from the chart's coordinates to pixels, from points that belong together.
//!
//! Least squares of the eight numbers of a homography after both sides were brought to size about their middles
//! (R. Hartley, "In defense of the eight-point algorithm", IEEE Trans. Pattern Anal. Mach. Intell. 19 (1997) 580),
//! weighted anew by the depth of each point, so that the distances in the picture count.

/// From one plane to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Map([f64; 9]);

impl Map {
    /// The map that takes the first of each pair nearest to the second. None for fewer than four, or where they lie on
    /// a line.
    pub(crate) fn fitted(pairs: &[([f64; 2], [f64; 2])]) -> Option<Self> {
        if pairs.len() < 4 {
            return None;
        }
        let from = Sized::of(pairs.iter().map(|p| p.0))?;
        let to = Sized::of(pairs.iter().map(|p| p.1))?;
        let mut depth = vec![1.0; pairs.len()];
        let mut it = [0.0; 9];
        for _ in 0..3 {
            let mut table = [[0.0; 9]; 8];
            for ((p, q), d) in pairs.iter().zip(&depth) {
                let ([x, y], [u, v]) = (from.apply(*p), to.apply(*q));
                let rows = [
                    ([x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y], u),
                    ([0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y], v),
                ];
                for (row, value) in rows {
                    for j in 0..8 {
                        for k in 0..8 {
                            table[j][k] += row[j] * row[k] / (d * d);
                        }
                        table[j][8] += row[j] * value / (d * d);
                    }
                }
            }
            let solved = solved(table)?;
            it[..8].copy_from_slice(&solved);
            it[8] = 1.0;
            for ((p, _), d) in pairs.iter().zip(&mut depth) {
                let [x, y] = from.apply(*p);
                *d = it[6] * x + it[7] * y + 1.0;
                if *d <= 1e-6 {
                    return None;
                }
            }
        }
        Some(Self(product(&to.back(), &product(&it, &from.there()))))
    }

    /// Where a point goes.
    #[must_use]
    pub fn at(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let m = &self.0;
        let w = m[6] * x + m[7] * y + m[8];
        [(m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w]
    }

    /// Whether a point lies before the camera, seen from another that does.
    pub(crate) fn same_side(&self, a: [f64; 2], b: [f64; 2]) -> bool {
        let w = |p: [f64; 2]| self.0[6] * p[0] + self.0[7] * p[1] + self.0[8];
        w(a) * w(b) > 0.0
    }

    /// The way back.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let m = &self.0;
        Self([
            m[4] * m[8] - m[5] * m[7],
            m[2] * m[7] - m[1] * m[8],
            m[1] * m[5] - m[2] * m[4],
            m[5] * m[6] - m[3] * m[8],
            m[0] * m[8] - m[2] * m[6],
            m[2] * m[3] - m[0] * m[5],
            m[3] * m[7] - m[4] * m[6],
            m[1] * m[6] - m[0] * m[7],
            m[0] * m[4] - m[1] * m[3],
        ])
    }

    /// Followed by `scale · point`.
    pub(crate) fn scaled(&self, scale: f64) -> Self {
        Self(product(&[scale, 0.0, 0.0, 0.0, scale, 0.0, 0.0, 0.0, 1.0], &self.0))
    }

    /// Preceded by an affine map of the first plane: `columns` x, y and origin.
    pub(crate) fn after(&self, x: [f64; 2], y: [f64; 2], origin: [f64; 2]) -> Self {
        Self(product(&self.0, &[x[0], y[0], origin[0], x[1], y[1], origin[1], 0.0, 0.0, 1.0]))
    }
}

/// Brings points to their middle and to a mean distance of √2 from it.
struct Sized {
    middle: [f64; 2],
    scale: f64,
}

impl Sized {
    fn of(points: impl Iterator<Item = [f64; 2]> + Clone) -> Option<Self> {
        let (mut n, mut sum) = (0.0, [0.0; 2]);
        for [x, y] in points.clone() {
            n += 1.0;
            sum = [sum[0] + x, sum[1] + y];
        }
        let middle = [sum[0] / n, sum[1] / n];
        let spread: f64 =
            points.map(|[x, y]| (x - middle[0]).hypot(y - middle[1])).sum::<f64>() / n;
        (spread.is_finite() && spread > 1e-9)
            .then(|| Self { middle, scale: std::f64::consts::SQRT_2 / spread })
    }

    fn apply(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [(x - self.middle[0]) * self.scale, (y - self.middle[1]) * self.scale]
    }

    fn there(&self) -> [f64; 9] {
        let s = self.scale;
        [s, 0.0, -s * self.middle[0], 0.0, s, -s * self.middle[1], 0.0, 0.0, 1.0]
    }

    fn back(&self) -> [f64; 9] {
        let s = 1.0 / self.scale;
        [s, 0.0, self.middle[0], 0.0, s, self.middle[1], 0.0, 0.0, 1.0]
    }
}

fn product(a: &[f64; 9], b: &[f64; 9]) -> [f64; 9] {
    std::array::from_fn(|n| (0..3).map(|k| a[n / 3 * 3 + k] * b[3 * k + n % 3]).sum())
}

/// Gauss and Jordan with the largest pivot; None where the sums say nothing about one of the unknowns.
pub(crate) fn solved<const N: usize, const M: usize>(mut table: [[f64; M]; N]) -> Option<[f64; N]> {
    for j in 0..N {
        let pivot = (j..N).max_by(|a, b| table[*a][j].abs().total_cmp(&table[*b][j].abs()))?;
        table.swap(j, pivot);
        let lead = table[j][j];
        if lead.abs() <= 1e-12 || !lead.is_finite() {
            return None;
        }
        table[j].iter_mut().for_each(|v| *v /= lead);
        let from = table[j];
        for (k, row) in table.iter_mut().enumerate() {
            if k != j {
                let part = row[j];
                row.iter_mut().zip(from).for_each(|(v, f)| *v -= part * f);
            }
        }
    }
    Some(table.map(|row| row[M - 1]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_map_is_found_again_from_its_points() {
        let truth = Map([90.0, -20.0, 400.0, 30.0, 70.0, 200.0, 0.02, -0.03, 1.0]);
        let pairs: Vec<_> = (0..24)
            .map(|n| [f64::from(n % 6), f64::from(n / 6)])
            .map(|p| (p, truth.at(p)))
            .collect();
        let map = Map::fitted(&pairs).unwrap();
        for (p, q) in &pairs {
            let (at, back) = (map.at(*p), map.inverse().at(*q));
            assert!((at[0] - q[0]).abs() + (at[1] - q[1]).abs() < 1e-7, "{at:?} {q:?}");
            assert!((back[0] - p[0]).abs() + (back[1] - p[1]).abs() < 1e-9, "{back:?} {p:?}");
        }
        let line: Vec<_> = (0..9).map(f64::from).map(|v| ([v, v], [v, 2.0 * v])).collect();
        assert_eq!(Map::fitted(&line), None);
        assert_eq!(Map::fitted(&pairs[..3]), None);
    }
}
