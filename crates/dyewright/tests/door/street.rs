//! What stands outside the door: the program, a folder of its own, and a few sound files.

use std::path::{Path, PathBuf};
use std::process::Output;

/// The program in a folder of its own, at 80 columns, without colours.
pub(crate) fn dyewright(folder: &Path, words: &[&str]) -> Output {
    assert_cmd::Command::new(env!("CARGO_BIN_EXE_dyewright"))
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env("COLUMNS", "80")
        .args(words)
        .output()
        .unwrap()
}

/// An empty folder that goes away with its test.
pub(crate) fn folder() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

/// Writes a file into a folder.
pub(crate) fn put(folder: &Path, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, text).unwrap();
    path
}

/// What was said on standard output.
pub(crate) fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// What was said on standard error.
pub(crate) fn complained(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// The JSON on standard output.
pub(crate) fn json(output: &Output) -> serde_json::Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}: {}", said(output)))
}

/// The exit code.
pub(crate) fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

/// Every name in a folder, in order.
pub(crate) fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// Runs a command that must be answered.
pub(crate) fn answered(folder: &Path, words: &[&str]) -> serde_json::Value {
    let output = dyewright(folder, &[words, &["--json"]].concat());
    assert_eq!(code(&output), 0, "{words:?}: {}{}", said(&output), complained(&output));
    json(&output)
}

/// Runs a command that must be refused; gives what was said.
pub(crate) fn refused(folder: &Path, words: &[&str]) -> String {
    let before = names(folder);
    let output = dyewright(folder, words);
    assert_eq!(code(&output), 2, "{words:?}: {}{}", said(&output), complained(&output));
    assert_eq!(said(&output), "");
    assert_eq!(names(folder), before, "nothing may be written");
    complained(&output)
}

/// The workspace, for its examples and docs.
pub(crate) fn workspace() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A small sound costume.
pub(crate) const SOUND: &str = r##"[costume]
name = "The Ferryman"

[[piece]]
id = "sash"
cloth = "cotton"
weight_g = 120
target = { hex = "#2f4f6a" }
"##;

/// A small sound shelf with comments.
pub(crate) const SHELF: &str = r#"# The Ferryman's shelf, invented.

[[dye]]                # bought in spring
id = "blue-1"
like = "reactive-blue"
grams = 20             # half gone

# Kept in the cellar.
[[auxiliary]]
id = "soda-ash"
grams = 500
# the end
"#;
