//! Blends, parts and unknown fibres: the strictest limit of everything in the bath is kept, and what
//! will not dye is said. Judged by the rules auditor.

mod common;

use bath::Kind;
use common::Plain;
use lore::{Kind as Seen, Lore, Makeup, Observation, Procedure};

const BLENDS: [&[(&str, f64)]; 14] = [
    &[("cotton", 0.65), ("polyester", 0.35)],
    &[("cotton", 0.95), ("elastane", 0.05)],
    &[("nylon-6", 0.8), ("elastane", 0.2)],
    &[("wool", 0.6), ("nylon-66", 0.4)],
    &[("cotton", 0.6), ("wool", 0.4)],
    &[("wool", 0.55), ("cotton", 0.45)],
    &[("silk", 0.5), ("cotton", 0.5)],
    &[("viscose", 0.7), ("linen", 0.3)],
    &[("acetate", 0.6), ("viscose", 0.4)],
    &[("acrylic", 0.7), ("wool", 0.3)],
    &[("wool", 0.7), ("acrylic", 0.3)],
    &[("polyester", 0.92), ("elastane", 0.08)],
    &[("felted-wool", 0.9), ("polypropylene", 0.1)],
    &[("nylon-6", 0.9), ("metallised-film", 0.1)],
];

/// Sheets of an order in both kinds, audited; gives back what is wrong and how many sheets there were.
#[expect(clippy::print_stdout, reason = "a test that says what it saw")]
fn audited(order: &Plain<'_>, at: &str, wrong: &mut Vec<String>) -> usize {
    let mut sheets = 0;
    for kind in [Kind::Swatch, Kind::Bulk] {
        match order.sheet(kind) {
            Ok(sheet) => {
                sheets += 1;
                wrong.extend(order.audit(&sheet).iter().map(|b| format!("{at}: {b}")));
            }
            Err(refusal) => println!("{at} ({}): {refusal}", kind.name()),
        }
    }
    sheets
}

#[test]
fn blends_keep_the_strictest_limit_and_say_what_stays() {
    let lore = Lore::shipped();
    let mut wrong = Vec::new();
    let mut sheets = 0;
    for blend in BLENDS {
        for procedure in Procedure::ALL {
            for owf in [0.2, 1.5, 4.0] {
                let mut order = Plain::of(lore, blend, *procedure, owf);
                order.hardness = Some(220.0);
                sheets += audited(&order, &format!("{blend:?} × {procedure} {owf}"), &mut wrong);
            }
        }
    }
    println!("{sheets} sheets");
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
    assert!(sheets > 100, "{sheets} sheets");
}

#[test]
fn every_part_is_kept_to_its_limit_and_named_when_it_stays() {
    let lore = Lore::shipped();
    let mut wrong = Vec::new();
    let mut sheets = 0;
    for part in lore.parts() {
        for cloth in ["cotton", "wool", "silk", "nylon-6", "polyester", "acetate", "acrylic"] {
            for procedure in Procedure::ALL {
                let mut order = Plain::of(lore, &[(cloth, 1.0)], *procedure, 1.0);
                order.parts = vec![&part.id];
                sheets +=
                    audited(&order, &format!("{cloth} with {} × {procedure}", part.id), &mut wrong);
            }
        }
    }
    println!("{sheets} sheets");
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
    assert!(sheets > 100, "{sheets} sheets");
}

#[test]
fn a_possible_viscose_may_be_cupro_and_a_possible_wool_may_be_hair() {
    // Trade rule 6, with the trade's limits: cupro 90 °C, hair 85 °C.
    let lore = Lore::shipped();
    let mut wrong = Vec::new();
    let mut hottest: Vec<(String, f64)> = Vec::new();
    for kind in [Seen::Smell, Seen::Residue, Seen::Flame, Seen::Bleach, Seen::Acetone] {
        for word in kind.outcomes() {
            let Ok(seen) = Observation::try_new(kind, word) else { continue };
            let odds = lore.try_odds(&[seen]).unwrap();
            let counted: Vec<String> = odds.counted().map(|row| row.fibre.clone()).collect();
            for procedure in Procedure::ALL {
                let mut order = Plain::of(lore, &[("cotton", 1.0)], *procedure, 1.5);
                order.makeup = Makeup::Unknown(odds.clone());
                for bath_kind in [Kind::Swatch, Kind::Bulk] {
                    let Ok(sheet) = order.sheet(bath_kind) else { continue };
                    let at = format!("{kind} {word} ({}) × {procedure}", counted.join(", "));
                    wrong.extend(order.audit(&sheet).iter().map(|b| format!("{at}: {b}")));
                    let top = sheet.steps.iter().map(|s| s.to.to_degrees()).fold(0.0, f64::max);
                    hottest.push((at, top));
                }
            }
        }
    }
    println!("{} sheets", hottest.len());
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
    assert!(!hottest.is_empty(), "no unknown fibre was ever offered a bath");
    for (at, top) in hottest {
        let cap = if at.contains("wool") {
            85.0
        } else if at.contains("viscose") {
            90.0
        } else {
            100.0
        };
        assert!(top <= cap, "{at}: {top} °C");
    }
}

#[test]
fn before_any_test_there_is_no_bath() {
    let lore = Lore::shipped();
    for procedure in Procedure::ALL {
        let mut order = Plain::of(lore, &[("cotton", 1.0)], *procedure, 1.0);
        order.makeup = Makeup::Unknown(lore.untested());
        assert!(order.sheet(Kind::Bulk).is_err(), "{procedure}");
    }
}
