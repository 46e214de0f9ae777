//! Columns that may be left out.

use crate::tables::Table;

impl Table {
    pub(crate) fn has(&self, name: &str) -> bool {
        self.names.iter().any(|n| n == name)
    }
}
