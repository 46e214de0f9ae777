//! Makeups: what is refused, in words; and what a bath does to a blend.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use lore::{Lore, Makeup, People, Procedure, Verdict};
use units::Share;

fn told(fibres: &[(&str, f64)]) -> Result<Makeup, String> {
    let fibres: Vec<(&str, Share)> =
        fibres.iter().map(|(id, p)| (*id, Share::try_percent(*p).unwrap())).collect();
    Lore::shipped().try_makeup(&fibres).map_err(|e| e.to_string())
}

fn verdict(fibres: &[(&str, f64)], procedure: Procedure) -> lore::BlendFinding {
    let Ok(Makeup::Known(portions)) = told(fibres) else { panic!("{fibres:?}") };
    Lore::shipped().blend_verdict(&portions, procedure, None)
}

#[test]
fn a_makeup_that_cannot_be_is_refused_in_words() {
    for (fibres, said) in [
        (&[("cotton", 65.0), ("polyester", 30.0)][..], "the blend adds up to 95 %"),
        (&[("cotton", 65.0), ("polyester", 36.0)], "the blend adds up to 101 %"),
        (&[("cotton", 50.0), ("cotton", 50.0)], "cotton is named twice"),
        (&[("rayon", 50.0), ("viscose", 50.0)], "viscose is named twice"),
        (&[("slik", 100.0)], "'slik' is not a fibre we know: did you mean silk"),
        (&[], "no fibre is named"),
    ] {
        let refusal = told(fibres);
        assert!(refusal.as_ref().is_err_and(|e| e.contains(said)), "{fibres:?}: {refusal:?}");
    }
}

#[test]
fn whole_numbers_on_a_label_may_miss_a_half() {
    let Ok(Makeup::Known(portions)) = told(&[("cotton", 66.6), ("linen", 33.0)]) else {
        panic!("99.6 % was refused")
    };
    let sum: f64 = portions.iter().map(|p| p.share.to_fraction()).sum();
    assert!((sum - 1.0).abs() < 1e-12);
}

#[test]
fn other_words_for_a_fibre_are_known() {
    for (word, id) in [
        ("rayon", "viscose"),
        ("flax", "linen"),
        ("spandex", "elastane"),
        ("felt", "felted-wool"),
        ("Felted Wool", "felted-wool"),
        ("chiffon silk", "silk"),
        ("nylon", "nylon-6"),
        ("PET", "polyester"),
        ("leather", "leather-veg-tan"),
        ("angora", "cashmere"),
    ] {
        assert_eq!(Lore::shipped().material(word).map(|m| m.id.as_str()), Ok(id), "{word}");
    }
}

#[test]
fn no_word_names_two_materials() {
    let mut words = std::collections::BTreeMap::new();
    for m in Lore::shipped().materials() {
        let own = std::iter::once(&m.id).chain(&m.aliases).chain(std::iter::once(&m.name));
        for word in own.map(|w| w.to_lowercase().replace(' ', "-")) {
            if let Some(other) = words.insert(word.clone(), m.id.clone()) {
                assert_eq!(other, m.id, "'{word}' names two");
            }
        }
    }
}

#[test]
fn a_blend_takes_on_the_share_that_takes() {
    let found = verdict(&[("cotton", 65.0), ("polyester", 35.0)], Procedure::ReactiveCold);
    assert_eq!(found.verdict, Verdict::Fair);
    assert!((found.takes.to_percent() - 65.0).abs() < 1e-9);
    assert!(found.says.contains("65 %") && found.says.contains("white haze"), "{}", found.says);
    // Cold reactive on cotton with a little elastane is the ideal case.
    let found = verdict(&[("cotton", 95.0), ("elastane", 5.0)], Procedure::ReactiveCold);
    assert_eq!(found.verdict, Verdict::Excellent);
}

#[test]
fn one_ruined_fibre_refuses_the_bath() {
    for share in [1.0, 10.0, 50.0, 99.0] {
        let found = verdict(&[("wool", share), ("cotton", 100.0 - share)], Procedure::ReactiveCold);
        assert_eq!(found.verdict, Verdict::Ruins, "{share} % wool");
        assert!(found.says.contains("wool"), "{}", found.says);
    }
}

/// The verdict of a blend is never better than its best fibre nor, unless a fibre is ruined, worse
/// than what "stains" says, and naming the fibres in another order changes nothing.
#[test]
fn order_of_fibres_does_not_matter() {
    let ids = ["cotton", "polyester", "silk", "nylon-6", "elastane", "acrylic", "wool"];
    for a in ids {
        for b in ids.into_iter().filter(|b| *b != a) {
            for procedure in Procedure::ALL {
                let one = verdict(&[(a, 60.0), (b, 40.0)], *procedure);
                let other = verdict(&[(b, 40.0), (a, 60.0)], *procedure);
                assert_eq!(one, other, "{a} {b} {procedure}");
                let best = one.each.iter().map(|(_, f)| f.verdict).max().unwrap();
                assert!(one.verdict <= best, "{a} {b} {procedure}");
            }
        }
    }
}

#[test]
fn a_blend_that_no_one_bath_colours_gets_two() {
    let lore = Lore::shipped();
    let makeup = told(&[("cotton", 50.0), ("polyester", 50.0)]).unwrap();
    let offers = lore.offer(&makeup, &[], People::default());
    let pair = &offers.two_baths[0];
    assert_eq!((pair.first, pair.second), (Procedure::Disperse, Procedure::ReactiveCold));
    let makeup = told(&[("acrylic", 50.0), ("wool", 50.0)]).unwrap();
    let pair = &lore.offer(&makeup, &[], People::default()).two_baths[0];
    let mut both = [pair.first, pair.second];
    both.sort();
    assert_eq!(both, [Procedure::AcidMilling, Procedure::Basic]);
}

#[test]
fn an_old_elastic_keeps_a_hot_bath_off() {
    let lore = Lore::shipped();
    let makeup = told(&[("cotton", 100.0)]).unwrap();
    let elastic = lore.part("old-elastic").unwrap();
    let offers = lore.offer(&makeup, &[elastic], People::default());
    assert!(offers.offered.iter().all(|o| o.works_from.to_degrees() <= 60.0));
    assert!(offers.refused.iter().any(|r| r.procedure == Procedure::ReactiveHot));
    assert!(offers.notes.iter().any(|n| n.contains("old elastic")));
}
