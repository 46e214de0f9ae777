//! A blend that takes a dye in part is judged as the whole cloth; what is chosen and what is shown are one way.

mod common;

use common::{Check, costume, planned};
use costume::Shelf;
use plan::document::Plan;

const HEAD: &str = "[costume]\nname = \"a test\"\n[kitchen]\nscale_g = 0.01\nsyringes_ml = [1, 10, 60]\n\
    [[kitchen.vessel]]\nname = \"pot\"\nlitres = 30\nof = \"stainless\"\n";

fn plan_of(body: &str) -> Result<Plan, Box<dyn std::error::Error>> {
    planned(&costume(&format!("{HEAD}{body}"))?, &Shelf::of_starters())
}

/// Half cotton and half wool in a bath for wool alone: the cotton stays white, so the cloth does not come to a
/// middle green, whatever the wool does.
#[test]
fn a_heather_is_reached_or_not_as_the_whole_cloth() -> Check {
    for procedure in ["acid-milling", "reactive-acid-route"] {
        let plan = plan_of(&format!(
            "[[piece]]\nid = \"skirt\"\ncloth = {{ cotton = 50, wool = 50 }}\nweight_g = 400\n\
             procedure = \"{procedure}\"\ntarget = {{ hex = \"#5a6f3a\" }}\n"
        ))?;
        let skirt = plan.pieces.first().ok_or("no piece")?;
        let reach = skirt.reach.as_ref().ok_or("no reach")?;
        let comes_to = skirt.expected.as_ref().ok_or("no figures")?.lights[0].difference;
        assert!(!reach.within && reach.gap > 10.0, "{procedure}: {reach:?}");
        assert!((skirt.recipes[0].difference - comes_to).abs() < 0.01, "{procedure}: {comes_to}");
        for recipe in &skirt.recipes {
            assert!(recipe.difference >= reach.gap - 1e-9, "{procedure}: {recipe:?}");
        }
        assert!(reach.limits.iter().any(|l| l.contains("50 %")), "{:?}", reach.limits);
        assert!(plan.attention.iter().any(|a| a.contains("out of reach")), "{:?}", plan.attention);
        let class = skirt.class.as_ref().ok_or("no class")?;
        let chosen: Vec<_> = skirt.special.blend_ways.iter().filter(|w| w.chosen).collect();
        assert_eq!(chosen.len(), 1, "{procedure}");
        assert_eq!(chosen[0].procedures, std::slice::from_ref(&class.procedure));
    }
    Ok(())
}

/// A felted coat with a lining that takes no dye, in a pot too small for it: two ratios are told, and that it is
/// crowded.
#[test]
fn a_lined_piece_tells_both_ratios_and_that_it_is_crowded() -> Check {
    let small = HEAD.replace("litres = 30", "litres = 25");
    let body = "[[piece]]\nid = \"coat\"\ncloth = \"wool\"\nweight_g = 900\nform = \"worn\"\n\
                lining = { cloth = \"viscose\", weight_g = 150 }\nparts = [\"zip\"]\nparts_g = { zip = 20 }\n\
                target = { hex = \"#2b2b4a\" }\n";
    let plan = planned(&costume(&format!("{small}{body}"))?, &Shelf::of_starters())?;
    let coat = plan.pieces.first().ok_or("no piece")?;
    let bulk = coat.sheets.iter().find(|s| s.kind == "bulk").ok_or("no bulk sheet")?;
    let of_all = bulk.liquor_ml / bulk.dry_g;
    assert!(of_all < 20.0, "{of_all}");
    let all = format!("{} L/kg of all that gets wet", units::trimmed(of_all, 1));
    let taking = format!("{} L/kg of what takes the dye", units::trimmed(bulk.liquor_ratio, 1));
    let advice = coat.advice.iter().find(|a| a.id == "low-ratio").ok_or("no advice")?;
    for words in [all.as_str(), &taking, "crowded"] {
        assert!(advice.text.contains(words), "{words}: {}", advice.text);
    }
    assert!(bulk.notes.iter().any(|n| n.contains(&all) && n.contains(&taking)), "{:?}", bulk.notes);
    // The lining keeps the bath below what wool wants: said first thing, with the very heat of the steps.
    let paler = coat.advice.iter().find(|a| a.id == "paler").ok_or("nothing said of the heat")?;
    let top = bulk.steps.iter().map(|s| s.to_c).fold(0.0, f64::max);
    assert!(paler.text.contains(&format!("stops at {top} °C")), "{top}: {}", paler.text);
    assert!(plan.attention.iter().any(|said| said.contains("go by the swatch")));
    Ok(())
}

/// A brightener is a thing to look at first, whether read or assumed.
#[test]
fn an_assumed_brightener_needs_attention() -> Check {
    let plan = plan_of(
        "[[piece]]\nid = \"jabot\"\ncloth = \"cotton\"\nweight_g = 100\nbrightened = true\n\
         target = { lab = [85.0, 2.0, 10.0] }\n",
    )?;
    assert!(
        plan.attention.iter().any(|a| a.contains("brightener") && a.contains("assumed")),
        "{:?}",
        plan.attention
    );
    Ok(())
}

/// What is said of a way that was not chosen is not what is said of the one that was.
#[test]
fn no_way_is_put_second_for_the_reason_that_put_another_first() -> Check {
    let plan = plan_of(
        "[[piece]]\nid = \"scarf\"\ncloth = \"wool\"\nweight_g = 100\ntarget = { hex = \"#2b2b4a\" }\n",
    )?;
    let scarf = plan.pieces.first().ok_or("no piece")?;
    let class = scarf.class.as_ref().ok_or("no class")?;
    let end = format!(": {}", class.why.to_lowercase());
    for other in scarf.others.iter().filter(|o| o.why_not.contains("comes first")) {
        assert!(!other.why_not.to_lowercase().ends_with(&end), "{}", other.why_not);
    }
    Ok(())
}

/// Nobody said how a blend is to be dyed: where one bath is far off and two come visibly nearer, two are taken, and it
/// is said why and how to have it otherwise. Where one passes it stays one.
#[test]
fn a_blend_goes_through_two_baths_where_one_does_not_do() -> Check {
    let blend = |target: &str, blend: &str| {
        plan_of(&format!(
            "[[piece]]\nid = \"shirt\"\ncloth = {{ cotton = 50, polyester = 50 }}\nweight_g = 300\n\
             target = {{ hex = \"{target}\" }}\n{blend}"
        ))
    };
    let off = |plan: &Plan| -> Option<f64> {
        Some(plan.pieces.first()?.expected.as_ref()?.lights.first()?.difference)
    };
    let deep = "#2b4a6f";
    let unasked = blend(deep, "")?;
    let one = blend(deep, "blend = \"one bath\"\n")?;
    let two = blend(deep, "blend = \"two baths\"\n")?;
    assert!(off(&one) > off(&two).map(|d| d + 2.0), "{:?} {:?}", off(&one), off(&two));
    assert_eq!(off(&unasked), off(&two));
    let advice = unasked.pieces[0].advice.iter().find(|a| a.id == "two-baths-chosen");
    let text = &advice.ok_or("nothing said")?.text;
    assert!(text.contains("only") && text.contains("blend = \"one bath\""), "{text}");
    assert!(unasked.attention.iter().any(|a| a.contains("one after the other")));
    let sheets: Vec<&str> = unasked.pieces[0].sheets.iter().map(|s| s.title.as_str()).collect();
    assert!(sheets.iter().any(|t| t.contains("isperse")), "{sheets:?}");
    for asked in [&one, &two] {
        assert!(asked.pieces[0].advice.iter().all(|a| a.id != "two-baths-chosen"));
    }
    Ok(())
}
