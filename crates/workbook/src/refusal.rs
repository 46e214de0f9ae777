//! What the workbook refuses, in words: the culprit, the rule, what to do.
//!
//! Left out: speech of the doors. A number that cannot be a quantity or a colour is refused by the
//! rooms `units` and `colour`, whose words are passed on.

use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;

use crate::Entry;

/// Why the workbook did not do it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the fields are named in the sentence above them")]
pub enum Refusal {
    /// No file there.
    #[error("there is no workbook at '{}': name another file, or begin a new workbook there", .path.display())]
    NotThere { path: PathBuf },
    /// No folder there.
    #[error("there is no such folder as that of '{}': make it, or name another", .path.display())]
    NoFolder { path: PathBuf },
    /// A file is there where a new one was to be made.
    #[error("'{}' is there already, and a workbook never writes over a file: choose another name", .path.display())]
    Exists { path: PathBuf },
    /// Another kind of file.
    #[error("'{}' is not a workbook ({found}): name a file that was begun as a workbook", .path.display())]
    Foreign { path: PathBuf, found: String },
    /// Made by a later version of the program.
    #[error(
        "'{}' was written by a newer version of the program (its form is {found}, this one \
         knows up to {known}): use the newer program; nothing was changed", .path.display()
    )]
    Newer { path: PathBuf, found: i64, known: i64 },
    /// Somebody else holds the lock.
    #[error("the workbook is being written by another program: close it there, or try again")]
    Locked,
    /// The file may be read only.
    #[error(
        "the workbook may only be read: give yourself the right to write the file and its folder, \
         or copy it elsewhere"
    )]
    ReadOnly,
    /// A write that was interrupted has not been taken back yet, and to do so the file must be written.
    #[error(
        "a write of the workbook was interrupted, and must be taken back before it is read: give yourself the right to \
         write the file and its folder, or copy it with its -journal file elsewhere"
    )]
    Interrupted,
    /// The disk is full.
    #[error("the disk is full: make room and record it again; nothing was lost")]
    DiskFull,
    /// The file holds what no workbook holds.
    #[error("the workbook is damaged ({what}): keep the file and go back to an export or a copy")]
    Damaged { what: String },
    /// The system refused.
    #[error("'{}' cannot be used ({why}): check the name, the folder and your rights", .path.display())]
    System { path: PathBuf, why: String },
    /// The library refused in a way no other case names.
    #[error("the workbook could not do it ({why}): check the file with the workbook's own check")]
    Sqlite { why: String },
    /// No such record.
    #[error("there is no {what} {given} in the workbook: list what there is and name one of it")]
    Unknown { what: &'static str, given: String },
    /// A name that is in use.
    #[error(
        "the {what} '{given}' is in the workbook already (entry {entry}): choose another name, or use that one"
    )]
    Taken { what: &'static str, given: String, entry: Entry },
    /// A word that is none of a list.
    #[error("'{given}' is no {what}: write one of {known}")]
    UnknownWord { what: &'static str, given: String, known: String },
    /// A text that cannot be kept.
    #[error("{what} cannot be '{given}': {rule}")]
    Text { what: &'static str, given: String, rule: String },
    /// Parts of one record that do not go together.
    #[error("{what}: {rule}")]
    Unfit { what: String, rule: String },
    /// Something rests on the record.
    #[error("entry {entry} cannot be undone while {} on it: undo {} first", rest(.by), them(.by))]
    RestedOn { entry: Entry, by: Vec<Entry> },
    /// It rests on a record that is undone.
    #[error(
        "entry {on} is undone and nothing new can rest on it: restore it first (undo its undoing), or name another"
    )]
    RestsOnUndone { on: Entry },
    /// Nothing to undo.
    #[error("entry {entry} is undone already: to restore it, undo entry {by}")]
    AlreadyUndone { entry: Entry, by: Entry },
    /// A later undoing stands.
    #[error(
        "entry {entry} is no longer the last word about entry {about}: undo entry {by} instead"
    )]
    NotTheLast { entry: Entry, about: Entry, by: Entry },
    /// A quantity that is none.
    #[error(transparent)]
    Quantity(#[from] units::NotAQuantity),
    /// A day that is none.
    #[error(transparent)]
    Day(#[from] units::NotADay),
    /// A colour that is none.
    #[error(transparent)]
    Colour(#[from] colour::Refusal),
    /// An archive that cannot be taken in.
    #[error(
        "the archive cannot be taken in ({what}): export it again where it came from; nothing was made here"
    )]
    Archive { what: String },
}

fn rest(by: &[Entry]) -> String {
    let verb = if by.len() == 1 { "rests" } else { "rest" };
    format!("{} {} {verb}", if by.len() == 1 { "entry" } else { "entries" }, listed(by))
}

fn them(by: &[Entry]) -> &'static str {
    if by.len() == 1 { "it" } else { "them" }
}

/// Up to six of them, and how many more.
fn listed(by: &[Entry]) -> String {
    let shown: Vec<String> = by.iter().take(6).map(ToString::to_string).collect();
    let more = by.len().saturating_sub(6);
    if more == 0 { shown.join(", ") } else { format!("{} and {more} more", shown.join(", ")) }
}

impl Refusal {
    pub(crate) fn damaged(what: impl Into<String>) -> Self {
        Self::Damaged { what: what.into() }
    }

    pub(crate) fn archive(what: impl Into<String>) -> Self {
        Self::Archive { what: what.into() }
    }

    pub(crate) fn unfit(what: impl Into<String>, rule: impl Into<String>) -> Self {
        Self::Unfit { what: what.into(), rule: rule.into() }
    }

    pub(crate) fn system(path: &Path, why: &std::io::Error) -> Self {
        use std::io::ErrorKind;
        match why.kind() {
            ErrorKind::NotFound => Self::NotThere { path: path.to_owned() },
            ErrorKind::AlreadyExists => Self::Exists { path: path.to_owned() },
            ErrorKind::StorageFull => Self::DiskFull,
            _ => Self::System { path: path.to_owned(), why: why.to_string() },
        }
    }

    /// The words for what happened while a file was being opened.
    pub(crate) fn at(self, path: &Path) -> Self {
        match self {
            Self::Sqlite { why } => Self::System { path: path.to_owned(), why },
            other => other,
        }
    }
}

impl From<rusqlite::Error> for Refusal {
    fn from(error: rusqlite::Error) -> Self {
        let why = error.to_string();
        // SQLITE_READONLY_ROLLBACK: a hot journal that may not be played back.
        if error.sqlite_error().is_some_and(|e| e.extended_code == 776) {
            return Self::Interrupted;
        }
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Locked,
            Some(ErrorCode::ReadOnly) => Self::ReadOnly,
            Some(ErrorCode::DiskFull) => Self::DiskFull,
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
                Self::Damaged { what: why }
            }
            _ => match error {
                // A column of a type the table's own rules forbid.
                rusqlite::Error::FromSqlConversionFailure(..)
                | rusqlite::Error::InvalidColumnType(..)
                | rusqlite::Error::IntegralValueOutOfRange(..) => Self::Damaged { what: why },
                _ => Self::Sqlite { why },
            },
        }
    }
}
