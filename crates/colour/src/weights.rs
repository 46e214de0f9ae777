//! ASTM E2022 weights: from 31 bands to XYZ and Lab under a light, for an observer.
//!
//! Built as the practice ASTM E2022 describes: each light at 1 nm (linear between its 5 nm values)
//! times the colour-matching functions at 1 nm over 360–780 nm, shared out among the 10 nm bands by
//! Lagrange factors (cubic inside, parabolic in the first and last interval); then the weight of
//! the bands beyond 400–700 nm is added to the end bands, as ASTM E308 prescribes for truncated
//! data. Plain 10 nm sums would be wrong by ΔE00 1.6 (median) under tri-band lamps. Sums use plain
//! additions in one fixed order, so every machine agrees to the last bit.

use std::sync::OnceLock;

use crate::{
    Bands, Lab, Light, Observer, Xyz,
    bands::BANDS,
    tables::{FINE, FIRST, LAST, Tables, tables},
};

/// The weights of one light and observer; Y of the perfect white is 100.
#[derive(Debug, Clone, PartialEq)]
pub struct Weights {
    rows: [[f64; BANDS]; 3],
    white: Xyz,
}

impl Weights {
    /// The weights of a light and observer, computed once and kept.
    #[must_use]
    pub fn of(light: Light, observer: Observer) -> &'static Self {
        static ALL: OnceLock<Vec<[Weights; 2]>> = OnceLock::new();
        let all = ALL.get_or_init(|| {
            let t = tables();
            let both = |light| Observer::ALL.map(|observer| Self::build(t, light, observer));
            Light::ALL.into_iter().map(both).collect()
        });
        &all[light.index()][observer as usize]
    }

    /// The reference of the trade: D65, 10°.
    #[must_use]
    pub fn reference() -> &'static Self {
        Self::of(Light::D65, Observer::Ten)
    }

    /// The three rows (X, Y, Z) of 31 weights.
    #[must_use]
    pub const fn rows(&self) -> &[[f64; BANDS]; 3] {
        &self.rows
    }

    /// The white point: the row sums of this very table, so that a neutral is neutral exactly.
    #[must_use]
    pub const fn white(&self) -> Xyz {
        self.white
    }

    /// XYZ of a cloth under this light.
    #[must_use]
    pub fn xyz(&self, bands: &Bands) -> Xyz {
        self.xyz_of(bands.values())
    }

    /// Lab of a cloth under this light.
    #[must_use]
    pub fn lab(&self, bands: &Bands) -> Lab {
        self.xyz_of(bands.values()).to_lab(self.white)
    }

    /// XYZ of 31 numbers that need not be a possible cloth, for the inside of a search.
    #[must_use]
    pub fn xyz_of(&self, factors: &[f64; BANDS]) -> Xyz {
        let [x, y, z] = &self.rows;
        Xyz { x: dot(x, factors), y: dot(y, factors), z: dot(z, factors) }
    }

    /// Lab of 31 numbers that need not be a possible cloth, for the inside of a search.
    #[must_use]
    pub fn lab_of(&self, factors: &[f64; BANDS]) -> Lab {
        self.xyz_of(factors).to_lab(self.white)
    }

    fn build(t: &Tables, light: Light, observer: Observer) -> Self {
        let power = t.light_by_one(light);
        let full = t.cmf(observer).map(|cmf| e2022_row(&power, &cmf));
        let mut rows = full.map(|row| fold_ends(&row));
        let scale = 100.0 / rows[1].iter().sum::<f64>();
        for w in rows.iter_mut().flatten() {
            *w *= scale;
        }
        let [x, y, z] = rows.map(|row| dot(&row, &[1.0; BANDS]));
        Self { rows, white: Xyz { x, y, z } }
    }
}

const STEP: usize = 10;
/// Bands of the untruncated grid, 360–780 nm by 10 nm.
const FULL: usize = (LAST - FIRST) / STEP + 1;
/// Bands of the untruncated grid below 400 nm.
const BELOW: usize = (400 - FIRST) / STEP;

fn dot(row: &[f64; BANDS], factors: &[f64; BANDS]) -> f64 {
    row.iter().zip(factors).map(|(w, r)| w * r).sum()
}

/// One row of the untruncated E2022 table: every 1 nm product shared among the bands around it.
fn e2022_row(power: &[f64; FINE], cmf: &[f64; FINE]) -> [f64; FULL] {
    let mut row = [0.0; FULL];
    for (i, (s, c)) in power.iter().zip(cmf).enumerate() {
        let (interval, part) = (i / STEP, i % STEP);
        if part == 0 {
            row[interval] += s * c;
            continue;
        }
        let t = TENTHS[part];
        let last = FULL - 2;
        if interval == 0 {
            share(&mut row[..3], s * c, &parabola(t));
        } else if interval == last {
            let mut mirrored = parabola(1.0 - t);
            mirrored.reverse();
            share(&mut row[FULL - 3..], s * c, &mirrored);
        } else {
            share(&mut row[interval - 1..interval + 3], s * c, &cubic(t));
        }
    }
    row
}

const TENTHS: [f64; STEP] = [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9];

fn share(bands: &mut [f64], product: f64, factors: &[f64]) {
    for (b, f) in bands.iter_mut().zip(factors) {
        *b += f * product;
    }
}

/// Lagrange factors of nodes 0, 1, 2 at `t`.
fn parabola(t: f64) -> [f64; 3] {
    [(t - 1.0) * (t - 2.0) / 2.0, t * (2.0 - t), t * (t - 1.0) / 2.0]
}

/// Lagrange factors of nodes −1, 0, 1, 2 at `t`.
pub(crate) fn cubic(t: f64) -> [f64; 4] {
    [
        -t * (t - 1.0) * (t - 2.0) / 6.0,
        (t + 1.0) * (t - 1.0) * (t - 2.0) / 2.0,
        -(t + 1.0) * t * (t - 2.0) / 2.0,
        (t + 1.0) * t * (t - 1.0) / 6.0,
    ]
}

/// Adds the weight below 400 nm to the first band and that above 700 nm to the last.
fn fold_ends(full: &[f64; FULL]) -> [f64; BANDS] {
    let mut row = [0.0; BANDS];
    for (i, w) in full.iter().enumerate() {
        row[i.saturating_sub(BELOW).min(BANDS - 1)] += w;
    }
    row
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_perfect_white_is_neutral_exactly() {
        for light in Light::ALL {
            for observer in Observer::ALL {
                let w = Weights::of(light, observer);
                let white = w.lab(&Bands::WHITE);
                assert_eq!((white.l, white.a, white.b), (100.0, 0.0, 0.0), "{light} {observer}");
                let grey = w.lab(&Bands::flat(0.18).unwrap());
                assert!(grey.a.abs() < 1e-12 && grey.b.abs() < 1e-12, "{grey:?}");
                assert!((w.white().y - 100.0).abs() < 1e-12);
            }
        }
    }

    /// CIE 15:2004 table T.3/T.9 white points as tabulated by colour-science 0.4.7
    /// (`TVS_ILLUMINANTS`); tolerance: printed precision plus the 10 nm grid, 0.03.
    #[test]
    fn white_points_are_those_cie_prints() {
        for (light, observer, x, z) in [
            (Light::D65, Observer::Two, 95.04, 108.88),
            (Light::D65, Observer::Ten, 94.81, 107.32),
            (Light::A, Observer::Two, 109.85, 35.58),
            (Light::A, Observer::Ten, 111.14, 35.20),
        ] {
            let w = Weights::of(light, observer).white();
            assert!((w.x - x).abs() < 0.03 && (w.z - z).abs() < 0.03, "{light} {observer} {w:?}");
        }
    }
}
