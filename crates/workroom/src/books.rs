//! Workbooks opened, and what they refuse in the house's words.

use std::path::{Path, PathBuf};

use workbook::{Book, Refusal, Stamp};

use crate::Trouble;

/// What a workbook is called where nobody says otherwise.
pub const WORKBOOK: &str = "workbook.sqlite";

/// Who records, and when: the moment in universal time, as `2027-03-20T14:05:00Z`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recording {
    /// Who.
    pub who: String,
    /// When.
    pub at: String,
}

impl Recording {
    pub(crate) fn stamp(&self) -> Result<Stamp, Trouble> {
        let at = self.at.parse().map_err(|e| trouble(&e, Path::new("")))?;
        Stamp::try_new(at, &self.who).map_err(|e| trouble(&e, Path::new("")))
    }
}

/// The workbook that is named, else the one of the usual name in the folder.
pub(crate) fn place(named: Option<&Path>) -> PathBuf {
    named.map_or_else(|| PathBuf::from(WORKBOOK), Path::to_path_buf)
}

/// Opens a workbook and never writes it.
pub(crate) fn to_read(path: &Path) -> Result<Book, Trouble> {
    Book::open_to_read(path).map_err(|e| trouble(&e, path))
}

/// A refusal of the workbook: what the maker can mend, and what the disk or the file has lost.
pub(crate) fn trouble(refusal: &Refusal, path: &Path) -> Trouble {
    let said = refusal.to_string();
    match refusal {
        Refusal::Unknown { what: "entry", .. } => {
            let says = said.rsplit_once(": ").map_or(said.as_str(), |(says, _)| says);
            Trouble::refused(says, "`dyewright book history` shows every entry by its number")
        }
        Refusal::NotThere { .. } => {
            let says = said.rsplit_once(": ").map_or(said.as_str(), |(says, _)| says);
            let hint = "begin one with `dyewright swatch record FILE`, or name another with --book";
            Trouble::refused(says, hint)
        }
        Refusal::Locked | Refusal::DiskFull | Refusal::Sqlite { .. } | Refusal::System { .. } => {
            Trouble::Broken { doing: "the workbook", path: path.to_path_buf(), why: said }
        }
        _ => match said.rsplit_once(": ") {
            Some((says, hint)) => Trouble::refused(says, hint),
            None => Trouble::refused(said, "`dyewright book --help` tells the words"),
        },
    }
}
