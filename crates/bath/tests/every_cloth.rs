//! Every material × procedure × depth: a sheet that keeps the rules, or a refusal with its reason.
//! The outside check is the rules auditor, whose limits are written out by hand in another room.

mod common;

use bath::Kind;
use common::Plain;
use lore::{Lore, Procedure};

const DEPTHS_PCT: [f64; 4] = [0.08, 0.4, 1.5, 4.0];

#[test]
fn every_material_by_every_procedure_at_every_depth_keeps_the_rules() {
    let lore = Lore::shipped();
    let mut wrong = Vec::new();
    let (mut sheets, mut refused) = (0, 0);
    for material in lore.materials() {
        for procedure in Procedure::ALL {
            for owf in DEPTHS_PCT {
                for kind in [Kind::Swatch, Kind::Bulk] {
                    let order = Plain::of(lore, &[(&material.id, 1.0)], *procedure, owf);
                    let verdict = lore.verdict(material, *procedure).verdict;
                    let at = format!("{} × {procedure} at {owf} % ({})", material.id, kind.name());
                    match order.sheet(kind) {
                        Ok(sheet) => {
                            sheets += 1;
                            if !verdict.dyes() {
                                wrong.push(format!("{at}: a sheet though it {verdict}"));
                            }
                            for broken in order.audit(&sheet) {
                                wrong.push(format!("{at}: {broken}"));
                            }
                        }
                        Err(refusal) => {
                            refused += 1;
                            let said = refusal.to_string();
                            if said.len() < 20 {
                                wrong.push(format!("{at}: refused as '{said}'"));
                            }
                            if verdict.dyes() && owf > 3.0 && !said.contains("not at home") {
                                println!("{at}: {verdict}, refused: {said}");
                            }
                        }
                    }
                }
            }
        }
    }
    println!("{sheets} sheets, {refused} refusals");
    let many = wrong.len();
    wrong.truncate(100000);
    assert!(wrong.is_empty(), "{many} wrong:\n{}", wrong.join("\n"));
    assert!(sheets > 400, "{sheets} sheets");
}
