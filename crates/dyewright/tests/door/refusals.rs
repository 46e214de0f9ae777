//! Bad input: what is said, with its place and hint, all of it at once; exit code 2; nothing written.

use insta::assert_snapshot;

use crate::street::{SHELF, SOUND, code, complained, dyewright, folder, json, names, put, said};

/// Plans a costume text that must be refused; gives what was said.
fn refused_costume(text: &str) -> String {
    let folder = folder();
    put(folder.path(), "costume.toml", text);
    let output = dyewright(folder.path(), &["plan", "costume.toml", "--today", "2027-01-10"]);
    assert_eq!(code(&output), 2, "{}", complained(&output));
    assert_eq!(said(&output), "", "a refusal is no answer");
    assert_eq!(names(folder.path()), ["costume.toml"], "nothing may be written");
    columns_kept(&complained(&output));
    complained(&output)
}

/// Words that must be refused; gives what was said.
fn refused(words: &[&str]) -> String {
    let folder = folder();
    let output = dyewright(folder.path(), words);
    assert_eq!(code(&output), 2, "{}{}", said(&output), complained(&output));
    assert_eq!(said(&output), "");
    assert!(names(folder.path()).is_empty(), "nothing may be written");
    columns_kept(&complained(&output));
    complained(&output)
}

/// No line of prose beyond 80 columns; a line of the file that is pointed at stays whole.
fn columns_kept(text: &str) {
    for line in text.lines().filter(|l| !l.contains('|')) {
        assert!(line.chars().count() <= 80, "{} columns: {line}", line.chars().count());
    }
}

#[test]
fn all_faults_of_a_costume_at_once_each_at_its_place() {
    assert_snapshot!(refused_costume(
        r##"[costume]
name = "The Ferryman"
day = "next week"
hue = "red"

[[piece]]
id = "sash"
cloth = "coton"
weight_g = -120
target = { hex = "#2f4f6" }

[[piece]]
id = "sash"
cloth = { cotton = 65, polyester = 30 }
weight_g = nan
target = { lab = [120.0, 0.0, 0.0] }

[[piece]]
id = "hat"
cloth = "wool"
weight_g = 40
wieght_kg = 2
target = { lab = [50.0, 0.0, 0.0], hex = "#808080" }
"##
    ));
}

#[test]
fn a_fibre_nobody_knows_is_answered_with_near_ones() {
    let said = refused_costume(&SOUND.replace("\"cotton\"", "\"polyster\""));
    assert!(said.contains("polyster") && said.contains("did you mean polyester"), "{said}");
    assert!(said.contains("costume.toml:6:9"), "line and column: {said}");
}

#[test]
fn a_blend_makes_a_hundred_give_or_take_a_half() {
    let blend = |b: &str| SOUND.replace("\"cotton\"", b);
    let said = refused_costume(&blend("{ cotton = 65, polyester = 30 }"));
    assert!(said.contains("adds up to 95 %") && said.contains("100 %"), "{said}");
    refused_costume(&blend("{ cotton = 65, polyester = -35 }"));
    refused_costume(&blend("{ cotton = 65, cotton = 35 }"));
    refused_costume(&blend("{ cotton = nan }"));
    refused_costume(&blend("{ }"));
}

#[test]
fn a_weight_is_a_number_above_nothing() {
    for weight in ["-120", "nan", "inf", "0", "0.2", "\"heavy\"", "1e300", "[1]"] {
        let said = refused_costume(&SOUND.replace("= 120", &format!("= {weight}")));
        assert!(said.contains("costume.toml:7:") || said.contains("costume.toml:4:"), "{said}");
    }
    let half = SOUND.replace("weight_g = 120", "length_m = 2\nwidth_cm = 140");
    assert!(refused_costume(&half).contains("half given"));
}

#[test]
fn a_target_outside_lab_or_given_twice_is_refused() {
    let target = |t: &str| SOUND.replace("{ hex = \"#2f4f6a\" }", t);
    // up to 105 is a white with brightener (colour::Lab)
    for lab in ["[106, 0, 0]", "[-1, 0, 0]", "[50, 400, 0]", "[50, nan, 0]", "[50, 0]", "50"] {
        let said = refused_costume(&target(&format!("{{ lab = {lab} }}")));
        assert!(said.contains("costume.toml:8:"), "{said}");
    }
    refused_costume(&target("{ hex = \"blue\" }"));
    refused_costume(&target("{ }"));
    let said = refused_costume(&target("{ file = \"coat.csv\" }"));
    assert!(said.contains("there is no file coat.csv"), "{said}");
}

#[test]
fn a_costume_without_pieces_or_with_the_same_one_twice() {
    assert_snapshot!(refused_costume("[costume]\nname = \"The Ferryman\"\n"));
    let one = SOUND.split_once("[[piece]]").unwrap().1;
    let said = refused_costume(&format!("{SOUND}\n[[piece]]{one}"));
    assert!(said.contains("two pieces are called \"sash\""), "{said}");
    assert!(said.contains("costume.toml:11:"), "the second is pointed at: {said}");
}

#[test]
fn an_empty_text_broken_toml_and_unknown_keys() {
    assert!(refused_costume("").contains("[costume] is missing"));
    assert!(refused_costume("[costume\nname = 3").contains("costume.toml:1:"));
    let said = refused_costume(&SOUND.replace("weight_g", "wieght_g"));
    assert!(said.contains("did you mean `weight_g`?"), "{said}");
    let said = refused_costume(&format!("{SOUND}\n[kitchn]\nscale_g = 0.1\n"));
    assert!(said.contains("kitchn"), "{said}");
}

#[test]
fn a_file_that_is_not_there_a_folder_a_binary_and_ten_megabytes() {
    let folder = folder();
    std::fs::create_dir(folder.path().join("costumes")).unwrap();
    put(folder.path(), "costume.toml", SOUND);
    put(folder.path(), "photo.toml", [0x89, b'P', b'N', b'G', 0xff, 0x00]);
    put(folder.path(), "large.toml", vec![b'#'; 10 * 1024 * 1024]);
    put(folder.path(), "middling.toml", vec![b'#'; 2 * 1024 * 1024]);
    let before = names(folder.path());
    let mut all = String::new();
    for name in ["costum.toml", "costumes", "photo.toml", "large.toml", "middling.toml"] {
        let output = dyewright(folder.path(), &["plan", name]);
        assert_eq!(code(&output), 2, "{name}: {}", complained(&output));
        columns_kept(&complained(&output));
        all.push_str(&complained(&output));
        all.push('\n');
    }
    assert_eq!(names(folder.path()), before, "nothing may be written");
    assert_snapshot!(all);
}

#[test]
fn a_shelf_that_is_empty_missing_or_faulty() {
    let folder = folder();
    put(folder.path(), "costume.toml", SOUND);
    put(folder.path(), "empty.toml", "");
    put(
        folder.path(),
        "faulty.toml",
        "[[dye]]\nid = \"a\"\nlike = \"reactive-blu\"\ngrams = -3\n\n[[dye]]\nid = \"a\"\nlike = \
         \"acid-navy\"\npack_price = 3\n",
    );
    let mut all = String::new();
    for shelf in ["empty.toml", "none.toml", "faulty.toml"] {
        let output = dyewright(folder.path(), &["plan", "costume.toml", "--shelf", shelf]);
        assert_eq!(code(&output), 2);
        all.push_str(&complained(&output));
        all.push('\n');
    }
    assert_eq!(names(folder.path()).len(), 3, "nothing may be written");
    assert_snapshot!(all);
}

#[test]
fn every_wrong_argument_at_once_pointed_at_as_typed() {
    assert_snapshot!(refused(&[
        "propose",
        "--cloth",
        "cottn",
        "--colour",
        "#12",
        "--weight",
        "-5g",
        "--seen-from",
        "moon",
        "--lights",
        "daylight,garden",
    ]));
}

#[test]
fn arguments_are_as_strict_as_a_file() {
    for (cloth, colour, weight) in [
        ("60 cotton, 30 polyester", "#2f6f5a", "250g"),
        ("cotton, polyester", "#2f6f5a", "250g"),
        ("cotton", "120 0 0", "250g"),
        ("cotton", "nan 0 0", "250g"),
        ("cotton", "#2f6f5a", "nang"),
        ("cotton", "#2f6f5a", "0"),
        ("cotton", "#2f6f5a", "infkg"),
        ("cotton", "missing.csv", "250g"),
        ("", "#2f6f5a", "250g"),
    ] {
        refused(&["propose", "--cloth", cloth, "--colour", colour, "--weight", weight]);
    }
    let said = refused(&["propose", "--cloth", "cotton", "--colour", "#2f6f5a", "--have", "vat"]);
    assert!(said.contains("vat"), "{said}");
}

#[test]
fn a_dye_of_the_wrong_class_and_two_that_do_not_share_a_bath() {
    assert_snapshot!(refused(&["predict", "--cloth", "wool", "--dye", "disperse-blue=1"]));
    assert_snapshot!(refused(&[
        "predict",
        "--cloth",
        "cotton",
        "--dye",
        "reactive-blue=1",
        "--dye",
        "acid-navy=1",
    ]));
    // hard stop: alkali ruins wool; the acid route is another bath, and cotton has none
    let hot = refused(&["predict", "--cloth", "polypropylene", "--dye", "disperse-blue=1"]);
    assert!(hot.contains("polypropylene") || hot.contains("olefin"), "{hot}");
}

#[test]
fn doses_that_are_none() {
    for dose in [
        "reactive-blue",
        "reactive-blue=",
        "reactive-blue=-1",
        "reactive-blue=nan",
        "reactive-blue=900",
        "no-such-blue=1",
    ] {
        refused(&["predict", "--cloth", "cotton", "--dye", dose]);
    }
    let deep = refused(&["predict", "--cloth", "cotton", "--dye", "reactive-blue=200"]);
    assert!(deep.contains("200 % on weight of fibre is no dyeing"), "{deep}");
    let said = refused(&["predict", "--cloth", "cotton", "--dye", "reactive-blu=1"]);
    assert!(said.contains("reactive-blue"), "near ones suggested: {said}");
    refused(&["predict", "--cloth", "cotton", "--dye", "reactive-blue=1", "--ratio", "nan"]);
    refused(&["predict", "--cloth", "cotton", "--dye", "reactive-blue=1", "--ratio", "-4"]);
    let said = refused(&["predict", "--cloth", "unknown", "--dye", "reactive-blue=1"]);
    assert!(said.contains("identify"), "{said}");
}

#[test]
fn readings_that_cannot_be_compared() {
    for (one, two) in [("#12", "50 0 0"), ("50 0", "50 0 0"), ("50 0 0", "none.csv:coat")] {
        refused(&["compare", one, two]);
    }
    let folder = folder();
    put(folder.path(), "bad.csv", "sample,400,500,600,700\ncoat,0.1,much,0.3,0.4\n");
    let output = dyewright(folder.path(), &["compare", "bad.csv", "50 0 0"]);
    assert_eq!(code(&output), 2);
    assert!(complained(&output).contains("much"), "{}", complained(&output));
}

#[test]
fn tests_that_are_none_and_one_told_twice() {
    for seen in [["identify", "flame=explodes"], ["identify", "taste=sweet"], ["identify", "melts"]]
    {
        refused(&seen);
    }
    refused(&["identify", "flame=melts", "flame=curls"]);
}

#[test]
fn words_the_program_does_not_know_end_with_two() {
    for words in [&["plam", "x.toml"][..], &["plan"], &["propose", "--cloth", "cotton"], &[]] {
        let folder = folder();
        assert_eq!(code(&dyewright(folder.path(), words)), 2, "{words:?}");
    }
}

#[test]
fn a_refusal_asked_for_as_json_is_json() {
    let folder = folder();
    put(folder.path(), "costume.toml", SOUND.replace("cotton", "coton"));
    let output = dyewright(folder.path(), &["plan", "costume.toml", "--json"]);
    assert_eq!(code(&output), 2);
    let answer = json(&output);
    assert_eq!(answer["dyewright"], "refusal");
    assert_eq!(
        (answer["faults"][0]["line"].as_u64(), answer["faults"][0]["column"].as_u64()),
        (Some(6), Some(9))
    );
    let output = dyewright(folder.path(), &["plan", "none.toml", "--json"]);
    assert_eq!((code(&output), json(&output)["kind"].as_str()), (2, Some("refused")));
}

#[test]
fn what_is_blocked_is_refused_wherever_the_shelf_is_read() {
    let folder = folder();
    put(folder.path(), "costume.toml", SOUND);
    let blocked =
        SHELF.replace("id = \"blue-1\"", "id = \"blue-1\"\nname = \"C.I. Direct Black 38\"");
    put(folder.path(), "shelf.toml", blocked);
    for words in [
        &["shelf", "check", "shelf.toml"][..],
        &["plan", "costume.toml", "--shelf", "shelf.toml"],
        &["shelf", "list", "--shelf", "shelf.toml"],
    ] {
        let output = dyewright(folder.path(), words);
        assert_eq!(code(&output), 2, "{words:?}: {}", said(&output));
        assert!(complained(&output).contains("benzidine"), "{}", complained(&output));
    }
}
