//! The vinegar that alkaline water uses up stands beside the doses on the shopping list.

mod common;

use common::{Check, costume, planned, shelf};

#[test]
fn what_the_water_takes_of_the_vinegar_is_bought_too() -> Check {
    let water = |alkalinity: u32| -> Result<(f64, String), Box<dyn std::error::Error>> {
        let text = format!(
            "[costume]\nname = \"a test\"\n[kitchen]\nscale_g = 0.01\nvinegar_pct = 5\n\
             syringes_ml = [1, 10, 60]\nalkalinity_mg_per_l = {alkalinity}\n[[kitchen.vessel]]\n\
             name = \"pot\"\nlitres = 30\nof = \"stainless\"\n[[piece]]\nid = \"a\"\ncloth = \"wool\"\n\
             weight_g = 400\nliquor_ratio = 30\ntarget = {{ lab = [40.0, 20.0, -20.0] }}\n"
        );
        let plan = planned(&costume(&text)?, &shelf()?)?;
        let notes = plan.pieces.iter().flat_map(|piece| &piece.sheets).flat_map(|s| &s.notes);
        let told = notes.filter_map(|note| {
            let before =
                note.split(" mL of your vinegar").next().filter(|b| b.len() < note.len())?;
            before.rsplit(' ').next()?.parse::<f64>().ok()
        });
        let told = told.sum();
        let rows = &plan.shopping.rows;
        let row = rows.iter().find(|row| row.item == "acetic-acid").ok_or_else(|| {
            format!("{:?} {:?}", plan.attention, rows.iter().map(|r| &r.item).collect::<Vec<_>>())
        })?;
        Ok((told, row.need.clone()))
    };
    let (told, need) = water(200)?;
    let (_, after) = need.split_once(", and about ").ok_or(need.clone())?;
    let bought: f64 = after.split(' ').next().ok_or("no figure")?.parse()?;
    // The sheets tell two digits of it.
    assert!(told > 10.0 && (bought - told).abs() <= 0.06 * told + 1.0, "{told}: {need}");
    assert!(!water(0)?.1.contains("for the water"));
    Ok(())
}
