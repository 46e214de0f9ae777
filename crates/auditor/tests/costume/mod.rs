//! A hand-made plan of five pieces that keeps rules 16 to 25, with days, deliveries, a shared bath, a set,
//! a leftover and a shopping list: the ground on which each of them is then broken. Everything in it is
//! invented.

#![allow(dead_code, reason = "each test file takes what it needs")]

use serde_json::{Value, json};

use crate::good;

pub(crate) fn audit(plan: &Value) -> Vec<auditor::Broken> {
    auditor::audit(plan).unwrap()
}

pub(crate) fn lines(broken: &[auditor::Broken]) -> String {
    broken.iter().map(|b| format!("\n  {b}")).collect()
}

/// The change must break the named rule.
pub(crate) fn check(name: &str, rule: u8, change: impl Fn(&mut Value)) {
    let mut plan = costume();
    change(&mut plan);
    let broken = audit(&plan);
    assert!(
        broken.iter().any(|b| b.rule == rule),
        "{name}: rule {rule} not seen, only {}",
        lines(&broken)
    );
}

/// The change must break nothing.
pub(crate) fn keeps(name: &str, change: impl Fn(&mut Value)) {
    let mut plan = costume();
    change(&mut plan);
    let broken = audit(&plan);
    assert!(broken.is_empty(), "{name}:{}", lines(&broken));
}

/// The items of the nth day.
pub(crate) fn items(plan: &mut Value, day: usize) -> &mut Vec<Value> {
    plan["days"]["days"][day]["items"].as_array_mut().unwrap()
}

pub(crate) fn limit(plan: &mut Value, key: &str, value: Value) {
    plan["days"]["limits"][key] = value;
}

/// One stretch of work.
pub(crate) struct Item<'a> {
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) job: &'a str,
    pub(crate) piece: &'a str,
    pub(crate) hands: &'a str,
}

impl Item<'_> {
    pub(crate) fn json(&self) -> Value {
        let mut item = json!({
            "start": clock(self.from), "end": clock(self.to), "start_min": self.from, "end_min": self.to,
            "job": self.job, "what": self.job, "burner": false, "hands": self.hands,
            "powder": false, "changing": false, "over_night": self.to > 1440.0,
        });
        if !self.piece.is_empty() {
            item["piece"] = json!(self.piece);
        }
        item
    }
}

pub(crate) fn clock(minutes: f64) -> String {
    let minutes = minutes.rem_euclid(1440.0);
    format!("{:02.0}:{:02.0}", (minutes / 60.0).floor(), minutes % 60.0)
}

/// A job of a piece in one pot: weighing, the bath, letting it off, hanging it up.
pub(crate) fn job(
    job: &str,
    piece: &str,
    pot: &str,
    from: f64,
    bath_min: f64,
    family: &str,
) -> Vec<Value> {
    let mut at = from;
    let mut next = |minutes: f64, what: &str, hands: &str| {
        let mut item = Item { from: at, to: at + minutes, job, piece, hands }.json();
        item["what"] = json!(what);
        at += minutes;
        item
    };
    let mut weigh = next(20.0, "weigh out and dissolve", "all");
    weigh["powder"] = json!(true);
    let mut bath = next(bath_min, "heat and hold", "near");
    bath["changing"] = json!(true);
    bath["burner"] = json!(true);
    let mut off = next(20.0, "let the bath off, rinse", "all");
    off["changing"] = json!(true);
    off["sink"] = json!([family, "water"]);
    for wet in [&mut bath, &mut off] {
        wet["vessel"] = json!(pot);
    }
    let dries = if job == "swatch" { 90.0 } else { 720.0 };
    let hung = Item { from: at, to: at + dries, job: "drying", piece, hands: "away" }.json();
    vec![weigh, bath, off, hung]
}

pub(crate) fn judge(piece: &str, from: f64) -> Value {
    Item { from, to: from + 15.0, job: "judge", piece, hands: "all" }.json()
}

/// A piece dyed by this sheet, in a bath with these.
fn piece(id: &str, sheet: &Value, dye: &str, with: &[&str]) -> Value {
    let mut sheet = sheet.clone();
    sheet["pieces"] = json!(with);
    sheet["dyes"][0]["id"] = json!(dye);
    let mut piece = good::plan(&sheet)["pieces"][0].take();
    piece["id"] = json!(id);
    piece
}

/// The whole plan.
pub(crate) fn costume() -> Value {
    let coat = piece("coat", &good::milling_wool(), "red", &["coat"]);
    let mut shirt = piece("shirt", &good::reactive_cotton(), "navy", &["shirt", "scarf"]);
    shirt["goods"]["dry_g"] = json!(395.0);
    shirt["goods"]["parts_weigh"] = json!([{"part": "zip", "grams": 20.0}]);
    shirt["spare"] = json!({"grams": 5.0, "words": "kept for the repair"});
    shirt["sheets"][0]["dyes"][0]["how"] = json!("stock");
    shirt["sheets"][0]["stocks"] = json!([{"dye": "navy", "grams": 0.5}]);
    let mut scarf = shirt.clone();
    scarf["id"] = json!("scarf");
    scarf["outcome"] = json!("shares-bath");
    scarf["shares_with"] = json!("shirt");
    scarf["goods"]["dry_g"] = json!(100.0);
    for (key, value) in [("sheets", json!([])), ("spare", Value::Null)] {
        scarf[key] = value;
    }
    scarf.as_object_mut().unwrap().remove("spare");
    let mut belt = piece("belt", &good::milling_wool(), "red", &["belt"]);
    belt["target"]["lab"][0] = json!(60.0);
    belt["sheets"].as_array_mut().unwrap().remove(0);
    belt["sheets"][0].as_object_mut().unwrap().remove("first_line");
    belt["sheets"][0]["swatch_recorded"] = json!({"day": "2026-11-20", "liquor_ratio": 20.0});
    for piece in [&mut coat.clone(), &mut shirt, &mut scarf] {
        piece["set"] = json!("the greens");
    }
    let mut plan = good::plan(&good::milling_wool());
    plan["pieces"] = json!([coat, shirt, scarf, belt]);
    plan["pieces"][0]["set"] = json!("the greens");
    plan["fixed"] = json!([{"id": "wig", "name": "a wig"}]);
    plan["sets"] = json!([set()]);
    plan["days"] = days();
    plan["shopping"] = shopping();
    plan
}

fn set() -> Value {
    let pair = |a: &str, b: &str, at: [f64; 2]| json!({"a": a, "b": b, "differences": at, "worst": at[0].max(at[1])});
    json!({
        "name": "the greens",
        "members": [{"id": "coat", "kind": "dyed"}, {"id": "shirt", "kind": "dyed"}, {"id": "wig", "kind": "fixed"}],
        "passes": 2.0, "lights": ["daylight", "hall lamps"],
        "pairs": [pair("coat", "wig", [0.9, 1.4]), pair("coat", "shirt", [1.1, 0.3]), pair("shirt", "wig", [0.2, 0.6])],
        "largest_alone": 2.4, "largest": 1.4, "holds": true,
    })
}

fn days() -> Value {
    let day = |day: &str, items: Vec<Value>| json!({"day": day, "items": items});
    let after = |mut first: Vec<Value>, more: Vec<Value>| {
        first.extend(more);
        first
    };
    json!({
        "fits": true,
        "limits": {"vessels": ["big pot", "small pot"], "burners": 1, "hands": 1, "sinks": 1, "drying": 2,
                   "from": "10:00", "until": "17:00", "delivery_days": 4},
        "days": [
            day("2026-11-25", job("swatch", "coat", "small pot", 600.0, 200.0, "acid")),
            day("2026-11-26", after(vec![judge("coat", 600.0)],
                job("swatch", "shirt", "small pot", 615.0, 140.0, "alkali"))),
            day("2026-11-27", after(vec![judge("shirt", 600.0)],
                job("bulk", "coat", "big pot", 615.0, 200.0, "acid"))),
            day("2026-11-28", job("bulk", "shirt", "big pot", 600.0, 140.0, "alkali")),
            day("2026-11-29", job("bulk", "belt", "small pot", 600.0, 200.0, "acid")),
        ],
        "orders": [{"item": "navy", "order_by": "2026-11-24", "comes": "2026-11-28", "in_time": true, "pieces": ["shirt"]}],
        "leftovers": [{"from": "coat", "to": "belt", "words": "an offer"}],
    })
}

fn shopping() -> Value {
    json!({
        "rows": [
            {"item": "navy", "kind": "dye", "grams": 6.0, "on_shelf_g": 1.0, "short_g": 5.0, "price_per_g": 0.5,
             "cost": 3.0, "pack_g": 4.0, "pack_price": 2.5, "packs": 2, "to_pay": 5.0, "pieces": ["shirt"]},
            {"item": "red", "kind": "dye", "grams": 10.1, "on_shelf_g": 20.0, "price_per_g": 0.3, "cost": 3.03,
             "pack_g": 20.0, "pack_price": 6.0, "pieces": ["coat", "belt"]},
            {"item": "salt", "kind": "auxiliary", "grams": 505.0, "on_shelf_g": 900.0, "short_g": 505.0,
             "price_per_g": 0.001, "cost": 0.51, "pack_g": 1000.0, "pack_price": 1.0, "packs": 1, "to_pay": 1.0,
             "notes": ["expired on 2026-05-01: not counted on, buy new"], "pieces": ["shirt"]},
        ],
        "total": 6.54, "to_pay": 6.0, "left_out": [],
        "cheapest": {"to_pay": 5.0, "chosen_to_pay": 5.0},
    })
}
