//! The rules that protect cloth, over the whole matrix and every limit; and that each is one line
//! of data: loosened there, it is gone, so that a reader of finished sheets has to see it.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use lore::{
    AlkaliRule, Group, Lore, Makeup, Material, Permission, Procedure, Reason, Stop, Texts, Verdict,
};
use units::Share;

fn lore() -> &'static Lore {
    Lore::shipped()
}

fn material(id: &str) -> &'static Material {
    lore().material(id).unwrap()
}

fn pure(lore: &Lore, id: &str) -> Makeup {
    lore.try_makeup(&[(id, Share::WHOLE)]).unwrap()
}

#[test]
fn alkali_is_never_let_near_wool_feather_fur_hair_acetate_or_pla() {
    for id in [
        "wool",
        "felted-wool",
        "cashmere",
        "mohair",
        "hair",
        "feathers",
        "fur",
        "leather-veg-tan",
        "leather-chrome",
        "acetate",
        "pla",
    ] {
        for procedure in Procedure::ALL.iter().filter(|p| p.is_alkaline()) {
            let found = lore().verdict(material(id), *procedure);
            let gentle = *procedure == Procedure::Indigo
                && ["wool", "felted-wool", "cashmere", "mohair"].contains(&id);
            if gentle {
                assert!(found.why.contains("pH 9.5") && found.why.contains("50 °C"), "{id}");
            } else {
                assert_eq!(found.verdict, Verdict::Ruins, "{id} {procedure}");
                assert_eq!(found.reason, Some(Reason::Alkali), "{id} {procedure}");
            }
        }
        assert_eq!(material(id).alkali, AlkaliRule::Never, "{id}");
    }
}

#[test]
fn silk_takes_reactive_cold_weak_and_short_and_never_hot() {
    for id in ["silk", "silk-satin", "tussah"] {
        let cold = lore().verdict(material(id), Procedure::ReactiveCold);
        assert_eq!(cold.verdict, Verdict::Good, "{id}");
        assert!(["cold", "weak", "short"].iter().all(|word| cold.why.contains(word)), "{id}");
        for procedure in [Procedure::ReactiveWarm, Procedure::ReactiveHot] {
            assert_eq!(lore().verdict(material(id), procedure).verdict, Verdict::Ruins, "{id}");
        }
        let limit = lore().alkali_limit(material(id).alkali).unwrap();
        assert!(limit.max_dose.unwrap().to_grams_per_litre() <= 4.0);
        assert!(limit.max_temperature.to_degrees() <= 40.0);
        assert!(limit.max_time.unwrap().to_minutes() <= 60.0);
    }
}

#[test]
fn hypochlorite_never_touches_protein_skin_nylon_or_elastane() {
    for m in lore().materials() {
        if matches!(m.group, Group::Protein | Group::Skin | Group::Polyamide | Group::Elastane) {
            assert_eq!(m.hypochlorite.verdict, Permission::Never, "{}", m.id);
        }
    }
}

#[test]
fn the_weakest_part_caps_the_bath() {
    for (part, cap) in [
        ("glue", 60.0),
        ("foil", 60.0),
        ("elastic", 95.0),
        ("old-elastic", 60.0),
        ("leather-trim", 50.0),
        ("fur-trim", 45.0),
        ("lining", 80.0),
    ] {
        let limits = lore().limits(&pure(lore(), "cotton"), &[lore().part(part).unwrap()]).unwrap();
        assert!(limits.t_max.it.to_degrees() <= cap, "{part}: {:?}", limits.t_max);
    }
    for (id, cap) in [("modacrylic", 80.0), ("acetate", 80.0), ("fur", 45.0)] {
        assert!(material(id).t_max.to_degrees() <= cap, "{id}");
    }
}

#[test]
fn wool_is_not_shocked_stirred_or_boiled_long() {
    for id in ["wool", "felted-wool", "cashmere", "mohair"] {
        let limits = lore().limits(&pure(lore(), id), &[]).unwrap();
        assert!(limits.max_at_top.unwrap().it.to_minutes() <= 60.0);
        assert!(limits.heat.unwrap().it.to_degrees_per_minute() <= 1.0);
        assert!(limits.cool.unwrap().it.to_degrees_per_minute() <= 1.0);
        assert_eq!(limits.agitation.it, lore::Agitation::None);
        assert!(limits.cool_to.unwrap().it.to_degrees() <= 50.0);
    }
}

#[test]
fn what_is_not_done_at_home_is_refused_on_every_fibre() {
    for m in lore().materials() {
        let offers = lore().offer(&pure(lore(), &m.id), &[], lore::People::default());
        for procedure in [Procedure::Vat, Procedure::Sulfur] {
            let refused = offers.refused.iter().find(|r| r.procedure == procedure).unwrap();
            assert_eq!(refused.stop, Stop::NotAtHome, "{} {procedure}", m.id);
        }
        assert_eq!(offers.offered.len() + offers.refused.len(), Procedure::ALL.len());
    }
}

#[test]
fn every_offer_keeps_every_limit() {
    for m in lore().materials() {
        let offers = lore().offer(&pure(lore(), &m.id), &[], lore::People::default());
        let limits = offers.limits.unwrap();
        for offer in &offers.offered {
            assert!(offer.verdict.dyes() && !offer.classes.is_empty(), "{}", m.id);
            assert!(offer.works_from <= limits.t_max.it, "{} {}", m.id, offer.procedure);
            assert!(!offer.why.is_empty());
        }
        for (better, worse) in offers.offered.iter().zip(offers.offered.iter().skip(1)) {
            assert!(better.verdict >= worse.verdict, "{}: not best first", m.id);
        }
        assert!(offers.refused.iter().all(|r| !r.why_not.is_empty()), "{}", m.id);
    }
}

#[test]
fn every_verdict_short_of_good_says_why() {
    for m in lore().materials() {
        for procedure in Procedure::ALL {
            let found = lore().verdict(m, *procedure);
            let bare = [
                "takes in pale to medium depth",
                "only stains",
                "takes nothing",
                "the bath ruins the cloth",
            ];
            assert!(!bare.contains(&found.why.as_str()), "{} {procedure}", m.id);
        }
    }
}

#[test]
fn a_dye_of_the_wrong_class_is_refused_in_words() {
    let said = lore()
        .verdict_for(material("cotton"), Procedure::ReactiveCold, lore::DyeClass::Disperse)
        .map(|_| ())
        .map_err(|e| e.to_string());
    assert_eq!(
        said,
        Err("a disperse dye does not go into a cold reactive bath, which takes reactive, \
             dichlorotriazine: choose another dye or another way of dyeing"
            .to_owned())
    );
}

#[test]
fn powder_hot_baths_and_reducers_are_kept_from_those_they_can_harm() {
    for people in [
        lore::People { asthma: true, ..Default::default() },
        lore::People { pregnancy: true, ..Default::default() },
    ] {
        let offers = lore().offer(&pure(lore(), "cotton"), &[], people);
        assert!(offers.offered.len() > 2);
        assert!(offers.offered.iter().all(|offer| offer.liquid_only));
        // The vat for hair fibres takes dithionite; the one for cotton fruit sugar.
        let offers = lore().offer(&pure(lore(), "wool"), &[], people);
        let stopped = |o: &&lore::Refused| o.stop == Stop::People;
        let stopped: Vec<_> = offers.refused.iter().filter(stopped).collect();
        assert!(stopped.iter().all(|o| o.why_not.contains("it takes")), "{stopped:?}");
        assert!(stopped.iter().any(|o| o.procedure == Procedure::Indigo), "{stopped:?}");
    }
    // Every bath of the trade is soaped or dyed hotter than the 40 °C children may be near.
    let people = lore::People { children: true, ..Default::default() };
    let offers = lore().offer(&pure(lore(), "cotton"), &[], people);
    let cool = |o: &lore::Offer| o.works_from.to_degrees() <= 40.0;
    assert!(offers.offered.iter().all(cool), "{:?}", offers.offered);
    let hot = |o: &&lore::Refused| o.stop == Stop::People && o.why_not.contains("°C hot");
    assert!(offers.refused.iter().filter(hot).count() > 2);
    // Whoever else is near is told of too, the gravest first.
    let people = lore::People { asthma: true, ..people };
    let offers = lore().offer(&pure(lore(), "cotton"), &[], people);
    let hot = |o: &&lore::Refused| o.stop == Stop::People && o.why_not.contains("°C hot");
    let both = offers.refused.iter().filter(hot);
    assert!(both.clone().count() > 2);
    for why in both.map(|o| &o.why_not) {
        let (asthma, children) = (why.find("Asthma"), why.find("Children:"));
        assert!(asthma.is_some() && asthma < children, "{why}");
        assert!(why.contains("Set 'asthma' and 'children' to false"), "{why}");
        assert!(why.matches("may not be there as powder").count() < 2, "said once: {why}");
    }
    let none = lore().offer(&pure(lore(), "cotton"), &[], lore::People::default());
    assert!(none.offered.iter().all(|offer| !offer.liquid_only));
}

/// Loosened in data, a rule is gone: the gates read the data and nothing else. A rule about
/// alkali has two locks, the cell of the matrix and what the material bears.
#[test]
fn a_rule_is_only_in_the_data() {
    let in_row = |text: &str, row: &str, changes: &[(&str, &str)]| -> String {
        let (before, after) = text.split_at(text.find(row).unwrap());
        let changed = changes.iter().fold(after.to_owned(), |text, (from, to)| {
            assert!(text.contains(from), "{from}");
            text.replacen(from, to, 1)
        });
        format!("{before}{changed}")
    };
    let mut texts = Texts::shipped();
    texts.materials = in_row(
        &texts.materials,
        "id = \"wool\"",
        &[("t_max_c = 98.0", "t_max_c = 100.0"), ("alkali = \"never\"", "alkali = \"yes\"")],
    )
    .into();
    let row = texts.matrix.find("name = \"wool, cashmere and mohair\"").unwrap();
    let cell = texts.matrix[row..].lines().find(|line| line.starts_with("reactive-cold")).unwrap();
    let loose_cell = [(cell, "reactive-cold = \"good\"")];
    texts.matrix =
        in_row(&texts.matrix, "name = \"wool, cashmere and mohair\"", &loose_cell).into();
    let loose = Lore::try_from_texts(&texts).unwrap();
    let half = Share::try_percent(50.0).unwrap();
    for (lore, open) in [(lore(), false), (&loose, true)] {
        let makeup = lore.try_makeup(&[("cotton", half), ("wool", half)]).unwrap();
        let offers = lore.offer(&makeup, &[], lore::People::default());
        let offered = offers.offered.iter().any(|o| o.procedure == Procedure::ReactiveCold);
        assert_eq!(offered, open);
        let top = if open { 100.0 } else { 98.0 };
        assert!((offers.limits.unwrap().t_max.it.to_degrees() - top).abs() < 1e-9);
    }
    // Who must not meet reactive powder is in the data as well.
    let mut texts = Texts::shipped();
    texts.hazards = texts.hazards.replace("\"reactive-powder\", \"powder\"", "\"no\"").into();
    let loose = Lore::try_from_texts(&texts).unwrap();
    let people = lore::People { asthma: true, ..Default::default() };
    assert!(!loose.offer(&pure(&loose, "cotton"), &[], people).offered[0].liquid_only);
}
