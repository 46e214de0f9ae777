//! Pieces dyed whole, recorded; names and codes with a slip in them; workbooks begun by two at once, and left half begun.

use std::fs;
use std::path::Path;

use crate::street::{
    answered, code, complained, dyewright, folder, json, names, put, refused, said, workspace,
};

const WHOLE: &str = r#"
[all]
costume = "The Lantern Warden"
cloth = "felted wool"
undyed = "natural"
liquor_ratio = 30
programme = "acid-milling"

[[bath]]
piece = "coat"
day = 2027-02-13
weight_g = 640
minutes = 60
hottest_c = 95
from_swatch = "w-4"
dose = [
    { dye = "acid-turquoise", grams = 7.1, measured = "0.1 g scale" },
    { dye = "acid-navy", grams = 3.9 },
    { dye = "acid-golden", grams = 2.2 },
    { auxiliary = "citric-acid", grams = 19 },
]
note = "A little more turquoise than the swatch."
[[bath.reading]]
colour = { lab = [22.6, -9.6, -5.9] }
spread = 1
washed_off = true
dry = true
"#;

fn example(at: &Path) {
    let swatches = workspace().join("examples/lantern-warden/swatches.toml").display().to_string();
    answered(at, &["swatch", "record", &swatches]);
}

fn unwrapped(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_piece_dyed_whole_is_recorded_told_as_dosed_and_teaches() {
    let folder = folder();
    let at = folder.path();
    example(at);
    put(at, "dyed.toml", WHOLE);
    let made = answered(at, &["swatch", "record", "dyed.toml"]);
    assert_eq!((made["baths"].as_u64(), made["swatches"].as_u64()), (Some(1), Some(0)), "{made:#}");
    assert!(made["meant"][0].as_str().unwrap().contains("W-4"), "{made:#}");
    // Told again it is there; told otherwise it is refused, and a further bath is a further bath.
    assert_eq!(answered(at, &["swatch", "record", "dyed.toml"])["already"], 1);
    put(at, "other.toml", WHOLE.replace("grams = 3.9", "grams = 4.9"));
    let said_no = unwrapped(&refused(at, &["swatch", "record", "other.toml"]));
    assert!(said_no.contains("otherwise") && said_no.contains("top up"), "{said_no}");

    let coat = answered(at, &["book", "record", "coat"]);
    assert_eq!(coat["from"]["what"], "dyed piece", "{coat:#}");
    assert_eq!(coat["dry_g"], 640.0);
    let bath = &coat["baths"][0];
    assert_eq!((&bath["minutes"], &bath["hottest_c"]), (&60.0.into(), &95.0.into()));
    assert_eq!(bath["doses"][1]["amount"], "3.9 g");
    assert_eq!(bath["from_swatch"], "W-4");
    let again = coat["again"].to_string();
    assert!(again.contains("60 min, 95 °C at the hottest"), "{again}");
    assert!(again.contains("0.609 g of acid-navy"), "3.9 g on 640 g: {again}");
    assert!(!coat["missing"].to_string().contains("No bath"), "{coat:#}");
    answered(at, &["book", "record", "coat", "--page", "coat.html"]);
    let page = fs::read_to_string(at.join("coat.html")).unwrap();
    assert!(
        page.contains("95\u{a0}°C at the hottest") && page.contains("As dyed"),
        "the page tells it"
    );

    // It teaches, and by it the piece is judged.
    let costume = workspace().join("examples/lantern-warden/costume.toml").display().to_string();
    let book = ["--book", "workbook.sqlite", "--today", "2027-02-14"];
    let told = answered(at, &[&["correct", &costume, "coat", "--dyed"][..], &book].concat());
    assert_eq!(told["swatch"], "coat dyed 2027-02-13", "{told:#}");
    assert!(told["notes"].to_string().contains("1 piece dyed whole"), "{told:#}");
    assert_eq!(answered(at, &["book", "check"])["clean"], true);
    answered(at, &["book", "pack", "all.tar"]);
    answered(at, &["book", "unpack", "all.tar", "--book", "other.sqlite"]);
    let elsewhere = answered(at, &["book", "record", "coat", "--book", "other.sqlite"]);
    assert_eq!(elsewhere["baths"], coat["baths"]);
}

#[test]
fn a_piece_dyed_whole_is_recorded_from_the_command_line() {
    let folder = folder();
    let at = folder.path();
    example(at);
    let shelf = workspace().join("examples/lantern-warden/shelf.toml").display().to_string();
    let common =
        ["book", "dyed", "coat", "--weight", "640g", "--shelf", &shelf, "--today", "2027-02-13"];
    let words = [
        "--by-swatch",
        "w 4",
        "--minutes",
        "60",
        "--came-out",
        "22.6 -9.6 -5.9",
        "--state",
        "washed-off,dry",
    ];
    let made = answered(at, &[&common[..], &words].concat());
    assert_eq!((made["baths"].as_u64(), made["readings"].as_u64()), (Some(1), Some(1)), "{made:#}");
    let coat = answered(at, &["book", "record", "coat"]);
    let bath = &coat["baths"][0];
    assert_eq!((&bath["programme"], &bath["liquor_ratio"]), (&"acid-milling".into(), &30.0.into()));
    // W-4 had 1.1 % of turquoise, and 0.06 g of acid on 2 g.
    assert_eq!(bath["doses"][0]["owf_pct"], 1.1);
    assert_eq!(bath["doses"][3]["amount"], "19.2 g");
    // Doses of its own, in every way of telling them.
    let doses = [
        "--dose",
        "acid-navy:N-7=6.4g",
        "--dose",
        "acid-golden=32ml@1%",
        "--dose",
        "citric-acid=0.5g/l",
    ];
    let own = [
        &[
            "book",
            "dyed",
            "sash",
            "--weight",
            "40g",
            "--ratio",
            "40",
            "--hottest",
            "90",
            "--today",
            "2027-02-13",
        ][..],
        &doses,
    ]
    .concat();
    answered(at, &own);
    let sash = answered(at, &["book", "record", "sash"]);
    let amounts: Vec<&str> = sash["baths"][0]["doses"]
        .as_array()
        .unwrap()
        .iter()
        .map(|d| d["amount"].as_str().unwrap())
        .collect();
    assert_eq!(amounts, ["6.4 g", "0.32 g", "0.5 g/L"]);

    let before = fs::read(at.join("workbook.sqlite")).unwrap();
    for (more, says) in [
        (&["coat", "--weight", "-3g", "--dose", "acid-navy=1%"][..], "-3g"),
        (&["coat", "--weight", "nan", "--dose", "acid-navy=1%"], "weight"),
        (&["coat", "--weight", "640g"], "without a dye"),
        (&["coat", "--weight", "640g", "--dose", "acid-navy=lots"], "acid-navy=lots"),
        (&["coat", "--weight", "640g", "--dose", "acid-navy=-1%"], "no dose"),
        (&["coat", "--weight", "640g", "--dose", "acid-nvy=1%"], "acid-navy"),
        (&["coat", "--weight", "640g", "--dose", "acid-navy=1%", "--hottest", "900"], "900"),
        (&["coat", "--weight", "640g", "--dose", "acid-navy=1%", "--minutes", "NaN"], "minutes"),
        (&["coat", "--weight", "640g", "--dose", "acid-navy=1%", "--state", "dry"], "--came-out"),
        (&["coat", "--weight", "640g", "--by-swatch", "Q-9"], "Q-9"),
        (&["caot", "--weight", "640g", "--dose", "acid-navy=1%"], "caot"),
        (
            &[
                "caot",
                "--costume",
                "The Lantern Warden",
                "--weight",
                "640g",
                "--cloth",
                "wool",
                "--dose",
                "acid-navy=1%",
            ],
            "did you mean \"coat\"?",
        ),
    ] {
        let said_no = refused(at, &[&["book", "dyed"], more].concat());
        assert!(unwrapped(&said_no).contains(says), "{more:?}: {said_no}");
    }
    assert!(fs::read(at.join("workbook.sqlite")).unwrap() == before, "nothing was written");
}

fn swatch(code: &str, piece: &str, more: &str) -> String {
    format!(
        "[[swatch]]\ncode = \"{code}\"\ncostume = \"The Lantern Warden\"\npiece = \"{piece}\"\n{more}\ncloth = \"wool\"\n\
         weight_g = 2\ndose = [{{ dye = \"acid-navy\", owf_pct = 1 }}]\n\
         reading = [{{ colour = {{ lab = [25, 0, -10] }} }}]\n"
    )
}

#[test]
fn a_piece_the_costume_does_not_have_is_asked_about() {
    let folder = folder();
    let at = folder.path();
    let costume = workspace().join("examples/lantern-warden/costume.toml");
    fs::copy(costume, at.join("costume.toml")).unwrap();
    put(at, "s.toml", swatch("A", "caot", ""));
    let asked = unwrapped(&refused(at, &["swatch", "record", "s.toml"]));
    assert!(
        asked.contains("\"caot\" is no piece of \"The Lantern Warden\" in costume.toml"),
        "{asked}"
    );
    assert!(
        asked.contains("did you mean \"coat\"?") && asked.contains("outside = true"),
        "{asked}"
    );
    put(at, "s.toml", swatch("A", "umbrella", ""));
    assert!(refused(at, &["swatch", "record", "s.toml"]).contains("umbrella"));
    put(at, "s.toml", swatch("A", "coat", "").replace("The Lantern", "The Latern"));
    let asked = unwrapped(&refused(at, &["swatch", "record", "s.toml"]));
    assert!(asked.contains("did you mean \"The Lantern Warden\"?"), "{asked}");
    put(at, "s.toml", swatch("A", "umbrella", "outside = true") + &swatch("B", "coat", ""));
    assert_eq!(answered(at, &["swatch", "record", "s.toml"])["swatches"], 2);
    // Now the workbook knows it.
    put(at, "s.toml", swatch("C", "umbrella", ""));
    assert_eq!(answered(at, &["swatch", "record", "s.toml"])["swatches"], 1);
    // Where no costume file lies, what the workbook has tells a slip.
    fs::remove_file(at.join("costume.toml")).unwrap();
    put(at, "s.toml", swatch("D", "umbrela", ""));
    assert!(
        unwrapped(&refused(at, &["swatch", "record", "s.toml"]))
            .contains("did you mean \"umbrella\"?")
    );
    put(at, "s.toml", swatch("D", "cloak", ""));
    assert_eq!(answered(at, &["swatch", "record", "s.toml"])["swatches"], 1);
}

#[test]
fn a_code_with_a_slip_in_it_is_the_only_card_that_it_can_be() {
    let folder = folder();
    let at = folder.path();
    let costume = workspace().join("examples/lantern-warden/costume.toml").display().to_string();
    // A card as a plan printed it.
    let card = "K7M-Q3T-M";
    let plan = format!("{{\"code\": \"{card}\", \"other\": \"ABCDEFG\"}}");
    put(at, "costume.plan.json", plan);
    example(at);
    put(at, "s.toml", swatch("k7m q3t m", "coat", ""));
    let made = answered(at, &["swatch", "record", "s.toml"]);
    assert_eq!(
        (&made["swatches"], &made["meant"]),
        (&1.into(), &serde_json::json!([])),
        "{made:#}"
    );
    put(at, "s.toml", swatch("K7N-Q3T-M", "coat", ""));
    let made = answered(at, &["swatch", "record", "s.toml"]);
    assert_eq!(made["already"], 1, "{made:#}");
    assert_eq!(made["meant"][0], format!("\"K7N-Q3T-M\" was taken for {card}."));
    put(at, "s.toml", swatch("w-l", "coat", "").replace("w-l", "w-I"));
    let said_no = unwrapped(&refused(at, &["swatch", "record", "s.toml"]));
    assert!(said_no.contains("swatch \"W-1\" is in the workbook otherwise"), "{said_no}");
    put(at, "s.toml", swatch("K8N-Q3T-M", "coat", ""));
    assert!(unwrapped(&refused(at, &["swatch", "record", "s.toml"])).contains("a slip"));

    let today = ["--today", "2027-02-14", "--book", "workbook.sqlite"];
    let correct = |words: &[&str]| answered(at, &[&["correct", &costume], words, &today].concat());
    for words in [&["c-1"][..], &["C 1"], &["c1"], &["C-I"], &["shirt", "--swatch", "c-I"]] {
        let told = correct(words);
        assert_eq!(told["swatch"], "C-1", "{words:?}");
        assert!(told["notes"][0].as_str().unwrap().contains("taken for swatch C-1"), "{told:#}");
    }
    let output = dyewright(at, &["correct", &costume, "X-9", "--book", "workbook.sqlite"]);
    assert_eq!(code(&output), 2, "{}", said(&output));
}

#[test]
fn two_that_begin_one_workbook_at_once_both_have_what_they_recorded() {
    for round in 0..6 {
        let folder = folder();
        let at = folder.path();
        put(at, "a.toml", swatch("A", "coat", ""));
        put(at, "b.toml", swatch("B", "coat", ""));
        if round % 2 == 1 {
            put(at, "workbook.sqlite", "");
        }
        let record = |file: &'static str| {
            let at = at.to_path_buf();
            std::thread::spawn(move || {
                let output = dyewright(&at, &["swatch", "record", file, "--json"]);
                assert_eq!(code(&output), 0, "{}{}", said(&output), complained(&output));
                json(&output)
            })
        };
        let both = [record("a.toml"), record("b.toml")].map(|run| run.join().unwrap());
        assert_eq!(both.iter().filter(|made| made["begun"] == true).count(), 1, "{both:#?}");
        assert_eq!(answered(at, &["swatch", "list"])["swatches"].as_array().unwrap().len(), 2);
        assert_eq!(answered(at, &["book", "check"])["clean"], true);
        assert_eq!(names(at), ["a.toml", "b.toml", "workbook.sqlite"]);
    }
}

#[test]
fn what_a_killed_beginning_left_is_taken_away_by_the_next_command() {
    let folder = folder();
    let at = folder.path();
    example(at);
    for words in [
        &["swatch", "list"][..],
        &["book", "check"],
        &["book", "find", "#102030"],
        &["book", "undo"],
    ] {
        put(at, ".dyewright-Ab3dEf", "SQLite format 3");
        put(at, ".dyewright-notes", "somebody's own");
        let held = fs::File::create(at.join(".dyewright-alive1")).unwrap();
        held.lock().unwrap();
        answered(at, words);
        assert_eq!(
            names(at),
            [".dyewright-alive1", ".dyewright-notes", "workbook.sqlite"],
            "{words:?}"
        );
    }
    // A journal of a workbook that is gone would be written into a new one: it is asked about.
    fs::rename(at.join("workbook.sqlite"), at.join("kept.sqlite")).unwrap();
    put(at, "workbook.sqlite-journal", "x");
    put(at, "s.toml", swatch("A", "coat", ""));
    assert!(unwrapped(&refused(at, &["swatch", "record", "s.toml"])).contains("no longer there"));
}

#[test]
fn a_count_of_nothing_is_refused_and_not_taken_for_an_empty_workbook() {
    let folder = folder();
    let at = folder.path();
    example(at);
    assert!(refused(at, &["book", "find", "#102030", "--most", "0"]).contains("--most"));
    assert!(refused(at, &["book", "history", "--last", "0"]).contains("--last"));
}

#[test]
fn a_recipe_for_another_cloth_is_refused_and_the_cloth_of_the_costume_file_is_taken() {
    let folder = folder();
    let at = folder.path();
    for file in ["costume.toml", "shelf.toml", "swatches.toml"] {
        fs::copy(workspace().join("examples/lantern-warden").join(file), at.join(file)).unwrap();
    }
    answered(at, &["swatch", "record", "swatches.toml"]);
    // C-1 is cotton with soda ash, the coat is felted wool.
    let coat = ["book", "dyed", "coat", "--weight", "640g", "--shelf", "shelf.toml"];
    let said_no = unwrapped(&refused(at, &[&coat[..], &["--by-swatch", "C-1"]].concat()));
    assert!(said_no.contains("felted wool") && said_no.contains("ruins it"), "{said_no}");
    assert_eq!(answered(at, &["book", "record", "coat"])["baths"].as_array().unwrap().len(), 0);
    // A file says it no better; nor does calling the cotton a look-alike.
    let row = "shelf = \"shelf.toml\"\n[[swatch]]\ncode = \"X-1\"\ncostume = \"The Lantern Warden\"\n\
               piece = \"coat\"\ncloth = \"cotton\"\nweight_g = 2\nprogramme = \"reactive-cold\"\nlook_alike = true\n\
               dose = [{ dye = \"reactive-navy\", owf_pct = 1 }]\n";
    put(at, "x.toml", row);
    assert!(unwrapped(&refused(at, &["swatch", "record", "x.toml"])).contains("ruins it"));
    // Another fibre that takes the same dyes: only where it is said to stand for the piece's own.
    let silk = row
        .replace("cotton", "silk")
        .replace("reactive-cold", "acid-milling")
        .replace("reactive-navy", "acid-navy");
    put(at, "silk.toml", silk.replace("look_alike = true", ""));
    let said_no = unwrapped(&refused(at, &["swatch", "record", "silk.toml"]));
    assert!(said_no.contains("told to be of silk") && said_no.contains("look_alike"), "{said_no}");
    put(at, "silk.toml", silk);
    assert_eq!(answered(at, &["swatch", "record", "silk.toml"])["swatches"], 1);
    // The trousers were never in the workbook: the costume file beside it has their cloth.
    let trousers = ["book", "dyed", "trousers", "--weight", "590g", "--shelf", "shelf.toml"];
    let dose = ["--dose", "reactive-turquoise=1.81%", "--today", "2027-02-13"];
    assert_eq!(answered(at, &[&trousers[..], &dose].concat())["baths"], 1);
    let goods = answered(at, &["book", "record", "trousers"])["goods"].to_string();
    assert!(goods.contains("viscose") && goods.contains("linen"), "{goods}");
}

/// A shirt dyed whole is judged by its own reading and by no swatch: one that cannot be believed, or that is missing, asks
/// for another, and one that passes is left.
#[test]
fn a_piece_dyed_whole_is_judged_by_its_own_reading_alone() {
    let folder = folder();
    let at = folder.path();
    example(at);
    let example = workspace().join("examples/lantern-warden");
    let costume = example.join("costume.toml").display().to_string();
    let shelf = example.join("shelf.toml").display().to_string();
    let bath =
        ["book", "dyed", "shirt", "--weight", "325g", "--by-swatch", "C-1", "--shelf", &shelf];
    let today = ["--today", "2027-02-13"];
    let asked = ["correct", &costume, "shirt", "--dyed", "--book", "workbook.sqlite"];
    let asked = [&asked[..], &today].concat();
    let read = |colour: &str| {
        let folder = tempfile::tempdir().unwrap();
        fs::copy(at.join("workbook.sqlite"), folder.path().join("workbook.sqlite")).unwrap();
        let out = ["--came-out", colour, "--state", "washed-off,dry,cool,ironed", "--spread", "1"];
        answered(folder.path(), &[&bath[..], &today, &out].concat());
        answered(folder.path(), &asked)
    };
    let told = read("66 -8 17");
    assert_eq!(told["by"], "its own dyeing of 2027-02-13", "{told:#}");
    assert!(["stop", "read-again"].contains(&told["say"].as_str().unwrap()), "{told:#}");
    // Near what its recipe gave before, and far from the colour wanted: judged by itself all the same.
    let told = read("62.6 -10.2 19.5");
    assert_eq!(told["swatch"], "shirt dyed 2027-02-13", "{told:#}");
    // Not read: no swatch stands in for it.
    answered(at, &[&bath[..], &today].concat());
    let said_no = unwrapped(&refused(at, &asked));
    assert!(said_no.contains("not read yet") && said_no.contains("read it again"), "{said_no}");
}
