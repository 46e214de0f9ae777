//! Law: whatever JSON comes, the auditor answers and never stops; and any single thing taken out
//! of a good plan is either harmless to the rules or seen, never a crash.
#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests: a hand-made sheet that lacks a key should fail loudly"
)]

mod costume;
mod good;

use proptest::prelude::*;
use serde_json::{Value, json};

/// Keys and words of docs/json.md, so that random JSON reaches deep into the rules.
fn word() -> impl Strategy<Value = String> {
    let known = [
        "dyewright",
        "plan",
        "version",
        "pieces",
        "sheets",
        "goods",
        "fibres",
        "possible",
        "fibre",
        "share",
        "odds",
        "known",
        "parts",
        "steps",
        "do",
        "heat",
        "cool",
        "add",
        "adds",
        "group",
        "id",
        "alkali",
        "dye",
        "hypochlorite",
        "from_c",
        "to_c",
        "minutes",
        "ph",
        "wool",
        "silk",
        "cotton",
        "acrylic",
        "procedure",
        "reactive-cold",
        "cautions",
        "text",
        "dyes",
        "class",
        "judge",
        "lights",
        "kind",
        "bulk",
        "swatch",
        "waiver",
        "day",
        "n",
        "stretch_min",
        "°c 98°c",
    ];
    prop_oneof![prop::sample::select(known.to_vec()).prop_map(str::to_owned), ".{0,8}"]
}

fn anything() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<f64>().prop_map(|x| json!(x)),
        (-50i64..200).prop_map(Value::from),
        word().prop_map(Value::from),
    ];
    leaf.prop_recursive(6, 96, 8, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
            prop::collection::vec((word(), inner), 0..8)
                .prop_map(|pairs| Value::Object(pairs.into_iter().collect())),
        ]
    })
}

/// Every place in a value, as a JSON pointer.
fn places(value: &Value, at: &str, all: &mut Vec<String>) {
    all.push(at.to_owned());
    match value {
        Value::Array(list) => {
            list.iter().enumerate().for_each(|(i, v)| places(v, &format!("{at}/{i}"), all));
        }
        Value::Object(map) => map.iter().for_each(|(k, v)| places(v, &format!("{at}/{k}"), all)),
        _ => {}
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn random_json_never_stops_the_auditor(value in anything()) {
        let _ = auditor::audit(&value);
        let _ = auditor::audit_sheet("x", &value, &value, &[]);
        let _ = auditor::audit_piece(&value, &value, Some("2026-11-24"));
    }

    #[test]
    fn a_good_plan_with_anything_anywhere_is_answered(
        which in 0usize..10, at in any::<prop::sample::Index>(), value in anything()
    ) {
        let (_, sheet) = good::all().swap_remove(which);
        let mut plan = good::plan(&sheet);
        let mut all = Vec::new();
        places(&plan, "", &mut all);
        let place = at.get(&all).clone();
        if let Some(there) = plan.pointer_mut(&place) {
            *there = value;
        }
        let _ = auditor::audit(&plan);
    }

    #[test]
    fn a_whole_costume_with_anything_anywhere_is_answered(
        at in any::<prop::sample::Index>(), value in anything()
    ) {
        let mut plan = costume::costume();
        let mut all = Vec::new();
        places(&plan, "", &mut all);
        let place = at.get(&all).clone();
        if let Some(there) = plan.pointer_mut(&place) {
            *there = value;
        }
        let _ = auditor::audit(&plan);
    }
}

/// A sheet in which any one safety-bearing value is lost must not pass.
#[test]
fn losing_any_value_the_rules_need_is_seen() {
    let needed = [
        "procedure",
        "vessel",
        "cautions",
        "dyes",
        "steps",
        "judge",
        "goods",
        "kind",
        "pieces",
        "dry_g",
        "takes_g",
        "liquor_ratio",
        "liquor_ml",
    ];
    for (name, sheet) in good::all() {
        for key in needed {
            let mut plan = good::plan(&sheet);
            plan["pieces"][0]["sheets"][1].as_object_mut().unwrap().remove(key);
            assert!(!auditor::audit(&plan).unwrap().is_empty(), "{name} passes without `{key}`");
        }
        let steps = sheet["steps"].as_array().unwrap().len();
        for i in 0..steps {
            let mut plan = good::plan(&sheet);
            plan["pieces"][0]["sheets"][1]["steps"][i].as_object_mut().unwrap().remove("do");
            assert!(
                !auditor::audit(&plan).unwrap().is_empty(),
                "{name} passes without `do` in step {i}"
            );
        }
    }
}

/// What the day plan does not say is not taken for kept.
#[test]
fn losing_any_word_of_the_days_is_seen() {
    let good = costume::costume();
    let lose = |at: &str, key: &str| {
        let mut plan = good.clone();
        plan.pointer_mut(at).unwrap().as_object_mut().unwrap().remove(key);
        assert!(!auditor::audit(&plan).unwrap().is_empty(), "{at} passes without `{key}`");
    };
    for key in ["vessels", "burners", "hands", "sinks", "drying", "from", "until", "delivery_days"]
    {
        lose("/days/limits", key);
    }
    for (d, day) in good["days"]["days"].as_array().unwrap().iter().enumerate() {
        lose(&format!("/days/days/{d}"), "day");
        for i in 0..day["items"].as_array().unwrap().len() {
            for key in [
                "start",
                "end",
                "start_min",
                "end_min",
                "job",
                "hands",
                "burner",
                "powder",
                "changing",
                "over_night",
            ] {
                lose(&format!("/days/days/{d}/items/{i}"), key);
            }
        }
    }
    for key in ["item", "order_by", "comes"] {
        lose("/days/orders/0", key);
    }
}
