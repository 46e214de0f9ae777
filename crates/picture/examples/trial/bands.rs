//! Spectra out of tables.

use colour::{BANDS, Bands};

use crate::tables::Table;

impl Table {
    /// R400 to R700 by 10 nm.
    pub(crate) fn bands(&self, row: usize) -> Result<Bands, String> {
        let mut factors = [0.0; BANDS];
        for (i, factor) in factors.iter_mut().enumerate() {
            *factor = self.number(row, &format!("R{}", Bands::wavelength(i)))?;
        }
        Bands::try_new(factors).map_err(|e| format!("{}: {e}", self.at(row)))
    }
}
