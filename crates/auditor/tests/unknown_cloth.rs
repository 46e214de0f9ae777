//! Tests of unknown cloth among the days: each has its time, what can hurt has the kitchen to itself, and bleach is
//! counted in the sink.
#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests: a hand-made plan that lacks a key should fail loudly"
)]

mod costume;
mod good;

use costume::{Item, check, job, keeps};
use serde_json::{Value, json};

/// Puts the tests of a braid on a day of their own behind the others.
fn with_tests(plan: &mut Value) {
    let test = |name: &str| json!({"test": name, "do": "it", "hazard": "it hurts"});
    plan["pieces"][3]["tests"] = json!([test("bleach snip"), test("acetone snip"), test("burn")]);
    let mut items = vec![];
    let mut at = 600.0;
    for (what, minutes) in
        [("bleach snip", 65.0), ("pour away", 5.0), ("acetone snip", 20.0), ("burn", 15.0)]
    {
        let item = Item { from: at, to: at + minutes, job: "test", piece: "belt", hands: "alone" };
        let mut item = item.json();
        item["what"] = json!(format!("test a snip: {what}"));
        if what == "pour away" {
            item["sink"] = json!(["bleach"]);
        }
        items.push(item);
        at += minutes;
    }
    let days = plan["days"]["days"].as_array_mut().unwrap();
    days.push(json!({"day": "2026-12-03", "items": items}));
}

fn tests(plan: &mut Value) -> &mut Vec<Value> {
    let days = plan["days"]["days"].as_array_mut().unwrap();
    days.last_mut().unwrap()["items"].as_array_mut().unwrap()
}

#[test]
fn tests_have_their_time_and_the_kitchen_to_themselves() {
    keeps("as asked", with_tests);
    check("a pot on a burner beside the bleach", 16, |p| {
        with_tests(p);
        let bath = job("finish", "coat", "big pot", 580.0, 200.0, "acid").swap_remove(1);
        tests(p).push(bath);
    });
    check("acetone beside other work", 16, |p| {
        with_tests(p);
        tests(p)[2]["hands"] = json!("all");
    });
    check("no time for the bleach", 16, |p| {
        with_tests(p);
        tests(p)[0]["end_min"] = json!(630.0);
        tests(p)[0]["end"] = json!("10:30");
    });
    check("a test that no day has", 16, |p| {
        with_tests(p);
        tests(p).pop();
    });
    check("a flame before the acetone is gone", 16, |p| {
        with_tests(p);
        tests(p)[2]["what"] = json!("test a snip: burn");
        tests(p)[3]["what"] = json!("test a snip: acetone snip");
        tests(p)[3]["end_min"] = json!(710.0);
        tests(p)[3]["end"] = json!("11:50");
    });
}

#[test]
fn bleach_of_a_test_is_counted_in_the_sink() {
    check("bleach that goes nowhere", 18, |p| {
        with_tests(p);
        tests(p)[1].as_object_mut().unwrap().remove("sink");
    });
    check("acid after it, and no rinse", 18, |p| {
        with_tests(p);
        let mut off = job("finish", "coat", "big pot", 680.0, 5.0, "acid").swap_remove(2);
        (off["start_min"], off["end_min"]) = (json!(710.0), json!(720.0));
        (off["start"], off["end"]) = (json!("11:50"), json!("12:00"));
        tests(p).push(off);
    });
}
