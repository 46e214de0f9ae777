//! Rules about single files: what no file may hold, what a pure room may not touch, where speech is
//! allowed, how long a source may be, which notes must lie beside which data.
//!
//! Words that no file may hold are put together here from halves, so that this file does not hold
//! them itself.

use crate::Found;
use crate::files::{Text, code_lines, room_of_source, word_starts};

/// Longest source, lines (the house style: 500 is the time to split).
pub const LONGEST: usize = 500;

/// The one package registry the lock file may name: the public index.
const PUBLIC_INDEX: &str = "registry+https://github.com/rust-lang/crates.io-index";

/// Paths of somebody's machine.
#[must_use]
pub fn machine_paths(file: &Text) -> Vec<Found> {
    let roots = ["work", "root", "home", "tmp"].map(|r| format!("/{r}"));
    let mut found = Vec::new();
    for (i, line) in file.text.lines().enumerate() {
        for root in &roots {
            let hit = line.match_indices(root.as_str()).any(|(at, _)| {
                let before = line[..at].chars().next_back();
                let after = line[at + root.len()..].chars().next();
                let begins = before.is_none_or(|c| c.is_whitespace() || "\"'`(=:<[,".contains(c));
                begins && after.is_none_or(|c| "/\"'`) ".contains(c))
            });
            if hit {
                found.push(Found::at(&file.path, i + 1, format!("a path of one machine: {root}")));
            }
        }
    }
    found
}

/// Words the project does not use about itself.
#[must_use]
pub fn unwanted_words(file: &Text) -> Vec<Found> {
    let words =
        [["seed", " document"], ["seed", "-document"], ["seed", " doc "], ["seed", "_document"]];
    let words = words.map(|halves| halves.concat());
    let mut found = Vec::new();
    for (i, line) in file.text.lines().enumerate() {
        let low = line.to_lowercase();
        for word in words.iter().filter(|w| low.contains(w.as_str())) {
            found.push(Found::at(&file.path, i + 1, format!("the words '{}'", word.trim())));
        }
    }
    found
}

/// Registries other than the public index, in a lock file or a cargo configuration.
#[must_use]
pub fn registries(file: &Text) -> Vec<Found> {
    let mut found = Vec::new();
    let settings = file.path.starts_with(".cargo/") || file.path.contains("/.cargo/");
    for (i, line) in file.text.lines().enumerate() {
        let source = line.trim().strip_prefix("source = ").map(|s| s.trim_matches('"'));
        if file.path.ends_with("Cargo.lock") && source.is_some_and(|s| s != PUBLIC_INDEX) {
            found.push(Found::at(
                &file.path,
                i + 1,
                format!("not the public index: {}", line.trim()),
            ));
        }
        if settings && (line.contains("registr") || line.contains("replace-with")) {
            found.push(Found::at(&file.path, i + 1, "a registry of one machine"));
        }
    }
    found
}

/// What a pure room may not touch: disk, network, clock, chance, surroundings.
#[must_use]
pub fn impure(file: &Text, pure: &[String]) -> Vec<Found> {
    let never = [
        "std::fs",
        "fs::",
        "std::net",
        "std::env",
        "std::process",
        "SystemTime",
        "Instant::now",
        "Zoned::now",
        "Timestamp::now",
        "rand::",
        "getrandom",
        "thread_rng",
    ];
    if !room_of_source(&file.path).is_some_and(|room| pure.iter().any(|p| p == room)) {
        return Vec::new();
    }
    let mut found = Vec::new();
    for (line, code) in code_lines(&file.text) {
        for what in never {
            if word_starts(code, what).next().is_some() {
                found.push(Found::at(&file.path, line, format!("a pure room touches {what}")));
            }
        }
    }
    found
}

/// Speech outside the door, the examples, the benches and the tests.
#[must_use]
pub fn speech(file: &Text) -> Vec<Found> {
    let allowed = ["crates/dyewright/src/"].iter().any(|p| file.path.starts_with(p));
    if allowed || room_of_source(&file.path).is_none() {
        return Vec::new();
    }
    let mut found = Vec::new();
    for (line, code) in code_lines(&file.text) {
        for name in ["println", "print", "eprintln", "eprint", "dbg"] {
            let mac = format!("{name}!");
            if word_starts(code, &mac).next().is_some() {
                found.push(Found::at(&file.path, line, format!("{mac} outside the door")));
            }
        }
    }
    found
}

/// Sources that are longer than a reader bears.
#[must_use]
pub fn too_long(file: &Text) -> Vec<Found> {
    let lines = file.text.lines().count();
    if room_of_source(&file.path).is_none() || lines <= LONGEST {
        return Vec::new();
    }
    vec![Found::at(&file.path, lines, format!("{lines} lines: split it, {LONGEST} is the most"))]
}

/// Measured data (whatever is not our own TOML) must have a note of where it comes from: a
/// `<stem>.SOURCE.txt` beside it, which says something.
#[must_use]
pub fn without_source(files: &[Text]) -> Vec<Found> {
    let mut found = Vec::new();
    for file in files {
        let Some((folder, name)) = file.path.rsplit_once('/') else { continue };
        let data = folder.starts_with("crates/")
            && folder.split('/').nth(2) == Some("data")
            && !name.ends_with(".toml")
            && !name.contains("SOURCE");
        if !data {
            continue;
        }
        let stem = name.split('.').next().unwrap_or(name);
        let note = format!("{folder}/{stem}.SOURCE.txt");
        match files.iter().find(|f| f.path == note) {
            None => found.push(Found::at(&file.path, 0, format!("no note of its source: {note}"))),
            Some(n) if n.text.trim().len() < 20 => {
                found.push(Found::at(&note, 1, "the note of a source says nothing"));
            }
            Some(_) => {}
        }
    }
    found
}

/// Examples and benches that a page names by `--example x` or `--bench x` must exist.
#[must_use]
pub fn missing_examples(page: &Text, files: &[Text]) -> Vec<Found> {
    let mut found = Vec::new();
    for (i, line) in page.text.lines().enumerate() {
        for (flag, folder) in [("--example ", "examples"), ("--bench ", "benches")] {
            for (at, _) in line.match_indices(flag) {
                let name: String = line[at + flag.len()..]
                    .chars()
                    .take_while(|c| c.is_alphanumeric() || "_-".contains(*c))
                    .collect();
                let there = files.iter().any(|f| {
                    f.path.starts_with("crates/")
                        && (f.path.ends_with(&format!("/{folder}/{name}.rs"))
                            || f.path.ends_with(&format!("/{folder}/{name}/main.rs")))
                });
                if !there {
                    found.push(Found::at(
                        &page.path,
                        i + 1,
                        format!("no such {}: {name}", folder.trim_end_matches('s')),
                    ));
                }
            }
        }
    }
    found
}
