//! Light a cloth adds of its own: an optical brightener takes ultraviolet and violet light and gives
//! it back blue, so that the same white looks bluer in daylight than under a lamp without
//! ultraviolet.
//!
//! What is taken and given are two bands, Gaussian in wavenumber. The light given is proportional to
//! the quanta taken from the lamp (one quantum gives at most one: Stokes), and is added to the light
//! reflected before XYZ is formed. Strength is stated as what daylight (D65) shows: the rise of the
//! total radiance factor at the peak. The tables begin at 360 nm; where CIE tabulates a lamp from
//! 380 nm only, its first value is held below, so that the mercury line at 365 nm is missing and
//! tubes may excite a little more than is told here. Left out: what a dye does to it (`dyeing`).
//!
//! Sources: the definition of the total radiance factor, CIE 015:2018; brighteners take most from
//! 340 to 380 nm and give at 425 to 450 nm (*Materials* 14 (2021) 4995, introduction, read as an
//! excerpt).

use crate::{
    BANDS, Bands, Light, Observer, Xyz, maths,
    tables::{FINE, FIRST, tables},
};

/// One band of a glow, Gaussian in wavenumber, height 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlowBand {
    /// Peak, nm.
    pub peak_nm: f64,
    /// Full width at half height, cm⁻¹.
    pub width_cm: f64,
}

/// What a brightener takes and gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glow {
    /// Light taken, by quanta.
    pub takes: GlowBand,
    /// Light given, by power.
    pub gives: GlowBand,
}

/// 4 ln 2: turns a full width at half height into a Gaussian.
const FOUR_LN_2: f64 = 2.772_588_722_239_781;

impl GlowBand {
    fn at(self, nm: f64) -> f64 {
        let away = (1e7 / nm - 1e7 / self.peak_nm) / self.width_cm;
        maths::exp(-FOUR_LN_2 * away * away)
    }
}

impl Glow {
    /// XYZ the glow adds under a light when daylight would show `strength` at its peak, on the scale
    /// on which the perfect white has Y = 100. `escapes` is the share that leaves the cloth, band by
    /// band (1 = all); below 400 nm its first value counts.
    #[must_use]
    pub fn xyz(
        &self,
        strength: f64,
        light: Light,
        observer: Observer,
        escapes: &[f64; BANDS],
    ) -> Xyz {
        let t = tables();
        let power = t.light_by_one(light);
        let cmf = t.cmf(observer);
        let luminous: f64 = power.iter().zip(&cmf[1]).map(|(s, y)| s * y).sum();
        let height = strength * self.excited(light);
        let mut sums = [0.0; 3];
        for i in 0..FINE {
            let given = height * self.gives.at(nm(i)) * between(escapes, i);
            for (sum, row) in sums.iter_mut().zip(cmf) {
                *sum += given * row[i];
            }
        }
        let [x, y, z] = sums.map(|sum| 100.0 * sum / luminous);
        Xyz { x, y, z }
    }

    /// Rise of the total radiance factor on the model grid under daylight (D65), for a strength of 1:
    /// what a reading by an instrument with a daylight lamp holds besides reflectance.
    #[must_use]
    pub fn in_daylight(&self) -> [f64; BANDS] {
        let power = tables().light_by_one(Light::D65);
        let height = self.excited(Light::D65);
        std::array::from_fn(|i| {
            let at = Bands::wavelength(i) - FIRST;
            height * self.gives.at(nm(at)) / power[at]
        })
    }

    /// Power given at the peak, in the units of the light's own table, for a strength of 1.
    fn excited(&self, light: Light) -> f64 {
        let t = tables();
        let quanta = |light| -> f64 {
            let power = t.light_by_one(light);
            (0..FINE).map(|i| self.takes.at(nm(i)) * power[i] * nm(i)).sum()
        };
        let daylight = t.light_by_one(Light::D65);
        // The D65 table at the peak turns a radiance factor into power.
        let peak = (0..FINE)
            .min_by(|a, b| {
                let away = |i: usize| (nm(i) - self.gives.peak_nm).abs();
                away(*a).total_cmp(&away(*b))
            })
            .map_or(0.0, |i| daylight[i]);
        peak * quanta(light) / quanta(Light::D65)
    }
}

/// The wavelength of a 1 nm row.
fn nm(row: usize) -> f64 {
    f64::from(u16::try_from(FIRST + row).unwrap_or(u16::MAX))
}

/// Band values at a 1 nm row, linear between bands, held beyond both ends.
fn between(bands: &[f64; BANDS], row: usize) -> f64 {
    let at = ((nm(row) - 400.0) / 10.0).clamp(0.0, 30.0);
    let mut left = 0;
    while left + 2 < BANDS && at >= nm(left + 1) - nm(0) {
        left += 1;
    }
    let part = at - (nm(left) - nm(0));
    bands[left] + part * (bands[left + 1] - bands[left])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Weights;

    const STILBENE: Glow = Glow {
        takes: GlowBand { peak_nm: 360.0, width_cm: 4000.0 },
        gives: GlowBand { peak_nm: 440.0, width_cm: 3000.0 },
    };

    fn added(light: Light) -> Xyz {
        STILBENE.xyz(0.3, light, Observer::Ten, &[1.0; BANDS])
    }

    #[test]
    fn daylight_shows_the_stated_strength_at_the_peak_and_the_two_forms_agree() {
        let factors = STILBENE.in_daylight();
        assert!((factors[4] - 1.0).abs() < 1e-12, "{factors:?}");
        let by_weights = Weights::reference().xyz_of(&factors.map(|f| 0.3 * f));
        let direct = added(Light::D65);
        for (a, b) in [(by_weights.x, direct.x), (by_weights.y, direct.y), (by_weights.z, direct.z)]
        {
            assert!((a - b).abs() < 0.02 * b, "{by_weights:?} {direct:?}");
        }
    }

    #[test]
    fn lights_without_ultraviolet_show_next_to_nothing() {
        let day = added(Light::D65).z;
        for led in [Light::LedB1, Light::LedB3, Light::LedB4, Light::LedB5, Light::LedRgb1] {
            assert!(added(led).z < 0.05 * day, "{led}: {:?} of {day}", added(led));
        }
        // Tungsten has some, compared with its own blue; violet-pumped LEDs are made to show it.
        assert!(added(Light::A).z < 0.5 * day && added(Light::A).z > 0.02 * day);
        assert!(added(Light::LedV2).z > 3.0 * added(Light::LedB3).z);
        // More ultraviolet, more glow: the order of the daylights.
        assert!(added(Light::D50).z < added(Light::D55).z && added(Light::D55).z < day);
        assert!(day < added(Light::D75).z);
    }

    #[test]
    fn what_does_not_escape_is_not_seen() {
        let half = STILBENE.xyz(0.3, Light::D65, Observer::Two, &[0.5; BANDS]);
        let all = STILBENE.xyz(0.3, Light::D65, Observer::Two, &[1.0; BANDS]);
        assert!((half.z * 2.0 - all.z).abs() < 1e-9 && (half.y * 2.0 - all.y).abs() < 1e-9);
        let none = STILBENE.xyz(0.3, Light::D65, Observer::Two, &[0.0; BANDS]);
        assert!(none.x.abs() + none.y.abs() + none.z.abs() < 1e-12);
        let ramp: [f64; BANDS] = std::array::from_fn(|i| nm(i) - nm(0));
        assert!((between(&ramp, 45) - 0.5).abs() < 1e-12 && between(&ramp, 0).abs() < 1e-12);
        assert!((between(&ramp, 345) - 30.0).abs() < 1e-12);
    }
}
