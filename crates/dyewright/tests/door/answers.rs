//! What is answered: from words to a finished answer, at 80 columns, as text and as JSON.

use std::process::{Command, Stdio};

use insta::assert_snapshot;

use crate::street::{SHELF, code, complained, dyewright, folder, json, put, said, workspace};

/// Words that must be answered within 80 columns; gives what was said.
fn answered(words: &[&str]) -> String {
    let folder = folder();
    let output = dyewright(folder.path(), words);
    assert_eq!(code(&output), 0, "{words:?}: {}", complained(&output));
    for line in said(&output).lines() {
        assert!(line.chars().count() <= 80, "{} columns: {line}", line.chars().count());
    }
    assert!(!said(&output).contains('\u{1b}'), "no colours into a pipe");
    said(&output)
}

fn answered_json(words: &[&str]) -> serde_json::Value {
    let folder = folder();
    let output = dyewright(folder.path(), &[words, &["--json"]].concat());
    assert_eq!(code(&output), 0, "{words:?}: {}", said(&output));
    json(&output)
}

#[test]
fn the_example_is_planned() {
    let folder = folder();
    let file = workspace().join("examples/lantern-warden/costume.toml");
    let out = folder.path().display().to_string();
    let words = ["plan", &file.display().to_string(), "--out", &out, "--today", "2027-01-10"];
    let output = dyewright(folder.path(), &words);
    assert_eq!(code(&output), 0, "{}", complained(&output));
    for name in ["Warden's coat", "Flame sash", "Sleeve braid", "Lantern glow panel"] {
        assert!(said(&output).contains(name), "{name}");
    }
    for title in ["What needs your attention first", "What to do next", "Written:"] {
        assert!(said(&output).contains(title), "{title}");
    }
    // strict: the braid has no bath yet
    let strict = dyewright(folder.path(), &[&words[..], &["--strict"]].concat());
    assert_eq!(code(&strict), 1);
}

/// Fibre and class as common practice has them: cellulose takes reactive, protein takes acid, polyester
/// takes disperse (issue 2, trade facts).
#[test]
fn one_cloth_one_colour() {
    for (cloth, class) in [("cotton", "reactive"), ("wool", "acid"), ("polyester", "disperse")] {
        let answer = answered_json(&["propose", "--cloth", cloth, "--colour", "45 20 -20"]);
        let chosen = answer["piece"]["class"]["dye_class"].as_str().unwrap();
        assert!(chosen.starts_with(class), "{cloth}: {chosen}");
        answered(&["propose", "--cloth", cloth, "--colour", "45 20 -20", "--weight", "0.25kg"]);
    }
}

#[test]
fn amounts_follow_the_weight() {
    let grams = |weight: &str| {
        let words = ["propose", "--cloth", "cotton", "--colour", "#2f4f6a", "--weight", weight];
        let answer = answered_json(&words);
        let sheets = answer["piece"]["sheets"].as_array().unwrap().clone();
        let bulk = sheets.iter().find(|s| s["kind"] == "bulk").unwrap().clone();
        bulk["dyes"].as_array().unwrap().iter().map(|d| d["grams"].as_f64().unwrap()).sum::<f64>()
    };
    let (one, four) = (grams("250g"), grams("1 kg"));
    assert!((four / one - 4.0).abs() < 0.15, "{one} g on 250 g, {four} g on 1 kg");
    // 16 avoirdupois ounces are a pound of 453.59237 g (exact by definition since 1959)
    assert!((grams("16oz") / grams("453.59237g") - 1.0).abs() < 1e-9);
}

#[test]
fn nothing_dyes_polypropylene_and_an_unknown_cloth_has_tests_first() {
    let text = answered(&["propose", "--cloth", "polypropylene", "--colour", "#2f4f6a"]);
    assert!(text.to_lowercase().contains("no"), "{text}");
    let answer = answered_json(&["propose", "--cloth", "unknown", "--colour", "#2f4f6a"]);
    assert_eq!(answer["piece"]["outcome"], "no-bath");
    assert!(!answer["piece"]["tests"].as_array().unwrap().is_empty());
    answered(&["propose", "--cloth", "unknown", "--colour", "#2f4f6a"]);
}

#[test]
fn more_dye_is_never_lighter() {
    let mut last = f64::INFINITY;
    for dose in ["0.1", "0.5", "1", "2", "4"] {
        let dye = format!("reactive-blue={dose}");
        let words = ["predict", "--cloth", "cotton", "--dye", dye.as_str()];
        let now = answered_json(&words)["lab"][0].as_f64().unwrap();
        assert!(now < last, "{dose} %: {now} after {last}");
        last = now;
        answered(&words);
    }
}

/// Sharma, Wu, Dalal 2005, table 1, pair 17: (50, 2.5, 0) and (50, 0, -2.5), ΔE00 4.3065; here to the
/// two decimals that are printed.
#[test]
fn a_published_difference() {
    let words = ["compare", "50 2.5 0", "50 0 -2.5"];
    let answer = answered_json(&words);
    assert_eq!(answer["differences"][0]["de00"].as_f64(), Some(4.31));
    assert_snapshot!(answered(&words));
}

#[test]
fn two_spectra_are_compared_under_every_light() {
    let folder = folder();
    let row = |name: &str, at: i32| {
        let value = |nm: i32| if nm < at { 0.05 } else { 0.6 };
        let values: Vec<String> = (40..=70).map(|t| value(10 * t).to_string()).collect();
        format!("{name},{}\n", values.join(","))
    };
    let head: Vec<String> = (40..=70).map(|t| format!("{}", 10 * t)).collect();
    let text = format!("sample,{}\n{}{}", head.join(","), row("one", 590), row("two", 600));
    put(folder.path(), "pair.csv", text);
    let output = dyewright(folder.path(), &["compare", "pair.csv:one", "pair.csv:two", "--json"]);
    assert_eq!(code(&output), 0, "{}", said(&output));
    let answer = json(&output);
    assert_eq!(answer["places"].as_array().unwrap().len(), 6, "six places");
    assert!(!answer["metamerism"].as_array().unwrap().is_empty());
    let output = dyewright(folder.path(), &["compare", "pair.csv", "50 0 0"]);
    assert_eq!(code(&output), 2, "two samples and none named");
}

#[test]
fn a_question_is_written_as_a_costume_file_and_planned() {
    let folder = folder();
    put(folder.path(), "shelf.toml", SHELF);
    let words = [
        "propose",
        "--cloth",
        "65 cotton, 35 polyester",
        "--colour",
        "40 -5 -20",
        "--weight",
        "9oz",
        "--scale",
        "0.01g",
        "--pot",
        "20",
        "--undyed",
        "natural",
        "--seen-from",
        "stage",
        "--lights",
        "daylight,stage",
        "--shelf",
        "shelf.toml",
        "--write",
        "costume.toml",
    ];
    let output = dyewright(folder.path(), &words);
    assert_eq!(code(&output), 0, "{}", complained(&output));
    let text = std::fs::read_to_string(folder.path().join("costume.toml")).unwrap();
    let asked = json(&dyewright(folder.path(), &[&words[..19], &["--json"]].concat()));
    assert_eq!(asked["costume_file"], text.as_str());
    let output = dyewright(folder.path(), &["plan", "costume.toml", "--json"]);
    assert_eq!(code(&output), 0, "{}", complained(&output));
    let (piece, proposed) = (&json(&output)["pieces"][0], &asked["piece"]);
    for key in ["target", "outcome", "class", "recipes"] {
        assert_eq!(piece[key], proposed[key], "{key}: one question, one answer");
    }
    // a file that is there stays
    let output = dyewright(folder.path(), &words);
    assert_eq!(code(&output), 2, "{}", said(&output));
    assert_eq!(std::fs::read_to_string(folder.path().join("costume.toml")).unwrap(), text);
}

#[test]
fn tests_are_told_in_either_way() {
    let one = answered_json(&["identify", "flame=melts", "smell=celery"]);
    assert_eq!(one, answered_json(&["identify", "--flame", "melts", "--smell", "celery"]));
    let text = answered(&["identify"]);
    assert!(!text.contains('…'), "no word is cut: {text}");
}

/// Wool smells of hair and leaves crushable ash; common practice of burn tests.
#[test]
fn burning_tells_wool() {
    let seen = ["identify", "flame=curls", "smell=hair", "residue=crushable", "bleach=dissolves"];
    let answer = answered_json(&seen);
    let likeliest = answer["fibres"][0]["fibre"].as_str().unwrap();
    assert!(["wool", "silk", "hair"].contains(&likeliest), "{likeliest}");
    answered(&seen);
    answered(&["identify"]);
}

#[test]
fn the_starter_shelf_shows_its_standing() {
    let answer = answered_json(&["shelf", "list"]);
    let dyes = answer["dyes"].as_array().unwrap();
    assert!(dyes.iter().all(|d| d["standing"].is_string() && d["peak_standing"].is_string()));
    let acid = answered_json(&["shelf", "list", "--class", "acid-milling"]);
    assert!(acid["dyes"].as_array().unwrap().iter().all(|d| d["class"] == "acid-milling"));
    answered(&["shelf", "list"]);
}

/// A ladder from the shelf file alone, then with a workbook; a dye nobody has is answered with near ones.
#[test]
fn a_ladder_is_told_in_lines_and_as_json() {
    let example = workspace().join("examples/lantern-warden");
    let (shelf, swatches) = (example.join("shelf.toml"), example.join("swatches.toml"));
    let (shelf, swatches) = (shelf.display().to_string(), swatches.display().to_string());
    let folder = folder();
    let at = folder.path();
    assert_eq!(code(&dyewright(at, &["swatch", "record", &swatches])), 0);
    let words = ["shelf", "ladder", "acid-navy", "--shelf", &shelf];
    let told = said(&dyewright(at, &words));
    assert!(told.contains("On white wool") && told.contains("1 the shelf file: 1 %"), "{told}");
    let asked = [&words[..], &["--book", "workbook.sqlite", "--json"]].concat();
    let answer = json(&dyewright(at, &asked));
    let rungs = answer["on"][0]["rungs"].as_array().unwrap();
    assert!(rungs.iter().any(|r| r["of"] == "W-1") && rungs.len() > 1, "{answer}");
    let line = answer["on"][0]["line"].as_array().unwrap();
    assert!(
        line.iter().all(|at| at[2].as_f64() <= at[1].as_f64() && at[1].as_f64() <= at[3].as_f64())
    );
    let refused = dyewright(at, &["shelf", "ladder", "acid-navi"]);
    assert_eq!(code(&refused), 2);
    assert!(complained(&refused).contains("acid-navy"), "{}", complained(&refused));
}

#[test]
fn a_shelf_is_checked_for_dates_and_what_is_used_up() {
    let folder = folder();
    let text = SHELF
        .replace("grams = 20 ", "opened = 2031-02-01\ngrams = 0 ")
        .replace("reactive-blue", "reactive-navy");
    put(folder.path(), "shelf.toml", text);
    let words = ["shelf", "check", "shelf.toml", "--today", "2027-01-10"];
    let output = dyewright(folder.path(), &words);
    assert_eq!(code(&output), 0);
    let text = said(&output);
    assert!(text.contains("still to come"), "a date to come is pointed out: {text}");
    assert!(text.contains("used up"), "{text}");
    assert_eq!(code(&dyewright(folder.path(), &[&words[..], &["--strict"]].concat())), 1);
}

#[test]
fn packs_are_listed_and_checked_with_their_dates() {
    let folder = folder();
    let pack = "\n[[pack]]\nid = \"rose\"\nname = \"old rose\"\nkind = \"all-purpose\"\npack_g = 10\n\
                colours_g = 250\non = [{ fibre = \"cotton\", hex = \"#a04a5a\" }, { fibre = \"wool\", hex = \
                \"#904050\" }]\ncontains = [\"salt\"]\nlabelled = true\nbought = 2024-03-01\nexpires = \
                2027-01-09\nlot = \"A1\"\n";
    let text = SHELF.replace("grams = 500", "grams = 500\nexpires = 2027-02-01");
    put(folder.path(), "shelf.toml", text + pack);
    let check =
        dyewright(folder.path(), &["shelf", "check", "shelf.toml", "--today", "2027-01-10"]);
    assert_eq!(code(&check), 0, "{}", complained(&check));
    let told = said(&check).split_whitespace().collect::<Vec<_>>().join(" ");
    for (says, times) in [
        ("rose: expired on 2027-01-09", 1),
        ("rose: bought 2 years ago", 1),
        ("rose: a mixture that may split", 1),
        ("rose: its safety sheet is not at hand", 1),
        ("soda-ash: good until 2027-02-01", 1),
    ] {
        assert_eq!(told.matches(says).count(), times, "{says}: {told}");
    }
    let list = ["shelf", "list", "--shelf", "shelf.toml", "--today", "2027-01-10"];
    let told = said(&dyewright(folder.path(), &list));
    assert!(told.lines().all(|l| l.chars().count() <= 80), "{told}");
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    for on in ["cotton", "wool"] {
        assert!(
            told.contains(&format!("all-purpose pack of 10 g, on {on}; brings its own")),
            "{told}"
        );
    }
    let seen = json(&dyewright(folder.path(), &[&list[..], &["--json"]].concat()));
    let looks = |i: usize| {
        (seen["dyes"][i]["pack"]["only_on"].clone(), seen["dyes"][i]["look"]["on"].clone())
    };
    assert_eq!(looks(1), ("cotton".into(), "cotton".into()));
    assert_eq!(looks(2), ("wool".into(), "wool".into()));
}

#[test]
fn a_dye_that_runs_low_is_told_by_what_it_still_dyes() {
    let folder = folder();
    put(folder.path(), "shelf.toml", SHELF.replace("grams = 20 ", "grams = 3 "));
    let output = dyewright(folder.path(), &["shelf", "check", "shelf.toml"]);
    // 1 % of 300 g is 3 g
    assert!(said(&output).contains("3 g left, a 1 % dyeing of 300 g"), "{}", said(&output));
}

#[test]
fn a_day_that_is_past_is_advised_on_and_planned_all_the_same() {
    let folder = folder();
    let text = crate::street::SOUND.replace("[[piece]]", "day = 2026-01-01\n\n[[piece]]");
    put(folder.path(), "costume.toml", text);
    let words = ["plan", "costume.toml", "--today", "2027-01-10", "--json"];
    let output = dyewright(folder.path(), &words);
    assert_eq!(code(&output), 0, "{}", said(&output));
    let advice = json(&output)["pieces"][0]["advice"].as_array().unwrap().clone();
    assert!(advice.iter().any(|a| a["id"] == "day-past"), "{advice:?}");
}

#[test]
fn help_names_every_command_and_the_exit_codes() {
    assert_snapshot!(answered(&["--help"]));
    for command in ["plan", "propose", "predict", "compare", "shelf", "swatch", "book", "identify"]
    {
        answered(&[command, "--help"]);
    }
}

#[test]
fn completions_and_the_manual_page() {
    for shell in ["bash", "zsh", "fish"] {
        let folder = folder();
        let output = dyewright(folder.path(), &["completions", shell]);
        assert_eq!(code(&output), 0);
        assert!(said(&output).contains("propose") && said(&output).contains("identify"));
    }
    let folder = folder();
    let output = dyewright(folder.path(), &["man"]);
    assert_eq!(code(&output), 0);
    assert!(said(&output).contains(".TH dyewright"), "{}", said(&output));
}

/// `| head` closes the pipe after a few lines: no panic, no complaint.
#[test]
fn a_reader_that_goes_away_is_no_trouble() {
    for words in [&["shelf", "list"][..], &["completions", "bash"], &["man"], &["--help"]] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_dyewright"))
            .args(words)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(complained(&output), "", "{words:?}");
        assert_eq!(output.status.code(), Some(0), "{words:?}");
    }
}
