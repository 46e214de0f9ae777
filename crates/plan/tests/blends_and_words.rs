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
    for procedure in ["acid-milling", "reactive-acid"] {
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
        assert_eq!(chosen[0].procedures, [class.procedure.clone()]);
    }
    Ok(())
}
