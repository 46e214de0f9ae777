//! Rule 14, the swatch: kept by the first line of a bulk sheet or by a signed waiver, and seen by the
//! auditor when the trade's data no longer ask for it.

mod common;

use common::{Check, costume, shelf};
use std::ops::ControlFlow;

use lore::{Lore, Texts};
use plan::document::Plan;
use plan::{Request, plan};
use units::Day;

const PIECE: &str = "[costume]\nname = \"a test\"\n[[piece]]\nid = \"a\"\ncloth = \"wool\"\n\
    weight_g = 90\nliquor_ratio = 30\ntarget = { lab = [40.0, 20.0, -20.0] }\n";

fn planned_with(lore: &Lore, extra: &str) -> Result<Plan, Box<dyn std::error::Error>> {
    let costume = costume(&format!("{PIECE}{extra}"))?;
    let shelf = shelf()?;
    let today = Day::try_ymd(2027, 1, 11)?;
    let request =
        Request { lore, costume: &costume, shelf: &shelf, today, taught: None, threads: 1 };
    Ok(plan(&request, &mut |_| ControlFlow::Continue(()))?)
}

fn broken(plan: &Plan) -> Result<Vec<u8>, Box<dyn std::error::Error>> {
    let broken = auditor::audit(&serde_json::to_value(plan)?).map_err(|e| e.why)?;
    Ok(broken.iter().map(|b| b.rule).collect())
}

/// What the swatch leaves of a stock of the same strength serves the bulk bath: it is made, and bought, once. In the
/// example that is so for the plume.
#[test]
fn a_stock_left_from_the_swatch_is_neither_made_nor_bought_again() -> Check {
    let plan = common::example()?;
    assert!(broken(&plan)?.is_empty());
    let mut served = 0;
    for piece in &plan.pieces {
        let of = |kind: &str| piece.sheets.iter().find(|sheet| sheet.kind == kind);
        let (Some(swatch), Some(bulk)) = (of("swatch"), of("bulk")) else { continue };
        for dye in bulk.dyes.iter().filter(|dye| dye.how == "stock") {
            if bulk.stocks.iter().any(|stock| stock.dye == dye.id) {
                continue;
            }
            served += 1;
            let said = |note: &String| note.contains(&dye.id) && note.contains("make no new one");
            assert!(bulk.notes.iter().any(said), "{}: {:?}", piece.id, bulk.notes);
            let made = swatch.stocks.iter().find(|stock| stock.dye == dye.id).ok_or("no stock")?;
            assert!(made.make_ml - made.used_ml > 0.0, "{}: {made:?}", piece.id);
        }
    }
    assert!(served > 0, "no stock is left over in the example");
    Ok(())
}

#[test]
fn a_bulk_sheet_is_provisional_until_a_swatch_or_a_signature() -> Check {
    let lore = Lore::shipped();
    let line = |extra: &str| -> Result<Option<String>, Box<dyn std::error::Error>> {
        let plan = planned_with(lore, extra)?;
        assert!(broken(&plan)?.is_empty());
        Ok(plan.pieces[0].sheets[1].first_line.clone())
    };
    let provisional = Some("provisional: dye the swatch first".to_owned());
    assert_eq!(line("")?, provisional);
    assert_eq!(line("swatch = { recorded = 2027-01-05, liquor_ratio = 30 }\n")?, None);
    assert_eq!(line("swatch = { waived_by = \"M. Ash\", day = 2027-01-05 }\n")?, None);
    // A swatch at another ratio vouches for nothing.
    assert_eq!(line("swatch = { recorded = 2027-01-05, liquor_ratio = 60 }\n")?, provisional);
    Ok(())
}

#[test]
fn without_the_rule_in_the_data_the_auditor_speaks() -> Check {
    let mut texts = Texts::shipped();
    let changed = texts.prepare.replace("id = \"swatch-first\"", "id = \"swatch-whenever\"");
    assert_ne!(changed, texts.prepare, "the rule is no longer where this test looks for it");
    texts.prepare = changed.into();
    let lore = Lore::try_from_texts(&texts)?;
    assert_eq!(broken(&planned_with(&lore, "")?)?, [14]);
    Ok(())
}
