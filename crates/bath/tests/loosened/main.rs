//! For each of the fifteen rules: loosen one limit, or take away one caution or gate, in lore's data,
//! and the auditor (whose own limits are untouched) must see that rule broken on the sheet.
//!
//! Where the data keep a rule by two fences that stand one behind the other, both are taken down, and
//! the case says so. Rule 14 (swatch before bulk) is kept by `plan`; here its part that the swatch has
//! the bulk's way, ratio and dyes.

mod cases;
#[path = "../common/mod.rs"]
mod common;

use bath::Kind;
use cases::{Bath, CASES, Edit};
use common::Plain;
use lore::{DyeClass, Lore, Makeup, Observation, Procedure as P, Texts};

use Bath::{Asthma, Child, Dye, Of, Tub, Unknown, With};

fn loosened(edits: &[Edit]) -> Result<Lore, String> {
    let mut texts = Texts::shipped();
    for (file, from, to) in edits {
        let text = match *file {
            "auxiliaries.toml" => &mut texts.auxiliaries,
            "hazards.toml" => &mut texts.hazards,
            "identify.toml" => &mut texts.identify,
            "materials.toml" => &mut texts.materials,
            "matrix.toml" => &mut texts.matrix,
            "prepare.toml" => &mut texts.prepare,
            "programmes.toml" => &mut texts.programmes,
            other => return Err(format!("no text {other}")),
        };
        if !text.contains(from) {
            return Err(format!("{file} does not hold: {from}"));
        }
        *text = text.replace(from, to).into();
    }
    Lore::try_from_texts(&texts).map_err(|e| e.to_string())
}

#[expect(clippy::unwrap_used, reason = "the words of the cases are known")]
fn order(lore: &Lore, bath: Bath) -> Plain<'_> {
    let cloth_for = |procedure: P| match procedure {
        P::Disperse => "polyester",
        P::Indigo => "wool",
        _ => "cotton",
    };
    match bath {
        Of(fibres, procedure, owf) => Plain::of(lore, fibres, procedure, owf),
        With(cloth, procedure, part) => {
            let mut order = Plain::of(lore, &[(cloth, 1.0)], procedure, 1.5);
            order.parts = vec![part];
            order
        }
        Unknown(seen, procedure) => {
            let mut order = Plain::of(lore, &[("cotton", 1.0)], procedure, 1.5);
            let seen: Vec<Observation> = seen
                .iter()
                .map(|(kind, word)| Observation::try_new(*kind, word).unwrap())
                .collect();
            order.makeup = Makeup::Unknown(lore.try_odds(&seen).unwrap());
            order
        }
        Asthma(procedure) => {
            let mut order = Plain::of(lore, &[(cloth_for(procedure), 1.0)], procedure, 1.5);
            order.near.asthma = true;
            order
        }
        Child(procedure) => {
            let mut order = Plain::of(lore, &[(cloth_for(procedure), 1.0)], procedure, 1.5);
            order.near.children = true;
            order
        }
        Dye(procedure, name) => {
            let mut order = Plain::of(lore, &[(cloth_for(procedure), 1.0)], procedure, 1.5);
            let class: DyeClass = procedure.classes()[0];
            order.dyes = vec![(name, class, 1.5)];
            order
        }
        Tub(procedure) => {
            let mut order = Plain::of(lore, &[("cotton", 1.0)], procedure, 1.5);
            order.vessels.remove(0);
            order
        }
    }
}

#[test]
fn a_loosened_limit_is_seen_by_the_auditor() {
    let mut wrong = Vec::new();
    for case in CASES {
        let at = format!("rule {}, {}", case.rule, case.says);
        let before = order(Lore::shipped(), case.bath);
        if let Ok(sheet) = before.sheet(Kind::Bulk) {
            let broken = before.audit(&sheet);
            if !broken.is_empty() {
                wrong.push(format!("{at}: broken before anything was loosened: {broken:?}"));
            }
        }
        let lore = match loosened(case.edits) {
            Ok(lore) => lore,
            Err(why) => {
                wrong.push(format!("{at}: {why}"));
                continue;
            }
        };
        let after = order(&lore, case.bath);
        match after.sheet(Kind::Bulk) {
            Err(refusal) => wrong.push(format!("{at}: still refused: {refusal}")),
            Ok(sheet) => {
                let broken = after.audit(&sheet);
                if broken.iter().all(|b| b.rule != case.rule) {
                    wrong.push(format!("{at}: not seen, only {broken:?}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), CASES.len(), wrong.join("\n"));
}

#[test]
fn every_rule_that_a_sheet_can_break_has_a_case() {
    for rule in (1..=13).chain([15]) {
        assert!(CASES.iter().any(|case| case.rule == rule), "rule {rule} has no case");
    }
}
