//! Comma-separated tables.

use std::fs;

/// Rows of a table under their column names.
pub(crate) struct Table {
    pub(crate) file: String,
    names: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    pub(crate) fn read(file: &str) -> Result<Self, String> {
        let text = fs::read_to_string(file).map_err(|e| format!("{file}: {e}"))?;
        let mut lines =
            text.lines().filter(|line| !line.trim().is_empty() && !line.starts_with('#'));
        let cells = |line: &str| line.split(',').map(|c| c.trim().to_owned()).collect::<Vec<_>>();
        let names = cells(lines.next().ok_or_else(|| format!("{file}: nothing in it"))?);
        let rows: Vec<Vec<String>> = lines.map(cells).collect();
        for (n, row) in rows.iter().enumerate() {
            if row.len() != names.len() {
                return Err(format!(
                    "{file}, row {}: {} cells under {} names",
                    n + 1,
                    row.len(),
                    names.len()
                ));
            }
        }
        Ok(Self { file: file.to_owned(), names, rows })
    }

    pub(crate) fn len(&self) -> usize {
        self.rows.len()
    }

    pub(crate) fn text(&self, row: usize, name: &str) -> Result<&str, String> {
        let column = self
            .names
            .iter()
            .position(|n| n == name)
            .ok_or_else(|| format!("{}: no column {name}", self.file))?;
        Ok(&self.rows[row][column])
    }

    pub(crate) fn number(&self, row: usize, name: &str) -> Result<f64, String> {
        let text = self.text(row, name)?;
        text.parse::<f64>()
            .ok()
            .filter(|v| v.is_finite())
            .ok_or_else(|| format!("{}, row {}, {name}: {text:?} is no number", self.file, row + 1))
    }
}
