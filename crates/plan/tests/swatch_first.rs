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
    let request = Request { lore, costume: &costume, shelf: &shelf, today, threads: 1 };
    Ok(plan(&request, &mut |_| ControlFlow::Continue(()))?)
}

fn broken(plan: &Plan) -> Result<Vec<u8>, Box<dyn std::error::Error>> {
    let broken = auditor::audit(&serde_json::to_value(plan)?).map_err(|e| e.why)?;
    Ok(broken.iter().map(|b| b.rule).collect())
}

/// What the swatch leaves of a stock serves the bulk bath: it is made, and bought, once; with no swatch to come it is
/// made for the bath.
#[test]
fn a_stock_left_from_the_swatch_is_neither_made_nor_bought_again() -> Check {
    let lore = Lore::shipped();
    let coarse = "[kitchen]\nscale_g = 0.1\nsyringes_ml = [1, 10, 60]\n";
    let waived = format!("swatch = {{ waived_by = \"Nell\", day = 2027-01-05 }}\n{coarse}");
    let (plan, alone) = (planned_with(lore, coarse)?, planned_with(lore, &waived)?);
    let of = |plan: &Plan, kind: &str, id: &str| {
        let sheets = plan.pieces[0].sheets.iter().filter(|sheet| sheet.kind == kind);
        let stocks = sheets.flat_map(|sheet| &sheet.stocks).filter(|stock| stock.dye == id);
        stocks.map(|stock| stock.grams).sum::<f64>()
    };
    assert!(broken(&plan)?.is_empty() && broken(&alone)?.is_empty());
    let mut served = 0;
    for dye in plan.pieces[0].sheets[1].dyes.iter().filter(|dye| dye.how == "stock") {
        let row = plan.shopping.rows.iter().find(|row| row.item == dye.id).ok_or("no row")?;
        if of(&plan, "bulk", &dye.id) > 0.0 {
            continue;
        }
        served += 1;
        assert!((row.grams - of(&plan, "swatch", &dye.id)).abs() < 1e-6, "{row:?}");
        let notes = &plan.pieces[0].sheets[1].notes;
        assert!(
            notes.iter().any(|note| note.contains(&dye.id) && note.contains("make no new one"))
        );
        assert!(of(&alone, "bulk", &dye.id) > 0.0, "{}: no swatch leaves any", dye.id);
    }
    assert!(served > 0, "no stock is left over: {:?}", plan.pieces[0].sheets[1].stocks);
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
