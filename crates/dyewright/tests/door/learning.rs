//! What swatches teach, from outside: recipes that rest on them, what teaches nothing, and what to do next. The
//! swatches are invented.

use std::path::Path;

use serde_json::Value;

use crate::street::{self, answered, code, dyewright, folder, json, put, said, workspace};

const DAY: [&str; 2] = ["--today", "2027-02-10"];

/// One piece of the worked example, on its shelf, with its swatches recorded.
fn begun() -> tempfile::TempDir {
    let folder = folder();
    let at = folder.path();
    let shelf = workspace().join("examples/lantern-warden/shelf.toml");
    let costume = format!(
        "[costume]\nname = \"The Lantern Warden\"\nshelf = {:?}\n\
         [kitchen]\nscale_g = 0.01\nsyringes_ml = [1, 10, 60]\n\
         [[kitchen.vessel]]\nname = \"pot\"\nlitres = 30\nof = \"stainless\"\n\
         [[piece]]\nid = \"shirt\"\ncloth = \"cotton\"\nweight_g = 310\n\
         target = {{ lab = [68.0, -7.5, 17.0] }}\n\
         [[piece]]\nid = \"towel\"\ncloth = \"polyester\"\nweight_g = 100\n\
         target = {{ lab = [50.0, 20.0, 20.0] }}\n",
        shelf.display().to_string()
    );
    put(at, "costume.toml", costume);
    let swatches = workspace().join("examples/lantern-warden/swatches.toml").display().to_string();
    answered(at, &["swatch", "record", &swatches, "--book", "my.sqlite"]);
    folder
}

/// What was said of a command that must be refused, on one line.
fn refused(folder: &Path, words: &[&str]) -> String {
    street::refused(folder, words).split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn recipes_rest_on_the_swatches_of_the_workbook() {
    let folder = begun();
    let at = folder.path();
    let plain = answered(at, &["plan", "costume.toml", DAY[0], DAY[1]]);
    let book = ["plan", "costume.toml", DAY[0], DAY[1], "--book", "my.sqlite"];
    let taught = answered(at, &book);
    assert!(plain.get("workbook").is_none() && plain["pieces"][0].get("rests_on").is_none());
    assert_eq!(taught["workbook"]["taught"], 11, "{}", taught["workbook"]);
    let (shirt, towel) = (&taught["pieces"][0], &taught["pieces"][1]);
    assert_eq!(shirt["rests_on"]["own"], 2, "{}", shirt["rests_on"]);
    assert_eq!(towel["rests_on"]["own"], 0);
    let spread = |plan: &Value, i: usize| plan["pieces"][i]["expected"]["recipe_spread90"].as_f64();
    assert!(
        spread(&taught, 0) < spread(&plain, 0),
        "{:?} {:?}",
        spread(&taught, 0),
        spread(&plain, 0)
    );
    // No swatch is of a dye for polyester: that piece stays as it was.
    assert_eq!(plain["pieces"][1]["recipes"], towel["recipes"]);
    let known = &shirt["recipes"][0]["dyes"];
    assert!(known.as_array().unwrap().iter().any(|d| d["known"] == "own swatches"), "{known}");
}

/// Swatches that teach nothing are counted, each with its reason, and none is guessed at.
#[test]
fn what_teaches_nothing_is_counted_with_its_reason() {
    let folder = begun();
    let at = folder.path();
    let one = |code: &str, rest: &str| {
        format!("[[swatch]]\ncode = \"{code}\"\nweight_g = 2\nliquor_ratio = 20\n{rest}\n")
    };
    let read = "reading = [{ colour = { lab = [50, 0, -10] }, spread = 1, washed_off = true, dry = true }]";
    let dose = "dose = [{ dye = \"reactive-navy\", owf_pct = 0.5 }]";
    let text = [
        one("X-1", &format!("cloth = \"cotton\"\n{dose}")),
        one(
            "X-2",
            &format!(
                "cloth = \"cotton\"\n{dose}\nreading = [{{ colour = {{ lab = [40, 0, -10] }}, dry = false }}]"
            ),
        ),
        one("X-3", &format!("cloth = \"cotton\"\nover = \"X-1\"\n{dose}\n{read}")),
        one("X-4", &format!("cloth = {{ cotton = 60, polyester = 40 }}\n{dose}\n{read}")),
        one(
            "X-5",
            &format!("cloth = \"cotton\"\ndose = [{{ dye = \"reactive-navy\", ml = 3 }}]\n{read}"),
        ),
        one("X-6", &format!("cloth = \"polyester\"\n{dose}\n{read}")),
    ];
    put(at, "more.toml", text.concat());
    answered(at, &["swatch", "record", "more.toml", "--book", "my.sqlite"]);
    let plan = answered(at, &["plan", "costume.toml", DAY[0], DAY[1], "--book", "my.sqlite"]);
    let passed = plan["workbook"]["passed_over"].as_array().unwrap();
    let why = |code: &str| {
        let of =
            passed.iter().find(|p| p["swatches"].as_array().unwrap().iter().any(|c| c == code));
        of.unwrap_or_else(|| panic!("{code}: {passed:?}"))["why"].as_str().unwrap().to_owned()
    };
    assert!(why("X-1").contains("not read yet"));
    assert!(why("X-2").contains("wet"));
    assert!(why("X-3").contains("over another colour"));
    assert!(why("X-4").contains("several fibres"));
    assert!(why("X-5").contains("cannot be reckoned"));
    assert!(why("X-6").contains("does not take"));
    assert_eq!(plan["workbook"]["taught"], 11);
}

#[test]
fn correct_says_what_next_and_never_writes() {
    let folder = begun();
    let at = folder.path();
    let words = ["correct", "costume.toml", "shirt", "--book", "my.sqlite", DAY[0], DAY[1]];
    let before = std::fs::read(at.join("my.sqlite")).unwrap();
    let swatch = answered(at, &words);
    assert_eq!((swatch["swatch"].as_str(), swatch["dyed"].as_bool()), (Some("C-1"), Some(false)));
    let may = ["stop", "next-swatch", "read-again"];
    assert!(may.contains(&swatch["say"].as_str().unwrap()), "{}", swatch["say"]);
    // A reactive bath had its alkali: no dye goes into it any more, and the answer says so.
    assert_eq!(swatch["adding"]["in_this_bath"], false);
    assert!(swatch["adding"]["rules"][0].as_str().unwrap().contains("soda"));
    let by_code =
        answered(at, &["correct", "costume.toml", "C-1", "--book", "my.sqlite", DAY[0], DAY[1]]);
    assert_eq!(by_code, swatch);
    let dyed = answered(at, &[&words[..], &["--dyed"]].concat());
    assert!(!["next-swatch", "top-up"].contains(&dyed["say"].as_str().unwrap()), "{}", dyed["say"]);
    let told = said(&dyewright(at, &words));
    assert!(told.lines().all(|l| l.chars().count() <= 80), "{told}");
    assert!(std::fs::read(at.join("my.sqlite")).unwrap() == before);
}

/// A piece dyed far too deep: adding cannot save it, and what is left is told with its cautions.
#[test]
fn what_adding_cannot_save_is_said_with_what_is_left() {
    let folder = begun();
    let at = folder.path();
    put(
        at,
        "deep.toml",
        "[[swatch]]\ncode = \"D-1\"\ncostume = \"The Lantern Warden\"\npiece = \"shirt\"\ncloth = \"cotton\"\n\
         undyed = \"white\"\nweight_g = 2\nliquor_ratio = 20\nprogramme = \"reactive-cold\"\n\
         dose = [{ dye = \"reactive-navy\", owf_pct = 2 }, { dye = \"reactive-golden\", owf_pct = 1 }]\n\
         reading = [{ colour = { lab = [27, -14, -5] }, spread = 1, washed_off = true, dry = true }]\n",
    );
    answered(at, &["swatch", "record", "deep.toml", "--book", "my.sqlite"]);
    let words =
        ["correct", "costume.toml", "shirt", "--dyed", "--book", "my.sqlite", DAY[0], DAY[1]];
    let deep = answered(at, &words);
    assert_eq!(deep["say"], "cannot-be-saved", "{deep:#}");
    assert_eq!(deep["adding"]["add"], serde_json::json!([]));
    let ways: Vec<&str> =
        deep["otherwise"].as_array().unwrap().iter().filter_map(|w| w["way"].as_str()).collect();
    assert!(["lighten", "strip", "overdye", "recut"].iter().all(|w| ways.contains(w)), "{ways:?}");
    // Of the piece's own class only.
    let told = deep["otherwise"].to_string();
    assert!(!told.contains("levelling") && !told.contains("direct"), "{told}");
    let cautioned = deep["otherwise"].as_array().unwrap().iter().any(|w| w["cautions"].is_array());
    assert!(cautioned, "a strip has its cautions");
    let strict = dyewright(at, &[&words[..], &["--strict"]].concat());
    assert_eq!(code(&strict), 1);
}

#[test]
fn correct_refuses_what_it_cannot_judge() {
    let folder = begun();
    let at = folder.path();
    let ask = |rest: &[&str]| {
        refused(at, &[&["correct", "costume.toml"], rest, &["--book", "my.sqlite"]].concat())
    };
    let none = ask(&["towel"]);
    assert!(none.contains("no swatch of towel") || none.contains("teaches"), "{none}");
    let unknown = ask(&["cap"]);
    assert!(unknown.contains("pieces are shirt, towel") && unknown.contains("C-2"), "{unknown}");
    let elsewhere = ask(&["W-3"]);
    assert!(elsewhere.contains("no piece of this costume"), "{elsewhere}");
    let other = ask(&["shirt", "--swatch", "W-3"]);
    assert!(other.contains("dyed by a way") || other.contains("is of wool"), "{other}");
    let missing = ask(&["shirt", "--swatch", "Z-9"]);
    assert!(missing.contains("no swatch Z-9") && missing.contains("W-1"), "{missing}");
    assert!(refused(at, &["correct", "costume.toml", "shirt"]).contains("workbook.sqlite"));
}

/// Which swatches, in which order: what is known from swatches needs fewer, and what cannot be is refused.
#[test]
fn swatches_are_planned_for_the_whole_costume() {
    let folder = begun();
    let at = folder.path();
    let plain = answered(at, &["swatch", "plan", "costume.toml", DAY[0], DAY[1]]);
    let book = ["swatch", "plan", "costume.toml", DAY[0], DAY[1], "--book", "my.sqlite"];
    let taught = answered(at, &book);
    for plan in [&plain, &taught] {
        let turns = plan["turns"].as_array().unwrap();
        for turn in turns {
            for doubt in turn["doubts"].as_array().unwrap() {
                assert!(doubt["after"].as_f64() <= doubt["before"].as_f64(), "{turn}");
            }
        }
        assert_eq!(plan["pieces"].as_array().unwrap().len(), 2);
    }
    let turns = |plan: &Value| plan["turns"].as_array().unwrap().len();
    assert!(turns(&plain) >= 2 && turns(&taught) < turns(&plain), "{plain} {taught}");
    // A first swatch is dyed by the recipe of the plan.
    let planned = answered(at, &["plan", "costume.toml", DAY[0], DAY[1]]);
    let of_plan = |piece: &str| {
        let pieces = planned["pieces"].as_array().unwrap();
        let piece = pieces.iter().find(|p| p["id"] == piece).unwrap();
        names_of(&piece["recipes"][0]["dyes"])
    };
    let first = &plain["turns"][0];
    assert_eq!(names_of(&first["bath"]["dyes"]), of_plan(first["piece"].as_str().unwrap()));

    let ladder =
        answered(at, &[&book[..], &["--ladder", "reactive-navy", "--rungs", "2"]].concat());
    let rungs = ladder["ladders"][0]["rungs"].as_array().unwrap();
    assert!(
        rungs.len() == 2 && rungs[1]["after"].as_f64() < ladder["ladders"][0]["before"].as_f64()
    );

    for (wrong, says) in [
        (&["--read", "0"][..], "from 0.05 to 10"),
        (&["--read", "NaN"], "from 0.05 to 10"),
        (&["--ladder", "acid-navy"], "no cloth for its ladder"),
        (&["--ladder", "no-such"], "no dye \"no-such\""),
        (&["--ladder", "reactive-navy", "--rungs", "9"], "2, 3 or 4"),
    ] {
        let words = [&book[..5], wrong].concat();
        assert!(refused(at, &words).contains(says), "{wrong:?}: {}", refused(at, &words));
    }
    let human = said(&dyewright(at, &book));
    assert!(human.lines().all(|line| line.chars().count() <= 80), "{human}");
}

fn names_of(dyes: &Value) -> Vec<String> {
    let mut ids: Vec<String> =
        dyes.as_array().unwrap().iter().map(|d| d["id"].as_str().unwrap().to_owned()).collect();
    ids.sort();
    ids
}

/// What `correct` says to weigh for a piece is reckoned as its bulk sheet is: on what takes the dye, spare cloth and
/// all, without lining and zip.
#[test]
fn grams_for_the_piece_are_those_of_its_sheet() {
    let folder = folder();
    let at = folder.path();
    let example = workspace().join("examples/lantern-warden");
    let costume = example.join("costume.toml").display().to_string();
    let swatches = example.join("swatches.toml").display().to_string();
    answered(at, &["swatch", "record", &swatches, "--book", "my.sqlite"]);
    let plan = answered(at, &["plan", &costume, DAY[0], DAY[1], "--book", "my.sqlite"]);
    let output = dyewright(at, &["correct", &costume, "coat", "--book", "my.sqlite", "--json"]);
    let correct = json(&output);
    let coat = plan["pieces"].as_array().unwrap().iter().find(|p| p["id"] == "coat").unwrap();
    let bulk = coat["sheets"].as_array().unwrap().iter().find(|s| s["kind"] == "bulk").unwrap();
    let takes = bulk["takes_g"].as_f64().unwrap();
    assert!(takes < bulk["dry_g"].as_f64().unwrap());
    let dye = &correct["held"]["dyes"][0];
    let said = dye["grams"].as_f64().unwrap() * 100.0 / dye["owf_pct"].as_f64().unwrap();
    assert!((said - takes).abs() < 0.005 * takes, "{said} g, and the sheet says {takes} g");
}

/// A reading that cannot well be believed is asked about, and nothing is dyed by it: a pale yellow bath that reads deep
/// blue.
#[test]
fn nothing_is_dyed_by_a_reading_beyond_belief() {
    let folder = begun();
    let at = folder.path();
    let text = "[[swatch]]\ncode = \"X-9\"\nweight_g = 2\nliquor_ratio = 20\ncloth = \"cotton\"\n\
        costume = \"The Lantern Warden\"\npiece = \"shirt\"\ndose = [{ dye = \"reactive-golden\", owf_pct = 0.2 }]\n\
        reading = [{ colour = { lab = [25, 10, -40] }, spread = 1, washed_off = true, dry = true }]\n";
    put(at, "odd.toml", text);
    answered(at, &["swatch", "record", "odd.toml", "--book", "my.sqlite"]);
    for dyed in [&[][..], &["--dyed"]] {
        let words = ["correct", "costume.toml", "X-9", "--book", "my.sqlite", DAY[0], DAY[1]];
        let answer = answered(at, &[&words[..], dyed].concat());
        assert_eq!(answer["say"], "read-again", "{answer}");
        let words = answer["words"].to_string();
        assert!(words.contains("further from what was expected"), "{words}");
        assert!(words.contains("before anything is dyed by it"), "{words}");
    }
    let plan = answered(at, &["plan", "costume.toml", DAY[0], DAY[1], "--book", "my.sqlite"]);
    assert!(plan["workbook"]["asked"].to_string().contains("X-9"), "{}", plan["workbook"]);
}

/// From a card to a final sheet by commands alone: the swatch of the plan's card, recorded as it was dosed and read as
/// wanted, makes the bulk sheet final and takes the card away; undone, both are as they were.
#[test]
fn a_good_swatch_needs_no_editing_of_the_costume_file() {
    let folder = begun();
    let at = folder.path();
    let book = ["plan", "costume.toml", DAY[0], DAY[1], "--book", "my.sqlite"];
    let shirt = |plan: &Value| plan["pieces"][0].clone();
    let of_kind = |piece: &Value, kind: &str| {
        let sheets = piece["sheets"].as_array().unwrap();
        sheets.iter().find(|s| s["kind"] == kind).unwrap().clone()
    };
    let before = shirt(&answered(at, &book));
    let (card, bulk) = (of_kind(&before, "swatch"), of_kind(&before, "bulk"));
    assert_eq!(bulk["first_line"], "provisional: dye the swatch first");
    let correct = ["correct", "costume.toml", "shirt", "--book", "my.sqlite", DAY[0], DAY[1]];
    let next = answered(at, &correct);
    if next["say"] == "next-swatch" {
        assert_eq!(next["next_swatch"]["code"], card["code"]);
        assert_eq!(next["next_swatch"]["dyes"], card["dyes"]);
        let told = said(&dyewright(at, &correct));
        let cloth = format!("{} g of dry cloth", card["takes_g"].as_f64().unwrap());
        assert!(told.contains(card["code"].as_str().unwrap()) && told.contains(&cloth), "{told}");
    }
    let dose = |dye: &Value| {
        let (ml, pct) = (dye["stock_ml"].as_f64(), dye["stock_pct"].as_f64());
        let amount = match (ml, pct) {
            (Some(ml), Some(pct)) => format!("stock_ml = {ml}, stock_pct = {pct}"),
            _ => format!("grams = {}", dye["grams"]),
        };
        format!("{{ dye = {}, {amount}, scatter_pct = 2 }}", dye["id"])
    };
    let doses: Vec<String> = card["dyes"].as_array().unwrap().iter().map(dose).collect();
    let text = format!(
        "shelf = {:?}\n[[swatch]]\ncode = {}\ncostume = \"The Lantern Warden\"\npiece = \"shirt\"\nday = 2027-02-09\n\
         cloth = \"cotton\"\nundyed = \"white\"\nweight_g = {}\nliquor_ratio = {}\nprogramme = {}\ndose = [{}]\n\
         reading = [{{ colour = {{ lab = [68.0, -7.5, 17.0] }}, spread = 0.5, washed_off = true, dry = true, \
         cool = true, read_on = 2027-02-10 }}]\n",
        workspace().join("examples/lantern-warden/shelf.toml").display().to_string(),
        card["code"],
        card["takes_g"],
        card["liquor_ratio"],
        card["procedure"],
        doses.join(", ")
    );
    put(at, "good.toml", text);
    answered(at, &["swatch", "record", "good.toml", "--book", "my.sqlite"]);
    let said_now = answered(at, &correct);
    assert_eq!(
        (&said_now["say"], &said_now["swatch"]),
        (&"stop".into(), &card["code"]),
        "{said_now:#}"
    );
    let plan = answered(at, &book);
    let after = shirt(&plan);
    let bulk = of_kind(&after, "bulk");
    assert_eq!(bulk["swatch_recorded"]["code"], card["code"], "{}", after["rests_on"]);
    assert!(bulk.get("first_line").is_none());
    assert!(!plan["next"].to_string().contains("Lichen shirt"), "{}", plan["next"]);
    answered(at, &[&book[..], &["--out", "out"]].concat());
    let cards = std::fs::read_to_string(at.join("out/costume.cards.html")).unwrap();
    assert!(!cards.contains(card["code"].as_str().unwrap()));

    answered(at, &["book", "undo", "--book", "my.sqlite"]);
    let undone = of_kind(&shirt(&answered(at, &book)), "bulk");
    assert_eq!(undone["first_line"], "provisional: dye the swatch first");
}
