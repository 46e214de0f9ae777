//! Rules 21 to 25 and what 14 says of two baths, broken one at a time on a plan of a whole costume that keeps them all. A case is one
//! line: name, rule, what is done.
#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests: a hand-made plan that lacks a key should fail loudly"
)]

mod costume;
mod good;

use costume::{audit, check, keeps, lines};
use serde_json::{Value, json};

fn piece<'a>(plan: &'a mut Value, id: &str) -> &'a mut Value {
    plan["pieces"].as_array_mut().unwrap().iter_mut().find(|p| p["id"] == id).unwrap()
}

fn bulk<'a>(plan: &'a mut Value, id: &str) -> &'a mut Value {
    piece(plan, id)["sheets"]
        .as_array_mut()
        .unwrap()
        .iter_mut()
        .find(|s| s["kind"] == "bulk")
        .unwrap()
}

fn row<'a>(plan: &'a mut Value, id: &str) -> &'a mut Value {
    let rows = plan["shopping"]["rows"].as_array_mut().unwrap();
    rows.iter_mut().find(|r| r["item"] == id).unwrap()
}

#[test]
fn the_good_plan_breaks_nothing() {
    keeps("untouched", |_| {});
    for (name, sheet) in good::all() {
        let broken = audit(&good::plan(&sheet));
        assert!(broken.is_empty(), "{name}:{}", lines(&broken));
    }
}

#[test]
fn rule_21_sharing() {
    let scarf = |p: &mut Value, key: &str, value: Value| piece(p, "scarf")[key] = value;
    check("another fibre", 21, |p| {
        piece(p, "scarf")["goods"]["fibres"][0]["fibre"] = json!("linen")
    });
    check("another material", 21, |p| piece(p, "scarf")["goods"]["material"] = json!("linen"));
    check("unknown cloth", 21, |p| piece(p, "scarf")["goods"]["known"] = json!(false));
    check("another white", 21, |p| piece(p, "scarf")["cloth"]["lab"][2] = json!(9.0));
    check("a look that is not said", 21, |p| scarf(p, "cloth", Value::Null));
    check("does not say so", 21, |p| {
        piece(p, "scarf").as_object_mut().unwrap().remove("shares_with");
    });
    check("says another", 21, |p| scarf(p, "shares_with", json!("coat")));
    check("shares with nobody", 21, |p| scarf(p, "shares_with", json!("ghost")));
    check("with itself", 21, |p| scarf(p, "shares_with", json!("scarf")));
    check("has an outcome of its own", 21, |p| scarf(p, "outcome", json!("leave")));
    check("not on the sheet", 21, |p| {
        bulk(p, "shirt")["pieces"] = json!(["shirt"]);
        bulk(p, "shirt")["dry_g"] = json!(400.0);
    });
    check("somebody unknown on the sheet", 21, |p| {
        bulk(p, "coat")["pieces"] = json!(["coat", "ghost"])
    });
    check("the owner not on the sheet", 21, |p| bulk(p, "coat")["pieces"] = json!([]));
    check("twice on the sheet", 21, |p| bulk(p, "coat")["pieces"] = json!(["coat", "coat"]));
    check("split over two baths", 21, |p| {
        let again = bulk(p, "coat").clone();
        piece(p, "coat")["sheets"].as_array_mut().unwrap().push(again);
    });
    check("in two baths of one way", 21, |p| {
        bulk(p, "belt")["pieces"] = json!(["belt", "coat"]);
    });
}

#[test]
fn rule_22_weights() {
    check("more takes than there is", 22, |p| {
        bulk(p, "coat")["takes_g"] = json!(520.0);
        bulk(p, "coat")["liquor_ml"] = json!(10400.0);
    });
    check("takes not said", 22, |p| bulk(p, "coat")["takes_g"] = Value::Null);
    check("another bath", 22, |p| bulk(p, "coat")["liquor_ml"] = json!(10100.0));
    check("another ratio", 22, |p| bulk(p, "coat")["liquor_ratio"] = json!(20.3));
    check("dye on the wet weight", 22, |p| {
        bulk(p, "coat")["takes_g"] = json!(450.0);
        bulk(p, "coat")["liquor_ml"] = json!(9000.0);
    });
    check("one digit more of dye", 22, |p| bulk(p, "coat")["dyes"][0]["grams"] = json!(5.01));
    check("one digit more of depth", 22, |p| bulk(p, "coat")["dyes"][0]["owf_pct"] = json!(1.002));
    check("salt twice over", 22, |p| bulk(p, "shirt")["auxiliaries"][0]["grams"] = json!(700.0));
    check("soda halved", 22, |p| bulk(p, "shirt")["auxiliaries"][1]["grams"] = json!(40.0));
    check("parts outweigh the whole", 22, |p| {
        piece(p, "shirt")["goods"]["parts_weigh"][0]["grams"] = json!(395.0)
    });
    check("a part of no weight", 22, |p| {
        piece(p, "shirt")["goods"]["parts_weigh"][0]["grams"] = json!("light")
    });
    check("the scarf not weighed in", 22, |p| piece(p, "scarf")["goods"]["dry_g"] = json!(150.0));
    check("the spare not weighed in", 22, |p| piece(p, "shirt")["spare"]["grams"] = json!(9.0));
}

#[test]
fn rule_23_kits() {
    let note = "The pack brings its own salt: none is added. When it lies beside the dye in a sachet of its \
                own, put it in dissolved, when the pack says.";
    check("dosed as well", 23, |p| bulk(p, "shirt")["notes"] = json!([note]));
    check("added in a step only", 23, |p| {
        bulk(p, "shirt")["notes"] = json!([note]);
        bulk(p, "shirt")["auxiliaries"].as_array_mut().unwrap().remove(0);
    });
    check("under its long name", 23, |p| {
        bulk(p, "shirt")["notes"] = json!([note.replace("salt", "salt (table salt)")]);
        bulk(p, "shirt")["auxiliaries"][0]["name"] = json!("Salt (table salt)");
    });
    check("the fixer in a step only", 23, |p| {
        bulk(p, "shirt")["notes"] = json!([note.replace("salt", "soda ash (sodium carbonate)")]);
        bulk(p, "shirt")["auxiliaries"] = json!([]);
    });
    check("by the dye", 23, |p| {
        bulk(p, "shirt")["dyes"][0]["brings"] = json!([{"agent": "soda-ash"}])
    });
    keeps("another thing brought", |p| {
        bulk(p, "shirt")["notes"] = json!([note.replace("salt", "fixative")])
    });
}

#[test]
fn rule_24_sets_and_leftovers() {
    let set = |p: &mut Value, key: &str, value: Value| p["sets"][0][key] = value;
    check("largest too small", 24, |p| set(p, "largest", json!(1.1)));
    check("holds and does not", 24, |p| set(p, "passes", json!(1.3)));
    check("does not and holds", 24, |p| set(p, "holds", json!(false)));
    check("worst of the wrong light", 24, |p| p["sets"][0]["pairs"][0]["worst"] = json!(0.9));
    check("a light left out", 24, |p| p["sets"][0]["pairs"][0]["differences"] = json!([1.4]));
    check("a pair left out", 24, |p| {
        p["sets"][0]["pairs"].as_array_mut().unwrap().remove(2);
    });
    check("a member from nowhere", 24, |p| p["sets"][0]["members"][2]["id"] = json!("hat"));
    check("a fixed piece called dyed", 24, |p| p["sets"][0]["members"][2]["kind"] = json!("dyed"));
    let offer = |p: &mut Value, from: &str, to: &str| {
        p["days"]["leftovers"][0] = json!({"from": from, "to": to, "words": "an offer"});
    };
    check("for a match", 24, |p| piece(p, "belt")["set"] = json!("the greens"));
    check("for a member that does not say so", 24, |p| {
        p["sets"][0]["members"].as_array_mut().unwrap().push(json!({"id": "belt", "kind": "dyed"}))
    });
    check("for one that hangs on a match", 24, |p| {
        piece(p, "scarf")["shares_with"] = json!("belt");
    });
    check("from pale to dark", 24, |p| piece(p, "belt")["target"]["lab"][0] = json!(30.0));
    check("from a reactive bath", 24, |p| offer(p, "shirt", "belt"));
    check("to itself", 24, |p| offer(p, "belt", "belt"));
    check("from nobody", 24, |p| offer(p, "ghost", "belt"));
    check("before it is there", 24, |p| {
        piece(p, "belt")["target"]["lab"][0] = json!(20.0);
        piece(p, "coat").as_object_mut().unwrap().remove("set");
        p["sets"] = json!([]);
        offer(p, "belt", "coat");
    });
}

#[test]
fn rule_25_money() {
    let set = |p: &mut Value, item: &str, key: &str, value: Value| row(p, item)[key] = value;
    check("no list", 25, |p| p["shopping"] = Value::Null);
    check("no list at all", 25, |p| {
        p.as_object_mut().unwrap().remove("shopping");
    });
    check("a pack too few", 25, |p| set(p, "navy", "packs", json!(1)));
    check("a pack too many", 25, |p| {
        set(p, "navy", "packs", json!(3));
        set(p, "navy", "to_pay", json!(7.5));
        p["shopping"]["to_pay"] = json!(8.5);
    });
    check("half a pack", 25, |p| set(p, "navy", "packs", json!(1.5)));
    check("packs at another price", 25, |p| set(p, "navy", "pack_price", json!(2.4)));
    check("short and not bought", 25, |p| {
        let navy = row(p, "navy").as_object_mut().unwrap();
        navy.remove("packs");
        navy.remove("to_pay");
        p["shopping"]["to_pay"] = json!(1.0);
    });
    check("less short than it is", 25, |p| set(p, "navy", "short_g", json!(3.0)));
    check("the shelf forgotten", 25, |p| set(p, "red", "on_shelf_g", json!(2.0)));
    check("the expired counted on", 25, |p| {
        let salt = row(p, "salt").as_object_mut().unwrap();
        for key in ["short_g", "packs", "to_pay"] {
            salt.remove(key);
        }
        p["shopping"]["to_pay"] = json!(5.0);
    });
    check("expired by its date", 25, |p| set(p, "red", "expires", json!("2026-11-01")));
    check("grams times price", 25, |p| set(p, "red", "cost", json!(3.05)));
    check("a cost out of nothing", 25, |p| {
        row(p, "red").as_object_mut().unwrap().remove("price_per_g");
    });
    check("another total", 25, |p| p["shopping"]["total"] = json!(6.53));
    check("another sum to pay", 25, |p| p["shopping"]["to_pay"] = json!(5.0));
    check("the cheapest is dearer", 25, |p| p["shopping"]["cheapest"]["to_pay"] = json!(5.5));
}

#[test]
fn rule_14_two_baths_of_a_blend() {
    let two = || {
        let mut plan = good::plan(&good::reactive_blend());
        let mut second = good::disperse_polyester();
        second["goods"] = plan["pieces"][0]["goods"].clone();
        second["cautions"].as_array_mut().unwrap().push(
            json!({"id": "undyed-share", "text": "The cotton (60 %) will not dye: expect a heather."}),
        );
        let both = good::plan(&second)["pieces"][0]["sheets"].clone();
        let sheets = plan["pieces"][0]["sheets"].as_array_mut().unwrap();
        sheets.insert(0, both[0].clone());
        sheets.insert(2, both[1].clone());
        plan
    };
    let broken = audit(&two());
    assert!(broken.is_empty(), "{}", lines(&broken));
    for (name, change) in [
        ("swatched the other way round", (|s| s.swap(0, 1)) as fn(&mut Vec<Value>)),
        ("one swatch for both", |s| drop(s.remove(1))),
        ("a third bath", |s| {
            let mut third = s[3].clone();
            third["procedure"] = json!("direct");
            s.push(third);
        }),
    ] {
        let mut plan = two();
        change(plan["pieces"][0]["sheets"].as_array_mut().unwrap());
        let broken = audit(&plan);
        assert!(broken.iter().any(|b| b.rule == 14), "{name}: {}", lines(&broken));
    }
}
