//! docs/ held against the program: files shown there are read, keys named there are the keys there are.

use std::collections::BTreeSet;
use std::fs;

use serde_json::Value;

use crate::photographs;
use crate::street::{code, complained, dyewright, folder, json, put, said, workspace};

fn document(name: &str) -> String {
    fs::read_to_string(workspace().join("docs").join(name)).unwrap()
}

/// Texts between ```toml and ```.
fn examples(document: &str) -> Vec<String> {
    document
        .split("```toml\n")
        .skip(1)
        .map(|rest| rest.split("```").next().unwrap_or_default().to_owned())
        .collect()
}

/// Every word in back ticks.
fn named(document: &str) -> BTreeSet<String> {
    document
        .split('`')
        .skip(1)
        .step_by(2)
        .flat_map(|code| {
            code.split(|c: char| !(c.is_alphanumeric() || c == '_' || c == '-'))
                .map(str::to_owned)
                .collect::<Vec<_>>()
        })
        .collect()
}

#[test]
fn the_files_shown_are_read_without_a_fault() {
    let shown = examples(&document("costume-file.md"));
    assert_eq!(shown.len(), 4, "a costume, a shelf, packs on a shelf, swatches");
    let folder = folder();
    put(folder.path(), "costume.toml", &shown[0]);
    put(folder.path(), "shelf.toml", &shown[1]);
    put(folder.path(), "packs.toml", &shown[2]);
    put(folder.path(), "swatches.toml", &shown[3]);
    for words in [
        &["plan", "costume.toml", "--today", "2031-05-10"][..],
        &["shelf", "check", "shelf.toml", "--today", "2031-05-10"],
        &["shelf", "check", "packs.toml", "--today", "2031-05-10"],
        &["swatch", "record", "swatches.toml"],
    ] {
        let output = dyewright(folder.path(), words);
        assert_eq!(code(&output), 0, "{words:?}: {}", complained(&output));
    }
}

/// Every key the reader of costume and shelf files asks for stands in the document.
#[test]
fn every_key_of_the_files_is_described() {
    let described = named(&document("costume-file.md"));
    let sources = workspace().join("crates/costume/src");
    let mut keys = BTreeSet::new();
    for entry in fs::read_dir(sources).unwrap() {
        let text = fs::read_to_string(entry.unwrap().path()).unwrap();
        let text = text.split("#[cfg(test)]").next().unwrap_or_default();
        for ask in [
            "text",
            "need_text",
            "number",
            "between",
            "need_between",
            "count",
            "choice",
            "flag",
            "choice_of_flag",
            "day",
            "list",
            "texts",
            "part",
            "parts",
            "any",
        ] {
            for (at, _) in text.match_indices(&format!(".{ask}(\"")) {
                let rest = &text[at + ask.len() + 3..];
                keys.insert(rest.split('"').next().unwrap_or_default().to_owned());
            }
        }
    }
    assert!(keys.len() > 70, "the keys are found: {keys:?}");
    let missing: Vec<&String> = keys.iter().filter(|k| !described.contains(*k)).collect();
    assert!(missing.is_empty(), "not described in docs/costume-file.md: {missing:?}");
}

/// Every key of every JSON the program writes stands in docs/json.md.
#[test]
fn every_key_of_the_json_is_described() {
    let described = named(&document("json.md"));
    let folder = folder();
    let example = workspace().join("examples/lantern-warden");
    let costume = example.join("costume.toml").display().to_string();
    let shelf = example.join("shelf.toml").display().to_string();
    let coat = format!("{}:ember", example.join("readings/ember.csv").display());
    let swatches = example.join("swatches.toml").display().to_string();
    let picture = example.join("reference.png").display().to_string();
    put(folder.path(), "own.toml", "");
    let place = photographs::three(folder.path());
    let aside = beside(&place);
    crate::printed_cards::two(folder.path());
    let mut missing = BTreeSet::new();
    for words in [
        &["plan", &costume, "--today", "2027-01-10"][..],
        &["propose", "--cloth", "cotton", "--colour", "#2f4f6a"],
        &["propose", "--cloth", "unknown", "--colour", "#2f4f6a"],
        &["predict", "--cloth", "cotton", "--dye", "reactive-blue=1"],
        &["colours", &picture, "--region", "540,120,160,260", "--cloth", "cotton"],
        &["colours", &picture, &picture, "--into", "mine.toml", "--take", "coat=2"],
        &["colours", &picture, "--into", "mine.toml", "--take", "coat=3", "--over"],
        &["read", "cloth.jpg", "--cloth", "9999,9,9,9", "--cloth", &place, "--white", "white.jpg"],
        &["read", "warm.jpg", "--cloth", &place, "--light", "a lamp"],
        &["read", "cloth.jpg", "--cloth", &place, "--dyes", "acid-navy", "--on", "wool"],
        &["read", "cloth.jpg", "--cloth", &place, "--against", "9999,9,9,9"],
        &["read", "cloth.jpg", "--cloth", &place, "--against", &aside],
        &["read", "cloth.jpg", "--cloth", &place, "--white-at", &aside, "--white-is", "cotton"],
        &["card", "--code", "x-1"],
        &["card", "read", "card.jpg", "--out", "mine.txt", "--light", "a window"],
        &["compare", &coat, &coat],
        &["compare", "#2f4f6a", "40 0 0"],
        &["shelf", "list"],
        &["shelf", "list", "--shelf", &shelf],
        &["shelf", "check", &shelf],
        &["shelf", "ladder", "reactive-golden", "--shelf", &shelf],
        &["shelf", "add", "own.toml", "red-1", "--like", "acid-navy"],
        &["swatch", "record", &swatches],
        &["swatch", "list"],
        &["plan", &costume, "--today", "2027-01-10", "--book", "workbook.sqlite"],
        &["propose", "--cloth", "wool", "--colour", "#2f4f6a", "--book", "workbook.sqlite"],
        &["swatch", "plan", &costume, "--book", "workbook.sqlite", "--ladder", "acid-navy"],
        &["correct", &costume, "coat", "--book", "workbook.sqlite"],
        &["correct", &costume, "W-3", "--dyed", "--book", "workbook.sqlite"],
        &["book", "check"],
        &["book", "find", "#1f4b4f", "--within", "20"],
        &["book", "note", "coat", "--wanted", "23 -9 -5", "--as-it-is", "24 -9 -5"],
        &["book", "record", "coat"],
        &["book", "repair", "coat", "--weight", "40g", "--to", "repair.toml"],
        &["book", "history"],
        &["book", "undo"],
        &["book", "history"],
        &["book", "pack", "book.tar"],
        &["book", "unpack", "book.tar", "--book", "other.sqlite"],
        &["book", "check", "none.sqlite"],
        &["identify", "flame=melts"],
        &["plan", "none.toml"],
        &["propose", "--cloth", "coton", "--colour", "#2f4f6a"],
    ] {
        let output = dyewright(folder.path(), &[words, &["--json"]].concat());
        assert!([0, 2].contains(&code(&output)), "{words:?}: {}", said(&output));
        let answer = json(&output);
        assert!(answer["dyewright"].is_string() && answer["version"].is_u64(), "{words:?}");
        walk(&answer, &mut |key| {
            if !described.contains(key) {
                missing.insert(key.to_owned());
            }
        });
    }
    assert!(missing.is_empty(), "not described in docs/json.md: {missing:?}");
}

/// A place against the right side of another.
fn beside(place: &str) -> String {
    let n: Vec<f64> = place.split(',').map(|v| v.parse().unwrap()).collect();
    format!("{},{},{},{}", n[0] + n[2] + 1.0, n[1], 0.2 * n[2], n[3])
}

fn walk(value: &Value, see: &mut dyn FnMut(&str)) {
    match value {
        Value::Object(fields) => {
            for (key, inside) in fields {
                see(key);
                walk(inside, see);
            }
        }
        Value::Array(list) => list.iter().for_each(|inside| walk(inside, see)),
        _ => {}
    }
}

/// The words around the program's doors are of one make: a word of `plan` stands in completions and in the
/// manual page too.
#[test]
fn a_new_word_is_in_completions_and_in_the_manual() {
    let folder = folder();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let text = said(&dyewright(folder.path(), &["completions", shell]));
        assert!(text.contains("hand-out"), "{shell}");
    }
    assert_eq!(code(&dyewright(folder.path(), &["man", "--out", "pages"])), 0);
    let page = fs::read_to_string(folder.path().join("pages/dyewright-plan.1")).unwrap();
    assert!(page.contains("hand\\-out"), "{page}");
}

/// Every option that `--help` shows stands in docs/commands.md.
#[test]
fn every_option_is_described() {
    let page = document("commands.md");
    let folder = folder();
    for words in [
        &["plan"][..],
        &["propose"],
        &["predict"],
        &["colours"],
        &["read"],
        &["card"],
        &["card", "read"],
        &["compare"],
        &["shelf", "list"],
        &["shelf", "add"],
        &["shelf", "check"],
        &["shelf", "ladder"],
        &["swatch", "record"],
        &["swatch", "list"],
        &["correct"],
        &["book", "check"],
        &["book", "find"],
        &["book", "record"],
        &["book", "note"],
        &["book", "repair"],
        &["book", "history"],
        &["book", "undo"],
        &["book", "pack"],
        &["book", "unpack"],
        &["identify"],
        &["open"],
        &["completions"],
        &["man"],
    ] {
        let help = said(&dyewright(folder.path(), &[words, &["--help"]].concat()));
        assert!(page.contains(&format!("`{}", words.join(" "))), "{words:?}");
        for option in help.split_whitespace().filter(|w| w.starts_with("--") && w.len() > 4) {
            let option = option.trim_end_matches(|c: char| !c.is_alphanumeric());
            let option = option.split(['[', '<', '=']).next().unwrap_or(option);
            assert!(page.contains(option), "{words:?} {option} is not in docs/commands.md");
        }
    }
}
