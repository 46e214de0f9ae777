//! Rule 26, broken one at a time on a hand-made plan that keeps it. Everything in it is invented.
#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests: a hand-made plan that lacks a key should fail loudly"
)]

mod costume;
mod good;

use costume::{Item, audit, costume as unscoured, items, lines};
use serde_json::{Value, json};

fn piece<'a>(plan: &'a mut Value, id: &str) -> &'a mut Value {
    plan["pieces"].as_array_mut().unwrap().iter_mut().find(|p| p["id"] == id).unwrap()
}

/// The plan with a scour of the shirt and the scarf a day before the shirt's swatch.
fn plan() -> Value {
    let mut plan = unscoured();
    for id in ["shirt", "scarf"] {
        piece(&mut plan, id).as_object_mut().unwrap().remove("scoured");
        piece(&mut plan, id)["scour"] = json!(1);
    }
    plan["scours"] = json!([{
        "n": 1, "pieces": ["shirt", "scarf"], "dry_g": 500.0, "liquor_ratio": 20.0, "liquor_ml": 10000.0,
        "auxiliaries": [{"id": "soda-ash", "grams": 20.0, "g_per_l": 2.0},
                        {"id": "detergent-neutral", "grams": 10.0, "g_per_l": 1.0}],
        "steps": [{"n": 1, "do": "add", "from_c": 40.0, "to_c": 40.0, "agitation": "gentle",
                   "adds": [{"id": "soda-ash", "group": "alkali", "grams": 20.0}]},
                  {"n": 2, "do": "hold", "from_c": 80.0, "to_c": 80.0, "agitation": "gentle"}],
    }]);
    for id in ["scarf", "shirt"] {
        let mut item =
            Item { from: 840.0, to: 900.0, job: "scour", piece: id, hands: "all" }.json();
        item["what"] = json!("scour 1: let the bath off, rinse");
        item["sink"] = json!(["alkali", "water"]);
        let hung = Item { from: 900.0, to: 1100.0, job: "drying", piece: id, hands: "away" };
        items(&mut plan, 0).extend([item, hung.json()]);
    }
    plan["days"]["limits"]["drying"] = json!(4);
    plan
}

fn check(name: &str, change: impl Fn(&mut Value)) {
    let mut plan = plan();
    change(&mut plan);
    let broken = audit(&plan);
    assert!(broken.iter().any(|b| b.rule == 26), "{name}: not seen, only {}", lines(&broken));
}

#[test]
fn the_good_plan_breaks_nothing() {
    let broken = audit(&plan());
    assert!(broken.is_empty(), "{}", lines(&broken));
}

#[test]
fn rule_26_what_is_dyed_was_scoured_first() {
    check("nothing scours it", |p| p["scours"] = json!([]));
    check("one of two is left out", |p| p["scours"][0]["pieces"] = json!(["shirt"]));
    check("scoured twice", |p| {
        let again = p["scours"][0].clone();
        p["scours"].as_array_mut().unwrap().push(again);
    });
    check("not named on the piece", |p| piece(p, "shirt")["scour"] = json!(2));
    check("worn and with others", |p| piece(p, "scarf")["goods"]["form"] = json!("worn"));
    check("a piece nobody knows", |p| {
        p["scours"][0]["pieces"] = json!(["shirt", "scarf", "ghost"])
    });
    check("no day for it", |p| items(p, 0).retain(|i| i["job"] != "scour"));
    check("on no day before its swatch", |p| {
        let moved: Vec<Value> =
            items(p, 0).iter().filter(|i| i["job"] == "scour").cloned().collect();
        items(p, 0).retain(|i| i["job"] != "scour");
        items(p, 3).extend(moved);
    });
    check("dyed while it hangs wet", |p| {
        for item in items(p, 0).iter_mut().filter(|i| i["job"] == "drying" && i["piece"] == "shirt")
        {
            item["end_min"] = json!(2400.0);
            item["end"] = json!("16:00");
            item["over_night"] = json!(true);
        }
    });
    check("the soda goes nowhere", |p| {
        for item in items(p, 0).iter_mut().filter(|i| i["job"] == "scour") {
            item["sink"] = json!(["water"]);
        }
    });
}

#[test]
fn rule_26_a_scour_harms_no_fibre_and_reckons_up() {
    check("soda on wool", |p| piece(p, "scarf")["goods"]["fibres"][0]["fibre"] = json!("wool"));
    check("hotter than wool bears", |p| {
        piece(p, "scarf")["goods"]["fibres"][0]["fibre"] = json!("wool");
        p["scours"][0]["steps"].as_array_mut().unwrap().remove(0);
    });
    check("hotter than a glued part bears", |p| {
        piece(p, "shirt")["goods"]["parts"] = json!(["glue"]);
    });
    check("soda with a foil", |p| {
        piece(p, "shirt")["goods"]["parts"] = json!(["foil"]);
        p["scours"][0]["steps"][1] = json!({"n": 2, "do": "hold", "from_c": 40.0, "to_c": 40.0});
    });
    check("another weight", |p| p["scours"][0]["dry_g"] = json!(450.0));
    check("another volume", |p| p["scours"][0]["liquor_ml"] = json!(7000.0));
    check("another dose", |p| p["scours"][0]["auxiliaries"][0]["grams"] = json!(40.0));
    check("nothing that cleans", |p| p["scours"][0]["auxiliaries"] = json!([]));
}
