//! What can be done with a blend: which ways there are, in which order, and that none does harm.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use lore::{BlendKind, BlendWays, Lore, Part, People, Procedure, Verdict};
use units::Share;

const NOBODY: People = People { asthma: false, pregnancy: false, children: false };

fn ways(fibres: &[(&str, f64)], parts: &[&Part], people: People) -> Option<BlendWays> {
    let fibres: Vec<(&str, Share)> =
        fibres.iter().map(|(id, p)| (*id, Share::try_percent(*p).unwrap())).collect();
    let lore = Lore::shipped();
    lore.blend_ways(&lore.try_makeup(&fibres).unwrap(), parts, people)
}

fn of_kind(found: &BlendWays, kind: BlendKind) -> Vec<(Procedure, Option<Procedure>)> {
    found.ways.iter().filter(|w| w.kind == kind).map(|w| (w.first, w.second)).collect()
}

fn missing(found: &BlendWays, kind: BlendKind) -> &str {
    found.missing.iter().find(|(k, _)| *k == kind).map_or("", |(_, why)| why)
}

const BLENDS: [&[(&str, f64)]; 10] = [
    &[("viscose", 60.0), ("linen", 40.0)],
    &[("cotton", 65.0), ("polyester", 35.0)],
    &[("polyester", 65.0), ("cotton", 35.0)],
    &[("wool", 80.0), ("nylon-66", 20.0)],
    &[("silk", 55.0), ("cotton", 45.0)],
    &[("wool", 55.0), ("polyester", 45.0)],
    &[("acrylic", 70.0), ("wool", 30.0)],
    &[("cotton", 60.0), ("nylon-6", 40.0)],
    &[("acetate", 60.0), ("viscose", 40.0)],
    &[("cotton", 50.0), ("wool", 50.0)],
];

#[test]
fn every_blend_has_every_kind_of_way_or_the_reason_why_not() {
    for blend in BLENDS {
        let found = ways(blend, &[], NOBODY).unwrap();
        println!("\n{blend:?}");
        for way in &found.ways {
            let by: Vec<String> = way
                .fibres
                .iter()
                .map(|f| format!("{} {:?} {}", f.material, f.by, f.verdict))
                .collect();
            println!(
                "  {}: {} + {:?} colours {:.2}: {}\n    {} | {} | {:?}",
                way.kind,
                way.first,
                way.second,
                way.colours.to_fraction(),
                by.join(", "),
                way.why,
                way.risk,
                way.between
            );
        }
        for (kind, why) in &found.missing {
            println!("  no {kind}: {why}");
        }
        for kind in BlendKind::ALL {
            let has = found.ways.iter().filter(|way| way.kind == *kind).count();
            assert_eq!(has > 0, missing(&found, *kind).is_empty(), "{blend:?} {kind}");
            assert!(has <= 2, "{blend:?} {kind}");
        }
        for way in &found.ways {
            assert!(!way.why.is_empty() && !way.risk.is_empty(), "{blend:?} {way:?}");
            assert_eq!(way.second.is_some(), way.kind == BlendKind::TwoBaths);
            assert_eq!(way.between.is_some(), way.kind == BlendKind::TwoBaths);
            let coloured = way.fibres.iter().filter(|f| f.by.is_some()).count();
            match way.kind {
                BlendKind::OneBath => assert_eq!(coloured, way.fibres.len()),
                BlendKind::TwoBaths => assert!(way.colours.to_fraction() >= 0.9),
                BlendKind::Heather => {
                    assert!(coloured > 0 && coloured < way.fibres.len(), "{blend:?} {way:?}");
                }
            }
        }
    }
}

#[test]
fn no_way_ruins_a_fibre_in_either_bath() {
    let lore = Lore::shipped();
    for blend in BLENDS {
        for way in ways(blend, &[], NOBODY).unwrap().ways {
            for procedure in std::iter::once(way.first).chain(way.second) {
                for (id, _) in blend {
                    let verdict = lore.verdict(lore.material(id).unwrap(), procedure).verdict;
                    assert_ne!(verdict, Verdict::Ruins, "{procedure} on {id}");
                }
            }
        }
    }
}

#[test]
fn viscose_and_linen_go_in_one_bath_and_have_no_other_way() {
    let found = ways(&[("viscose", 60.0), ("linen", 40.0)], &[], NOBODY).unwrap();
    assert!(
        of_kind(&found, BlendKind::OneBath).iter().any(|(p, _)| p.classes()[0].is_reactive()),
        "{found:?}"
    );
    assert!(missing(&found, BlendKind::TwoBaths).contains("deepen them all"));
    assert!(missing(&found, BlendKind::Heather).contains("goes deeper"));
    let one = found.ways.iter().find(|way| way.kind == BlendKind::OneBath).unwrap();
    assert!(one.risk.contains("two-tone slubs"), "{}", one.risk);
}

#[test]
fn polyester_goes_first_and_is_cleared_before_the_cotton_gets_its_colour() {
    let found = ways(&[("cotton", 65.0), ("polyester", 35.0)], &[], NOBODY).unwrap();
    let two = found.ways.iter().find(|way| way.kind == BlendKind::TwoBaths).unwrap();
    assert_eq!(two.first, Procedure::Disperse);
    assert!(two.second.unwrap().classes()[0].is_reactive(), "{two:?}");
    assert!(two.between.as_ref().unwrap().starts_with("Clear the polyester"));
    assert!(two.between.as_ref().unwrap().contains("never on wool"));
    assert!(of_kind(&found, BlendKind::OneBath).is_empty());
    let heather = found.ways.iter().find(|way| way.kind == BlendKind::Heather).unwrap();
    assert_eq!(heather.fibres[1].by, None, "the polyester stays: {heather:?}");
}

#[test]
fn wool_and_nylon_go_in_one_acid_bath() {
    let found = ways(&[("wool", 80.0), ("nylon-66", 20.0)], &[], NOBODY).unwrap();
    let one = of_kind(&found, BlendKind::OneBath);
    assert!(matches!(one[0].0, Procedure::AcidMilling | Procedure::AcidLevelling), "{found:?}");
}

#[test]
fn two_baths_are_told_only_where_they_do_better_and_the_best_pair_first() {
    let found = ways(&[("wool", 80.0), ("nylon-66", 20.0)], &[], NOBODY).unwrap();
    assert!(missing(&found, BlendKind::TwoBaths).contains("one bath does as well"));
    for (blend, first, second) in [
        ([("wool", 55.0), ("polyester", 45.0)], Procedure::Disperse, Procedure::AcidMilling),
        ([("silk", 55.0), ("cotton", 45.0)], Procedure::ReactiveCold, Procedure::AcidMilling),
        ([("cotton", 50.0), ("wool", 50.0)], Procedure::AcidMilling, Procedure::Direct),
        ([("acrylic", 70.0), ("wool", 30.0)], Procedure::Basic, Procedure::AcidMilling),
        ([("acetate", 60.0), ("viscose", 40.0)], Procedure::Disperse, Procedure::Direct),
    ] {
        let found = ways(&blend, &[], NOBODY).unwrap();
        assert_eq!(of_kind(&found, BlendKind::TwoBaths)[0], (first, Some(second)), "{blend:?}");
    }
    let found = ways(&[("acrylic", 70.0), ("wool", 30.0)], &[], NOBODY).unwrap();
    let one = found.ways.iter().find(|way| way.kind == BlendKind::OneBath).unwrap();
    assert!(one.risk.contains("on the wool"), "basic on wool is fugitive: {}", one.risk);
}

#[test]
fn order_does_not_hang_on_how_the_pair_is_named() {
    let lore = Lore::shipped();
    let before = |a, b| lore.bath_order(a, b).0 == a;
    for a in Procedure::ALL {
        for b in Procedure::ALL {
            if a != b && !before(*a, *b) {
                assert!(before(*b, *a));
            }
        }
    }
    for (first, second) in [
        (Procedure::Disperse, Procedure::ReactiveCold),
        (Procedure::Disperse, Procedure::AcidMilling),
        (Procedure::Basic, Procedure::AcidMilling),
        // Alkali takes acid dye off again, though the acid bath is the hotter one.
        (Procedure::ReactiveCold, Procedure::AcidMilling),
        (Procedure::AcidMilling, Procedure::Direct),
        // A reducing vat would bleach what stands on the cloth before it.
        (Procedure::Indigo, Procedure::Disperse),
    ] {
        assert_eq!(lore.bath_order(first, second), (first, second));
        assert_eq!(lore.bath_order(second, first), (first, second));
    }
}

#[test]
fn the_elastane_inside_a_yarn_is_no_fibre_to_colour() {
    assert!(ways(&[("cotton", 95.0), ("elastane", 5.0)], &[], NOBODY).is_none());
    assert!(ways(&[("cotton", 100.0)], &[], NOBODY).is_none());
    let found = ways(&[("cotton", 55.0), ("polyester", 40.0), ("elastane", 5.0)], &[], NOBODY);
    assert!(found.unwrap().ways.iter().all(|way| way.fibres.len() == 2));
}

#[test]
fn people_near_the_pots_take_ways_away() {
    let children = People { children: true, ..NOBODY };
    let found = ways(&[("cotton", 65.0), ("polyester", 35.0)], &[], children).unwrap();
    assert!(of_kind(&found, BlendKind::TwoBaths).is_empty(), "the boil is not for children near");
}
