//! Swatches and the workbook from outside: recorded, found, undone, packed, and refused.

use std::fs;

use insta::assert_snapshot;

use crate::street::{
    SHELF, SOUND, answered, code, dyewright, folder, json, put, refused, said, workspace,
};

fn example() -> String {
    workspace().join("examples/lantern-warden/swatches.toml").display().to_string()
}

#[test]
fn the_example_is_recorded_once_listed_found_and_told_again() {
    let folder = folder();
    let at = folder.path();
    let first = answered(at, &["swatch", "record", &example()]);
    assert_eq!((first["begun"].as_bool(), first["swatches"].as_u64()), (Some(true), Some(11)));
    assert_eq!((first["readings"].as_u64(), first["unfinished"].as_u64()), (Some(12), Some(1)));
    let bytes = fs::read(at.join("workbook.sqlite")).unwrap();
    let again = answered(at, &["swatch", "record", &example()]);
    assert_eq!((again["swatches"].as_u64(), again["already"].as_u64()), (Some(0), Some(11)));
    assert!(fs::read(at.join("workbook.sqlite")).unwrap() == bytes, "nothing was written");

    let list = answered(at, &["swatch", "list"]);
    let swatches = list["swatches"].as_array().unwrap();
    assert_eq!(swatches.len(), 11);
    // 2 mL of a 1 % stock on 2 g: 1 % owf; its lot is the shelf's.
    assert_eq!(swatches[0]["doses"][0]["owf_pct"], 1.0);
    assert_eq!(swatches[0]["doses"][0]["lot"], "N-7");
    assert_eq!(swatches[10]["doses"][0]["lot"], "N-8");
    assert_eq!(swatches[8]["whose"], "a friend's: Berit");

    let found = answered(at, &["book", "find", "25.5 -11 -7", "--within", "3"]);
    assert_eq!(found["found"][0]["swatch"]["code"], "W-3", "{found:#}");
    assert!(found["found"].as_array().unwrap().iter().all(|f| f["reading"]["finished"] == true));
    let coat = answered(at, &["book", "record", "coat"]);
    assert_eq!(coat["swatches"].as_array().unwrap().len(), 5);
    assert!(coat["dyes"][0].as_str().unwrap().contains("lot N-7, N-8"), "{coat:#}");
    assert_snapshot!(said(&dyewright(at, &["book", "record", "sash"])));
    let all = said(&dyewright(at, &["swatch", "list"]));
    let run_on = unwrapped(&all);
    assert!(run_on.contains("nothing is learnt from it"), "{all}");
    assert!(run_on.contains("on a look-alike cloth"), "{all}");
    assert!(all.lines().all(|l| l.chars().count() <= 80), "{all}");
}

#[test]
fn what_is_undone_is_gone_from_answers_and_stays_in_the_history() {
    let folder = folder();
    let at = folder.path();
    answered(at, &["swatch", "record", &example(), "--who", "Ada"]);
    let history = answered(at, &["book", "history", "--last", "200"]);
    let events = history["events"].as_array().unwrap();
    assert!(events.iter().all(|e| e["who"] == "Ada"));
    let swatch = events.iter().find(|e| e["kind"] == "swatch").unwrap()["entry"].to_string();
    let said_no = refused(at, &["book", "undo", &swatch]);
    assert!(said_no.contains("rests on it"), "{said_no}");

    let undone = answered(at, &["book", "undo"]);
    assert_eq!(
        answered(at, &["swatch", "list"])["swatches"][10]["readings"],
        serde_json::json!([])
    );
    let by = undone["entry"].to_string();
    answered(at, &["book", "undo", &by]);
    let list = answered(at, &["swatch", "list"]);
    assert_eq!(list["swatches"][10]["readings"].as_array().unwrap().len(), 1);
    let after = answered(at, &["book", "history", "--last", "200"]);
    assert_eq!(after["events"].as_array().unwrap().len(), events.len() + 2);
}

#[test]
fn undoing_twice_goes_two_steps_back_and_the_history_names_what_it_lists() {
    let folder = folder();
    let at = folder.path();
    answered(at, &["swatch", "record", &example()]);
    let first = answered(at, &["book", "undo"]);
    let second = answered(at, &["book", "undo"]);
    assert!(second["about"].as_i64() < first["about"].as_i64(), "{first:#} {second:#}");
    assert!(second.get("restores").is_none(), "{second:#}");
    let by = second["entry"].to_string();
    let back = answered(at, &["book", "undo", &by]);
    assert_eq!(back["restores"], second["about"]);
    let again = back["entry"].to_string();
    answered(at, &["book", "undo", &again]);
    let history = answered(at, &["book", "history", "--last", "200"]);
    for event in history["events"].as_array().unwrap() {
        assert!(event["name"].as_str().is_some_and(|name| !name.is_empty()), "{event:#}");
    }
    assert!(said(&dyewright(at, &["book", "history"])).contains("reading of swatch W-"));
}

#[test]
fn a_reading_that_cannot_be_is_recorded_and_doubted() {
    let folder = folder();
    let at = folder.path();
    let of = |l: u32| {
        format!(
            "[[swatch]]\ncode = \"N{l}\"\ncloth = \"wool\"\nweight_g = 2\n\
             dose = [{{ dye = \"acid-navy\", owf_pct = 1 }}]\n\
             reading = [{{ colour = {{ lab = [{l}, 0, -10] }} }}]\n"
        )
    };
    put(at, "sound.toml", of(25));
    put(at, "odd.toml", of(97));
    assert_eq!(answered(at, &["swatch", "record", "sound.toml"])["doubts"], serde_json::json!([]));
    let odd = answered(at, &["swatch", "record", "odd.toml"]);
    assert_eq!((odd["readings"].as_u64(), odd["doubts"].as_array().unwrap().len()), (Some(1), 1));
    assert!(odd["doubts"][0].as_str().unwrap().contains("lighter than the undyed cloth"));
}

#[test]
fn a_workbook_goes_into_an_archive_and_comes_out_elsewhere() {
    let folder = folder();
    let at = folder.path();
    answered(at, &["swatch", "record", &example()]);
    answered(at, &["book", "pack", "all.tar"]);
    answered(at, &["book", "unpack", "all.tar", "--book", "other.sqlite"]);
    let list = |book: &str| answered(at, &["swatch", "list", "--book", book])["swatches"].clone();
    assert_eq!(list("other.sqlite"), list("workbook.sqlite"));
    assert_eq!(answered(at, &["book", "check", "other.sqlite"])["clean"], true);
    assert!(refused(at, &["book", "pack", "all.tar"]).contains("is there already"));
    assert!(refused(at, &["book", "unpack", "all.tar"]).contains("is there already"));
}

#[test]
fn a_damaged_workbook_ends_with_2_and_says_what_is_wrong() {
    let folder = folder();
    let at = folder.path();
    answered(at, &["swatch", "record", &example()]);
    let path = at.join("workbook.sqlite");
    let mut bytes = fs::read(&path).unwrap();
    let text = b"Still wet.";
    let place = bytes.windows(text.len()).position(|w| w == text).unwrap();
    bytes[place] = b'K';
    fs::write(&path, bytes).unwrap();
    let output = dyewright(at, &["book", "check"]);
    assert_eq!(code(&output), 2);
    let told = unwrapped(&said(&output));
    assert!(told.contains("is damaged") && told.contains("its seal does not fit"), "{told}");
    let output = dyewright(at, &["book", "check", "--json"]);
    assert_eq!((code(&output), json(&output)["clean"].as_bool()), (2, Some(false)));
}

#[test]
fn all_faults_of_a_file_of_swatches_at_once_each_at_its_place() {
    let folder = folder();
    let at = folder.path();
    put(at, "shelf.toml", SHELF);
    put(
        at,
        "swatches.toml",
        r##"shelf = "shelf.toml"

[all]
cloth = "coton"
liquor_ratio = 20

[[swatch]]
code = "A"
weight_g = -2
dose = [{ dye = "blue-2", owf_pct = 1 }]
reading = [{ colour = { lab = [140, 0, 0] }, spread = -1, dry = "yes", nap = "up" }]

[[swatch]]
code = "A"
cloth = "cotton"
weight_g = 2
programme = "acid-milling"
piece = "sash"
dose = [{ dye = "blue-1", owf_pct = 1, grams = 2 }, { auxiliary = "slat", grams = 1 }]
reading = [{ hex = "#808080" }]

[[swatch]]
code = "B"
cloth = "unknown"
weight_g = 2
wieght_g = 3
dose = [{ dye = "blue-1", stock_ml = 2 }]
friend = "Bo"
old_note = "page 3"
"##,
    );
    assert_snapshot!(refused(at, &["swatch", "record", "swatches.toml"]));
}

#[test]
fn a_swatch_that_is_there_otherwise_is_refused_and_the_rest_with_it() {
    let folder = folder();
    let at = folder.path();
    let of = |owf: &str, more: &str| {
        format!(
            "[[swatch]]\ncode = \"A\"\ncloth = \"cotton\"\nweight_g = 2\n\
             dose = [{{ dye = \"reactive-blue\", owf_pct = {owf} }}]\n{more}"
        )
    };
    put(at, "one.toml", of("1", ""));
    answered(at, &["swatch", "record", "one.toml"]);
    let new = "\n[[swatch]]\ncode = \"B\"\ncloth = \"cotton\"\nweight_g = 2\n\
               dose = [{ dye = \"reactive-blue\", owf_pct = 2 }]\n";
    put(at, "two.toml", of("1.5", new));
    let told = refused(at, &["swatch", "record", "two.toml"]);
    assert!(told.contains("swatch \"A\" is in the workbook otherwise"), "{told}");
    assert!(told.contains("two.toml:1:1"), "{told}");
    assert_eq!(answered(at, &["swatch", "list"])["swatches"].as_array().unwrap().len(), 1);
    // A reading made since is added to the swatch that is there.
    put(at, "three.toml", of("1.0", "reading = [{ colour = { lab = [40, 0, -30] } }]\n"));
    let more = answered(at, &["swatch", "record", "three.toml"]);
    assert_eq!((more["swatches"].as_u64(), more["readings"].as_u64()), (Some(0), Some(1)));
}

#[test]
fn what_is_no_workbook_and_what_is_not_in_it() {
    let folder = folder();
    let at = folder.path();
    put(at, "notes.txt", "one two three");
    put(at, "empty.sqlite", "");
    put(at, "bad.toml", "[[swatch]]\n");
    let mut all = String::new();
    for words in [
        &["book", "check"][..],
        &["book", "check", "notes.txt"],
        &["book", "check", "empty.sqlite"],
        &["book", "history", "--book", "notes.txt"],
        &["book", "undo", "--book", "none.sqlite"],
        &["book", "pack", "a.tar", "--book", "none.sqlite"],
        &["book", "unpack", "notes.txt"],
        &["book", "unpack", "none.tar"],
        &["swatch", "list", "--book", "."],
        &["swatch", "record", "bad.toml"],
        &["plan", "bad.toml", "--book", "notes.txt"],
    ] {
        all += &format!("$ {}\n{}\n", words.join(" "), refused(at, words));
    }
    answered(at, &["swatch", "record", &example()]);
    for words in [
        &["book", "find", "#2f6f5"][..],
        &["book", "find", "#2f6f5a", "--within", "0"],
        &["book", "record", "cot"],
        &["book", "undo", "999"],
    ] {
        all += &format!("$ {}\n{}\n", words.join(" "), refused(at, words));
    }
    assert_snapshot!(all);
}

#[test]
fn a_plan_reads_the_workbook_beside_it_or_the_one_named_and_never_writes_it() {
    let folder = folder();
    let at = folder.path();
    put(at, "costume.toml", SOUND);
    let plain = dyewright(at, &["plan", "costume.toml", "--today", "2027-01-10"]);
    assert_eq!(code(&plain), 0);
    assert!(!said(&plain).contains("workbook"));
    answered(at, &["swatch", "record", &example()]);
    let before = fs::read(at.join("workbook.sqlite")).unwrap();
    let beside = dyewright(at, &["plan", "costume.toml", "--today", "2027-01-10"]);
    assert!(said(&beside).contains("workbook.sqlite was read"), "{}", said(&beside));
    assert!(fs::read(at.join("workbook.sqlite")).unwrap() == before);

    // One beside the file that cannot be used is said; one that was named is refused.
    put(at, "workbook.sqlite", "not a workbook");
    let without = dyewright(at, &["plan", "costume.toml", "--today", "2027-01-10"]);
    assert_eq!(code(&without), 0);
    assert!(said(&without).contains("was not used"), "{}", said(&without));
    let named = ["plan", "costume.toml", "--today", "2027-01-10", "--book", "workbook.sqlite"];
    assert!(refused(at, &named).contains("another kind of file"));
}

/// Text as it was before it was wrapped to the terminal.
fn unwrapped(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
