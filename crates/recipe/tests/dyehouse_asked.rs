//! What the example of the virtual dyehouse refuses: words of its command line, and folders that are no case.

#[path = "../examples/virtual_dyehouse/folder.rs"]
#[allow(dead_code, reason = "the test reads and writes, and needs no usual place")]
mod folder;
#[path = "../examples/virtual_dyehouse/wish.rs"]
#[allow(dead_code, reason = "the test asks for refusals alone")]
mod wish;

/// What stops a run, as the example has it.
mod strategy {
    pub(crate) type Fault = Box<dyn std::error::Error + Send + Sync>;
}

use std::fs;
use std::path::PathBuf;

fn asked(words: &str) -> Result<wish::Wish, String> {
    let words: Vec<String> = words.split_whitespace().map(str::to_owned).collect();
    wish::read(words.into_iter()).map_err(|e| e.to_string())
}

#[test]
fn words_that_ask_for_nothing_sensible_are_refused_with_the_usage() {
    for (words, said) in [
        ("--targets -5", "--targets -5: give a number from 1 to 100000"),
        ("--targets 0", "--targets 0: give a number from 1 to 100000"),
        ("--targets 1e3", "--targets 1e3: give a number from 1 to 100000"),
        ("--targets 100001", "--targets 100001: give a number"),
        ("--seed -1", "--seed -1: give a whole number from 0 to 9223372036854775807"),
        ("--seed 9223372036854775808", "--seed 9223372036854775808: give a whole number"),
        ("--seed 99999999999999999999999", "--seed 99999999999999999999999: give a whole number"),
        ("--reading nan", "--reading nan: give a ΔE00 from 0 to 20"),
        ("--reading -1", "--reading -1: give a ΔE00 from 0 to 20"),
        ("--reading inf", "--reading inf: give a ΔE00"),
        ("--start somewhere", "--start somewhere: write estimates or ladders"),
        ("--coverage 0", "--coverage 0: give the truths a stratum"),
        ("--colour red", "--colour red: this is not known"),
        ("--case", "--case: a value is missing"),
        ("--case here --seed 1", "--case stands alone"),
    ] {
        let Err(speech) = asked(words) else { panic!("'{words}' was taken") };
        assert!(speech.starts_with(said) && speech.contains("--world NAME"), "{words}: {speech}");
    }
    assert!(asked("--seed 9223372036854775807 --targets 100000 --reading 0").is_ok());
    let speech = dyehouse::World::named("nowhere").unwrap_err().to_string();
    assert!(speech.contains("'nowhere'") && speech.contains("fluorescent"), "{speech}");
}

#[test]
fn a_folder_that_is_no_case_is_refused_with_the_file_in_question() {
    let place: PathBuf = std::env::temp_dir().join(format!("no-case-{}", std::process::id()));
    let refused = || folder::read(&place).unwrap_err().to_string();
    assert!(refused().contains("there is no such folder; docs/cases.md"), "{}", refused());
    fs::create_dir_all(&place).unwrap();
    assert!(refused().contains("case.toml: is missing"), "{}", refused());
    fs::write(place.join("case.toml"), [0xff, 0xfe, 0x00]).unwrap();
    assert!(refused().contains("case.toml: this is no plain text"), "{}", refused());
    fs::write(place.join("case.toml"), "").unwrap();
    assert!(refused().contains("case.toml: is empty: docs/cases.md"), "{}", refused());
    fs::create_dir(place.join("truth.toml")).unwrap();
    assert!(refused().contains("truth.toml: this is no file"), "{}", refused());
    fs::remove_dir_all(&place).unwrap();
}
