//! The absorption of a dye on fibre: a few bands, Gaussian in wavenumber.
//!
//! A band's shape follows its energy, not its wavelength, so widths are in cm⁻¹ (common practice in
//! spectroscopy). Heights are relative to the main band; how strong a dye is stands elsewhere.

use colour::{BANDS, maths};

/// 4 ln 2: turns a full width at half height into a Gaussian.
const FOUR_LN_2: f64 = 2.772_588_722_239_781;

/// One absorption band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Peak, nm.
    pub peak_nm: f64,
    /// Full width at half height, cm⁻¹.
    pub width_cm: f64,
    /// Height relative to the main band.
    pub height: f64,
}

/// The bands of one dye, the main band first.
#[derive(Debug, Clone, PartialEq)]
pub struct Absorption(Vec<Band>);

impl Absorption {
    /// Takes bands, the main one first; none when the list is empty or a number makes no band.
    #[must_use]
    pub fn of(bands: Vec<Band>) -> Option<Self> {
        let sound = |b: &Band| {
            b.peak_nm.is_finite()
                && (200.0..=1000.0).contains(&b.peak_nm)
                && (200.0..=20_000.0).contains(&b.width_cm)
                && (0.0..=5.0).contains(&b.height)
        };
        (!bands.is_empty() && bands.iter().all(sound)).then_some(Self(bands))
    }

    /// The bands, the main one first.
    #[must_use]
    pub fn bands(&self) -> &[Band] {
        &self.0
    }

    /// Relative absorption on the model grid; 1 is the height of the main band alone.
    #[must_use]
    pub fn shape(&self) -> [f64; BANDS] {
        std::array::from_fn(|i| {
            #[expect(clippy::cast_precision_loss, reason = "wavelengths below 1000")]
            let wavenumber = 1e7 / colour::Bands::wavelength(i) as f64;
            self.0.iter().map(|b| b.at(wavenumber)).sum()
        })
    }
}

impl Band {
    fn at(&self, wavenumber: f64) -> f64 {
        let away = (wavenumber - 1e7 / self.peak_nm) / self.width_cm;
        self.height * maths::exp(-FOUR_LN_2 * away * away)
    }
}
