//! Every material under every procedure, and random costumes: the fifteen rules hold on every finished
//! plan, and every printed amount reconciles with the others to the printed digit.

mod common;
mod sound;

use common::{Check, shelf};
use costume::Shelf;
use lore::{Lore, Procedure};
use proptest::prelude::*;
use sound::sound;

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
