//! A plan never keeps quiet of a piece whose recipe fails, and never says that recipes match that do not.

mod common;

use common::{Check, costume, planned};
use costume::Shelf;
use plan::document::Plan;

fn plan_of(kitchen: &str, piece: &str) -> Result<Plan, Box<dyn std::error::Error>> {
    let text =
        format!("[costume]\nname = \"a test\"\nday = 2027-06-01\n[kitchen]\n{kitchen}\n{piece}");
    planned(&costume(&text)?, &Shelf::of_starters())
}

/// A pale skin tone on a mesh, with measures rough enough to lose its traces in one class: another class is taken
/// that can be measured out, and the first says why it was not.
#[test]
fn a_class_that_cannot_be_measured_out_gives_way_to_one_that_can() -> Check {
    for kitchen in ["scale_g = 0.1\nsyringes_ml = [10]", "scale_g = 0.01\nsyringes_ml = [1, 10]"] {
        let plan = plan_of(kitchen, &mesh(""))?;
        assert!(off(&plan).is_some_and(|d| d < 2.0), "{kitchen}: {:?}", off(&plan));
        assert!(!wants_measures(&plan), "{:?}", plan.attention);
        let tried = plan.pieces[0].others.iter().any(|o| o.why_not.contains("not taken: "));
        assert_eq!(tried, kitchen.contains("0.1\n"), "{:#?}", plan.pieces[0].others);
    }
    Ok(())
}

/// Where no class can, that is said, with what is wanting; recipes that cannot be made are not shown as if they
/// could.
#[test]
fn a_recipe_that_fails_for_want_of_measures_is_said() -> Check {
    let over = "over = { cover_pct = 30, hex = \"#c9a98c\" }\n";
    let plan = plan_of("scale_g = 0.1\nsyringes_ml = [10]", &mesh(over))?;
    assert!(off(&plan).is_some_and(|d| d > 2.0), "{:?}", off(&plan));
    assert!(wants_measures(&plan), "{:?}", plan.attention);
    let recipes = &plan.pieces[0].recipes;
    assert!(recipes[0].chosen && recipes[1..].iter().all(|r| r.score >= recipes[0].score));
    assert!(plan.attention.iter().all(|a| !a.contains("the recipes match;")));
    Ok(())
}

fn mesh(over: &str) -> String {
    format!(
        "[[piece]]\nid = \"mesh\"\ncloth = {{ nylon = 85, elastane = 15 }}\nweight_g = 120\n{over}\
         target = {{ hex = \"#c9a98c\" }}\n"
    )
}

fn off(plan: &Plan) -> Option<f64> {
    let seen = plan.pieces.first().and_then(|p| p.expected.as_ref());
    seen.and_then(|e| e.lights.first()).map(|l| l.difference)
}

fn wants_measures(plan: &Plan) -> bool {
    plan.attention.iter().any(|a| a.contains("for want of measures"))
}
