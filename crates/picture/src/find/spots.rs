//! Spots: calm parts of the picture with hard edges around, of the shape that a square has when it is seen slantwise.

use super::reduced::Reduced;

/// A spot that may be a patch.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    pub(super) middle: [f64; 2],
    /// Pixels.
    pub(super) area: f64,
    /// Second moments about its middle: xx, xy, yy.
    moments: [f64; 3],
}

/// Smallest and largest area of a spot, pixels and share of the picture.
const LEAST: f64 = 16.0;
const LARGEST: f64 = 0.06;
/// A parallelogram's area is 12 √(determinant of its moments); an ellipse's is 4π √…, 5 % more. Anything with bays and
/// holes has less.
const FULL: [f64; 2] = [0.8, 1.06];
/// Longest spot: long to short side (a square seen at 45° is √2, near a wide lens more).
const LONGEST: f64 = 3.0;

impl Spot {
    /// How far away a point is, in sides of this spot and in its own directions; a square's neighbours are at equal
    /// distances, however it is seen.
    pub(super) fn away(&self, to: [f64; 2]) -> [f64; 2] {
        // The lower triangle of the moments' root, inverted.
        let [xx, xy, yy] = self.moments;
        let a = xx.sqrt();
        let b = xy / a;
        let c = (yy - b * b).sqrt();
        let (x, y) = (to[0] - self.middle[0], to[1] - self.middle[1]);
        let u = x / a;
        let v = (y - b * u) / c;
        let sides = 12_f64.sqrt();
        [u / sides, v / sides]
    }

    /// Whether another has about the same shape and size.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        let [xx, xy, yy] = self.moments;
        let [oxx, oxy, oyy] = other.moments;
        let det = xx * yy - xy * xy;
        let odet = oxx * oyy - oxy * oxy;
        let ratio = (odet / det).sqrt();
        // trace(A⁻¹ B) is 2 for equal ones.
        let trace = (yy * oxx - 2.0 * xy * oxy + xx * oyy) / det;
        (0.4..2.5).contains(&ratio) && trace / (2.0 * ratio) < 1.5
    }
}

/// Spots where neighbouring values differ by less than `calm` (of 255).
pub(super) fn spots(picture: &Reduced, calm: f32) -> Vec<Spot> {
    let (width, height) = (picture.width, picture.height);
    let mut open: Vec<bool> = vec![false; width * height];
    for y in 1..height.saturating_sub(1) {
        for x in 1..width.saturating_sub(1) {
            let (l, r) = (picture.at(x - 1, y), picture.at(x + 1, y));
            let (t, b) = (picture.at(x, y - 1), picture.at(x, y + 1));
            open[y * width + x] =
                (0..3).all(|c| (l[c] - r[c]).abs() < calm && (t[c] - b[c]).abs() < calm);
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
    let largest = LARGEST * (width * height) as f64;
    let mut spots = Vec::new();
    let mut stack = Vec::new();
    for start in 0..open.len() {
        if !open[start] {
            continue;
        }
        open[start] = false;
        stack.push(start);
        let mut sums = Sums::about(start, width);
        while let Some(at) = stack.pop() {
            sums.add(at);
            // The rim of the picture is never open, so that these stay inside.
            for next in [at - 1, at + 1, at - width, at + width] {
                if open[next] {
                    open[next] = false;
                    stack.push(next);
                }
            }
        }
        spots.extend(sums.spot(largest));
    }
    spots
}

struct Sums {
    width: usize,
    from: [f64; 2],
    sums: [f64; 6],
}

impl Sums {
    const fn about(at: usize, width: usize) -> Self {
        Self { width, from: place(at, width), sums: [0.0; 6] }
    }

    fn add(&mut self, at: usize) {
        let [x, y] = place(at, self.width);
        let (x, y) = (x - self.from[0], y - self.from[1]);
        for (sum, part) in self.sums.iter_mut().zip([1.0, x, y, x * x, x * y, y * y]) {
            *sum += part;
        }
    }

    fn spot(&self, largest: f64) -> Option<Spot> {
        let [n, x, y, xx, xy, yy] = self.sums;
        if n < LEAST || n > largest {
            return None;
        }
        let (mx, my) = (x / n, y / n);
        // A pixel is itself a square of side 1, of moments 1/12.
        let moments =
            [xx / n - mx * mx + 1.0 / 12.0, xy / n - mx * my, yy / n - my * my + 1.0 / 12.0];
        let det = moments[0] * moments[2] - moments[1] * moments[1];
        let full = n / (12.0 * det.max(1e-9).sqrt());
        let half = 0.5 * (moments[0] + moments[2]);
        let apart = (half * half - det).max(0.0).sqrt();
        let long = ((half + apart) / (half - apart).max(1e-9)).sqrt();
        let fits = (FULL[0]..=FULL[1]).contains(&full) && long <= LONGEST;
        fits.then(|| Spot { middle: [self.from[0] + mx, self.from[1] + my], area: n, moments })
    }
}

#[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
const fn place(at: usize, width: usize) -> [f64; 2] {
    [(at % width) as f64 + 0.5, (at / width) as f64 + 0.5]
}
