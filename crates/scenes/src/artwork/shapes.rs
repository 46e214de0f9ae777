//! A canvas of paints, and the shapes laid on it.

/// Which paint stands at each sample.
#[derive(Debug, Clone)]
pub(crate) struct Canvas {
    width: usize,
    height: usize,
    paint: Vec<u8>,
}

/// A closed curve about a middle: a blot, a panel, a button.
#[derive(Debug, Clone)]
pub(crate) struct Blot {
    /// Middle, samples.
    pub(crate) at: [f64; 2],
    /// Half its length, half its breadth.
    pub(crate) size: [f64; 2],
    /// Turned by, radians.
    pub(crate) turned: f64,
    /// Waves about the edge: how many, how strong, where they begin.
    pub(crate) waves: [[f64; 3]; 3],
}

impl Canvas {
    pub(crate) fn new(width: usize, height: usize) -> Self {
        Self { width, height, paint: vec![0; width * height] }
    }

    pub(crate) fn at(&self, x: usize, y: usize) -> u8 {
        self.paint[y * self.width + x]
    }

    /// Samples across and down.
    pub(crate) fn size(&self) -> [f64; 2] {
        #[expect(clippy::cast_precision_loss, reason = "samples of a picture")]
        [self.width as f64, self.height as f64]
    }

    /// Lays a paint wherever `of` says so within a box, by what stands there.
    pub(crate) fn lay(&mut self, bounds: [f64; 4], of: impl Fn([f64; 2], u8) -> Option<u8>) {
        let [left, right] = [bounds[0], bounds[2]].map(|v| whole(v, self.width));
        let [top, bottom] = [bounds[1], bounds[3]].map(|v| whole(v, self.height));
        for y in top..bottom {
            for x in left..right {
                let at = y * self.width + x;
                #[expect(clippy::cast_precision_loss, reason = "samples of a picture")]
                if let Some(paint) = of([x as f64 + 0.5, y as f64 + 0.5], self.paint[at]) {
                    self.paint[at] = paint;
                }
            }
        }
    }

    /// Draws a line along points.
    pub(crate) fn stroke(&mut self, along: &[[f64; 2]], width: f64, paint: u8) {
        let half = width / 2.0;
        for [x, y] in along {
            self.lay([x - half, y - half, x + half + 1.0, y + half + 1.0], |[px, py], _| {
                ((px - x).powi(2) + (py - y).powi(2) <= half * half).then_some(paint)
            });
        }
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
fn whole(v: f64, most: usize) -> usize {
    (v.max(0.0) as usize).min(most)
}

impl Blot {
    /// Edge as a share of the size, in a direction of its own.
    fn edge(&self, angle: f64) -> f64 {
        let wave = |[many, strong, from]: [f64; 3]| strong * (many * angle + from).cos();
        1.0 + self.waves.into_iter().map(wave).sum::<f64>()
    }

    /// Where a point stands between the middle (0) and the edge (1).
    pub(crate) fn depth(&self, [x, y]: [f64; 2]) -> f64 {
        let (sin, cos) = self.turned.sin_cos();
        let (dx, dy) = (x - self.at[0], y - self.at[1]);
        let u = (cos * dx + sin * dy) / self.size[0];
        let v = (cos * dy - sin * dx) / self.size[1];
        u.hypot(v) / self.edge(v.atan2(u))
    }

    /// The same shape, moved.
    pub(crate) fn moved(&self, by: [f64; 2]) -> Self {
        Self { at: [self.at[0] + by[0], self.at[1] + by[1]], ..self.clone() }
    }

    /// The same shape, smaller or larger.
    pub(crate) fn scaled(&self, by: f64) -> Self {
        Self { size: self.size.map(|s| s * by), ..self.clone() }
    }

    /// A box around it.
    pub(crate) fn bounds(&self) -> [f64; 4] {
        let far = 1.6 * self.size[0].max(self.size[1]);
        [self.at[0] - far, self.at[1] - far, self.at[0] + far, self.at[1] + far]
    }

    /// Points along its edge, at most about a sample apart.
    pub(crate) fn outline(&self) -> Vec<[f64; 2]> {
        let around = 8.0 * self.size[0].max(self.size[1]);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a length")]
        let steps = around.clamp(16.0, 1e5) as usize;
        let (sin, cos) = self.turned.sin_cos();
        (0..steps)
            .map(|i| {
                #[expect(clippy::cast_precision_loss, reason = "a count")]
                let angle = std::f64::consts::TAU * i as f64 / steps as f64;
                let r = self.edge(angle);
                let (u, v) = (r * angle.cos() * self.size[0], r * angle.sin() * self.size[1]);
                [self.at[0] + cos * u - sin * v, self.at[1] + sin * u + cos * v]
            })
            .collect()
    }
}
