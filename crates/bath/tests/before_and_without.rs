//! The scour before the bath, kitchens without a burner, pH within what everything in the bath bears, and the clear
//! between two baths.
#![expect(clippy::unwrap_used, reason = "figures written in tests are quantities")]

mod common;

use bath::{Kind, Machine, Refusal, Scour, VesselAtHand, may_scour_together, scour};
use common::{Plain, grams, litres, makeup};
use lore::{Lore, Method, Procedure, ScourNeed, StepKind};
use units::Celsius;

fn of(fibres: &[(&str, f64)], procedure: Procedure) -> Plain<'static> {
    Plain::of(Lore::shipped(), fibres, procedure, 1.0)
}

fn cotton() -> Plain<'static> {
    of(&[("cotton", 1.0)], Procedure::ReactiveCold)
}

fn wool() -> Plain<'static> {
    of(&[("wool", 1.0)], Procedure::AcidMilling)
}

fn scoured(order: &Plain<'_>, need: ScourNeed) -> Scour {
    order.with_order(Kind::Bulk, |order| scour(&[order], need)).unwrap()
}

fn dose(bath: &Scour, agent: &str) -> f64 {
    bath.auxiliaries.iter().filter(|aux| aux.id == agent).map(|aux| aux.grams.value()).sum()
}

#[test]
fn a_scour_is_reckoned_by_the_litre_and_fits_a_vessel() {
    // trade.md E1: 20 litres to the kilogram, 2 g/L soda ash and 1 g/L detergent: 400 g take 8 L, 16 g and 8 g.
    let bath = scoured(&cotton(), ScourNeed::New);
    assert_eq!(bath.liquor_ml.to_string(), "8000");
    assert!((dose(&bath, "soda-ash") - 16.0).abs() < 0.1);
    assert!((dose(&bath, "detergent-neutral") - 8.0).abs() < 0.1);
    assert_eq!(bath.at_hand.as_deref(), Some("big pot"), "80 °C are too hot for the tub");
    // Natural cotton as it comes from the loom: 5 and 2 g/L, at 95 °C.
    let hard = scoured(&cotton(), ScourNeed::Loomstate);
    assert!((dose(&hard, "soda-ash") - 40.0).abs() < 0.1);
    assert!(hard.steps.iter().any(|step| (step.to.to_degrees() - 95.0).abs() < 0.1));
    // Wool: neutral, lukewarm, unmoved (trade.md E1 and A2: about 38 °C, never above 49 °C).
    let wool = scoured(&wool(), ScourNeed::New);
    assert!(dose(&wool, "soda-ash") == 0.0 && dose(&wool, "detergent-neutral") > 0.0);
    assert!(wool.steps.iter().all(|step| step.to.to_degrees() <= 45.0));
}

#[test]
fn a_lining_or_a_trim_sets_the_scour_of_the_whole() {
    let mut lined = cotton();
    lined.lining = Some((makeup(Lore::shipped(), &[("acetate", 1.0)]), 60.0));
    let bath = scoured(&lined, ScourNeed::New);
    assert!(dose(&bath, "soda-ash") == 0.0, "acetate bears no soda: {}", bath.programme);
    assert!(bath.steps.iter().all(|step| step.to.to_degrees() <= 45.0));
}

#[test]
fn where_nothing_holds_it_the_ratio_falls_and_then_it_is_said() {
    let mut order = cotton();
    order.goods_g = 800.0; // 16 L at 20:1; the pot takes 13.3 L
    let bath = scoured(&order, ScourNeed::New);
    assert_eq!(bath.ratio.to_litres_per_kilogram(), 15.0);
    order.vessels.clear();
    let none = scoured(&order, ScourNeed::New);
    assert!(none.at_hand.is_none() && none.vessel.words.contains("bath tub"));
}

#[test]
fn only_like_goods_share_a_scour_and_worn_ones_never() {
    let asked = |a: &Plain<'_>, b: &Plain<'_>, needs| {
        a.with_order(Kind::Bulk, |a| {
            b.with_order(Kind::Bulk, |b| may_scour_together(a, b, needs).unwrap())
        })
    };
    let new = (ScourNeed::New, ScourNeed::New);
    assert!(asked(&cotton(), &of(&[("linen", 1.0)], Procedure::ReactiveCold), new));
    assert!(!asked(&cotton(), &wool(), new));
    assert!(!asked(&cotton(), &cotton(), (ScourNeed::Worn, ScourNeed::Worn)));
    assert!(!asked(&cotton(), &cotton(), (ScourNeed::New, ScourNeed::Loomstate)));
}

#[test]
fn without_a_burner_cold_baths_are_dyed_and_hot_ones_are_refused_in_words() {
    let cold = Plain { burner: false, ..cotton() };
    let sheet = cold.sheet(Kind::Bulk).unwrap();
    for step in &sheet.steps {
        assert!(step.to.to_degrees() <= 50.0, "{}: {}", step.text, step.to.to_degrees());
    }
    assert!(
        sheet
            .notes
            .iter()
            .any(|note| note.contains("as hot as this vessel and this kitchen make it"))
    );
    assert!(cold.audit(&sheet).is_empty(), "{:?}", cold.audit(&sheet));
    // Its swatch stands in a jar in water from the kettle, soaped no hotter than the goods.
    let swatch = cold.sheet(Kind::Swatch).unwrap();
    assert!(swatch.vessel.words.contains("tap and kettle"), "{}", swatch.vessel.words);
    for step in &swatch.steps {
        assert!(step.to.to_degrees() <= 50.0, "{}: {}", step.text, step.to.to_degrees());
    }
    let soaps = |sheet: &bath::Sheet| -> Vec<f64> {
        let those = sheet.steps.iter().filter(|step| step.kind == StepKind::Soap);
        those.map(|step| step.to.to_degrees()).collect()
    };
    assert!(!soaps(&swatch).is_empty() && soaps(&swatch) == soaps(&sheet));
    assert!(scoured(&cold, ScourNeed::New).steps.iter().all(|step| step.to.to_degrees() <= 50.0));
    for order in [
        wool(),
        of(&[("polyester", 1.0)], Procedure::Disperse),
        of(&[("cotton", 1.0)], Procedure::Direct),
    ] {
        let refused = Plain { burner: false, ..order.clone() }.sheet(Kind::Bulk);
        let Err(refusal @ Refusal::NoBurner { .. }) = refused else { panic!("{refused:?}") };
        assert!(refusal.to_string().contains("there is no burner"), "{refusal}");
        assert!(order.sheet(Kind::Bulk).is_ok(), "with a burner it is dyed");
    }
}

#[test]
fn without_a_burner_the_real_reason_is_said_first() {
    // Its hot soaps would be done as warm as the tap makes them, so a vessel need bear no more.
    let tub = vec![VesselAtHand::of("tub", litres(12.0), "plastic")];
    let big = Plain { burner: false, vessels: tub.clone(), goods_g: 2500.0, ..cotton() };
    for scale_g in [0.1, 0.0] {
        let refused = Plain { scale_g, ..big.clone() }.sheet(Kind::Bulk);
        let Err(Refusal::NoVessel { hottest, bears, needs, .. }) = refused else {
            panic!("50 L fit no tub of 12: {refused:?}")
        };
        assert_eq!(hottest.to_degrees(), 50.0);
        assert!(bears.contains("plastic"), "{bears}");
        // What it promises holds: in such a tub there is a sheet.
        let bigger = vec![VesselAtHand::of("tub", needs, "plastic")];
        assert!(Plain { vessels: bigger, ..big.clone() }.sheet(Kind::Bulk).is_ok());
    }
    // No scale would make wool dye here.
    let wool = Plain { burner: false, vessels: tub, scale_g: 0.0, ..wool() };
    for kind in [Kind::Swatch, Kind::Bulk] {
        let refused = wool.sheet(kind);
        assert!(matches!(refused, Err(Refusal::NoBurner { .. })), "{refused:?}");
    }
}

#[test]
fn without_a_burner_what_is_at_hand_instead_is_told() {
    let oven = Plain { burner: false, methods: vec![Method::Tub, Method::Microwave], ..wool() };
    let Err(refusal) = oven.sheet(Kind::Bulk) else { panic!("wool wants heat") };
    assert!(refusal.to_string().contains("microwave"), "{refusal}");
    // A machine soaps hotter than the tap.
    let hottest = Celsius::try_degrees(60.0).unwrap();
    let machine = Machine { holds: grams(6000.0), water: litres(15.0), hottest };
    let order = Plain {
        burner: false,
        methods: vec![Method::Tub, Method::Machine],
        machine: Some(machine),
        vessels: vec![VesselAtHand::of("tub", litres(15.0), "plastic")],
        ..cotton()
    };
    let sheet = order.sheet(Kind::Bulk).unwrap();
    let soap = sheet.steps.iter().find(|step| step.kind == StepKind::Soap).unwrap();
    assert_eq!(soap.to.to_degrees(), 60.0);
    let swatch = order.sheet(Kind::Swatch).unwrap();
    let soap_of_swatch = swatch.steps.iter().find(|step| step.kind == StepKind::Soap).unwrap();
    assert_eq!(soap_of_swatch.to, soap.to, "as the goods will be");
    assert!(soap.vessel.as_ref().unwrap().words.contains("washing machine"));
}

#[test]
fn the_ph_is_aimed_within_what_everything_in_the_bath_bears() {
    let aims = |order: &Plain<'_>| {
        let sheet = order.sheet(Kind::Bulk).unwrap();
        sheet.notes.iter().find(|note| note.contains("pH paper")).cloned().unwrap()
    };
    let plain = wool();
    assert!(aims(&plain).contains("pH 4.5 to 6"), "{}", aims(&plain));
    // Viscose in a hot bath: pH 5 to 11 (materials.toml).
    let mut lined = wool();
    lined.lining = Some((makeup(Lore::shipped(), &[("viscose", 1.0)]), 60.0));
    assert!(aims(&lined).contains("pH 5 to 6"), "{}", aims(&lined));
    let sheet = lined.sheet(Kind::Bulk).unwrap();
    let stated = sheet.steps.iter().filter(|s| !s.finishing).filter_map(|s| s.ph);
    assert!(stated.map(|ph| ph.to_value()).all(|ph| (5.0..=6.0).contains(&ph)));
}

#[test]
fn nylon_is_dyed_the_less_acid_the_paler_it_is() {
    // Common practice for levelness: pH 7 pale, 6 medium, 5 deep; with elastane never outside 5 to 6.
    let ph = |fibres: &[(&str, f64)], owf: f64| {
        let order = Plain::of(Lore::shipped(), fibres, Procedure::AcidMilling, owf);
        let sheet = order.sheet(Kind::Bulk).unwrap();
        let stated = sheet.steps.iter().filter(|s| !s.finishing).find_map(|s| s.ph);
        stated.unwrap().to_value()
    };
    let nylon = |owf| ph(&[("nylon", 1.0)], owf);
    assert!(nylon(0.1) >= 6.5 && (nylon(0.7) - 6.0).abs() < 0.3 && nylon(3.0) <= 5.3);
    for owf in [0.1, 0.7, 3.0] {
        let both = ph(&[("nylon", 0.82), ("elastane", 0.18)], owf);
        assert!((5.0..=6.0).contains(&both), "{owf}: {both}");
    }
    assert!(
        ph(&[("nylon", 0.82), ("elastane", 0.18)], 0.1)
            > ph(&[("nylon", 0.82), ("elastane", 0.18)], 3.0)
    );
}

#[test]
fn between_the_baths_of_polyester_and_cotton_a_white_rag_stays_white() {
    let blend = &[("polyester", 0.65), ("cotton", 0.35)][..];
    let first = Plain { one_of_two: true, ..of(blend, Procedure::Disperse) };
    let sheet = first.sheet(Kind::Bulk).unwrap();
    let soap = sheet.steps.iter().find(|step| step.kind == StepKind::Soap).unwrap();
    assert!(soap.until.as_deref().is_some_and(|until| until.contains("stays white")), "{soap:?}");
    assert!(soap.text.contains("before the second bath"));
    let alone = of(&[("polyester", 1.0)], Procedure::Disperse).sheet(Kind::Bulk).unwrap();
    assert!(alone.steps.iter().all(|step| !step.text.contains("before the second bath")));
}
