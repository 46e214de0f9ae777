//! What is written, and what is left alone: whole files or none.

use std::fs;

use crate::street::{SHELF, SOUND, code, complained, dyewright, folder, json, names, put, said};

#[test]
fn a_plan_is_six_files_and_nothing_else() {
    let folder = folder();
    put(folder.path(), "costume.toml", SOUND);
    let output = dyewright(folder.path(), &["plan", "costume.toml", "--today", "2027-01-10"]);
    assert_eq!(code(&output), 0, "{}", complained(&output));
    assert_eq!(
        names(folder.path()),
        [
            "costume.cards.html",
            "costume.days.csv",
            "costume.days.ics",
            "costume.plan.html",
            "costume.plan.json",
            "costume.shopping.csv",
            "costume.toml"
        ],
        "no temporary file may be left"
    );
    let page = fs::read_to_string(folder.path().join("costume.plan.html")).unwrap();
    assert!(page.trim_end().ends_with("</html>"), "whole");
    let text = fs::read_to_string(folder.path().join("costume.plan.json")).unwrap();
    let plan: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(plan["dyewright"], "plan");
    assert!(said(&output).contains("costume.plan.html"));
}

#[test]
fn planning_again_gives_the_same_bytes_and_replaces_its_own_files() {
    let folder = folder();
    put(folder.path(), "costume.toml", SOUND);
    let words = ["plan", "costume.toml", "--today", "2027-01-10"];
    let mut last = None;
    for _ in 0..2 {
        assert_eq!(code(&dyewright(folder.path(), &words)), 0);
        let now = fs::read(folder.path().join("costume.plan.json")).unwrap();
        assert!(last.replace(now.clone()).is_none_or(|before| before == now));
    }
}

#[test]
fn a_plan_that_cannot_be_written_leaves_what_was_there() {
    let folder = folder();
    put(folder.path(), "costume.toml", SOUND);
    assert_eq!(code(&dyewright(folder.path(), &["plan", "costume.toml"])), 0);
    let page = folder.path().join("costume.plan.html");
    let before = fs::read(&page).unwrap();
    // the place of the second file is taken by a folder: neither file may change
    fs::remove_file(folder.path().join("costume.plan.json")).unwrap();
    fs::create_dir(folder.path().join("costume.plan.json")).unwrap();
    let stood = names(folder.path());
    put(folder.path(), "costume.toml", SOUND.replace("= 120", "= 480"));
    let output = dyewright(folder.path(), &["plan", "costume.toml"]);
    assert!([2, 3].contains(&code(&output)), "{}", complained(&output));
    assert_eq!(fs::read(&page).unwrap(), before, "the page of the last plan stays");
    assert_eq!(names(folder.path()), stood, "no temporary file may be left");
}

#[test]
fn a_place_that_is_no_folder_is_broken_and_says_so() {
    let folder = folder();
    put(folder.path(), "costume.toml", SOUND);
    put(folder.path(), "taken", "a file");
    let output = dyewright(folder.path(), &["plan", "costume.toml", "--out", "taken/plans"]);
    assert_eq!(code(&output), 3, "{}", complained(&output));
    assert!(complained(&output).starts_with("broken:"), "{}", complained(&output));
    assert_eq!(names(folder.path()), ["costume.toml", "taken"]);
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_into_is_broken_and_says_so() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = folder();
    put(folder.path(), "costume.toml", SOUND);
    let out = folder.path().join("out");
    fs::create_dir(&out).unwrap();
    fs::set_permissions(&out, fs::Permissions::from_mode(0o555)).unwrap();
    if fs::write(out.join("probe"), "x").is_ok() {
        // the superuser writes where nobody else may
        println!("skipped: this user writes into read-only folders");
        return;
    }
    let output = dyewright(folder.path(), &["plan", "costume.toml", "--out", "out"]);
    assert_eq!(code(&output), 3, "{}", complained(&output));
    assert!(names(&out).is_empty());
}

#[test]
fn a_file_that_is_not_ours_is_not_written_over() {
    let folder = folder();
    put(folder.path(), "costume.toml", SOUND);
    put(folder.path(), "costume.plan.json", "{\"my own\": \"notes\"}");
    let output = dyewright(folder.path(), &["plan", "costume.toml"]);
    assert_eq!(code(&output), 2, "{}", complained(&output));
    assert_eq!(names(folder.path()), ["costume.plan.json", "costume.toml"]);
    let kept = fs::read_to_string(folder.path().join("costume.plan.json")).unwrap();
    assert_eq!(kept, "{\"my own\": \"notes\"}");
}

#[test]
fn with_json_a_plan_writes_no_file() {
    let folder = folder();
    put(folder.path(), "costume.toml", SOUND);
    let output = dyewright(folder.path(), &["plan", "costume.toml", "--json"]);
    assert_eq!((code(&output), json(&output)["pieces"][0]["id"].as_str()), (0, Some("sash")));
    assert_eq!(names(folder.path()), ["costume.toml"]);
}

/// A dye is added between what stands there; every line that was there is still there, in order.
#[test]
fn adding_to_a_shelf_keeps_every_line() {
    let folder = folder();
    put(folder.path(), "shelf.toml", SHELF);
    let words = [
        "shelf",
        "add",
        "shelf.toml",
        "red-1",
        "--like",
        "reactive-bluish-red",
        "--grams",
        "25",
        "--pack-g",
        "20",
        "--pack-price",
        "4.5",
        "--lot",
        "R-3",
        "--opened",
        "2026-11-02",
    ];
    let output = dyewright(folder.path(), &words);
    assert_eq!(code(&output), 0, "{}", complained(&output));
    let after = fs::read_to_string(folder.path().join("shelf.toml")).unwrap();
    let mut left = after.lines();
    for line in SHELF.lines() {
        assert!(left.any(|l| l == line), "lost or moved: {line}\n{after}");
    }
    let seen =
        json(&dyewright(folder.path(), &["shelf", "list", "--shelf", "shelf.toml", "--json"]));
    let ids: Vec<&str> =
        seen["dyes"].as_array().unwrap().iter().filter_map(|d| d["id"].as_str()).collect();
    assert_eq!(ids, ["blue-1", "red-1"]);
    assert_eq!(seen["dyes"][1]["price_per_g"].as_f64(), Some(0.225), "4.50 for 20 g");
    assert_eq!(names(folder.path()), ["shelf.toml"]);
    // the same again is a second dye of one name
    let output = dyewright(folder.path(), &words);
    assert_eq!(code(&output), 2);
    assert!(complained(&output).contains("red-1"), "{}", complained(&output));
    assert_eq!(fs::read_to_string(folder.path().join("shelf.toml")).unwrap(), after);
}

#[test]
fn what_would_make_a_faulty_shelf_is_not_written() {
    let folder = folder();
    put(folder.path(), "shelf.toml", SHELF);
    for wrong in [
        &["--like", "no-such-dye"][..],
        &["--like", "acid-navy", "--grams", "-4"],
        &["--like", "acid-navy", "--grams", "nan"],
        &["--like", "acid-navy", "--pack-price", "4"],
        &["--like", "acid-navy", "--opened", "yesterday"],
        &["--like", "acid-navy", "--name", "Direct Black 38"],
    ] {
        let words: Vec<&str> = ["shelf", "add", "shelf.toml", "new-1"]
            .into_iter()
            .chain(wrong.iter().copied())
            .collect();
        let output = dyewright(folder.path(), &words);
        assert_eq!(code(&output), 2, "{wrong:?}: {}", said(&output));
        assert_eq!(
            fs::read_to_string(folder.path().join("shelf.toml")).unwrap(),
            SHELF,
            "{wrong:?}"
        );
    }
    assert_eq!(names(folder.path()), ["shelf.toml"]);
}
