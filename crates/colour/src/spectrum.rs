//! A reflectance spectrum on its own grid, as an instrument or a file gave it.
//!
//! A reading keeps its grid. It is *seen* (XYZ, Lab) by interpolating it to 1 nm with four-point
//! Lagrange polynomials, as ASTM E2022 assumes, its ends held beyond its range; at 5 nm over 380–780
//! exactly, plain 5 nm sums are used, and on the model grid its weights. It is brought to the model grid by the same interpolation,
//! kept between the lowest and highest of the four readings around; at a wavelength that was read,
//! the reading itself stands. No bandpass correction is made.

use crate::{
    BANDS, Bands, Lab, Light, Observer, Refusal, Weights, Xyz,
    five::{FIVE_NM_VALUES, xyz_by_5nm_sums},
    tables::{FINE, FIRST, tables},
    weights::cubic,
};

/// Reflectance factors from `start` nm by `step` nm.
#[derive(Debug, Clone, PartialEq)]
pub struct Spectrum {
    start: f64,
    step: f64,
    values: Vec<f64>,
}

/// The widest step that still carries a dyed cloth's bands, nm (common practice: E308 tables stop
/// at 20 nm).
const COARSEST: f64 = 20.0;
/// The finest step admitted, nm; the model has no use for finer.
const FINEST: f64 = 0.5;
/// The most values admitted.
const MOST: usize = 2_000;

impl Spectrum {
    /// A spectrum on an even grid. Refuses steps below 0.5 or above 20 nm, fewer than four values,
    /// a range that does not cover 400–700 nm, and factors that are not finite or outside 0–1.5.
    pub fn try_new(start: f64, step: f64, values: Vec<f64>) -> Result<Self, Refusal> {
        let grid =
            |rule: &str| Refusal::Grid { start, step, count: values.len(), rule: rule.to_owned() };
        if !start.is_finite() || !step.is_finite() || !(200.0..=2500.0).contains(&start) {
            return Err(grid("wavelengths must be finite numbers of nanometres, from 200 up"));
        }
        if step < FINEST {
            return Err(grid("the step must be at least 0.5 nm and wavelengths must rise"));
        }
        if step > COARSEST {
            return Err(grid(
                "too coarse: a dyed cloth needs a reading at least every 20 nm (10 is usual)",
            ));
        }
        if values.len() > MOST {
            return Err(grid("too many values: 2000 is the most; export at 1, 5 or 10 nm"));
        }
        let last = start + step * count(values.len().saturating_sub(1));
        if values.len() < 4 || start > 400.0 + 1e-6 || last < 700.0 - 1e-6 {
            return Err(grid("too short: it must reach from 400 nm or below to 700 nm or above"));
        }
        for (i, &r) in values.iter().enumerate() {
            let what = || format!("the reflectance at {} nm", start + step * count(i));
            if !r.is_finite() {
                return Err(Refusal::NotFinite { what: what(), given: r });
            }
            if !(0.0..=Bands::CEILING).contains(&r) {
                return Err(Refusal::OutOfRange {
                    what: what(),
                    given: r,
                    rule: "it must lie between 0 and 1.5 (1 is a perfect white)".to_owned(),
                });
            }
        }
        Ok(Self { start, step, values })
    }

    /// First wavelength, nm.
    #[must_use]
    pub const fn start(&self) -> f64 {
        self.start
    }

    /// Step, nm.
    #[must_use]
    pub const fn step(&self) -> f64 {
        self.step
    }

    /// The factors as given.
    #[must_use]
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// The spectrum on the model grid; refused where a factor is 0, which no cloth has.
    pub fn try_to_bands(&self) -> Result<Bands, Refusal> {
        let factors: [f64; BANDS] = std::array::from_fn(|i| self.at(count(Bands::wavelength(i))));
        Bands::try_new(factors)
    }

    /// XYZ from its own grid.
    #[must_use]
    pub fn xyz(&self, light: Light, observer: Observer) -> Xyz {
        if let Some(fives) = self.as_fives() {
            return xyz_by_5nm_sums(fives, light, observer);
        }
        if let Some(tens) = self.as_bands() {
            return Weights::of(light, observer).xyz_of(tens);
        }
        self.by_1nm(light, observer).0
    }

    /// Lab from its own grid.
    #[must_use]
    pub fn lab(&self, light: Light, observer: Observer) -> Lab {
        if let Some(fives) = self.as_fives() {
            return crate::five::lab_by_5nm_sums(fives, light, observer);
        }
        if let Some(tens) = self.as_bands() {
            return Weights::of(light, observer).lab_of(tens);
        }
        let (xyz, white) = self.by_1nm(light, observer);
        xyz.to_lab(white)
    }

    fn as_fives(&self) -> Option<&[f64; FIVE_NM_VALUES]> {
        let same = self.start == 380.0 && self.step == 5.0;
        if same { self.values.as_slice().try_into().ok() } else { None }
    }

    fn as_bands(&self) -> Option<&[f64; BANDS]> {
        let same = self.start == 400.0 && self.step == 10.0;
        if same { self.values.as_slice().try_into().ok() } else { None }
    }

    /// XYZ and white by sums at 1 nm over 360–780 nm.
    fn by_1nm(&self, light: Light, observer: Observer) -> (Xyz, Xyz) {
        let t = tables();
        let power: [f64; FINE] = t.light_by_one(light);
        let (mut sums, mut white) = ([0.0; 3], [0.0; 3]);
        for (i, s) in power.iter().enumerate() {
            let r = self.at(count(FIRST + i));
            for (k, cmf) in t.cmf(observer).iter().enumerate() {
                sums[k] += s * cmf[i] * r;
                white[k] += s * cmf[i];
            }
        }
        let scale = 100.0 / white[1];
        let [x, y, z] = sums.map(|v| v * scale);
        let [wx, wy, wz] = white.map(|v| v * scale);
        (Xyz { x, y, z }, Xyz { x: wx, y: wy, z: wz })
    }

    /// The factor at a wavelength: read, interpolated, or held at the ends.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "place is between 0 and the number of values there"
    )]
    fn at(&self, nm: f64) -> f64 {
        let last = self.values.len() - 1;
        let place = (nm - self.start) / self.step;
        let whole = place.round();
        if (place - whole).abs() < 1e-6 && whole >= 0.0 && whole <= count(last) {
            return self.values[whole as usize];
        }
        if place <= 0.0 {
            return self.values[0];
        }
        if place >= count(last) {
            return self.values[last];
        }
        // the four readings around, at the ends the four nearest
        let first = (place.floor() as usize).saturating_sub(1).min(last - 3);
        let four = &self.values[first..first + 4];
        let factors = cubic(place - count(first + 1));
        let value: f64 = four.iter().zip(factors).map(|(v, f)| v * f).sum();
        let low = four.iter().copied().fold(f64::INFINITY, f64::min);
        let high = four.iter().copied().fold(0.0, f64::max);
        value.clamp(low, high)
    }
}

/// A count as a float, without a lossy cast.
fn count(n: usize) -> f64 {
    f64::from(u16::try_from(n).unwrap_or(u16::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ciede2000;

    /// A parabola in wavelength, kept by four-point Lagrange interpolation exactly.
    fn parabola(nm: f64) -> f64 {
        0.2 + 0.5 * ((nm - 550.0) / 200.0).powi(2)
    }

    #[test]
    fn resampling_keeps_a_smooth_curve_and_what_was_read() {
        for (start, step, n) in [(380.0, 20.0, 19), (390.0, 2.0, 171), (360.0, 7.0, 55)] {
            let values = (0..n).map(|i| parabola(start + step * f64::from(i))).collect();
            let bands = Spectrum::try_new(start, step, values).unwrap().try_to_bands().unwrap();
            for (i, r) in bands.values().iter().enumerate() {
                let want = parabola(count(Bands::wavelength(i)));
                // at 20 nm the clamp may touch the very bottom of the curve
                assert!((r - want).abs() < 2e-3, "{step} nm, band {i}: {r} instead of {want}");
            }
        }
        let read: Vec<f64> = (0..31).map(|i| 0.1 + 0.02 * f64::from(i)).collect();
        let kept = Spectrum::try_new(400.0, 10.0, read.clone()).unwrap().try_to_bands().unwrap();
        assert_eq!(kept.values().as_slice(), read.as_slice());
    }

    /// The golden table's own note: from 10 nm data ΔE00 ≤ 0.3. With the readings' full range
    /// (380–780 nm) every sample keeps it, under every light and observer of the table.
    #[test]
    fn ten_nanometre_readings_are_seen_as_the_golden_table_has_them() {
        let table = include_str!("../tests/fixtures/cie224_textile21_5nm.csv");
        let mut worst: f64 = 0.0;
        for line in table.lines().skip(1) {
            let v: Vec<f64> = line.split(',').skip(2).map(|c| c.parse().unwrap()).collect();
            let tens: Vec<f64> = v.iter().step_by(2).copied().collect();
            let fives = Spectrum::try_new(380.0, 5.0, v).unwrap();
            let tens = Spectrum::try_new(380.0, 10.0, tens).unwrap();
            for light in [Light::D65, Light::A, Light::Fl11, Light::LedB3, Light::D50] {
                for observer in Observer::ALL {
                    let d = ciede2000(tens.lab(light, observer), fives.lab(light, observer));
                    worst = worst.max(d);
                }
            }
        }
        println!("worst dE00 of 10 nm readings against golden 5 nm sums: {worst:.3}");
        assert!(worst <= 0.3, "{worst}");
    }

    #[test]
    fn grids_that_cannot_carry_the_model_are_refused() {
        let check = |start: f64, step: f64, n: usize, word: &str| {
            let speech = Spectrum::try_new(start, step, vec![0.5; n]).unwrap_err().to_string();
            assert!(speech.contains(word), "{speech}");
        };
        check(400.0, 25.0, 13, "too coarse");
        check(420.0, 10.0, 29, "too short");
        check(400.0, 10.0, 30, "too short");
        check(400.0, 10.0, 0, "too short");
        check(400.0, -10.0, 31, "must rise");
        check(f64::NAN, 10.0, 31, "finite");
        check(400.0, 0.5, 3000, "too many");
        let mut values = vec![0.5; 31];
        values[4] = 12.0;
        let speech = Spectrum::try_new(400.0, 10.0, values).unwrap_err().to_string();
        assert!(speech.contains("440 nm is 12"), "{speech}");
        let zero = Spectrum::try_new(400.0, 10.0, vec![0.0; 31]).unwrap();
        assert!(zero.try_to_bands().is_err());
    }
}
