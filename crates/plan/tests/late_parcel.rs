//! A dye that comes too late by parcel: where another recipe of the piece waits for nothing, it is offered before the
//! piece is dropped, and what is offered is true.

mod common;

use common::{Check, costume, planned};
use costume::Shelf;
use units::Mass;

const TEXT: &str = "[costume]\nname = \"a test\"\nday = 2027-01-26\n[kitchen]\nscale_g = 0.01\n\
    syringes_ml = [1, 10, 60]\nburners = 2\n[[kitchen.vessel]]\nname = \"pot\"\nlitres = 20\nof = \"stainless\"\n\
    [calendar]\nweekdays = [\"saturday\", \"sunday\"]\nhours = 8\ndelivery_days = 14\n\
    [[piece]]\nid = \"sash\"\ncloth = \"wool\"\nweight_g = 200\ntarget = { lab = [45.0, 30.0, 15.0] }\n";

#[test]
fn another_recipe_is_offered_before_a_piece_is_dropped() -> Check {
    let costume = costume(TEXT)?;
    let mut shelf = Shelf::of_starters();
    for dye in &mut shelf.dyes {
        dye.left = Some(Mass::try_grams(100.0)?);
    }
    let stocked = planned(&costume, &shelf)?;
    let fits = |plan: &plan::document::Plan| plan.days.as_ref().is_some_and(|days| days.fits);
    assert!(fits(&stocked), "{:?}", stocked.days.map(|d| d.verdict));
    let recipes = &stocked.pieces.first().ok_or("no piece")?.recipes;
    let holds =
        |recipe: &plan::document::RecipeSeen, id: &str| recipe.dyes.iter().any(|dye| dye.id == id);
    let chosen = recipes.iter().find(|recipe| recipe.chosen).ok_or("none chosen")?;
    let short = chosen
        .dyes
        .iter()
        .map(|dye| dye.id.clone())
        .find(|id| recipes.iter().any(|recipe| !recipe.chosen && !holds(recipe, id)))
        .ok_or("no other recipe does without")?;

    for dye in shelf.dyes.iter_mut().filter(|dye| dye.dye.id == short) {
        dye.left = Some(Mass::ZERO);
    }
    let late = planned(&costume, &shelf)?;
    let days = late.days.as_ref().ok_or("no days")?;
    assert!(!days.fits && days.drop_first.is_empty(), "{days:?}");
    assert!(days.verdict.contains("Before sash is dropped"), "{}", days.verdict);

    // The advice, followed.
    shelf.dyes.retain(|dye| dye.dye.id != short);
    let followed = planned(&costume, &shelf)?;
    assert!(fits(&followed), "{:?}", followed.days.map(|d| d.verdict));
    Ok(())
}
