//! Scours in a whole plan, and a kitchen without a burner.
#![expect(clippy::unwrap_used, reason = "a test costume that cannot be planned should fail loudly")]

mod common;

use serde_json::Value;

fn planned(kitchen: &str, pieces: &str) -> Value {
    let text =
        format!("[costume]\nname = \"Test\"\nday = 2027-06-01\n\n[kitchen]\n{kitchen}\n{pieces}");
    let lore = lore::Lore::shipped();
    let files = common::Folder(std::path::PathBuf::from("."));
    let costume = costume::read_costume("test.toml", &text, lore, &files).unwrap();
    let plan = common::planned(&costume, &costume::Shelf::of_starters()).unwrap();
    serde_json::to_value(&plan).unwrap()
}

fn piece(id: &str, cloth: &str, more: &str) -> String {
    format!(
        "[[piece]]\nid = \"{id}\"\ncloth = \"{cloth}\"\nweight_g = 200\ntarget = {{ lab = [50, 20, 15] }}\n{more}\n"
    )
}

const POTS: &str = "scale_g = 0.01\nsyringes_ml = [1, 10, 60]\nburners = 2\n\
    [[kitchen.vessel]]\nname = \"pot\"\nlitres = 30\nof = \"stainless\"\n\
    [[kitchen.vessel]]\nname = \"tub\"\nlitres = 30\nof = \"plastic\"\n";

fn sound(plan: &Value) {
    let broken = auditor::audit(plan).unwrap();
    let lines: Vec<String> = broken.iter().map(ToString::to_string).collect();
    assert!(lines.is_empty(), "{}", lines.join("\n"));
}

/// What only a scour uses is asked for by its day, and where no parcel comes by then it says so.
#[test]
fn what_only_a_scour_uses_is_asked_for_in_time() {
    let plan = planned(POTS, &piece("shawl", "wool", ""));
    let scoured = plan["scours"][0]["auxiliaries"].as_array().unwrap();
    let dyed = plan["pieces"][0]["sheets"].as_array().unwrap();
    let only = |id: &Value| {
        let auxiliaries = dyed.iter().flat_map(|s| s["auxiliaries"].as_array().unwrap());
        auxiliaries.into_iter().all(|aux| aux["id"] != *id)
    };
    let days = plan["days"]["days"].as_array().unwrap();
    let scours =
        |day: &&Value| day["items"].as_array().unwrap().iter().any(|item| item["job"] == "scour");
    let first = &days.iter().find(scours).unwrap()["day"];
    let at_hand = plan["days"]["at_hand"].as_array().unwrap();
    let mut tried = 0;
    for aux in scoured.iter().filter(|aux| only(&aux["id"])) {
        let one = at_hand.iter().find(|one| one["item"] == aux["id"]).unwrap();
        assert_eq!(one["used"], *first, "{one}");
        tried += 1;
    }
    assert!(tried > 0, "{scoured:?} is in the bath too");
}

#[test]
fn every_piece_with_a_bath_is_scoured_once_and_its_soda_is_bought() {
    let pieces = [
        piece("shirt", "cotton", ""),
        piece("skirt", "linen", ""),
        piece("apron", "cotton", "form = \"worn\""),
        piece("veil", "cotton", "scoured = true"),
        piece("shawl", "wool", ""),
    ];
    let plan = planned(POTS, &pieces.join("\n"));
    sound(&plan);
    let scours = plan["scours"].as_array().unwrap();
    let with =
        |id: &str| scours.iter().find(|s| s["pieces"].as_array().unwrap().contains(&id.into()));
    assert_eq!(with("shirt").unwrap()["pieces"], serde_json::json!(["shirt", "skirt"]));
    assert_eq!(with("apron").unwrap()["pieces"], serde_json::json!(["apron"]), "worn: alone");
    assert!(with("veil").is_none());
    assert_eq!(with("shawl").unwrap()["programme"], "scour-wool");
    // What the list says is the sum of every sheet and every scour.
    for row in plan["shopping"]["rows"].as_array().unwrap() {
        if row["kind"] != "auxiliary" {
            continue;
        }
        let sheets =
            plan["pieces"].as_array().unwrap().iter().flat_map(|p| p["sheets"].as_array().unwrap());
        let all = sheets.chain(scours).flat_map(|s| s["auxiliaries"].as_array().unwrap());
        let sum: f64 =
            all.filter(|a| a["id"] == row["item"]).map(|a| a["grams"].as_f64().unwrap()).sum();
        assert!((sum - row["grams"].as_f64().unwrap()).abs() < 1e-6, "{}", row["item"]);
    }
    // Nobody is told to cut up what is worn: its swatch is small and of another cloth.
    let swatch = |at: usize| &plan["pieces"][at]["sheets"][0];
    let (shirt, apron) = (swatch(0), swatch(2));
    assert!(shirt["scour"].as_str().unwrap().contains("a snip of the same cloth"));
    assert!(apron["scour"].as_str().unwrap().contains("never cut from the piece"));
    assert!(apron["notes"][0].as_str().unwrap().contains("never cut out of the piece"));
    assert!(apron["dry_g"].as_f64().unwrap() <= 5.0 && shirt["dry_g"].as_f64().unwrap() > 5.0);
    let shirt = &plan["pieces"][0];
    assert_eq!(shirt["scour"], with("shirt").unwrap()["n"]);
    assert!(shirt["sheets"][1]["scour"].as_str().unwrap().contains("skirt"));
}

#[test]
fn a_kitchen_without_a_burner_says_what_it_can_and_cannot() {
    let kitchen = POTS.replace("burners = 2", "burners = 0\nmethods = [\"tub\", \"microwave\"]");
    let pieces = [piece("shirt", "cotton", ""), piece("shawl", "wool", "")];
    let plan = planned(&kitchen, &pieces.join("\n"));
    sound(&plan);
    assert!(plan["attention"][0].as_str().unwrap().contains("Without a burner"));
    let (shirt, shawl) = (&plan["pieces"][0], &plan["pieces"][1]);
    assert_eq!(shirt["class"]["procedure"], "reactive-cold");
    assert!(plan["days"]["no_place"].is_null(), "{}", plan["days"]["no_place"]);
    assert_eq!(shawl["outcome"], "no-bath");
    let why = shawl["why"].as_str().unwrap();
    assert!(why.contains("there is no burner") && why.contains("microwave"), "{why}");
}

#[test]
fn with_a_bucket_and_a_kettle_there_are_days_and_no_heat_that_is_not_there() {
    let kitchen = "scale_g = 0.1\nsyringes_ml = [1, 10]\nburners = 0\nmethods = [\"tub\"]\n\
        [[kitchen.vessel]]\nname = \"bucket\"\nlitres = 15\nof = \"plastic\"\n";
    let plan = planned(kitchen, &piece("smock", "cotton", "form = \"worn\""));
    sound(&plan);
    let said = plan.to_string();
    for internal in ["stands nowhere", "uses a vessel", "job '"] {
        assert!(!said.contains(internal), "an internal sentence: {internal}");
    }
    assert!(!plan["days"]["days"].as_array().unwrap().is_empty(), "{}", plan["days"]["verdict"]);
    assert!(said.contains("standing in bucket"), "the jar stands in the bucket");
    assert!(!said.contains("heat on a burner") && !said.contains("heated in a pot"));
    assert!(!plan["attention"][0].as_str().unwrap().contains("washing machine"));
    for scour in plan["scours"].as_array().unwrap() {
        let steps = scour["steps"].as_array().unwrap();
        assert!(steps.iter().all(|step| !step["text"].as_str().unwrap().contains("Heat slowly")));
    }
    for sheet in plan["pieces"][0]["sheets"].as_array().unwrap() {
        for step in sheet["steps"].as_array().unwrap() {
            assert!(step["to_c"].as_f64().unwrap() <= 50.0, "{}", step["text"]);
        }
    }
    assert!(plan["next"].to_string().contains("heat-proof glass jar"), "{}", plan["next"]);
}
