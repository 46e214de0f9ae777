//! The files of the repository as texts, and Rust sources with their comments and tests taken off.

use std::fs;
use std::path::{Path, PathBuf};

/// A text file of the repository.
#[derive(Debug, Clone)]
pub struct Text {
    /// Path from the root, with `/`.
    pub path: String,
    /// What it holds.
    pub text: String,
}

/// The root of the workspace.
#[must_use]
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Every text file under the root, but for build output, the version store and written plans.
#[must_use]
pub fn all() -> Vec<Text> {
    let mut found = Vec::new();
    gather(&root(), "", &mut found);
    found.sort_by(|a, b| a.path.cmp(&b.path));
    found
}

fn gather(folder: &Path, at: &str, found: &mut Vec<Text>) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = if at.is_empty() { name.clone() } else { format!("{at}/{name}") };
        let ignored = matches!(name.as_str(), ".git" | "target" | "node_modules")
            || name.ends_with(".dyewright-plan");
        if ignored {
            continue;
        }
        if entry.path().is_dir() {
            gather(&entry.path(), &path, found);
        } else if let Ok(text) = fs::read_to_string(entry.path()) {
            found.push(Text { path, text });
        }
    }
}

/// Names of the rooms: the folders of `crates`.
#[must_use]
pub fn rooms(files: &[Text]) -> Vec<String> {
    let mut names: Vec<String> = files
        .iter()
        .filter_map(|f| f.path.strip_prefix("crates/")?.strip_suffix("/Cargo.toml"))
        .filter(|name| !name.contains('/'))
        .map(str::to_owned)
        .collect();
    names.sort();
    names
}

/// The room a source file belongs to, for files in some `crates/<room>/src/`.
#[must_use]
pub fn room_of_source(path: &str) -> Option<&str> {
    let (room, rest) = path.strip_prefix("crates/")?.split_once('/')?;
    (rest.starts_with("src/") && path.ends_with(".rs")).then_some(room)
}

/// The lines of a Rust source with numbers, comments taken off, up to its test module.
pub fn code_lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let lines: Vec<&str> = text.lines().collect();
    // A test module ends the code; a single item for tests does not.
    let is_tests = |i: usize| {
        let after = lines[i + 1..].iter().map(|l| l.trim_start());
        lines[i].trim_start().starts_with("#[cfg(test)]")
            && after.take(3).any(|l| l.starts_with("mod ") && l.contains('{'))
    };
    let end = (0..lines.len()).find(|i| is_tests(*i)).unwrap_or(lines.len());
    lines.into_iter().take(end).enumerate().map(|(i, line)| (i + 1, uncommented(line)))
}

/// A line without its `//` comment; `//` inside a text, as in a URL, stays.
fn uncommented(line: &str) -> &str {
    let mut quoted = false;
    let mut before = ' ';
    for (i, c) in line.char_indices() {
        if c == '"' && before != '\\' {
            quoted = !quoted;
        }
        if !quoted && line[i..].starts_with("//") {
            return &line[..i];
        }
        before = c;
    }
    line
}

/// Where a word stands in a line by itself, not as the end of a longer word or path.
pub fn word_starts<'a>(line: &'a str, word: &'a str) -> impl Iterator<Item = usize> + 'a {
    line.match_indices(word).map(|(i, _)| i).filter(move |i| {
        let before = line[..*i].chars().next_back();
        before.is_none_or(|c| !(c.is_alphanumeric() || c == '_' || c == ':'))
    })
}
