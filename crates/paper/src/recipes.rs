//! The recipes compared: dyes with their depths, differences, spread, cost, and the score taken apart.

use maud::{Markup, html};
use plan::document::{PiecePlan, RecipeDye, RecipeSeen};

use crate::chip::{Chip, Standing, pair};
use crate::number::{self, apart, money, number};
use crate::table::{say_or, table};

/// The table of recipes and how the search went.
pub(crate) fn recipes(piece: &PiecePlan, currency: &str) -> Markup {
    let rows: Vec<Vec<Markup>> = piece
        .recipes
        .iter()
        .enumerate()
        .map(|(at, recipe)| cells(at + 1, piece, recipe, currency))
        .collect();
    let heads = [
        "Recipe",
        "Target and expected",
        "Dyes, % owf",
        "Difference in daylight",
        "Worst light",
        "Spread, 90\u{a0}%",
        "Dyes cost",
        "Score (lower is better)",
    ];
    html! {
        (table("recipes", "The recipes that really differ, the chosen one first", &heads, &rows))
        @if let Some(search) = &piece.search {
            p.quiet { (search.why_stopped) }
        }
        @if let Some(rests) = &piece.special.rests_on {
            p { (rests.words) }
        }
    }
}

fn cells(n: usize, piece: &PiecePlan, recipe: &RecipeSeen, currency: &str) -> Vec<Markup> {
    let words = format!("recipe {n}, difference {} in daylight", apart(recipe.difference));
    let chips = [
        Chip::seen("Target", &piece.target, Standing::Given),
        Chip::of("Expected", &recipe.hex, words, Standing::Estimate),
    ];
    vec![
        html! { (n) @if recipe.chosen { br; strong { @if recipe.for_set { "chosen for the set" } @else { "chosen" } } } },
        pair(&chips),
        html! { ul.plain { @for dye in &recipe.dyes { li { (depth(dye)) } } } },
        html! { (apart(recipe.difference)) },
        html! { (apart(recipe.worst_light.difference)) br; span.quiet.nowrap { (recipe.worst_light.light) } },
        html! { "within " (number(recipe.spread90)) },
        say_or(recipe.cost.map(|cost| money(cost, currency)), "not every price is known"),
        html! {
            strong { (number(recipe.score)) }
            span.screen-only {
                " ="
                @for (at, part) in recipe.parts.iter().enumerate() {
                    @if at > 0 { " +" }
                    " " span.nowrap { (number(part.adds)) } " " (part.what)
                }
            }
        },
    ]
}

/// A dye, its depth, and how it is known: anything but the maker's own reading is an estimate.
fn depth(dye: &RecipeDye) -> Markup {
    let own = dye.known.contains("ladder") || dye.known.contains("chip");
    html! {
        (dye.name) " " b { (number::depth(dye.owf_pct, "%")) } " "
        span class=(if own { "given" } else { "estimate" }) { (dye.known) }
    }
}
