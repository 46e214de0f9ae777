//! Cameras and cloths out of tables.

use std::collections::BTreeMap;

use colour::{BANDS, Bands};

use crate::tables::Table;

/// Every row of a file as a spectrum.
pub(crate) fn spectra(file: &str) -> Result<Vec<Bands>, String> {
    let table = Table::read(file)?;
    (0..table.len()).map(|row| table.bands(row)).collect()
}

/// Sensitivities by camera, from columns camera, nm, r, g, b (400 to 700 nm by 10 nm).
pub(crate) fn cameras(file: &str) -> Result<BTreeMap<String, [[f64; BANDS]; 3]>, String> {
    let table = Table::read(file)?;
    let mut all: BTreeMap<String, ([[f64; BANDS]; 3], usize)> = BTreeMap::new();
    for row in 0..table.len() {
        let nm = table.number(row, "nm")?;
        let Some(band) = (0..BANDS).find(|i| {
            u16::try_from(Bands::wavelength(*i)).is_ok_and(|w| (f64::from(w) - nm).abs() < 0.5)
        }) else {
            continue;
        };
        let camera = all.entry(table.text(row, "camera")?.to_owned()).or_default();
        for (c, name) in ["r", "g", "b"].into_iter().enumerate() {
            camera.0[c][band] = table.number(row, name)?.max(0.0);
        }
        camera.1 += 1;
    }
    all.into_iter()
        .map(|(name, (rows, count))| {
            if count == BANDS {
                Ok((name, rows))
            } else {
                Err(format!("{file}: {name} has {count} of the {BANDS} wavelengths 400 to 700 nm"))
            }
        })
        .collect()
}
