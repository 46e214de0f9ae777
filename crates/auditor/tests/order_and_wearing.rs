//! Rules 11 to 15 of the trade knowledge (trade.md M): class, order of work, judging, swatch, wearing; each
//! broken one at a time.
#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests: a hand-made sheet that lacks a key should fail loudly"
)]

mod breaking;
mod good;

use breaking::*;
use good::*;
use serde_json::{Value, json};

#[test]
fn rule_11_class_and_fibre() {
    let all_polyester = |p: &mut Value| bulk(p)["goods"]["fibres"][0]["fibre"] = json!("polyester");
    check("reactive on polyester", reactive_cotton(), 11, all_polyester);
    check("the heather not said", reactive_blend(), 11, |p| lose(p, "undyed-share"));
    check("the heather emptied", reactive_blend(), 11, |p| empty(p, "undyed-share"));
    check("a dye of another class", milling_wool(), 11, |p| {
        bulk(p)["dyes"][0]["class"] = json!("disperse")
    });
    check("a procedure nobody knows", milling_wool(), 11, |p| {
        bulk(p)["procedure"] = json!("boiling")
    });
    check("thread not said", reactive_cotton(), 11, |p| {
        bulk(p)["goods"]["parts"] = json!(["polyester-thread"])
    });
    check("acid on cotton", milling_wool(), 11, |p| {
        bulk(p)["goods"]["fibres"][0]["fibre"] = json!("cotton")
    });
}

#[test]
fn rule_12_reactive_order() {
    check("salt after alkali", reactive_cotton(), 12, |p| {
        before(p, "heat", pour("salt", "salt", 25.0))
    });
    check("dye after alkali", reactive_cotton(), 12, |p| {
        before(p, "heat", pour("dye", "dye", 25.0))
    });
    check("dry dye", reactive_cotton(), 12, |p| {
        adding(p, "dye")["adds"][0]["dissolved"] = json!(false)
    });
    check("dry alkali", reactive_cotton(), 12, |p| {
        adding(p, "soda-ash")["adds"][0].as_object_mut().unwrap().remove("dissolved");
    });
    check("no alkali", reactive_cotton(), 12, |p| {
        drop_steps(p, |s| s["adds"][0]["id"] != "soda-ash")
    });
    check("hot first rinse", reactive_cotton(), 12, |p| step(p, "rinse")["to_c"] = json!(50));
    check("soap before rinse", reactive_cotton(), 12, |p| drop_steps(p, |s| s["do"] != "rinse"));
    check("not drained", reactive_cotton(), 12, |p| drop_steps(p, |s| s["do"] != "drain"));
    check("soaped, but not until clear", reactive_cotton(), 12, |p| {
        step(p, "soap").as_object_mut().unwrap().remove("until");
    });
    check("not soaped", reactive_cotton(), 12, |p| drop_steps(p, |s| s["do"] != "soap"));
    check("caution lost", reactive_cotton(), 12, |p| lose(p, "no-top-up-after-alkali"));
    check("caution emptied", reactive_cotton(), 12, |p| empty(p, "no-top-up-after-alkali"));
    check("not said", reactive_cotton(), 12, |p| bulk(p)["no_top_up_after"] = Value::Null);
    check("portions short", reactive_cotton(), 12, |p| {
        adding(p, "salt")["adds"][0]["portion"] = json!(0.1)
    });
    check("acid route dry dye", acid_route_silk(), 12, |p| {
        adding(p, "dye")["adds"][0]["dissolved"] = json!(false)
    });
}

#[test]
fn rule_13_judging() {
    for word in ["dry", "cool", "conditioned"] {
        check(word, milling_wool(), 13, |p| {
            let text = bulk(p)["judge"]["text"].as_str().unwrap().replace(word, "");
            bulk(p)["judge"]["text"] = json!(text);
        });
    }
    check("one light", milling_wool(), 13, |p| bulk(p)["judge"]["lights"] = json!(["daylight"]));
    check("one light twice", milling_wool(), 13, |p| {
        bulk(p)["judge"]["lights"] = json!(["daylight", "daylight"])
    });
    check("nothing said", milling_wool(), 13, |p| bulk(p)["judge"] = Value::Null);
    check("judged wet", milling_wool(), 13, |p| drop_steps(p, |s| s["do"] != "dry"));
    check("vat not soaped", indigo_cotton(), 13, |p| drop_steps(p, |s| s["do"] != "soap"));
}

#[test]
fn rule_14_swatch_first() {
    let unsaid = |p: &mut Value| {
        bulk(p).as_object_mut().unwrap().remove("first_line");
    };
    check("first line lost", milling_wool(), 14, unsaid);
    check("first line other words", milling_wool(), 14, |p| {
        bulk(p)["first_line"] = json!("a swatch would be nice")
    });
    check("no swatch sheet", milling_wool(), 14, |p| {
        piece(p)["sheets"].as_array_mut().unwrap().remove(0);
    });
    check("bulk first", milling_wool(), 14, |p| {
        piece(p)["sheets"].as_array_mut().unwrap().reverse()
    });
    check("swatch at another ratio", milling_wool(), 14, |p| {
        piece(p)["sheets"][0]["liquor_ratio"] = json!(40)
    });
    check("swatch of another dye", milling_wool(), 14, |p| {
        piece(p)["sheets"][0]["dyes"][0]["id"] = json!("blue")
    });
    check("swatch of another depth", milling_wool(), 14, |p| {
        piece(p)["sheets"][0]["dyes"][0]["owf_pct"] = json!(2.0)
    });
    check("unsigned waiver", milling_wool(), 14, |p| {
        unsaid(p);
        bulk(p)["waiver"] = json!({"signed_by": " ", "day": "2026-11-20"});
    });
    check("waiver of tomorrow", milling_wool(), 14, |p| {
        unsaid(p);
        bulk(p)["waiver"] = json!({"signed_by": "the maker", "day": "2026-12-24"});
    });
    check("recorded at another ratio", milling_wool(), 14, |p| {
        unsaid(p);
        bulk(p)["swatch_recorded"] = json!({"day": "2026-11-20", "liquor_ratio": 40.0});
    });
    check("a bath without sheets", milling_wool(), 14, |p| piece(p)["sheets"] = json!([]));
    check("overdye lighter", milling_wool(), 14, |p| piece(p)["target"]["lab"][0] = json!(97.0));
}

#[test]
fn a_signed_waiver_or_a_recorded_swatch_stands_in() {
    for (key, value) in [
        ("waiver", json!({"signed_by": "the maker", "day": "2026-11-24"})),
        ("swatch_recorded", json!({"day": "2026-11-20", "liquor_ratio": 20.0})),
    ] {
        let broken = broken_by(&milling_wool(), |p| {
            piece(p)["sheets"].as_array_mut().unwrap().remove(0);
            let bulk = &mut p["pieces"][0]["sheets"][0];
            bulk.as_object_mut().unwrap().remove("first_line");
            bulk[key] = value.clone();
        });
        assert!(broken.is_empty(), "{key}:{}", lines(&broken));
    }
}

#[test]
fn rule_15_wearing() {
    for id in ["flame-not-certified", "rub-and-sweat-check"] {
        check(id, acid_silk(), 15, |p| lose(p, id));
        check(id, acid_silk(), 15, |p| empty(p, id));
    }
    check("no label", acid_silk(), 15, |p| piece(p)["care"]["label"] = json!([]));
    check("a label that claims", acid_silk(), 15, |p| {
        piece(p)["care"]["label"] = json!(["flameproof"])
    });
}

#[test]
fn what_is_no_plan_is_refused_in_words() {
    for not_a_plan in [
        json!(null),
        json!({}),
        json!({"dyewright": "plan"}),
        json!({"dyewright": "plan", "version": 1, "pieces": []}),
        json!({"dyewright": "plan", "version": 2, "pieces": 3}),
    ] {
        let refusal = auditor::audit(&not_a_plan).unwrap_err().to_string();
        assert!(refusal.contains("plan --json"), "{refusal}");
    }
}
