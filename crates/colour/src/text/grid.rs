//! From wavelength columns and cells to one spectrum on an even grid.

use crate::{Refusal, Spectrum};

/// What the values of a set are out of: 1 for factors, 100 for percent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale(pub(super) f64);

impl Scale {
    pub(super) const FACTOR: Self = Self(1.0);
    pub(super) const PERCENT: Self = Self(100.0);

    /// Where nothing is said: percent when any value *of the whole set* exceeds 2, which no factor
    /// does; one dark cloth alone would not tell.
    pub(super) fn guessed<'a>(mut values: impl Iterator<Item = &'a f64>) -> Self {
        if values.any(|v| *v > 2.0) { Self::PERCENT } else { Self::FACTOR }
    }
}

/// The wavelength a column name carries: "400", "R400", "`NM_400`", "`SPECTRAL_NM400`", "400nm".
pub(super) fn wavelength(column: &str) -> Option<f64> {
    let upper = column.trim().to_ascii_uppercase();
    let bare = ["SPECTRAL_NM", "SPECTRAL", "SPEC", "NM", "R"]
        .iter()
        .find_map(|prefix| upper.strip_prefix(prefix))
        .unwrap_or(&upper);
    let bare = bare.trim_start_matches(['_', ' ', '(', '[']).trim_end_matches([')', ']']);
    let bare = bare.strip_suffix("NM").unwrap_or(bare).trim();
    if !bare.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let nm: f64 = bare.parse().ok()?;
    (200.0..=2500.0).contains(&nm).then_some(nm)
}

/// A spectrum from wavelengths and values in the same order.
pub(super) fn spectrum(
    wavelengths: &[f64],
    values: &[f64],
    scale: Scale,
) -> Result<Spectrum, Refusal> {
    let start = wavelengths.first().copied().unwrap_or(f64::NAN);
    let span = wavelengths.last().copied().unwrap_or(f64::NAN) - start;
    let gaps = u16::try_from(wavelengths.len().saturating_sub(1)).unwrap_or(u16::MAX);
    let step = if gaps == 0 { f64::NAN } else { span / f64::from(gaps) };
    let uneven = wavelengths.windows(2).any(|pair| (pair[1] - pair[0] - step).abs() > 0.01);
    if uneven {
        return Err(Refusal::Grid {
            start,
            step,
            count: values.len(),
            rule: "wavelengths must rise in even steps; export on an even grid such as 400 to \
                   700 nm by 10"
                .to_owned(),
        });
    }
    let factors = values.iter().map(|v| v / scale.0).collect();
    Spectrum::try_new(start, step, factors)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn column_names_that_carry_a_wavelength() {
        for name in [
            "400",
            "R400",
            "NM_400",
            "nm400",
            "400nm",
            "400 nm",
            "SPECTRAL_NM400",
            "SPEC_400",
            "SPECTRAL_NM_400",
            "SPECTRAL_400",
            "R(400)",
        ] {
            assert_eq!(wavelength(name), Some(400.0), "{name}");
        }
        for name in ["LAB_L", "SAMPLE_ID", "R", "RGB_R", "12", "", "NM", "400x", "MEAN400"] {
            assert_eq!(wavelength(name), None, "{name}");
        }
    }
}
