//! Rule 27: the rest of a swatch's stock in the bulk bath, broken one way at a time.
#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests: a hand-made plan that lacks a key should fail loudly"
)]

mod costume;
mod good;

use costume::{check, keeps};
use serde_json::{Value, json};

/// The shirt's bulk bath takes its navy from what the swatch left; swatch on 26, bulk on 28 November.
fn from_swatch(plan: &mut Value) {
    let sheets = plan["pieces"][1]["sheets"].as_array_mut().unwrap();
    let stock = json!([{"dye": "navy", "stock_pct": 2.0, "grams": 10.0, "make_ml": 500.0, "used_ml": 20.0}]);
    let dye = |sheet: &mut Value, ml: f64| {
        for (key, value) in
            [("how", json!("stock")), ("stock_pct", json!(2.0)), ("stock_ml", json!(ml))]
        {
            sheet["dyes"][0][key] = value;
        }
    };
    dye(&mut sheets[0], 20.0);
    dye(&mut sheets[1], 300.0);
    sheets[0]["stocks"] = stock;
    sheets[1]["stocks"] = json!([]);
    let left = json!({"dye": "navy", "stock_pct": 2.0, "left_ml": 480.0, "used_ml": 300.0, "keeps_days": 7});
    sheets[1]["from_swatch"] = json!([left]);
}

fn left(plan: &mut Value) -> &mut Value {
    &mut plan["pieces"][1]["sheets"][1]["from_swatch"][0]
}

fn breaks(name: &str, change: impl Fn(&mut Value)) {
    check(name, 27, |plan| {
        from_swatch(plan);
        change(plan);
    });
}

#[test]
fn no_more_is_taken_than_is_left_and_nothing_that_is_too_old() {
    let mut broken = costume::costume();
    from_swatch(&mut broken);
    let found = costume::audit(&broken);
    assert!(found.iter().all(|b| b.rule != 27), "{}", costume::lines(&found));
    breaks("more than is left", |p| left(p)["used_ml"] = json!(490.0));
    breaks("more is left than was made", |p| left(p)["left_ml"] = json!(500.0));
    breaks("not all the bath takes", |p| left(p)["used_ml"] = json!(200.0));
    breaks("of another strength", |p| left(p)["stock_pct"] = json!(4.0));
    breaks("older than it keeps", |p| left(p)["keeps_days"] = json!(1));
    breaks("kept longer than such a dye keeps", |p| left(p)["keeps_days"] = json!(30));
    breaks("a reactive dye with its own soda", |p| {
        p["pieces"][1]["sheets"][0]["dyes"][0]["brings"] =
            json!([{"agent": "soda-ash", "grams": 10.0}]);
    });
    breaks("no stock was made", |p| p["pieces"][1]["sheets"][0]["stocks"] = json!([]));
    keeps("nothing taken", |_| {});
}
