//! A data file that cannot be read, in words: which file and what is wrong.

use units::NotAQuantity;

/// One fault in a data text.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file}: {what}")]
pub struct DataFault {
    /// The data file, like `matrix.toml`.
    pub file: &'static str,
    /// What is wrong there.
    pub what: String,
}

/// Reads one data text into its private twin type.
pub(crate) fn read<T: serde::de::DeserializeOwned>(
    file: &'static str,
    text: &str,
) -> Result<T, DataFault> {
    toml::from_str(text).map_err(|e| DataFault { file, what: e.to_string() })
}

/// A quantity of a row, or the fault that names the row.
pub(crate) fn held<T>(
    file: &'static str,
    row: &str,
    quantity: Result<T, NotAQuantity>,
) -> Result<T, DataFault> {
    quantity.map_err(|e| DataFault { file, what: format!("'{row}': {e}") })
}
