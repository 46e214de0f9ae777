//! What it takes to open the workroom: the words of the command line, for the door in the browser.

use std::path::PathBuf;

use units::Day;

/// How the workroom is to be opened.
#[derive(Debug, Clone)]
pub(crate) struct Opening {
    /// A costume file, or a folder of them.
    pub(crate) place: PathBuf,
    /// The port on loopback; 0: any that is free.
    pub(crate) port: u16,
    /// Whether the browser is started.
    pub(crate) browser: bool,
    /// A workbook; none: the one beside each costume file.
    pub(crate) book: Option<PathBuf>,
    /// A day to plan on instead of today.
    pub(crate) today: Option<Day>,
}
