//! What a workbook remembers, for a plan: read and never written.
//!
//! A workbook that was named must be there and readable. One that only lies beside the costume file is
//! used where it can be, and where it cannot the plan goes on and says so.

use std::path::{Path, PathBuf};

use workbook::{Book, Evidence};

use crate::Trouble;
use crate::books::{WORKBOOK, trouble};

/// What there is to learn from.
#[derive(Debug, Clone, Default)]
pub(crate) struct Remembered {
    /// The workbook that was read.
    pub(crate) book: Option<PathBuf>,
    /// Its swatches that stand, with dyes, lots and readings.
    pub(crate) evidence: Vec<Evidence>,
    /// Why one beside the file was not used.
    pub(crate) passed_over: Option<String>,
}

impl Remembered {
    /// From the workbook named, else from one beside the costume file, else nothing.
    pub(crate) fn of(file: &Path, named: Option<&Path>) -> Result<Self, Trouble> {
        let read = |path: &Path| -> Result<Self, Trouble> {
            let evidence = Book::open_to_read(path)
                .and_then(|book| book.evidence())
                .map_err(|e| trouble(&e, path))?;
            Ok(Self { book: Some(path.to_path_buf()), evidence, passed_over: None })
        };
        if let Some(path) = named {
            return read(path);
        }
        let beside = file.with_file_name(WORKBOOK);
        if beside.symlink_metadata().is_err() {
            return Ok(Self::default());
        }
        Ok(read(&beside).unwrap_or_else(|why| {
            let said = format!("{} was not used: {why}.", beside.display());
            Self { passed_over: Some(said), ..Self::default() }
        }))
    }

    /// What has to be said of it.
    pub(crate) fn notes(&self) -> Vec<String> {
        let mut notes: Vec<String> = self.passed_over.iter().cloned().collect();
        if let Some(book) = &self.book {
            let finished = |e: &&Evidence| {
                e.readings.iter().any(|r| !r.undone && !r.it.condition.is_unfinished())
            };
            let read = self.evidence.iter().filter(finished).count();
            notes.push(format!(
                "The workbook {} was read, and is as it was: {} swatches stand in it, {read} of \
                 them read as finished cloth. The recipes of this plan do not rest on them yet.",
                book.display(),
                self.evidence.len()
            ));
        }
        notes
    }
}
