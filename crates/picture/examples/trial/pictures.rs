//! Pictures beside a table.

use std::{fs, path::Path};

use picture::Picture;

use crate::tables::Table;

impl Table {
    /// The picture that a cell names, in the folder of its table.
    pub(crate) fn picture(&self, row: usize, column: &str) -> Result<Picture, String> {
        let at = |why: &str| format!("{}, {column}: {why}", self.at(row));
        let name = self.text(row, column)?;
        if name.is_empty() || name.contains(['/', '\\']) {
            return Err(at("give the name of a file in the folder of this table"));
        }
        let path = Path::new(&self.file).with_file_name(name);
        let bytes = fs::read(&path).map_err(|e| at(&format!("{name}: {e}")))?;
        Picture::try_read(&bytes).map_err(|e| at(&format!("{name}: {e}")))
    }
}
