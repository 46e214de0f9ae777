//! The CIE tables of `data/`, read once: colour-matching functions at 1 nm, lights at 5 nm.
//!
//! Sources and licence are in `data/*.SOURCE.txt` (CIE 018:2019, CIE 015:2018; CIE data sets). A
//! cell that cannot be read becomes NaN, which no colour would survive; a test reads every cell.

use std::sync::OnceLock;

use crate::{Light, Observer};

/// First and last wavelength the weights are built over, nm.
pub(crate) const FIRST: usize = 360;
pub(crate) const LAST: usize = 780;
/// Number of 1 nm values over that range.
pub(crate) const FINE: usize = LAST - FIRST + 1;
/// First wavelength of the 5 nm sums, nm, and their number.
pub(crate) const FIVE_FIRST: usize = 380;
pub(crate) const FIVES: usize = (LAST - FIVE_FIRST) / 5 + 1;

static CMFS: &str = include_str!("../data/cie_cmfs_1nm.csv");
static LIGHTS: &str = include_str!("../data/cie_illuminants_5nm.csv");
static LIGHTS_BELOW: &str = include_str!("../data/cie_illuminants_below_380.csv");

/// The tables in arrays: `cmfs[observer][x, y, z][nm − 360]`, `lights[light][(nm − 360) / 5]`.
pub(crate) struct Tables {
    pub(crate) cmfs: [[[f64; FINE]; 3]; 2],
    pub(crate) lights: [[f64; LIGHT_ROWS]; 19],
}

const LIGHT_ROWS: usize = (LAST - FIRST) / 5 + 1;
const BELOW: usize = (FIVE_FIRST - FIRST) / 5;

pub(crate) fn tables() -> &'static Tables {
    static TABLES: OnceLock<Tables> = OnceLock::new();
    TABLES.get_or_init(read)
}

impl Tables {
    /// The colour-matching functions of an observer, 360–780 nm by 1 nm.
    pub(crate) fn cmf(&self, observer: Observer) -> &[[f64; FINE]; 3] {
        &self.cmfs[observer as usize]
    }

    /// A light at 5 nm from 380 nm, as tabulated.
    pub(crate) fn light_by_five(&self, light: Light) -> &[f64] {
        &self.lights[light.index()][BELOW..]
    }

    /// A light interpolated linearly from 5 nm to 1 nm over 360–780 nm, as ASTM E2022 needs it.
    pub(crate) fn light_by_one(&self, light: Light) -> [f64; FINE] {
        let by_five = &self.lights[light.index()];
        let mut fine = [0.0; FINE];
        for (i, v) in fine.iter_mut().enumerate() {
            let (k, part) = (i / 5, i % 5);
            *v = by_five[k];
            if part > 0 {
                // part = 0 only at the last row, so k + 1 exists here
                let slope = (by_five[k + 1] - by_five[k]) / 5.0;
                *v += slope * small(part);
            }
        }
        fine
    }
}

fn read() -> Tables {
    let mut cmfs = [[[f64::NAN; FINE]; 3]; 2];
    for (i, row) in rows(CMFS).take(FINE).enumerate() {
        for (c, cell) in row.skip(1).take(6).enumerate() {
            cmfs[c / 3][c % 3][i] = cell;
        }
    }
    let mut lights = [[f64::NAN; LIGHT_ROWS]; 19];
    let all = rows(LIGHTS_BELOW).take(BELOW).chain(rows(LIGHTS));
    for (i, row) in all.take(LIGHT_ROWS).enumerate() {
        for (c, cell) in row.skip(1).take(19).enumerate() {
            lights[c][i] = cell;
        }
    }
    // Lights tabulated from 380 nm only: the first value is held below (as the reference does).
    for light in &mut lights {
        let first = light[BELOW];
        for v in &mut light[..BELOW] {
            if v.is_nan() {
                *v = first;
            }
        }
    }
    Tables { cmfs, lights }
}

fn rows(text: &'static str) -> impl Iterator<Item = impl Iterator<Item = f64>> {
    text.lines().skip(1).map(|line| line.split(',').map(|c| c.trim().parse().unwrap_or(f64::NAN)))
}

/// A small count as a float, without a lossy cast.
fn small(n: usize) -> f64 {
    f64::from(u16::try_from(n).unwrap_or(u16::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cell_is_read_and_the_columns_are_the_lights() {
        let t = tables();
        for row in t.cmfs.iter().flatten().flatten().chain(t.lights.iter().flatten()) {
            // two cells of the source are a rounding noise of −1e-20 where 0 is meant
            assert!(row.is_finite() && *row >= -1e-19);
        }
        let names: Vec<&str> = Light::ALL.iter().map(|l| l.name()).collect();
        for text in [LIGHTS, LIGHTS_BELOW] {
            let header: Vec<&str> = text.lines().next().unwrap().split(',').skip(1).collect();
            assert_eq!(header, names);
        }
        assert_eq!(LIGHTS.lines().count(), FIVES + 1);
        for (i, line) in CMFS.lines().skip(1).enumerate() {
            assert_eq!(line.split(',').count(), 7);
            assert!(line.starts_with(&format!("{},", FIRST + i)));
        }
        for (i, line) in LIGHTS.lines().skip(1).enumerate() {
            assert!(line.starts_with(&format!("{},", FIVE_FIRST + 5 * i)));
        }
        // Two values known by heart to everyone in the trade: D65 and A are 100 at 560 nm.
        for light in [Light::A, Light::D65] {
            assert_eq!(t.light_by_one(light)[560 - FIRST], 100.0);
        }
        assert_eq!(t.light_by_five(Light::D65)[0], 49.9755);
    }
}
