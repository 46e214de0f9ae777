//! Laws of the sheet: amounts scale with weight, order does not matter, every printed amount
//! reconciles, nothing is hotter than the goods bear, refusals say what to do.

mod common;

use bath::{Kind, Measured, Near, Refusal, Sheet};
use common::{NOBODY, Plain};
use dosing::Form;
use lore::{AgentGroup, DyeClass, GoodsForm, Lore, Procedure};
use proptest::prelude::*;
use units::StockStrength;

fn cotton(owf: f64) -> Plain<'static> {
    Plain::of(Lore::shipped(), &[("cotton", 1.0)], Procedure::ReactiveCold, owf)
}

/// What a reader's calculator finds wrong on a sheet.
fn miscounted(sheet: &Sheet, scale_g: f64) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut check = |right: bool, says: String| {
        if !right {
            wrong.push(says);
        }
    };
    for dye in &sheet.dyes {
        if let (Some(pct), Some(ml)) = (dye.stock_pct, dye.stock_ml) {
            let exact = ml.value() * pct.value() / 100.0;
            check(
                (exact - dye.grams.value()).abs() < 1e-9,
                format!("{}: {ml} mL × {pct} %", dye.id),
            );
        }
        if let (Some(price), Some(cost)) = (dye.price, dye.cost) {
            let exact = price.to_per_gram() * dye.grams.value();
            check((exact - cost.to_amount()).abs() <= 0.005_001, format!("{}: {cost}", dye.id));
        }
        let owf = 100.0 * dye.grams.value() / sheet.takes.to_grams();
        check(
            (owf / dye.owf_pct.value() - 1.0).abs() < 1e-3,
            format!("{}: {} % owf", dye.id, dye.owf_pct),
        );
    }
    for stock in &sheet.stocks {
        let exact = stock.make_ml.value() * stock.strength_pct.value() / 100.0;
        check((exact - stock.grams.value()).abs() < 1e-9, format!("stock of {}", stock.dye));
        let left = stock.make_ml.value() - stock.used_ml.value();
        check((left - stock.leftover_ml.value()).abs() < 1e-6, format!("left of {}", stock.dye));
    }
    let dye: f64 = sheet.dyes.iter().map(|dye| dye.grams.value()).sum();
    let added = |id: &str| -> f64 {
        let adds = sheet.steps.iter().flat_map(|step| &step.adds);
        adds.filter(|add| add.id == id).map(|add| add.grams.value()).sum()
    };
    check((added("dye") - dye).abs() < 1e-9, format!("dye {} of {dye} g", added("dye")));
    let mut ids: Vec<&str> = sheet.auxiliaries.iter().map(|aux| aux.id.as_str()).collect();
    ids.dedup();
    for id in ids {
        let of = sheet.auxiliaries.iter().filter(|aux| aux.id == id);
        let whole: f64 = of.clone().map(|aux| aux.grams.value()).sum();
        check((added(id) - whole).abs() < 1e-9, format!("{id}: {} of {whole} g", added(id)));
        for aux in of {
            match &aux.how {
                Measured::Weighed => {
                    let steps = aux.grams.value() / scale_g;
                    check((steps - steps.round()).abs() < 1e-6, format!("{id}: {} g", aux.grams));
                }
                Measured::Vinegar { ml, strength_pct }
                | Measured::Solution { ml, strength_pct } => {
                    let exact = ml.value() * strength_pct.value() / 100.0;
                    check((exact - aux.grams.value()).abs() < 1e-9, format!("{id}: {ml} mL"));
                }
                Measured::Spooned => {}
            }
        }
    }
    let mut at = 0.0;
    for (i, step) in sheet.steps.iter().enumerate() {
        check(
            step.n == i + 1 && (step.at.to_minutes() - at).abs() < 1e-9,
            format!("step {}", step.n),
        );
        at += step.minutes.to_minutes();
        if let Some(ramp) = step.ramp {
            let moved = (step.to.to_degrees() - step.from.to_degrees()).abs();
            let rate = moved / step.minutes.to_minutes();
            check(
                rate <= ramp.to_degrees_per_minute() + 1e-9,
                format!("step {}: {rate} °C/min", step.n),
            );
        }
        check(step.adds.iter().all(|add| add.dissolved), format!("step {}: undissolved", step.n));
    }
    check((sheet.total.to_minutes() - at).abs() < 1e-9, "total time".to_owned());
    let ids: Vec<&str> = sheet.cautions.iter().map(|caution| caution.id.as_str()).collect();
    check(
        ids.iter().enumerate().all(|(i, id)| !ids[..i].contains(id)),
        "a caution twice".to_owned(),
    );
    check(sheet.water_ml.value() <= sheet.liquor_ml.value() + 0.5, "water".to_owned());
    wrong
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_order_is_a_sheet_that_keeps_rules_and_sums_or_a_reasoned_refusal(
        material in 0usize..40,
        procedure in 0usize..14,
        owf in 0.01f64..8.0,
        goods_g in 3.0f64..900.0,
        ratio in 5.0f64..40.0,
        scale in prop::sample::select(vec![0.01, 0.1, 0.5, 1.0, 2.0]),
        hardness in prop::option::of(0.0f64..400.0),
        part in prop::option::of(0usize..14),
        people in prop::sample::select(vec![0u8, 0, 0, 0, 8, 1, 2, 4]),
        liquid in any::<bool>(),
        swatch in any::<bool>(),
    ) {
        let lore = Lore::shipped();
        let materials = lore.materials();
        let id = materials[material % materials.len()].id.as_str();
        let mut order = Plain::of(lore, &[(id, 1.0)], Procedure::ALL[procedure], owf);
        order.goods_g = (goods_g * 10.0).round() / 10.0;
        order.ratio = ratio;
        order.scale_g = scale;
        order.vessels[0].holds = units::Volume::try_litres(80.0).unwrap();
        order.hardness = hardness;
        order.parts = part.map(|i| lore.parts()[i % lore.parts().len()].id.as_str()).into_iter().collect();
        order.near = Near { asthma: people & 1 > 0, pregnancy: people & 2 > 0, children: people & 4 > 0, pets: people & 8 > 0 };
        if liquid {
            order.form = Form::Liquid(StockStrength::try_percent(20.0).unwrap());
        }
        match order.sheet(if swatch { Kind::Swatch } else { Kind::Bulk }) {
            Ok(sheet) => {
                let broken = order.audit(&sheet);
                prop_assert!(broken.is_empty(), "{broken:?}");
                let wrong = miscounted(&sheet, scale);
                prop_assert!(wrong.is_empty(), "{wrong:?}");
                let cap = materials[material % materials.len()].t_max;
                prop_assert!(sheet.steps.iter().all(|step| step.from <= cap && step.to <= cap));
            }
            Err(refusal) => prop_assert!(refusal.to_string().len() > 30, "{refusal}"),
        }
    }

    #[test]
    fn amounts_scale_with_weight(owf in 0.05f64..6.0, goods_g in 100.0f64..330.0) {
        let one = Plain { goods_g, scale_g: 0.01, ..cotton(owf) };
        let two = Plain { goods_g: goods_g * 2.0, ..one.clone() };
        let (a, b) = (one.sheet(Kind::Bulk).unwrap(), two.sheet(Kind::Bulk).unwrap());
        for (a, b) in a.auxiliaries.iter().zip(&b.auxiliaries) {
            // Each is rounded once: salt to 1 g (three halves at most between the two), the rest to
            // 0.1 g, 0.01 g or the jug's mark, within one percent at these weights.
            let off = (b.grams.value() - 2.0 * a.grams.value()).abs();
            let most = if a.group == AgentGroup::Salt { 1.5 } else { 0.02 * a.grams.value() };
            prop_assert!(off <= most + 1e-9, "{}: {} and {}", a.id, a.grams, b.grams);
        }
        for (a, b) in a.dyes.iter().zip(&b.dyes) {
            let ratio = b.grams.value() / a.grams.value();
            prop_assert!((ratio - 2.0).abs() < 0.12, "{}: {ratio}", a.id);
        }
        prop_assert_eq!(a.total.to_minutes(), b.total.to_minutes());
    }
}

#[test]
fn the_order_of_dyes_only_orders_the_lines() {
    let forward = cotton(1.0);
    let mut back = forward.clone();
    back.dyes.reverse();
    let (a, mut b) = (forward.sheet(Kind::Bulk).unwrap(), back.sheet(Kind::Bulk).unwrap());
    b.dyes.reverse();
    assert_eq!(a.dyes, b.dyes);
    assert_eq!(a.auxiliaries, b.auxiliaries);
    assert_eq!(a.cautions, b.cautions);
}

#[test]
fn a_swatch_has_the_bulks_ratio_depth_and_time() {
    for procedure in [Procedure::ReactiveCold, Procedure::Direct] {
        let order = Plain {
            scale_g: 0.01,
            ..Plain::of(Lore::shipped(), &[("cotton", 1.0)], procedure, 1.2)
        };
        let (swatch, bulk) = (order.sheet(Kind::Swatch).unwrap(), order.sheet(Kind::Bulk).unwrap());
        assert_eq!(swatch.ratio, bulk.ratio);
        assert_eq!(swatch.total, bulk.total);
        assert!((swatch.dry.to_grams() - 10.0).abs() < 1e-9);
        // Of what is worn nothing is cut: as little as can be dosed as well.
        let worn =
            Plain { goods_as: GoodsForm::Worn, ..order.clone() }.sheet(Kind::Swatch).unwrap();
        assert!(
            worn.dry.to_grams() <= 5.0 && worn.ratio == bulk.ratio,
            "{} g",
            worn.dry.to_grams()
        );
        assert!(worn.notes.iter().any(|note| note.contains("never cut out of the piece")));
        for (s, b) in worn.dyes.iter().zip(&bulk.dyes) {
            assert!((s.owf_pct.value() / b.owf_pct.value() - 1.0).abs() < 0.1, "{}", s.id);
        }
        for (s, b) in swatch.dyes.iter().zip(&bulk.dyes) {
            let off = (s.owf_pct.value() / b.owf_pct.value() - 1.0).abs();
            assert!(off < 0.1, "{}: {} against {}", s.id, s.owf_pct, b.owf_pct);
        }
    }
}

#[test]
fn half_a_kilo_of_cotton_by_the_books() {
    // Trade table for cold reactive, medium shade, 20:1: salt 40 to 50 g/L, soda ash 5 to 8 g/L between
    // pale and medium, fixed 60 minutes at 35 °C (common practice); dye by definition of % owf.
    let order = Plain { goods_g: 500.0, ..cotton(1.0) };
    let sheet = order.sheet(Kind::Bulk).unwrap();
    assert_eq!(sheet.liquor_ml.to_string(), "10000");
    let grams = |id: &str| {
        sheet
            .auxiliaries
            .iter()
            .filter(|aux| aux.id == id)
            .map(|aux| aux.grams.value())
            .sum::<f64>()
    };
    assert!((400.0..=500.0).contains(&grams("salt")), "{} g salt", grams("salt"));
    assert!((50.0..=80.0).contains(&grams("soda-ash")), "{} g soda", grams("soda-ash"));
    assert_eq!(sheet.dyes[0].grams.to_string(), "3.5");
    assert_eq!(sheet.no_top_up_after, Some("alkali"));
    let soda = sheet.auxiliaries.iter().find(|aux| aux.id == "soda-ash").unwrap();
    let crystals = units::significant(soda.grams.value() * 2.7, 3);
    let household = soda.household.as_deref().unwrap_or_default();
    assert!(household.contains("washing-soda"), "{household}");
    println!("{crystals} g crystals; {household}; {:?}", soda.declared);
}

/// Somebody with asthma and children.
const BOTH: Near = Near { asthma: true, children: true, ..NOBODY };

#[test]
fn refusals_say_what_stands_in_the_way_and_what_to_do() {
    let says = |order: &Plain<'_>| order.sheet(Kind::Bulk).unwrap_err().to_string();
    let near = |near: Near| Plain { near, ..cotton(1.0) };
    let wool = Plain::of(Lore::shipped(), &[("wool", 1.0)], Procedure::AcidMilling, 1.0);
    for (order, words) in [
        (Plain { dyes: Vec::new(), ..cotton(1.0) }, "holds no dye"),
        (Plain { dyes: vec![("a", DyeClass::Direct, 1.0)], ..cotton(1.0) }, "choose another dye"),
        (
            Plain {
                dyes: vec![("a", DyeClass::ReactiveDct, 1.0), ("a", DyeClass::ReactiveDct, 1.0)],
                ..cotton(1.0)
            },
            "twice",
        ),
        (Plain { goods_g: 4000.0, ..cotton(1.0) }, "never split over two baths"),
        (near(Near { asthma: true, ..NOBODY }), "take the dye as a liquid"),
        (near(Near { pregnancy: true, ..NOBODY }), "take the dye as a liquid"),
        (near(Near { children: true, ..NOBODY }), "bath of 90 °C"),
        (
            Plain { near: Near { asthma: true, ..NOBODY }, ..wool.clone() },
            "somebody else weigh it and make the stocks in another room with the door shut",
        ),
        (Plain { near: Near { children: true, ..NOBODY }, ..wool.clone() }, "stays away"),
        // Children do not hide the asthma: it is told first, and both flags are named.
        (Plain { near: BOTH, ..wool.clone() }, "Also no bath of"),
        (Plain { near: BOTH, ..wool.clone() }, "with someone with asthma near"),
        (Plain { near: BOTH, ..wool }, "those flags"),
        (Plain { parts: vec!["sequinz"], ..cotton(1.0) }, "sequins"),
        (Plain::of(Lore::shipped(), &[("wool", 1.0)], Procedure::ReactiveCold, 1.0), "ruins"),
        (Plain::of(Lore::shipped(), &[("polyester", 1.0)], Procedure::Direct, 1.0), "direct"),
    ] {
        let said = says(&order);
        assert!(said.contains(words), "'{said}' does not say '{words}'");
    }
    let liquid = Form::Liquid(StockStrength::try_percent(20.0).unwrap());
    let order = Plain { form: liquid, ..near(Near { asthma: true, ..NOBODY }) };
    assert!(order.sheet(Kind::Bulk).is_ok(), "a liquid dye is for asthmatics too");
    let tiny = Plain { goods_g: 30.0, scale_g: 5.0, ..cotton(0.02) };
    let refused = tiny.sheet(Kind::Swatch);
    assert!(
        matches!(refused, Err(Refusal::CannotDose { .. } | Refusal::CannotMeasure { .. })),
        "{refused:?}"
    );
}

#[test]
fn without_a_scale_there_are_spoons_where_spoons_are_allowed() {
    let liquid = Form::Liquid(StockStrength::try_percent(20.0).unwrap());
    let order = Plain { form: liquid, scale_g: 0.0, ..cotton(1.0) };
    let sheet = order.sheet(Kind::Bulk).unwrap();
    let how = |id: &str| sheet.auxiliaries.iter().find(|aux| aux.id == id).unwrap();
    assert_eq!(how("salt").how, Measured::Spooned);
    assert!(how("salt").words.contains("level"), "{}", how("salt").words);
    assert!(how("soda-ash").declared.as_deref().is_some_and(|says| says.contains("the pack says")));
    assert!(order.audit(&sheet).is_empty() && miscounted(&sheet, 1.0).is_empty());
    // A levelling agent is in no kitchen table: the bath works without it, and the sheet says so.
    let bare = |procedure| Plain {
        form: liquid,
        scale_g: 0.0,
        ..Plain::of(Lore::shipped(), &[("wool", 1.0)], procedure, 1.0)
    };
    let milling = bare(Procedure::AcidMilling).sheet(Kind::Bulk).unwrap();
    assert!(milling.notes.iter().any(|note| note.contains("left out")), "{:?}", milling.notes);
    // Dithionite is weighed or not used.
    let refused = bare(Procedure::Indigo).sheet(Kind::Bulk);
    assert!(
        matches!(&refused, Err(Refusal::CannotMeasure { help, .. }) if help.contains("scale")),
        "{refused:?}"
    );
}

#[test]
fn a_small_dose_is_a_solution_in_as_few_fills_as_may_be() {
    let order = Plain { goods_g: 100.0, ..cotton(0.3) };
    let sheet = order.sheet(Kind::Swatch).unwrap();
    let soda = sheet.auxiliaries.iter().find(|aux| aux.id == "soda-ash").unwrap();
    assert!(matches!(soda.how, Measured::Solution { .. }), "{}", soda.words);
    assert!(!soda.words.contains("1 mL syringe"), "{}", soda.words);
}

/// Copper phthalocyanine: no chelant, 40 to 50 °C, more salt, longer (lore's own rows, from memory).
#[test]
fn a_turquoise_gets_no_edta_and_a_warmer_longer_bath_with_more_salt() {
    let usual = Plain { hardness: Some(200.0), ..cotton(1.0) };
    let mut blue = usual.clone();
    blue.dyes[0].0 = "turquoise";
    let (a, b) = (usual.sheet(Kind::Bulk).unwrap(), blue.sheet(Kind::Bulk).unwrap());
    let grams = |sheet: &Sheet, id: &str| {
        sheet
            .auxiliaries
            .iter()
            .filter(|aux| aux.id == id)
            .map(|aux| aux.grams.value())
            .sum::<f64>()
    };
    assert!(grams(&a, "sequestrant-edta") > 0.0 && grams(&a, "sequestrant-phosphate") == 0.0);
    assert!(grams(&b, "sequestrant-edta") == 0.0 && grams(&b, "sequestrant-phosphate") > 0.0);
    assert!((grams(&b, "salt") / grams(&a, "salt") - 1.25).abs() < 0.02);
    let hold = |sheet: &Sheet| {
        let step = sheet.steps.iter().find(|step| step.kind == lore::StepKind::Hold).unwrap();
        (step.to.to_degrees().round(), step.minutes.to_minutes())
    };
    assert!((hold(&a).0 - 35.0).abs() < 0.1 && (hold(&b).0 - 45.0).abs() < 0.1);
    assert!((hold(&b).1 - hold(&a).1 - 30.0).abs() < 0.1);
    assert!(blue.audit(&b).is_empty());
    // The note is of what the bath does, not of what it leaves out.
    let told = |sheet: &Sheet, words: &str| sheet.notes.iter().any(|note| note.contains(words));
    assert!(!told(&a, "phthalocyanine") && told(&b, "kept at 45 °C"));
    assert!(!told(&b, "needs 40 to 50 °C"));
    // Beside a lemon a twentieth of the dye is half of the hue: warm as well. A trace of it is told.
    let mut lemon = usual.clone();
    lemon.dyes = vec![
        ("lemon", lore::DyeClass::ReactiveDct, 1.27),
        ("turquoise", lore::DyeClass::ReactiveDct, 0.08),
    ];
    assert!((hold(&lemon.sheet(Kind::Bulk).unwrap()).0 - 45.0).abs() < 0.1);
    lemon.dyes[1].2 = 0.03;
    let trace = lemon.sheet(Kind::Bulk).unwrap();
    assert!((hold(&trace).0 - 35.0).abs() < 0.1 && told(&trace, "trace of turquoise"));
    // Silk bears no warm soda: what would do better is said.
    let silk = Plain {
        hardness: None,
        ..Plain::of(lore::Lore::shipped(), &[("silk", 1.0)], lore::Procedure::ReactiveCold, 1.0)
    };
    let mut silk = silk;
    silk.dyes[0].0 = "turquoise";
    assert!(told(&silk.sheet(Kind::Bulk).unwrap(), "an acid turquoise"));
}
