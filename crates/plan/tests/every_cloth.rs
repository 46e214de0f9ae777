//! Every material under every procedure, and random costumes: the fifteen rules hold on every finished
//! plan, and every printed amount reconciles with the others to the printed digit.

mod common;

use common::{Check, costume, planned, shelf};
use costume::Shelf;
use lore::{Lore, Procedure};
use proptest::prelude::*;
use serde_json::Value;

/// Audits and reconciles one costume text on a shelf; gives the plan.
fn sound(text: &str, shelf: &Shelf) -> Result<Value, String> {
    let costume = costume(text).map_err(|e| e.to_string())?;
    let plan = planned(&costume, shelf).map_err(|e| e.to_string())?;
    let plan = serde_json::to_value(plan).map_err(|e| e.to_string())?;
    let broken = auditor::audit(&plan).map_err(|e| e.why)?;
    if let Some(first) = broken.first() {
        return Err(format!("{first}\n{text}"));
    }
    reconciles(&plan).map_err(|e| format!("{e}\n{text}"))?;
    Ok(plan)
}

fn number(value: &Value, key: &str) -> Option<f64> {
    value.get(key).and_then(Value::as_f64)
}

fn list<'v>(value: &'v Value, key: &str) -> impl Iterator<Item = &'v Value> {
    value.get(key).and_then(Value::as_array).into_iter().flatten()
}

/// Whether two printed figures are the same to the last printed digit, binary noise aside.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9 * (1.0 + a.abs())
}

fn hundredths(amount: f64) -> f64 {
    // Half away from zero on the decimal figure: a hair above binary noise.
    ((amount * 100.0) * (1.0 + 1e-12)).round() / 100.0
}

fn reconciles(plan: &Value) -> Result<(), String> {
    let mut bought = std::collections::BTreeMap::new();
    for sheet in list(plan, "pieces").flat_map(|p| list(p, "sheets")) {
        for dye in list(sheet, "dyes") {
            let grams = number(dye, "grams").ok_or("a dye without grams")?;
            let id = dye["id"].as_str().ok_or("a dye without id")?;
            if let (Some(ml), Some(pct)) = (number(dye, "stock_ml"), number(dye, "stock_pct"))
                && !same(ml * pct / 100.0, grams)
            {
                return Err(format!("{id}: {ml} mL × {pct} % is not {grams} g"));
            }
            if let (Some(price), Some(cost)) = (number(dye, "price_per_g"), number(dye, "cost"))
                && !same(hundredths(grams * price), cost)
            {
                return Err(format!("{id}: {grams} g × {price} is not {cost}"));
            }
            if dye["how"] != "stock" {
                *bought.entry(("dye", id.to_owned())).or_insert(0.0) += grams;
            }
        }
        for stock in list(sheet, "stocks") {
            let (grams, ml, pct) = (
                number(stock, "grams").ok_or("a stock without grams")?,
                number(stock, "make_ml").ok_or("a stock without volume")?,
                number(stock, "stock_pct").ok_or("a stock without strength")?,
            );
            let id = stock["dye"].as_str().ok_or("a stock without dye")?.to_owned();
            if !same(ml * pct / 100.0, grams) {
                return Err(format!("stock of {id}: {ml} mL × {pct} % is not {grams} g"));
            }
            *bought.entry(("dye", id)).or_insert(0.0) += grams;
        }
        for aux in list(sheet, "auxiliaries") {
            let id = aux["id"].as_str().ok_or("an auxiliary without id")?.to_owned();
            let grams = number(aux, "grams").ok_or("an auxiliary without grams")?;
            *bought.entry(("auxiliary", id)).or_insert(0.0) += grams;
        }
        let dyed: f64 = list(sheet, "dyes").filter_map(|d| number(d, "grams")).sum();
        let added: f64 = list(sheet, "steps")
            .flat_map(|s| list(s, "adds"))
            .filter(|a| a["id"] == "dye")
            .filter_map(|a| number(a, "grams"))
            .sum();
        if (dyed - added).abs() > 1e-6 {
            return Err(format!("{dyed} g of dye weighed but {added} g added"));
        }
    }
    let shopping = &plan["shopping"];
    let mut total = 0.0;
    for row in list(shopping, "rows") {
        let kind = if row["kind"] == "dye" { "dye" } else { "auxiliary" };
        let id = row["item"].as_str().ok_or("a row without item")?.to_owned();
        let grams = number(row, "grams").ok_or("a row without grams")?;
        let used = bought.remove(&(kind, id.clone())).ok_or(format!("{id} is bought, not used"))?;
        if (used - grams).abs() > 5e-5 {
            return Err(format!("{id}: sheets take {used} g, the list says {grams} g"));
        }
        if let (Some(price), Some(cost)) = (number(row, "price_per_g"), number(row, "cost")) {
            if !same(hundredths(grams * price), cost) {
                return Err(format!("{id}: {grams} g × {price} is not {cost}"));
            }
            total += cost;
        }
    }
    if let Some(((_, id), _)) = bought.into_iter().next() {
        return Err(format!("{id} is used but not on the list"));
    }
    let said = number(shopping, "total").ok_or("no total")?;
    if !same(hundredths(total), said) {
        return Err(format!("the costs add to {total}, the list says {said}"));
    }
    Ok(())
}

const HEAD: &str = "[costume]\nname = \"a test\"\n[kitchen]\nscale_g = 0.1\nsyringes_ml = [1, 10, 60]\n\
    [[kitchen.vessel]]\nname = \"pot\"\nlitres = 60\nof = \"stainless\"\n\
    [[kitchen.vessel]]\nname = \"jar\"\nlitres = 1\nof = \"glass\"\n";

#[test]
fn every_material_under_every_procedure() -> Check {
    let starters = Shelf::of_starters();
    let mut baths = 0;
    for material in Lore::shipped().materials() {
        for procedure in Procedure::ALL {
            let text = format!(
                "{HEAD}[[piece]]\nid = \"a\"\ncloth = \"{}\"\nweight_g = 150\n\
                 target = {{ lab = [55.0, 8.0, 12.0] }}\nprocedure = \"{procedure}\"\n",
                material.id
            );
            let plan = sound(&text, &starters)?;
            baths += usize::from(plan["pieces"][0]["outcome"] == "bath");
        }
    }
    println!("{baths} baths over all materials and procedures");
    assert!(baths >= 60, "only {baths} baths: the gates have become too narrow to test anything");
    Ok(())
}

#[test]
fn the_order_of_pieces_does_not_matter() -> Check {
    let piece = |id: &str, cloth: &str, lab: &str| {
        format!(
            "[[piece]]\nid = \"{id}\"\ncloth = \"{cloth}\"\nweight_g = 200\ntarget = {{ lab = {lab} }}\n"
        )
    };
    let (a, b) = (piece("a", "wool", "[40, 20, -20]"), piece("b", "cotton", "[60, -20, 30]"));
    let shelf = shelf()?;
    let one = sound(&format!("{HEAD}{a}{b}"), &shelf)?;
    let other = sound(&format!("{HEAD}{b}{a}"), &shelf)?;
    assert_eq!(one["pieces"][0], other["pieces"][1]);
    assert_eq!(one["pieces"][1], other["pieces"][0]);
    assert_eq!(one["shopping"], other["shopping"]);
    Ok(())
}

fn cloths() -> impl Strategy<Value = String> {
    let ids: Vec<String> = Lore::shipped().materials().iter().map(|m| m.id.clone()).collect();
    let pure = prop::sample::select(ids.clone()).prop_map(|m| format!("\"{m}\""));
    let blend = (prop::sample::select(ids.clone()), prop::sample::select(ids), 5..95i32)
        .prop_filter("two fibres", |(a, b, _)| a != b)
        .prop_map(|(a, b, share)| format!("{{ {a} = {share}, {b} = {} }}", 100 - share));
    let unknown = prop::sample::select(vec![
        "\"unknown\"",
        "\"unknown\"\ntests = { flame = \"curls\", smell = \"hair\", residue = \"crushable\" }",
        "\"unknown\"\ntests = { flame = \"ignites\", smell = \"paper\", residue = \"ash\", bleach = \"stays\" }",
        "\"unknown\"\ntests = { flame = \"melts\", smell = \"celery\", residue = \"tan-bead\", acetone = \"stays\" }",
    ])
    .prop_map(str::to_owned);
    prop_oneof![3 => pure, 3 => blend, 1 => unknown]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn random_costumes_keep_every_rule(
        cloth in cloths(),
        part in prop::sample::select(vec!["", "elastic", "old-elastic", "glue", "foil", "zip"]),
        natural in any::<bool>(),
        asthma in any::<bool>(),
        grams in 2.0..1500.0f64,
        l in 15.0..92.0f64, a in -60.0..60.0f64, b in -60.0..70.0f64,
    ) {
        let parts = if part.is_empty() { String::new() } else { format!("parts = [\"{part}\"]\n") };
        let text = format!(
            "{HEAD}[people]\nasthma = {asthma}\n[[piece]]\nid = \"a\"\ncloth = {cloth}\n{parts}\
             undyed = \"{}\"\nweight_g = {grams:.1}\ntarget = {{ lab = [{l:.2}, {a:.2}, {b:.2}] }}\n",
            if natural { "natural" } else { "white" }
        );
        let shelf = if natural { shelf().map_err(|e| TestCaseError::fail(e.to_string()))? }
            else { Shelf::of_starters() };
        if let Err(says) = sound(&text, &shelf) {
            return Err(TestCaseError::fail(says));
        }
    }
}
