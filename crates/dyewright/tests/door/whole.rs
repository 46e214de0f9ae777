//! A whole costume at the door: what is written beside the page, what is handed out, what is told of sets
//! and days, and when something is to be decided.

use std::fs;

use crate::street::{SOUND, code, complained, dyewright, folder, json, names, put, said};

/// Two pieces, an unknown braid, a wig: with a set of two.
fn costume() -> String {
    let piece = |id: &str, cloth: &str, grams: u32, hex: &str| {
        format!(
            "\n[[piece]]\nid = \"{id}\"\ncloth = \"{cloth}\"\nweight_g = {grams}\ntarget = {{ hex = \
             \"{hex}\" }}\n"
        )
    };
    let wig = "\n[[fixed]]\nid = \"wig\"\nname = \"Grey wig\"\ncolour = { hex = \"#808890\" }\n";
    format!(
        "{SOUND}{}{}{}{wig}",
        piece("hood/back, left", "wool", 300, "#2f4f6a"),
        piece("band", "cotton", 40, "#2f4f6a"),
        piece("braid", "unknown", 20, "#a08040"),
    )
}

const WORDS: [&str; 4] = ["plan", "costume.toml", "--today", "2027-01-10"];
const FILES: [&str; 6] =
    ["cards.html", "days.csv", "days.ics", "plan.html", "plan.json", "shopping.csv"];

#[test]
fn five_files_and_a_sheet_for_each_piece_handed_out() {
    let folder = folder();
    put(folder.path(), "costume.toml", costume());
    let out = ["--hand-out", "hood/back, left", "--hand-out", "sash", "--hand-out", "sash"];
    let output = dyewright(folder.path(), &[&WORDS[..], &out].concat());
    assert_eq!(code(&output), 0, "{}", complained(&output));
    let sheets = ["hand-out.hood-back-left~2.html", "hand-out.sash.html"];
    let mut wanted: Vec<String> =
        FILES.iter().chain(&sheets).map(|ending| format!("costume.{ending}")).collect();
    wanted.push("costume.toml".to_owned());
    wanted.sort();
    assert_eq!(names(folder.path()), wanted);
    let told = said(&output);
    for name in wanted.iter().filter(|n| *n != "costume.toml") {
        assert!(told.contains(name.as_str()), "{name} is told");
        assert!(fs::metadata(folder.path().join(name)).unwrap().len() > 0);
    }
    let sheet = fs::read_to_string(folder.path().join("costume.hand-out.sash.html")).unwrap();
    assert!(sheet.trim_end().ends_with("</html>") && sheet.contains("cotton"));
    // the same day, the same bytes; every file is known for ours again
    let read = || -> Vec<Vec<u8>> {
        wanted.iter().map(|n| fs::read(folder.path().join(n)).unwrap()).collect()
    };
    let before = read();
    assert_eq!(code(&dyewright(folder.path(), &[&WORDS[..], &out].concat())), 0);
    assert!(read() == before, "planned again on the same day");
}

#[test]
fn a_piece_that_cannot_be_handed_out_is_refused_with_its_reason() {
    let folder = folder();
    put(folder.path(), "costume.toml", costume());
    for (piece, says) in [
        ("sach", "did you mean sash?"),
        ("zzz", "the pieces are sash, hood/back, left, band, braid"),
        ("wig", "never dyed"),
        ("braid", "no bath yet"),
        ("band", "lies in the bath of \"sash\""),
        ("", "no piece has that id"),
    ] {
        let output = dyewright(folder.path(), &[&WORDS[..], &["--hand-out", piece]].concat());
        assert_eq!(code(&output), 2, "{piece}");
        let unwrapped = complained(&output).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(unwrapped.contains(says), "{piece}: {unwrapped}");
        assert_eq!(names(folder.path()), ["costume.toml"], "{piece}: nothing is written");
    }
    let output =
        dyewright(folder.path(), &[&WORDS[..], &["--json", "--hand-out", "sash"]].concat());
    assert_eq!((code(&output), json(&output)["kind"].as_str()), (2, Some("refused")));
}

#[test]
fn over_no_file_that_is_not_ours_whatever_its_kind() {
    for ending in FILES.iter().chain(&["hand-out.sash.html"]) {
        let folder = folder();
        put(folder.path(), "costume.toml", SOUND);
        let words = [&WORDS[..], &["--hand-out", "sash"]].concat();
        let taken = format!("costume.{ending}");
        // another kind of ours is not this kind
        for theirs in
            ["my,own,table\r\n", "BEGIN:VCALENDAR\r\nPRODID:-//Mine//EN\r\n", "<title>mine</title>"]
        {
            put(folder.path(), &taken, theirs);
            let output = dyewright(folder.path(), &words);
            assert_eq!(code(&output), 2, "{ending}: {}", complained(&output));
            assert_eq!(fs::read_to_string(folder.path().join(&taken)).unwrap(), theirs);
            assert_eq!(names(folder.path()).len(), 2, "{ending}: nothing else is written");
        }
        fs::remove_file(folder.path().join(&taken)).unwrap();
        fs::create_dir(folder.path().join(&taken)).unwrap();
        let output = dyewright(folder.path(), &words);
        assert_eq!(code(&output), 2, "{ending}: a folder is in its place");
        assert_eq!(names(folder.path()).len(), 2);
    }
}

#[test]
fn a_set_that_does_not_hold_and_a_date_that_is_missed_are_to_be_decided() {
    let strict = |text: &str| {
        let folder = folder();
        put(folder.path(), "costume.toml", text);
        let output = dyewright(folder.path(), &[&WORDS[..], &["--strict"]].concat());
        (code(&output), said(&output).split_whitespace().collect::<Vec<_>>().join(" "))
    };
    assert_eq!(strict(SOUND).0, 0, "nothing is open");
    let wig = "\n[[fixed]]\nid = \"wig\"\nname = \"Red wig\"\ncolour = { hex = \"#b03030\" }\n";
    let matched = "\n[[match]]\nname = \"head\"\npieces = [\"sash\", \"wig\"]\n";
    let (ended, told) = strict(&format!("{SOUND}{wig}{matched}"));
    assert_eq!(ended, 1, "{told}");
    assert!(told.contains("What must match") && told.contains("Worst pair: "), "{told}");
    assert!(told.contains("Red wig: ") && told.contains("never dyed"), "{told}");
    let (ended, told) = strict(&SOUND.replace("\n\n[[piece]]", "\nday = 2027-01-10\n\n[[piece]]"));
    assert_eq!(ended, 1, "{told}");
    assert!(told.contains("The days"), "{told}");
}

#[test]
fn what_is_told_keeps_to_eighty_columns_and_says_the_days() {
    let folder = folder();
    put(folder.path(), "costume.toml", costume());
    let output = dyewright(folder.path(), &WORDS);
    let told = said(&output);
    for line in told.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let at = |title: &str| told.find(title).unwrap_or_else(|| panic!("{title}: {told}"));
    let order =
        ["The days", "The money", "What needs your attention", "What to do next", "Written:"];
    assert!(order.windows(2).all(|two| at(two[0]) < at(two[1])));
    assert!(told.contains("band: dark dull blue, L* 33, in the bath of sash"), "{told}");
}
