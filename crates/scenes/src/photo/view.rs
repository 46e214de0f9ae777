//! Where a plane stands before the camera: a pinhole, the plane turned and tilted, and as near as makes its things fill
//! the picture.
//!
//! Left out: bent lines of a lens, which cameras take out themselves.

use colour::maths;

/// A map between the plane and the picture's pixels, both ways.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    to_picture: [f64; 9],
    to_plane: [f64; 9],
}

/// How the camera stands to the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stand {
    /// Turn in the picture's plane, radians.
    pub turn: f64,
    /// Tilt of the plane away from facing the camera, radians.
    pub tilt: f64,
    /// Direction of the tilt's axis in the plane, radians.
    pub axis: f64,
    /// Focal length in shares of the picture's longer side; telephones have about 0.75.
    pub lens: f64,
    /// How much of the picture the things fill, 1 reaching its sides.
    pub fills: f64,
    /// Where the things' middle lies, in shares of the room that is left, −1 to 1 each way.
    pub off: [f64; 2],
}

impl View {
    /// Of a stand before things within `bounds` (left, top, right, bottom on the plane).
    #[must_use]
    pub fn of(stand: &Stand, bounds: [f64; 4], width: f64, height: f64) -> Self {
        let [left, top, right, bottom] = bounds;
        let (mx, my) = (0.5 * (left + right), 0.5 * (top + bottom));
        let (c, s) = (maths::cos(stand.tilt), maths::sin(stand.tilt));
        let (ux, uy) = (maths::cos(stand.axis), maths::sin(stand.axis));
        // Turning by the tilt about the axis (ux, uy, 0); only what moves a point of the plane is needed.
        let tilted = [
            [c + ux * ux * (1.0 - c), ux * uy * (1.0 - c)],
            [ux * uy * (1.0 - c), c + uy * uy * (1.0 - c)],
            [-uy * s, ux * s],
        ];
        let (tc, ts) = (maths::cos(stand.turn), maths::sin(stand.turn));
        let rows = [
            [tc * tilted[0][0] - ts * tilted[1][0], tc * tilted[0][1] - ts * tilted[1][1]],
            [ts * tilted[0][0] + tc * tilted[1][0], ts * tilted[0][1] + tc * tilted[1][1]],
            tilted[2],
        ];
        let focal = stand.lens * width.max(height);
        let corners = [[left, top], [right, top], [right, bottom], [left, bottom]];
        let at = |far: f64| {
            let mut it = [0.0; 9];
            for (r, row) in rows.iter().enumerate() {
                let scale = if r == 2 { 1.0 } else { focal };
                it[3 * r] = scale * row[0];
                it[3 * r + 1] = scale * row[1];
                it[3 * r + 2] =
                    -scale * (row[0] * mx + row[1] * my) + if r == 2 { far } else { 0.0 };
            }
            it
        };
        let seen = |it: &[f64; 9]| {
            corners.iter().fold([f64::MAX, f64::MAX, f64::MIN, f64::MIN], |b, p| {
                let [x, y] = through(it, *p);
                [b[0].min(x), b[1].min(y), b[2].max(x), b[3].max(y)]
            })
        };
        // The distance at which they fill the share asked for, by halving; never so near that a corner lies behind.
        let reach =
            corners.iter().map(|p| (p[0] - mx).abs() + (p[1] - my).abs()).fold(0.0, f64::max);
        let (mut near, mut far) = (1.2 * reach * s.abs() + 0.2 * reach, 400.0 * reach);
        for _ in 0..60 {
            let half = 0.5 * (near + far);
            let b = seen(&at(half));
            let fits = b[2] - b[0] <= stand.fills * width && b[3] - b[1] <= stand.fills * height;
            if fits { far = half } else { near = half }
        }
        let mut it = at(far);
        let b = seen(&it);
        let room = [width - (b[2] - b[0]), height - (b[3] - b[1])];
        let shift = [
            0.5 * width - 0.5 * (b[0] + b[2]) + 0.5 * stand.off[0] * room[0],
            0.5 * height - 0.5 * (b[1] + b[3]) + 0.5 * stand.off[1] * room[1],
        ];
        for k in 0..3 {
            it[k] += shift[0] * it[6 + k];
            it[3 + k] += shift[1] * it[6 + k];
        }
        Self { to_picture: it, to_plane: inverse(&it) }
    }

    /// The same moved by so many pixels.
    #[must_use]
    pub fn moved(&self, by: [f64; 2]) -> Self {
        let mut it = self.to_picture;
        for k in 0..3 {
            it[k] += by[0] * it[6 + k];
            it[3 + k] += by[1] * it[6 + k];
        }
        Self { to_picture: it, to_plane: inverse(&it) }
    }

    /// The pixel (its middle at half) where a point of the plane is seen.
    #[must_use]
    pub fn pixel(&self, point: [f64; 2]) -> [f64; 2] {
        through(&self.to_picture, point)
    }

    /// The point of the plane that is seen at a pixel.
    #[must_use]
    pub fn point(&self, pixel: [f64; 2]) -> [f64; 2] {
        through(&self.to_plane, pixel)
    }
}

fn through(map: &[f64; 9], [x, y]: [f64; 2]) -> [f64; 2] {
    let w = map[6] * x + map[7] * y + map[8];
    [(map[0] * x + map[1] * y + map[2]) / w, (map[3] * x + map[4] * y + map[5]) / w]
}

/// The adjugate; its scale does not matter.
fn inverse(m: &[f64; 9]) -> [f64; 9] {
    [
        m[4] * m[8] - m[5] * m[7],
        m[2] * m[7] - m[1] * m[8],
        m[1] * m[5] - m[2] * m[4],
        m[5] * m[6] - m[3] * m[8],
        m[0] * m[8] - m[2] * m[6],
        m[2] * m[3] - m[0] * m[5],
        m[3] * m[7] - m[4] * m[6],
        m[1] * m[6] - m[0] * m[7],
        m[0] * m[4] - m[1] * m[3],
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_and_inside_the_picture() {
        let bounds = [0.0, 0.0, 9.0, 4.0];
        for k in 0..12 {
            let turn = f64::from(k);
            let stand = Stand {
                turn,
                tilt: 0.7,
                axis: 2.0 * turn,
                lens: 0.8,
                fills: 0.9,
                off: [0.5, -1.0],
            };
            let view = View::of(&stand, bounds, 800.0, 600.0);
            for point in [[0.0, 0.0], [9.0, 0.0], [9.0, 4.0], [0.0, 4.0], [4.0, 1.0]] {
                let pixel = view.pixel(point);
                assert!(
                    (-1e-6..=800.0).contains(&pixel[0]) && (-1e-6..=600.0).contains(&pixel[1]),
                    "{pixel:?}"
                );
                let back = view.point(pixel);
                assert!((back[0] - point[0]).abs() + (back[1] - point[1]).abs() < 1e-9);
            }
        }
    }
}
