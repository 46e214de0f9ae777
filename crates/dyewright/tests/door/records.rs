//! The record of a piece and its repair from outside: printed, noted, begun, refused.

use std::fs;
use std::path::Path;

use crate::street::{
    answered, code, complained, dyewright, folder, json, names, put, refused, said, workspace,
};

fn example(at: &Path) {
    let swatches = workspace().join("examples/lantern-warden/swatches.toml").display().to_string();
    let output = dyewright(at, &["swatch", "record", &swatches]);
    assert_eq!(code(&output), 0, "{}", complained(&output));
}

fn note(at: &Path, words: &[&str]) {
    let output = dyewright(at, &[&["book", "note"], words].concat());
    assert_eq!(code(&output), 0, "{words:?}: {}", complained(&output));
}

#[test]
fn a_record_is_a_page_that_says_what_is_known_and_what_is_not() {
    let folder = folder();
    let at = folder.path();
    example(at);
    note(
        at,
        &[
            "coat",
            "--wanted",
            "23 -9 -5",
            "--verdict",
            "good enough",
            "--because",
            "beside the drawing",
        ],
    );
    let output = dyewright(at, &["book", "record", "coat", "--page", "coat.html"]);
    assert_eq!(code(&output), 0, "{}", complained(&output));
    let page = fs::read_to_string(at.join("coat.html")).unwrap();
    for has in [
        "coat: record of a piece</title>",
        "From swatch W-4, of its swatches the nearest to the colour wanted: 0.",
        "lot N-7",
        "acid-milling",
        "recorded ",
        "by the maker",
        "good enough: beside the drawing",
        "What it weighs dry is not recorded.",
        "No bath of it is recorded",
        "The cloth of swatches W-1, W-2, W-3, W-4, N-1 was natural before, by its look; it was not read.",
        "<b>Nearest swatch</b>",
        "Another lot of a dye is another dye",
    ] {
        assert!(page.contains(has), "{has} is not on the page");
    }
    assert!(
        !page.contains("<script") && !page.contains("https:") && !page.contains("http:"),
        "nothing outside is asked for"
    );
    // 2.2 mL of 1 % on 2 g is 1.1 % owf: 1.1 g for 100 g of cloth.
    assert!(page.contains("1.1 g of acid-turquoise"), "every dose for 100 g");
    assert!(said(&output).contains("Written as a page: coat.html"), "{}", said(&output));
    // Over its own page it is written again; over anything else never.
    assert_eq!(code(&dyewright(at, &["book", "record", "coat", "--page", "coat.html"])), 0);
    put(at, "mine.html", "<p>my own</p>");
    let output = dyewright(at, &["book", "record", "coat", "--page", "mine.html"]);
    assert_eq!(code(&output), 2, "{}", said(&output));
    assert_eq!(fs::read_to_string(at.join("mine.html")).unwrap(), "<p>my own</p>");
}

#[test]
fn a_repair_is_of_the_piece_as_it_is_today_and_can_be_planned() {
    let folder = folder();
    let at = folder.path();
    example(at);
    let repair = ["book", "repair", "coat", "--weight", "40g", "--to", "repair.toml"];
    // Nothing is known of today, then only wet cloth: refused, with what to do, and nothing is written.
    let before = names(at);
    let output = dyewright(at, &repair);
    assert_eq!(code(&output), 2, "{}", said(&output));
    assert!(complained(&output).contains("book note"), "{}", complained(&output));
    note(at, &["coat", "--as-it-is", "20 -9 -5", "--state", "wet"]);
    let output = dyewright(at, &repair);
    assert_eq!(code(&output), 2, "{}", said(&output));
    assert!(complained(&output).contains("wet"), "{}", complained(&output));
    assert_eq!(names(at), before);

    let days = [("2030-05-02", "31 -9.5 -4"), ("2029-05-02", "27 -9 -4")];
    for (day, colour) in days {
        note(
            at,
            &[
                "coat",
                "--as-it-is",
                colour,
                "--today",
                day,
                "--spread",
                "1.5",
                "--state",
                "washed-off,dry,cool",
            ],
        );
    }
    let output = dyewright(at, &[&repair[..], &["--json"]].concat());
    assert_eq!(code(&output), 0, "{}", complained(&output));
    let made = json(&output);
    assert_eq!(
        made["target"],
        serde_json::json!([31.0, -9.5, -4.0]),
        "the latest day, not the latest entry"
    );
    let text = fs::read_to_string(at.join("repair.toml")).unwrap();
    for has in [
        "procedure = \"acid-milling\"",
        "cloth = \"felted wool\"",
        "new lot",
        "N-7",
        "lab = [31.0, -9.5, -4.0]",
    ] {
        assert!(text.contains(has), "{has}: {text}");
    }
    // Never over a file that is there, be it the same.
    let output = dyewright(at, &repair);
    assert_eq!(code(&output), 2, "{}", said(&output));
    assert_eq!(fs::read_to_string(at.join("repair.toml")).unwrap(), text);
    let output = dyewright(at, &["plan", "repair.toml", "--today", "2030-05-03", "--json"]);
    assert_eq!(code(&output), 0, "{}", complained(&output));
    let plan = json(&output);
    assert_eq!(plan["pieces"][0]["outcome"], "bath", "{:#}", plan["attention"]);
    assert_eq!(plan["pieces"][0]["class"]["procedure"], "acid-milling");
}

#[test]
fn what_cannot_be_noted_is_refused_and_nothing_is_kept() {
    let folder = folder();
    let at = folder.path();
    example(at);
    let before = fs::read(at.join("workbook.sqlite")).unwrap();
    for (words, says) in [
        (&["coat"][..], "nothing to note"),
        (&["cloak", "--wanted", "23 -9 -5"], "cloak"),
        (&["coat", "--wanted", "23 -9"], "L*"),
        (&["coat", "--wanted", "230 -9 -5"], "230"),
        (&["coat", "--verdict", "splendid"], "splendid"),
        (&["coat", "--as-it-is", "23 -9 -5", "--state", "damp"], "damp"),
        (&["coat", "--as-it-is", "23 -9 -5", "--state", "dry,wet"], "twice"),
        (&["coat", "--as-it-is", "23 -9 -5", "--spread", "-1"], "-1"),
        (&["coat", "--wanted", "23 -9 -5", "--spread", "1"], "--as-it-is"),
        (&["coat", "--as-it-is", "23 -9 -5", "--by", "magic"], "magic"),
        // One sound thing beside one that is not: neither is kept.
        (&["coat", "--wanted", "23 -9 -5", "--verdict", "splendid"], "splendid"),
    ] {
        let output = dyewright(at, &[&["book", "note"], words].concat());
        assert_eq!(code(&output), 2, "{words:?}: {}", said(&output));
        assert!(complained(&output).contains(says), "{words:?}: {}", complained(&output));
    }
    assert!(fs::read(at.join("workbook.sqlite")).unwrap() == before, "nothing was written");
}

/// The swatch N-1 tests a new lot of one of the dyes, and was dyed last: it is not how the coat is made.
#[test]
fn a_piece_is_made_again_by_its_recipe_and_not_by_a_test_of_a_lot() {
    let folder = folder();
    let at = folder.path();
    example(at);
    let from = || answered(at, &["book", "record", "coat"])["from"].clone();
    assert_eq!((&from()["what"], &from()["code"]), (&"last swatch".into(), &"W-4".into()));
    let again = said(&dyewright(at, &["book", "record", "coat"]));
    let again = again.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(again.contains("From swatch W-4, the last that was read"), "{again}");
    assert!(again.contains("Passed over: swatch W-1, swatch W-2, swatch N-1"), "{again}");

    // The same recipe again with another lot is a test of that lot; another recipe with it is not.
    let coat = |code: &str, lot: &str, owf: f64| {
        format!(
            "[[swatch]]\ncode = \"{code}\"\ncostume = \"The Lantern Warden\"\npiece = \"hat\"\n\
             cloth = \"wool\"\nweight_g = 2\n\
             dose = [{{ dye = \"acid-navy\", lot = \"{lot}\", owf_pct = {owf} }}]\n\
             reading = [{{ colour = {{ lab = [25, 0, -10] }} }}]\n"
        )
    };
    put(at, "hat.toml", coat("H-1", "old", 1.0) + &coat("H-2", "new", 1.02));
    answered(at, &["swatch", "record", "hat.toml"]);
    assert_eq!(answered(at, &["book", "record", "hat"])["from"]["code"], "H-1");
    put(at, "hat3.toml", coat("H-3", "new", 1.3));
    answered(at, &["swatch", "record", "hat3.toml"]);
    assert_eq!(answered(at, &["book", "record", "hat"])["from"]["code"], "H-3");

    // What was approved goes before what reads nearest, and is taken back by a later word.
    note(at, &["coat", "--wanted", "23 -9 -5"]);
    assert_eq!(from()["what"], "nearest swatch");
    note(at, &["coat", "--verdict", "accepted", "--swatch", "W-3"]);
    assert_eq!((&from()["what"], &from()["code"]), (&"approved swatch".into(), &"W-3".into()));
    note(at, &["coat", "--verdict", "again", "--swatch", "W-3"]);
    assert_eq!((&from()["what"], &from()["code"]), (&"nearest swatch".into(), &"W-4".into()));
    let none = refused(at, &["book", "note", "coat", "--verdict", "accepted", "--swatch", "C-1"]);
    assert!(none.contains("no swatch \"C-1\"") && none.contains("W-4"), "{none}");
    let none = refused(at, &["book", "note", "coat", "--wanted", "23 -9 -5", "--swatch", "W-4"]);
    assert!(none.contains("--verdict"), "{none}");
}
