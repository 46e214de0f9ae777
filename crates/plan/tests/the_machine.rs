//! What fits no vessel is dyed in the washing machine where the kitchen lists one, at the ratio its own water makes.

mod common;

use common::{Check, costume, planned, shelf};
use plan::document::{Outcome, PiecePlan};

fn made(grams: u32, cloth: &str) -> Result<PiecePlan, Box<dyn std::error::Error>> {
    let text = format!(
        "[costume]\nname = \"a test\"\n[kitchen]\nscale_g = 0.1\nsyringes_ml = [1, 10, 100]\nburners = 1\n\
         methods = [\"pot\", \"machine\"]\n[kitchen.machine]\nholds_kg = 6\nlitres = 15\nhottest_c = 60\n\
         [[kitchen.vessel]]\nname = \"pot\"\nlitres = 8\nof = \"stainless\"\n\
         [[piece]]\nid = \"big\"\ncloth = \"{cloth}\"\nweight_g = {grams}\nform = \"sewn\"\n\
         target = {{ hex = \"#204060\" }}\n"
    );
    let plan = planned(&costume(&text)?, &shelf()?)?;
    let broken = auditor::audit(&serde_json::to_value(&plan)?).map_err(|e| e.why)?;
    assert!(broken.is_empty(), "{broken:?}");
    Ok(plan.pieces.into_iter().next().ok_or("no piece")?)
}

#[test]
fn the_machine_takes_what_no_pot_holds() -> Check {
    let big = made(1500, "cotton")?;
    assert!(matches!(big.outcome, Outcome::Bath), "{}", big.why);
    let bulk = big.sheets.iter().find(|s| s.kind == "bulk").ok_or("no bulk")?;
    assert!(bulk.vessel.words.starts_with("washing machine"), "{}", bulk.vessel.words);
    assert!((bulk.liquor_ratio - 10.0).abs() < 1e-9);
    let told = big.advice.iter().find(|a| a.id == "low-ratio").ok_or("not told")?;
    assert!(told.text.contains("washing machine") && told.text.contains("liquor_ratio"));
    // What a pot holds stays in the pot.
    let small = made(200, "cotton")?;
    assert!(small.sheets.iter().all(|s| !s.vessel.words.starts_with("washing machine")));
    Ok(())
}

#[test]
fn what_would_be_crowded_in_it_is_offered_by_its_key_and_wool_is_not() -> Check {
    let crowded = made(2500, "cotton")?;
    assert!(!matches!(crowded.outcome, Outcome::Bath), "6:1 crowds it");
    assert!(crowded.why.contains("write liquor_ratio = 6 at the piece"), "{}", crowded.why);
    let wool = made(1500, "wool")?;
    assert!(!wool.why.contains("washing machine"), "{}", wool.why);
    Ok(())
}
