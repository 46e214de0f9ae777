//! What is wrong with a file, all of it at once, each fault with its place and what to do.

use std::fmt;
use std::ops::Range;

/// One fault in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Bytes of the text it points at.
    pub span: Range<usize>,
    /// The culprit and the rule.
    pub says: String,
    /// What to do.
    pub hint: String,
}

/// All faults of one file; never empty when returned as an error.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faults {
    /// The file's name as given.
    pub file: String,
    /// Its whole text.
    pub text: String,
    /// The faults in order of their place.
    pub list: Vec<Fault>,
}

impl Faults {
    /// Line and column (both from 1, columns in characters) where a fault begins.
    #[must_use]
    pub fn place(&self, fault: &Fault) -> (usize, usize) {
        let mut start = fault.span.start.min(self.text.len());
        while !self.text.is_char_boundary(start) {
            start -= 1;
        }
        let before = &self.text[..start];
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1;
        (line, column)
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for fault in &self.list {
            let (line, column) = self.place(fault);
            writeln!(f, "{}:{line}:{column}: {} ({})", self.file, fault.says, fault.hint)?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}
