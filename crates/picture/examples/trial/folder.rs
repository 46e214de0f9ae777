//! A case made by somebody else: a table whose columns are known, and what else may stand in it.

use crate::tables::Table;

impl Table {
    /// The table of a case: a column that nobody reads is refused, as it may be one misspelt. `R` stands for every band.
    pub(crate) fn of_case(file: &str, known: &[&str]) -> Result<Self, String> {
        let table = Self::read(file)?;
        let is_band =
            |name: &str| name.strip_prefix('R').is_some_and(|nm| nm.parse::<u16>().is_ok());
        let odd = table.names.iter().find(|name| {
            !(known.contains(&name.as_str()) || (known.contains(&"R") && is_band(name)))
        });
        match odd {
            Some(odd) => Err(format!(
                "{file}: column {odd:?} is not known here; known are {}",
                known.join(", ")
            )),
            None if table.len() == 0 => Err(format!("{file}: no row under its names")),
            None => Ok(table),
        }
    }
}
