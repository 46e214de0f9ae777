//! Comma-separated tables, and refusals that say where in them.

use std::fs;

/// Rows of a table under their column names.
pub(crate) struct Table {
    pub(crate) file: String,
    pub(crate) names: Vec<String>,
    /// Each with its line in the file.
    rows: Vec<(usize, Vec<String>)>,
}

impl Table {
    pub(crate) fn read(file: &str) -> Result<Self, String> {
        Self::of(file, &fs::read_to_string(file).map_err(|e| format!("{file}: {e}"))?)
    }

    fn of(file: &str, text: &str) -> Result<Self, String> {
        let text = text.trim_start_matches('\u{feff}');
        let mut lines = text
            .lines()
            .enumerate()
            .filter(|(_, line)| !line.trim().is_empty() && !line.starts_with('#'));
        let cells = |line: &str| line.split(',').map(|c| c.trim().to_owned()).collect::<Vec<_>>();
        let (_, head) = lines.next().ok_or_else(|| format!("{file}: nothing in it"))?;
        let names = cells(head);
        if let Some(twice) = (1..names.len()).find(|n| names[..*n].contains(&names[*n])) {
            return Err(format!("{file}: column {:?} stands twice", names[twice]));
        }
        let rows: Vec<(usize, Vec<String>)> = lines.map(|(n, l)| (n + 1, cells(l))).collect();
        if let Some((line, row)) = rows.iter().find(|(_, row)| row.len() != names.len()) {
            return Err(format!(
                "{file}, line {line}: {} cells under {} names",
                row.len(),
                names.len()
            ));
        }
        Ok(Self { file: file.to_owned(), names, rows })
    }

    pub(crate) fn len(&self) -> usize {
        self.rows.len()
    }

    /// Where a row stands, for whoever must look there.
    pub(crate) fn at(&self, row: usize) -> String {
        format!("{}, line {}", self.file, self.rows[row].0)
    }

    pub(crate) fn text(&self, row: usize, name: &str) -> Result<&str, String> {
        let column = self
            .names
            .iter()
            .position(|n| n == name)
            .ok_or_else(|| format!("{}: no column {name}", self.file))?;
        Ok(&self.rows[row].1[column])
    }

    pub(crate) fn number(&self, row: usize, name: &str) -> Result<f64, String> {
        let text = self.text(row, name)?;
        text.parse::<f64>()
            .ok()
            .filter(|v| v.is_finite())
            .ok_or_else(|| format!("{}, {name}: {text:?} is no number", self.at(row)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bad_cell_is_named_by_its_line_in_the_file() {
        let table = Table::of("x.csv", "\u{feff}# made up\na,b\n\n1,2\n# no\n3,four\n").unwrap();
        assert_eq!(table.len(), 2);
        assert_eq!(table.number(0, "b"), Ok(2.0));
        assert_eq!(table.number(1, "b"), Err("x.csv, line 6, b: \"four\" is no number".to_owned()));
        assert_eq!(table.text(0, "c"), Err("x.csv: no column c".to_owned()));
        let refused = |text: &str| Table::of("x.csv", text).map(|_| ()).unwrap_err();
        assert_eq!(refused("a,b\n1\n"), "x.csv, line 2: 1 cells under 2 names");
        assert_eq!(refused("a,a\n1,2\n"), "x.csv: column \"a\" stands twice");
        assert_eq!(refused("# only words\n"), "x.csv: nothing in it");
    }
}
