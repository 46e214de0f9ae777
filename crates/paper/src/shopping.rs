//! The shopping table.

use maud::{Markup, html};
use plan::document::{Shopping, ShoppingRow};

use crate::number::{money, with};
use crate::table::{say, say_or, table};

/// What it takes, what is there, what is short, what it costs.
pub(crate) fn shopping(shopping: &Shopping, currency: &str) -> Markup {
    let rows: Vec<Vec<Markup>> = shopping.rows.iter().map(|row| cells(row, currency)).collect();
    let heads = ["What", "Kind", "It takes", "On the shelf", "Short", "Price per gram", "Cost"];
    html! {
        section.shopping aria-labelledby="shopping" {
            h2 id="shopping" tabindex="-1" { "Shopping" }
            @if rows.is_empty() { p { "Nothing to buy." } }
            @else {
                (table("shop", "Everything the baths take, and what it costs", &heads, &rows))
                p.total { "Total of the costs that are known: " strong { (money(shopping.total, currency)) } }
            }
            @if !shopping.left_out.is_empty() {
                h3 { "Left out of the total" }
                ul { @for line in &shopping.left_out { li { (line) } } }
            }
        }
    }
}

fn cells(row: &ShoppingRow, currency: &str) -> Vec<Markup> {
    vec![
        html! { (row.name) br; span.quiet { code { (row.item) } } },
        say(row.kind),
        html! { (with(row.grams, "g")) },
        say_or(row.on_shelf_g.map(|g| with(g, "g")), "not on the shelf list"),
        short(row),
        say_or(row.price_per_g.map(|p| money(p, currency)), "price not known"),
        say_or(row.cost.map(|c| money(c, currency)), "not known"),
    ]
}

/// What is short; nothing can be said where the shelf list gives no amount.
fn short(row: &ShoppingRow) -> Markup {
    match (row.short_g, row.on_shelf_g) {
        (Some(short), _) => say(with(short, "g")),
        (None, Some(_)) => say_or(None, "nothing short"),
        (None, None) => say_or(None, "cannot be told"),
    }
}
