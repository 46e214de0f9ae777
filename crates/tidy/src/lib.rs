//! House rules as ordinary tests: who may use whom, which sources are named and known, what no file
//! may hold, what a pure room may not touch. The tests are in `tests/house.rs`.
//!
//! Nothing of it is shipped. Every check is a function from texts to what it found, so that a test
//! can also feed it something bad and see it caught.

pub mod files;
pub mod floors;
pub mod rules;
pub mod sources;

use std::fmt;

/// Something that breaks a house rule, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Path from the root of the repository.
    pub file: String,
    /// Line, from 1; 0 when the file as a whole is meant.
    pub line: usize,
    /// What is wrong.
    pub what: String,
}

impl Found {
    /// A find at one line of a file.
    pub fn at(file: &str, line: usize, what: impl Into<String>) -> Self {
        Self { file: file.to_owned(), line, what: what.into() }
    }
}

impl fmt::Display for Found {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}", self.file, self.line, self.what)
    }
}
