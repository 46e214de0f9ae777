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
            let said = |note: &String| note.contains(&dye.name) && note.contains("and make none");
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

/// Where nothing can be cut, the bulk sheet tells how to build the colour up, with the amounts of this bath; once a
/// swatch is recorded, and for cloth from the roll, it does not.
#[test]
fn what_is_never_cut_is_told_how_to_be_built_up_from_sixty_per_cent() -> Check {
    let lore = Lore::shipped();
    let note = |extra: &str| -> Result<Option<String>, Box<dyn std::error::Error>> {
        let plan = planned_with(lore, extra)?;
        assert!(broken(&plan)?.is_empty());
        let bulk = plan.pieces[0].sheets.iter().find(|s| s.kind == "bulk").ok_or("no bulk bath")?;
        Ok(bulk.notes.iter().find(|n| n.contains("build the colour up")).cloned())
    };
    let sewn = note("form = \"sewn\"\n")?.ok_or("nothing is told")?;
    for has in ["60 % here", "in all)", "Cool before adding", "never paler"] {
        assert!(sewn.contains(has), "{has}: {sewn}");
    }
    assert_eq!(note("form = \"roll\"\n")?, None);
    assert_eq!(note("form = \"sewn\"\nspare_g = 20\n")?, None, "its spare cloth is cut");
    let recorded = "form = \"sewn\"\nswatch = { recorded = 2027-01-05, liquor_ratio = 30 }\n";
    assert_eq!(note(recorded)?, None);
    // After the soda nothing goes into the same bath: two baths.
    let cotton = PIECE.replace("wool", "cotton").replace("liquor_ratio = 30", "liquor_ratio = 20");
    let costume = costume(&format!("{cotton}form = \"worn\"\nprocedure = \"reactive-cold\"\n"))?;
    let shelf = shelf()?;
    let today = Day::try_ymd(2027, 1, 11)?;
    let request =
        Request { lore, costume: &costume, shelf: &shelf, today, threads: 1, taught: None };
    let plan = plan(&request, &mut |_| ControlFlow::Continue(()))?;
    let bulk = plan.pieces[0].sheets.iter().find(|s| s.kind == "bulk").ok_or("no bulk bath")?;
    let twice = bulk.notes.iter().find(|n| n.contains("two whole baths")).ok_or("not told")?;
    assert!(!twice.contains("Cool before adding"), "{twice}");
    Ok(())
}

/// A swatch of the weight that was asked for stands on the sheet, at the bulk's ratio, and its code is its own.
#[test]
fn a_swatch_of_the_weight_asked_for_has_a_card_of_its_own() -> Check {
    let lore = Lore::shipped();
    let of = |extra: &str| -> Result<(f64, f64, f64, String), Box<dyn std::error::Error>> {
        let plan = planned_with(lore, extra)?;
        assert!(broken(&plan)?.is_empty());
        let [swatch, bulk] = &plan.pieces[0].sheets[..] else { return Err("two sheets".into()) };
        assert_eq!(bulk.code, None);
        let code = swatch.code.clone().ok_or("no code")?;
        assert_eq!(costume::swatch_code(&code)?, code);
        Ok((swatch.dry_g, swatch.liquor_ratio, bulk.liquor_ratio, code))
    };
    let (usual, ..) = of("")?;
    let (asked, ratio, bulk, code) = of("swatch_g = 5\n")?;
    assert!(asked == 5.0 && usual == 9.0 && ratio == bulk, "{asked} {usual} {ratio} {bulk}");
    assert_ne!(code, of("")?.3);
    for wrong in ["swatch_g = 0.4\n", "swatch_g = 11\n", "swatch_g = \"small\"\n"] {
        assert!(costume(&format!("{PIECE}{wrong}")).is_err(), "{wrong}");
    }
    Ok(())
}
