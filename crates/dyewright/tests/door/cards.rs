//! Cards and labels from outside: a plan's card is recorded by its code, as its own text says.

use std::fs;

use crate::street::{SOUND, code, complained, dyewright, folder, json, put, said};

/// What stands between `<pre>` and `</pre>`, as the reader of the page copies it.
fn to_note(page: &str) -> String {
    let start =
        page.find("<pre tabindex=\"0\">").expect("a text to note") + "<pre tabindex=\"0\">".len();
    let end = page.find("</pre>").expect("its end");
    page[start..end]
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&amp;", "&")
}

#[test]
fn a_card_of_the_plan_is_recorded_by_its_code_and_a_slip_is_noticed() {
    let folder = folder();
    let at = folder.path();
    put(at, "costume.toml", SOUND);
    assert_eq!(code(&dyewright(at, &["plan", "costume.toml", "--today", "2027-01-10"])), 0);
    let page = fs::read_to_string(at.join("costume.cards.html")).unwrap();
    let plan: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(at.join("costume.plan.json")).unwrap()).unwrap();
    let sheets = plan["pieces"][0]["sheets"].as_array().unwrap();
    let card = sheets[0]["code"].as_str().unwrap();
    assert_eq!((sheets[0]["kind"].as_str(), sheets[1].get("code")), (Some("swatch"), None));
    assert!(page.matches(card).count() >= 2, "on the card and in the text: {card}");
    assert!(fs::read_to_string(at.join("costume.plan.html")).unwrap().contains(card));

    // The text as it stands is recorded; with a reading it is the same swatch, read.
    let text = to_note(&page);
    put(at, "swatches.toml", &text);
    let output = dyewright(at, &["swatch", "record", "swatches.toml", "--json"]);
    assert_eq!(code(&output), 0, "{}\n{text}", complained(&output));
    let lower = text.replace(card, &card.to_lowercase()).replace("# reading", "reading");
    put(at, "swatches.toml", &lower);
    let output = dyewright(at, &["swatch", "record", "swatches.toml", "--json"]);
    assert_eq!(code(&output), 0, "{}\n{lower}", complained(&output));
    let again = json(&output);
    assert_eq!(
        (again["swatches"].as_u64(), again["readings"].as_u64()),
        (Some(0), Some(1)),
        "{again:#}"
    );
    let list = json(&dyewright(at, &["swatch", "list", "--json"]));
    assert_eq!(list["swatches"][0]["code"], card);
    // What was dosed is what the sheet says.
    let owf = list["swatches"][0]["doses"][0]["owf_pct"].as_f64().unwrap();
    let planned = sheets[0]["dyes"][0]["owf_pct"].as_f64().unwrap();
    assert!((owf - planned).abs() <= 0.002 * planned, "{owf} {planned}");

    let mut slip: Vec<char> = card.chars().collect();
    slip.swap(0, 1);
    let slip: String = slip.into_iter().collect();
    if slip != card {
        // One card of the plan is left that it can be: it is taken for that one, and said.
        put(at, "slip.toml", text.replace(card, &slip));
        let output = dyewright(at, &["swatch", "record", "slip.toml", "--json"]);
        assert_eq!(code(&output), 0, "{}", complained(&output));
        let meant = json(&output);
        assert_eq!((meant["swatches"].as_u64(), meant["already"].as_u64()), (Some(0), Some(1)));
        assert_eq!(meant["meant"][0], format!("\"{slip}\" was taken for {card}."));
        // Where nobody knows the card it is refused.
        let elsewhere = crate::street::folder();
        let there = elsewhere.path();
        put(there, "slip.toml", text.replace(card, &slip));
        let output = dyewright(there, &["swatch", "record", "slip.toml"]);
        assert_eq!(code(&output), 2, "{}", said(&output));
        assert!(complained(&output).contains("a slip"), "{}", complained(&output));
    }
}

#[test]
fn the_same_plan_prints_the_same_cards_and_another_recipe_another_code() {
    let folder = folder();
    let at = folder.path();
    let code_of = |text: &str| {
        put(at, "costume.toml", text);
        let output = dyewright(at, &["plan", "costume.toml", "--today", "2027-01-10", "--json"]);
        assert_eq!(code(&output), 0, "{}", complained(&output));
        json(&output)["pieces"][0]["sheets"][0]["code"].as_str().unwrap().to_owned()
    };
    let first = code_of(SOUND);
    assert_eq!(first, code_of(SOUND));
    let other = SOUND.replace("target", "liquor_ratio = 25\ntarget");
    assert_ne!(other, SOUND);
    assert_ne!(first, code_of(&other));
}
