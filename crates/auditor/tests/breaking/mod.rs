//! How the tests of single sheets break a good one: what is changed, and that the rule is seen.

#![allow(dead_code, reason = "each test file takes what it needs")]

use serde_json::{Value, json};

use crate::good::*;

/// Audits a plan made of the sheet after `change`, which sees the plan and the path of its bulk sheet.
pub(crate) fn broken_by(sheet: &Value, change: impl Fn(&mut Value)) -> Vec<auditor::Broken> {
    let mut plan = plan(sheet);
    change(&mut plan);
    auditor::audit(&plan).unwrap()
}

/// The change must break the named rule, and the untouched sheet none.
pub(crate) fn check(name: &str, sheet: Value, rule: u8, change: impl Fn(&mut Value)) {
    let before = broken_by(&sheet, |_| {});
    assert!(before.is_empty(), "{name}: the good sheet already breaks {}", lines(&before));
    let after = broken_by(&sheet, change);
    assert!(
        after.iter().any(|b| b.rule == rule),
        "{name}: rule {rule} not seen, only {}",
        lines(&after)
    );
}

pub(crate) fn lines(broken: &[auditor::Broken]) -> String {
    broken.iter().map(|b| format!("\n  {b}")).collect()
}

pub(crate) fn piece(plan: &mut Value) -> &mut Value {
    &mut plan["pieces"][0]
}

pub(crate) fn bulk(plan: &mut Value) -> &mut Value {
    &mut plan["pieces"][0]["sheets"][1]
}

/// The first step of the bulk sheet that does this.
pub(crate) fn step<'a>(plan: &'a mut Value, act: &str) -> &'a mut Value {
    let steps = bulk(plan)["steps"].as_array_mut().unwrap();
    steps.iter_mut().find(|s| s["do"] == act).unwrap()
}

/// The first step of the bulk sheet that adds this.
pub(crate) fn adding<'a>(plan: &'a mut Value, id: &str) -> &'a mut Value {
    let steps = bulk(plan)["steps"].as_array_mut().unwrap();
    steps.iter_mut().find(|s| s["adds"][0]["id"] == id).unwrap()
}

/// Puts a step in front of the first that does `act`.
pub(crate) fn before(plan: &mut Value, act: &str, new: Value) {
    let steps = bulk(plan)["steps"].as_array_mut().unwrap();
    let at = steps.iter().position(|s| s["do"] == act).unwrap();
    steps.insert(at, new);
    for (i, step) in steps.iter_mut().enumerate() {
        step["n"] = json!(i + 1);
    }
}

pub(crate) fn drop_steps(plan: &mut Value, keep: impl Fn(&Value) -> bool) {
    bulk(plan)["steps"].as_array_mut().unwrap().retain(|s| keep(s));
}

/// Takes the caution off every sheet.
pub(crate) fn lose(plan: &mut Value, id: &str) {
    for sheet in plan["pieces"][0]["sheets"].as_array_mut().unwrap() {
        sheet["cautions"].as_array_mut().unwrap().retain(|c| c["id"] != id);
    }
}

/// Empties the caution's text on every sheet.
pub(crate) fn empty(plan: &mut Value, id: &str) {
    for sheet in plan["pieces"][0]["sheets"].as_array_mut().unwrap() {
        for caution in sheet["cautions"].as_array_mut().unwrap() {
            if caution["id"] == id {
                caution["text"] = json!("Take care.");
            }
        }
    }
}

pub(crate) fn pour(id: &str, group: &str, at: f64) -> Value {
    json!({"n": 90, "do": "add", "text": "", "from_c": at, "to_c": at, "minutes": 5, "agitation": "gentle",
           "adds": [{"id": id, "group": group, "grams": 5.0, "portion": 1.0, "dissolved": true}]})
}

pub(crate) fn bleach_caution() -> Value {
    json!({"id": "bleach-alone", "text": "Never let bleach meet acid or ammonia: rinse fully between."})
}
