//! Goods as they come and the maker's own kitchen: what dye is reckoned on, how long this burner takes, what is
//! too heavy, which vessels a bath may have, and who may share one. Kitchens and pieces are invented.

mod common;

use bath::{
    Kind, Machine, NotShared, Refusal, Sharing, Sheet, VesselAtHand, WayOut, WhatWeighs, may_share,
    shared_sheet,
};
use common::{Plain, grams, litres, makeup};
use lore::{GoodsForm, Lore, Method, Procedure, StepKind};
use proptest::prelude::*;
use units::{Celsius, Minutes};

fn cotton(owf: f64) -> Plain<'static> {
    Plain::of(Lore::shipped(), &[("cotton", 1.0)], Procedure::ReactiveCold, owf)
}

fn wool(owf: f64) -> Plain<'static> {
    Plain::of(Lore::shipped(), &[("wool", 1.0)], Procedure::AcidMilling, owf)
}

fn dye_g(sheet: &Sheet) -> f64 {
    sheet.dyes.iter().map(|dye| dye.grams.value()).sum()
}

fn says(sheet: &Sheet, words: &str) -> bool {
    sheet.notes.iter().any(|note| note.contains(words))
}

fn minutes(m: f64) -> Option<Minutes> {
    Minutes::try_minutes(m).ok()
}

/// The lines add to the totals as printed, to the tenth.
fn adds_up(sheet: &Sheet) -> bool {
    let sum = |each: fn(&bath::Weighed) -> f64| sheet.weights.iter().map(each).sum::<f64>();
    let (dry, takes) = (sum(|line| line.grams.value()), sum(|line| line.takes.value()));
    (dry - sheet.dry.to_grams()).abs() < 0.06 && (takes - sheet.takes.to_grams()).abs() < 0.06
}

#[test]
fn a_lined_coat_is_dyed_by_its_wool() {
    // 1400 g coat: acetate lining 220 g, zip 22 g, woven label 6 g, 12.5 g spare cloth on top.
    let lore = Lore::shipped();
    let coat = Plain {
        goods_g: 1400.0,
        goods_as: GoodsForm::Sewn,
        parts_weigh: vec![("zip", grams(22.0)), ("label", grams(6.0))],
        lining: Some((makeup(lore, &[("acetate", 1.0)]), 220.0)),
        spare_g: 12.5,
        vessels: vec![VesselAtHand::of("boiler", litres(80.0), "stainless")],
        ratio: 30.0,
        ..Plain::of(lore, &[("wool", 1.0)], Procedure::AcidMilling, 2.0)
    };
    let sheet = coat.sheet(Kind::Bulk);
    // Wool's acid bath is hotter than acetate bears, so it is either cooler or refused; both keep the lining.
    match sheet {
        Ok(sheet) => {
            let most = lore.material("acetate").unwrap().t_max;
            assert!(sheet.steps.iter().all(|step| step.to <= most && step.from <= most));
        }
        Err(refused) => assert!(refused.to_string().contains("acetate"), "{refused}"),
    }
    let linen = Plain { lining: Some((makeup(lore, &[("cotton", 1.0)]), 220.0)), ..coat };
    let sheet = linen.sheet(Kind::Bulk).unwrap();
    assert_eq!(sheet.dry.to_grams().to_string(), "1412.5");
    assert_eq!(sheet.takes.to_grams().to_string(), "1164.5");
    assert_eq!(sheet.liquor_ml.to_string(), "42375");
    assert!(adds_up(&sheet));
    assert!((dye_g(&sheet) - 0.02 * 1164.5).abs() < 0.11, "{} g", dye_g(&sheet));
    let line = |it: WhatWeighs| sheet.weights.iter().find(|line| line.it == it).unwrap();
    assert_eq!(line(WhatWeighs::Cloth).grams.to_string(), "1152.0");
    assert_eq!(line(WhatWeighs::Lining).takes.to_string(), "0.0");
    assert_eq!(line(WhatWeighs::Spare).takes.to_string(), "12.5");
    assert!(says(&sheet, "Dye is reckoned on 1164.5 g of the 1412.5 g that get wet"));
    assert!(says(&sheet, "12.5 g of spare cloth"));
    let stays = sheet.will_not_dye.join(" ");
    for word in ["the lining) will not dye", "zip", "label"] {
        assert!(stays.contains(word), "'{stays}' does not say '{word}'");
    }
    // The swatch is dyed at the litres that a kilogram of wool really has in the bulk bath.
    let swatch = linen.sheet(Kind::Swatch).unwrap();
    assert_eq!(swatch.ratio, sheet.ratio);
    let per_kg = sheet.liquor_ml.value() / sheet.takes.to_grams();
    assert!((swatch.liquor_ml.value() / swatch.takes.to_grams() - per_kg).abs() < 0.1);
}

#[test]
fn a_lining_that_dyes_counts_and_one_that_dyes_in_part_counts_in_part() {
    let lore = Lore::shipped();
    let lined = |fibres: &[(&str, f64)]| Plain {
        goods_g: 600.0,
        goods_as: GoodsForm::Sewn,
        lining: Some((makeup(lore, fibres), 100.0)),
        ..cotton(1.0)
    };
    for (fibres, takes) in [
        (&[("cotton", 1.0)][..], "600"),
        (&[("viscose", 1.0)], "600"),
        (&[("polyester", 0.35), ("cotton", 0.65)], "565"),
        (&[("polyester", 1.0)], "500"),
    ] {
        let sheet = lined(fibres).sheet(Kind::Bulk).unwrap();
        assert_eq!(sheet.takes.to_grams().to_string(), takes, "{fibres:?}");
        assert_eq!(sheet.dry.to_grams().to_string(), "600");
        assert!(adds_up(&sheet));
    }
    // An acetate lining is ruined by soda: no sheet, and the lining is named.
    let refused = lined(&[("acetate", 1.0)]).sheet(Kind::Bulk).unwrap_err().to_string();
    assert!(refused.contains("lining"), "{refused}");
}

#[test]
fn parts_that_outweigh_the_piece_are_refused_and_unknown_parts_too() {
    let heavy = Plain { goods_g: 100.0, parts_weigh: vec![("zip", grams(100.0))], ..cotton(1.0) };
    assert!(matches!(heavy.sheet(Kind::Bulk), Err(Refusal::PartsOutweigh { .. })));
    let unknown = Plain { parts_weigh: vec![("zipp", grams(10.0))], ..cotton(1.0) };
    assert!(unknown.sheet(Kind::Bulk).unwrap_err().to_string().contains("zip"));
}

#[test]
fn every_form_says_what_it_must_and_how_much_smaller() {
    let of = |form, allowed| {
        Plain { goods_as: form, shrinkage_allowed: allowed, ..cotton(1.0) }
            .sheet(Kind::Bulk)
            .unwrap()
    };
    // Cotton, not pre-shrunk: 3 to 15 % over woven and knitted (trade table of materials, from memory).
    for (form, words) in [
        (GoodsForm::Roll, "Allow 3–15 % for shrinkage"),
        (GoodsForm::Roll, "scour it at 90 °C"),
        (GoodsForm::CutPanels, "all panels of one garment go into one bath"),
        (GoodsForm::CutPanels, "3–15 cm in a metre"),
        (GoodsForm::Sewn, "Expect it to shrink by 3–15 %"),
        (GoodsForm::Sewn, "thread"),
        (GoodsForm::Worn, "scour first"),
        (GoodsForm::Worn, "up to 15 %"),
    ] {
        assert!(says(&of(form, false), words), "{form}: '{words}'");
    }
    let wool = wool(1.0).sheet(Kind::Bulk).unwrap();
    for words in ["Allow 2–8 % for shrinkage", "scour it at 4", "loses up to 50 % for good"] {
        assert!(says(&wool, words), "'{words}' is not in {:?}", wool.notes);
    }
    assert!(!says(&wool, "scour it at 98 °C"), "wool is never scoured hot");
    assert!(!says(&of(GoodsForm::Roll, true), "Allow"));
    assert!(says(&of(GoodsForm::Roll, true), "is allowed for"));
}

#[test]
fn the_burner_sets_the_clock() {
    // 24 L pot timed at 40 min to 60 °C: two thirds are 16 L. 400 g at 30:1 are 12 L, so it gains
    // 45 / 40 × 16 / 12 = 1.5 °C a minute.
    let at = |to_60: Option<f64>, goods_g: f64| {
        let pot = VesselAtHand {
            to_60: to_60.and_then(minutes),
            ..VesselAtHand::of("pot", litres(24.0), "stainless")
        };
        Plain { vessels: vec![pot], ratio: 30.0, goods_g, ..wool(1.0) }.sheet(Kind::Bulk).unwrap()
    };
    let ramp = |sheet: &Sheet| -> f64 {
        let heats = sheet.steps.iter().filter(|step| step.kind == StepKind::Heat);
        heats.map(|step| step.minutes.to_minutes()).sum()
    };
    let usual = at(None, 400.0);
    assert_eq!(ramp(&at(Some(40.0), 400.0)), ramp(&usual), "1.5 °C/min keeps wool's 1 °C/min");
    // 160 min: 0.375 °C a minute; every heating step takes its degrees by that, up to whole minutes.
    let slow = at(Some(160.0), 400.0);
    for (own, was) in slow.steps.iter().zip(&usual.steps).filter(|(s, _)| s.kind == StepKind::Heat)
    {
        let degrees = own.to.to_degrees() - own.from.to_degrees();
        let most = (degrees / 0.375).ceil().max(was.minutes.to_minutes());
        assert_eq!(own.minutes.to_minutes(), most, "{}", own.text);
    }
    assert!(ramp(&slow) > ramp(&usual) && says(&slow, "cannot keep the 1 °C a minute"));
    assert!(says(&slow, "same heat all the way"), "the assumption is stated");
    // Half the water heats twice as fast.
    assert!(ramp(&at(Some(160.0), 200.0)) < ramp(&slow));
}

#[test]
fn hot_soaps_are_heated_for_on_the_clock() {
    // 12 L in the 24 L pot of 40 min: 1.5 °C a minute, 50 to 90 °C in 27 min, two soaps.
    let at = |to_60: Option<f64>| {
        let pot = VesselAtHand {
            to_60: to_60.and_then(minutes),
            ..VesselAtHand::of("pot", litres(24.0), "stainless")
        };
        Plain { vessels: vec![pot], goods_g: 600.0, ..cotton(1.0) }.sheet(Kind::Bulk).unwrap()
    };
    let (known, unknown) = (at(Some(40.0)), at(None));
    let heated: Vec<f64> = known
        .steps
        .windows(2)
        .filter(|two| two[0].text.starts_with("Heat the fresh water to 90 °C"))
        .map(|two| {
            assert_eq!(two[1].kind, StepKind::Soap, "it is heated for the soap");
            two[0].minutes.to_minutes()
        })
        .collect();
    assert_eq!(heated, [27.0, 27.0]);
    assert_eq!(known.total.to_minutes() - unknown.total.to_minutes(), 54.0);
    assert!(says(&unknown, "not on the clock") && !says(&known, "not on the clock"));
    assert!(cotton(1.0).audit(&known).is_empty(), "{:?}", cotton(1.0).audit(&known));
}

#[test]
fn a_pot_too_heavy_to_lift_is_said_and_never_carried_hot() {
    let heavy = |lifts_kg| {
        let sheet = Plain { lifts_kg, goods_g: 500.0, ..cotton(1.0) }.sheet(Kind::Bulk).unwrap();
        sheet.cautions.into_iter().find(|caution| caution.id == "heavier-than-you-lift")
    };
    // 500 g at 20:1 are 10 L and half a kilogram of goods.
    let said = heavy(Some(10.0)).unwrap();
    for words in
        ["about 10.5 kg", "you lift 10 kg", "jug", "Never carry it", "Two people above 10 litres"]
    {
        assert!(said.text.contains(words), "'{}' does not say '{words}'", said.text);
    }
    assert!(heavy(Some(10.6)).is_none() && heavy(None).is_none());
}

#[test]
fn a_tub_dyes_cold_and_a_pot_soaps_hot_in_turns() {
    // 900 g at 20:1 are 18 L: the 30 L tub dyes it, the 10 L pot soaps it in three turns of 6 L.
    let order = Plain {
        goods_g: 900.0,
        goods_as: GoodsForm::CutPanels,
        vessels: vec![
            VesselAtHand::of("tub", litres(30.0), "plastic"),
            VesselAtHand {
                to_60: minutes(20.0),
                ..VesselAtHand::of("pot", litres(10.0), "stainless")
            },
        ],
        ..cotton(1.0)
    };
    let sheet = order.sheet(Kind::Bulk).unwrap();
    assert_eq!(sheet.vessel.material, "plastic");
    let hot = |step: &&bath::Step| step.to.to_degrees() > 60.0 && step.kind == StepKind::Soap;
    assert!(sheet.steps.iter().filter(hot).count() == 2);
    for step in sheet.steps.iter().filter(hot) {
        assert_eq!(step.vessel.as_ref().unwrap().material, "stainless");
        assert!(step.text.contains("In 3 turns of 6 L"), "{}", step.text);
        assert_eq!(step.minutes.to_minutes(), 30.0, "ten minutes a turn");
    }
    assert!(sheet.steps.iter().filter(|step| !step.finishing).all(|step| step.vessel.is_none()));
    assert!(says(&sheet, "dyeing never"));
    assert!(order.audit(&sheet).is_empty(), "{:?}", order.audit(&sheet));
    // A pot that holds all of it: no turns.
    let mut roomy = order.clone();
    roomy.vessels[1].holds = litres(27.0);
    let whole = roomy.sheet(Kind::Bulk).unwrap();
    assert!(!whole.steps.iter().any(|step| step.text.contains("turns")));
    // No pot, or one too small for four turns: soaped whole in the tub, as hot as it bears, and never split.
    let mut poor = order.clone();
    poor.vessels.truncate(1);
    let mut tiny = order.clone();
    tiny.vessels[1].holds = litres(6.0);
    // A length of cloth and a garment are one piece each: no turns at all.
    let length = Plain { goods_as: GoodsForm::Roll, ..order.clone() };
    let garment = Plain { goods_as: GoodsForm::Sewn, ..order };
    for order in [poor, tiny, length, garment] {
        let sheet = order.sheet(Kind::Bulk).unwrap();
        let soap = |step: &&bath::Step| step.kind == StepKind::Soap;
        for step in sheet.steps.iter().filter(soap) {
            assert_eq!(step.to.to_degrees(), 60.0, "plastic bears no more");
            assert!(step.text.contains("Soap at 60 °C"), "{}", step.text);
            assert!(step.text.contains("Cooler than the usual 90 °C"), "{}", step.text);
        }
        assert!(sheet.steps.iter().all(|step| !step.text.contains("turns")));
        assert!(says(&sheet, "soaped whole") && says(&sheet, "design line"));
        assert!(order.audit(&sheet).is_empty(), "{:?}", order.audit(&sheet));
    }
}

#[test]
fn a_length_no_pot_takes_is_soaped_in_the_machine() {
    let order = Plain {
        goods_g: 900.0,
        vessels: vec![
            VesselAtHand::of("tub", litres(30.0), "plastic"),
            VesselAtHand::of("pot", litres(10.0), "stainless"),
        ],
        methods: vec![Method::Pot, Method::Tub, Method::Machine],
        machine: machine(6.0, 15.0, 75.0),
        ..cotton(1.0)
    };
    let sheet = order.sheet(Kind::Bulk).unwrap();
    let soap = sheet.steps.iter().find(|step| step.kind == StepKind::Soap).unwrap();
    assert!(soap.vessel.as_ref().unwrap().words.contains("washing machine"));
    assert_eq!(soap.to.to_degrees(), 75.0);
    assert!(order.audit(&sheet).is_empty(), "{:?}", order.audit(&sheet));
}

fn machine(holds_kg: f64, water_l: f64, hottest_c: f64) -> Option<Machine> {
    let hottest = Celsius::try_degrees(hottest_c).ok()?;
    Some(Machine { holds: grams(holds_kg * 1000.0), water: litres(water_l), hottest })
}

#[test]
fn the_machine_dyes_only_at_its_own_water_and_only_what_bears_it() {
    // 2 kg in a machine of 15 L: 7.5:1.
    let at = |ratio: f64, hottest: f64| Plain {
        goods_g: 2000.0,
        ratio,
        methods: vec![Method::Pot, Method::Machine],
        machine: machine(6.0, 15.0, hottest),
        ..cotton(1.0)
    };
    let Err(Refusal::NoVessel { ways_out, .. }) = at(20.0, 95.0).sheet(Kind::Bulk) else {
        panic!("40 L fit no vessel")
    };
    let machine_ratio = ways_out.iter().find_map(|way| match way {
        WayOut::Machine { ratio } => Some(ratio.to_litres_per_kilogram()),
        _ => None,
    });
    assert_eq!(machine_ratio, Some(7.5));
    let mut order = at(7.5, 95.0);
    order.vessels[0].holds = litres(24.0);
    let in_pot = order.sheet(Kind::Bulk).unwrap();
    assert!(in_pot.vessel.words.contains("pot"), "a pot that holds it goes first");
    assert!(says(&in_pot, "may be done in your washing machine"));
    let felts =
        Plain { machine: machine(6.0, 15.0, 95.0), methods: Method::ALL.to_vec(), ..wool(1.0) };
    assert!(!says(&felts.sheet(Kind::Bulk).unwrap(), "washing machine"));
    let mut no_pot = at(7.5, 95.0);
    no_pot.vessels.clear();
    let sheet = no_pot.sheet(Kind::Bulk).unwrap();
    assert!(sheet.vessel.words.contains("washing machine"), "{}", sheet.vessel.words);
    assert_eq!(sheet.liquor_ml.to_string(), "15000");
    assert!(says(&sheet, "Afterwards run the machine empty"));
    assert!(no_pot.audit(&sheet).is_empty());
    let refused =
        |order: Plain<'_>| matches!(order.sheet(Kind::Bulk), Err(Refusal::NoVessel { .. }));
    let mut cool = at(7.5, 60.0);
    cool.vessels.clear();
    let soaped = cool.sheet(Kind::Bulk).unwrap();
    let soap = soaped.steps.iter().find(|step| step.kind == StepKind::Soap).unwrap();
    assert_eq!(soap.to.to_degrees(), 60.0, "as hot as it washes, and said");
    assert!(says(&soaped, "as hot as it washes"));
    let other = |goods: &str, procedure| Plain {
        goods_g: 2000.0,
        ratio: 7.5,
        methods: vec![Method::Machine],
        machine: machine(6.0, 15.0, 95.0),
        vessels: Vec::new(),
        ..Plain::of(Lore::shipped(), &[(goods, 1.0)], procedure, 1.0)
    };
    assert!(refused(other("wool", Procedure::AcidMilling)));
    assert!(refused(other("viscose", Procedure::ReactiveCold)), "weak when wet: no drum");
    let mut untold = at(7.5, 95.0);
    (untold.vessels, untold.methods) = (Vec::new(), vec![Method::Pot]);
    assert!(refused(untold), "a machine that is not among the methods is not used");
}

#[test]
fn what_does_not_fit_gets_typed_ways_out_and_no_split() {
    let order = Plain {
        goods_g: 900.0,
        vessels: vec![
            VesselAtHand::of("pot", litres(20.0), "stainless"),
            VesselAtHand::of("tub", litres(40.0), "plastic"),
        ],
        ..Plain::of(Lore::shipped(), &[("cotton", 1.0)], Procedure::Direct, 1.0)
    };
    let Err(refusal @ Refusal::NoVessel { .. }) = order.sheet(Kind::Bulk) else { panic!("fits") };
    let said = refusal.to_string();
    let Refusal::NoVessel { ways_out, .. } = refusal else { unreachable!() };
    assert!(
        matches!(&ways_out[0], WayOut::BiggerVessel { to_brim, .. } if (to_brim.to_litres() - 27.0).abs() < 0.01)
    );
    let lower = ways_out.iter().find_map(|way| match way {
        WayOut::LowerRatio { ratio, vessel } => {
            Some((ratio.to_litres_per_kilogram(), vessel.as_str()))
        }
        _ => None,
    });
    assert_eq!(lower, Some((14.8, "pot")));
    let class = |way: &&WayOut| matches!(way, WayOut::AnotherClass { procedure: Procedure::ReactiveCold, vessel } if vessel == "tub");
    assert!(ways_out.iter().any(|way| class(&way)), "{ways_out:?}");
    assert_eq!(ways_out.last(), Some(&WayOut::DesignLine));
    for words in [
        "14.8:1",
        "liquor_ratio = 14.8",
        "swatch at that ratio",
        "tub",
        "meant to differ",
        "never split over two baths",
    ] {
        assert!(said.contains(words), "'{said}' does not say '{words}'");
    }
    // What it promises holds: at that ratio there is a sheet.
    assert!(Plain { ratio: 14.8, ..order.clone() }.sheet(Kind::Bulk).is_ok());
    // Wool has no cold tub to go to.
    let wool = Plain { vessels: order.vessels.clone(), goods_g: 2500.0, ..wool(1.0) };
    let Err(Refusal::NoVessel { ways_out, .. }) = wool.sheet(Kind::Bulk) else { panic!("fits") };
    assert!(
        !ways_out
            .iter()
            .any(|way| matches!(way, WayOut::AnotherClass { .. } | WayOut::LowerRatio { .. }))
    );
}

#[test]
fn alkaline_water_wants_more_acid() {
    // 200 mg/L alkalinity eat 4.8 mL of 5 % vinegar a litre; 400 g at 20:1 are 8 L: 38 mL.
    let water = |alkalinity, hardness| {
        Plain { alkalinity, hardness, ..wool(1.0) }.sheet(Kind::Bulk).unwrap()
    };
    assert!(says(&water(Some(200.0), None), "uses up about 38 mL of your vinegar"));
    assert!(says(&water(Some(100.0), Some(400.0)), "uses up about 19 mL"), "alkalinity goes first");
    assert!(says(&water(None, Some(200.0)), "may use up to 38 mL"));
    assert!(!says(&water(Some(0.0), Some(400.0)), "mL of your vinegar"));
    assert!(!says(&cotton(1.0).sheet(Kind::Bulk).unwrap(), "of your vinegar"));
}

#[test]
fn other_methods_are_told_where_they_are_at_hand() {
    let with = |order: Plain<'static>, methods: &[Method]| {
        Plain { methods: methods.to_vec(), ..order }.sheet(Kind::Bulk).unwrap()
    };
    assert!(says(&with(cotton(1.0), &[Method::ColdWrap]), "wrap them airtight in film"));
    assert!(!says(&with(cotton(1.0), &[Method::Pot]), "Another way you have at hand"));
    let wool = with(wool(1.0), Method::ALL);
    assert!(says(&wool, "microwave") && says(&wool, "steamer") && !says(&wool, "film"));
}

#[test]
fn like_cloth_shares_a_bath_and_unlike_never() {
    let lore = Lore::shipped();
    let (a, b) = (cotton(1.0), Plain { goods_g: 250.5, spare_g: 10.0, ..cotton(1.0) });
    let share = |a: &Plain<'_>, cloth_a: &str, b: &Plain<'_>, cloth_b: &str| {
        a.with_order(Kind::Bulk, |one| {
            b.with_order(Kind::Bulk, |other| {
                may_share(
                    &Sharing { piece: "cape", cloth: cloth_a, order: one },
                    &Sharing { piece: "hood", cloth: cloth_b, order: other },
                )
            })
        })
    };
    assert_eq!(share(&a, "bolt", &b, "bolt"), Ok(()));
    type Which = fn(&NotShared) -> bool;
    let blend =
        Plain::of(lore, &[("cotton", 0.95), ("elastane", 0.05)], Procedure::ReactiveCold, 1.0);
    let unlike: [(Plain<'_>, &str, Which); 6] = [
        (b.clone(), "other bolt", |it| matches!(it, NotShared::UnlikeCloth(..))),
        (blend, "bolt", |it| matches!(it, NotShared::UnlikeFibres(..))),
        (Plain { goods_as: GoodsForm::Worn, ..b.clone() }, "bolt", |it| {
            matches!(it, NotShared::UnlikeForm(..))
        }),
        (cotton(1.01), "bolt", |it| matches!(it, NotShared::UnlikeRecipe(..))),
        (Plain { ratio: 25.0, ..b.clone() }, "bolt", |it| {
            matches!(it, NotShared::UnlikeRecipe(..))
        }),
        (Plain::of(lore, &[("cotton", 1.0)], Procedure::Direct, 1.0), "bolt", |it| {
            matches!(it, NotShared::UnlikeWay(..))
        }),
    ];
    for (other, cloth, which) in &unlike {
        for refused in [share(&a, "bolt", other, cloth), share(other, cloth, &a, "bolt")] {
            assert!(refused.as_ref().is_err_and(which), "{cloth}: {refused:?}");
        }
    }
    let sheet = a.with_order(Kind::Bulk, |one| {
        b.with_order(Kind::Bulk, |other| {
            let cape = Sharing { piece: "cape", cloth: "bolt", order: one };
            shared_sheet(&[cape, Sharing { piece: "hood", cloth: "bolt", order: other }])
        })
    });
    let sheet = sheet.unwrap();
    assert_eq!(sheet.dry.to_grams().to_string(), "660.5");
    let pieces: Vec<(&str, f64)> =
        sheet.pieces.iter().map(|piece| (piece.id.as_str(), piece.dry.to_grams())).collect();
    assert_eq!(pieces, [("cape", 400.0), ("hood", 260.5)]);
    assert!(says(&sheet, "cape (400 g), hood (260.5 g)"));
    assert!(adds_up(&sheet) && a.audit(&sheet).is_empty());
    assert!(matches!(shared_sheet(&[]), Err(Refusal::NotShared(NotShared::Nobody))));
}

#[test]
fn every_material_in_every_form_with_every_part_keeps_the_rules() {
    let lore = Lore::shipped();
    let (mut sheets, mut wrong) = (0, Vec::new());
    for material in lore.materials() {
        let procedures: Vec<Procedure> = material.best_first.iter().copied().take(2).collect();
        for procedure in procedures {
            for form in GoodsForm::ALL {
                for part in lore.parts() {
                    let order = Plain {
                        goods_as: *form,
                        parts_weigh: vec![(&part.id, grams(31.4))],
                        spare_g: 8.25,
                        lifts_kg: Some(5.0),
                        alkalinity: Some(150.0),
                        methods: Method::ALL.to_vec(),
                        ..Plain::of(lore, &[(&material.id, 1.0)], procedure, 1.2)
                    };
                    let Ok(sheet) = order.sheet(Kind::Bulk) else { continue };
                    sheets += 1;
                    let at = format!("{} × {procedure} × {form} × {}", material.id, part.id);
                    let named = sheet.will_not_dye.iter().any(|said| !said.is_empty());
                    if !adds_up(&sheet) || !named || sheet.takes > sheet.dry {
                        wrong.push(format!("{at}: {:?}", sheet.weights));
                    }
                    let broken = order.audit(&sheet);
                    wrong.extend(broken.iter().map(|broken| format!("{at}: {broken}")));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
    assert!(sheets > 1000, "{sheets} sheets");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn dye_goes_with_the_weight_that_takes_it_and_water_with_all(
        cloth in 1200u32..4000,
        zip in 0u32..600,
        lining in 0u32..1500,
        spare in 0u32..300,
        owf in 0.5f64..4.0,
    ) {
        // Tenths of a gram.
        let g = |tenths: u32| f64::from(tenths) / 10.0;
        let lore = Lore::shipped();
        let order = Plain {
            goods_g: g(cloth + zip + lining),
            goods_as: GoodsForm::Sewn,
            parts_weigh: if zip > 0 { vec![("zip", grams(g(zip)))] } else { Vec::new() },
            lining: (lining > 0).then(|| (makeup(lore, &[("polyester", 1.0)]), g(lining))),
            spare_g: g(spare),
            scale_g: 0.01,
            vessels: vec![VesselAtHand::of("boiler", litres(80.0), "stainless")],
            ..cotton(owf)
        };
        let plain = Plain { goods_g: g(cloth + spare), scale_g: 0.01, ..cotton(owf) };
        let (made, bare) = (order.sheet(Kind::Bulk).unwrap(), plain.sheet(Kind::Bulk).unwrap());
        prop_assert!((made.takes.to_grams() - g(cloth + spare)).abs() < 1e-6);
        prop_assert!((made.dry.to_grams() - g(cloth + zip + lining + spare)).abs() < 1e-6);
        prop_assert!(adds_up(&made));
        for (one, other) in made.dyes.iter().zip(&bare.dyes) {
            prop_assert_eq!(one.grams, other.grams);
        }
        prop_assert!((made.liquor_ml.value() - 20.0 * made.dry.to_grams()).abs() <= 0.51);
    }

    #[test]
    fn a_slower_burner_never_shortens_a_sheet(to_60 in 5.0f64..300.0, more in 1.0f64..3.0, goods_g in 100.0f64..900.0) {
        let at = |m: f64| {
            let pot = VesselAtHand { to_60: minutes(m), ..VesselAtHand::of("pot", litres(60.0), "stainless") };
            Plain { vessels: vec![pot], goods_g, ..wool(1.0) }.sheet(Kind::Bulk).unwrap()
        };
        let (fast, slow) = (at(to_60), at(to_60 * more));
        prop_assert!(slow.total >= fast.total);
        prop_assert!(wool(1.0).audit(&slow).is_empty());
        for step in &slow.steps {
            if let Some(ramp) = step.ramp {
                let moved = (step.to.to_degrees() - step.from.to_degrees()).abs();
                prop_assert!(moved / step.minutes.to_minutes() <= ramp.to_degrees_per_minute() + 1e-9);
            }
        }
    }
}
