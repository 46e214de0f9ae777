//! The shopping list in packs: what it takes, what is there, what to buy, what it costs, what to know.

use maud::{Markup, html};
use plan::document::{CheapestSeen, Plan, Shopping, ShoppingRow};

use crate::number::{apart, money, name, names, with};
use crate::table::{say, say_or, table};

/// The list, its sums, what they leave out, and the cheapest set of dyes.
pub(crate) fn shopping(plan: &Plan) -> Markup {
    let (shopping, currency) = (&plan.shopping, plan.costume.currency.as_str());
    let rows: Vec<Vec<Markup>> = shopping.rows.iter().map(|row| cells(row, plan)).collect();
    let heads =
        ["What", "It takes", "On the shelf", "Short", "To buy", "To pay", "Cost of what is used"];
    html! {
        section.shopping aria-labelledby="shopping" {
            h2 id="shopping" tabindex="-1" { "Shopping" }
            @if rows.is_empty() { p { "Nothing to buy." } }
            @else {
                (sums(shopping, currency))
                (table("shop", "Everything it takes, in packs, with what the shelf holds taken off", &heads, &rows))
            }
            @if !shopping.left_out.is_empty() {
                h3 { "What the sums leave out" }
                ul { @for line in &shopping.left_out { li { (line) } } }
            }
            @if let Some(seen) = &shopping.cheapest { (cheapest(seen, plan)) }
        }
    }
}

fn sums(shopping: &Shopping, currency: &str) -> Markup {
    html! {
        dl.facts.big {
            div { dt { "To pay for the packs that must be bought" } dd { (money(shopping.to_pay, currency)) } }
            div { dt { "What is used is worth" } dd { (money(shopping.total, currency)) } }
        }
    }
}

fn cells(row: &ShoppingRow, plan: &Plan) -> Vec<Markup> {
    let currency = plan.costume.currency.as_str();
    vec![
        html! {
            (row.name) br; span.quiet { (row.kind) ", " code { (row.item) } }
            @if !row.pieces.is_empty() { span.quiet.screen-only { "; for " (names(plan, &row.pieces)) } }
            @if !row.notes.is_empty() { ul.plain { @for note in &row.notes { li { b { "Note: " } span.light-text { (note) } } } } }
        },
        say(&row.need),
        say_or(row.on_shelf_g.map(|g| with(g, "g")), "not on the shelf list"),
        short(row),
        packs(row, currency),
        say_or(row.to_pay.map(|p| money(p, currency)), "nothing known"),
        html! {
            (say_or(row.cost.map(|c| money(c, currency)), "not known"))
            @if let Some(price) = row.price_per_g { br; span.quiet { (money(price, currency)) " per\u{a0}g" } }
        },
    ]
}

/// What is short; nothing can be said where the shelf list gives no amount.
fn short(row: &ShoppingRow) -> Markup {
    match (row.short_g, row.on_shelf_g) {
        (Some(short), _) => say(with(short, "g")),
        (None, Some(_)) => say_or(None, "nothing short"),
        (None, None) => say_or(row.ask.clone(), "cannot be told"),
    }
}

/// How many packs of what size at what price.
fn packs(row: &ShoppingRow, currency: &str) -> Markup {
    let size = row.pack_g.map(|g| format!(" of {}", with(g, "g"))).unwrap_or_default();
    let price = row.pack_price.map(|p| format!("{} each", money(p, currency)));
    html! {
        @match row.packs {
            Some(1) => { b { "1 pack" } (size) }
            Some(n) => { b { (n) " packs" } (size) }
            None if row.pack_g.is_some() => { span.absent { "no pack to buy" } (size) }
            None => span.absent { "no pack known" }
        }
        @if let Some(price) = price { br; span.quiet { (price) } }
    }
}

fn cheapest(seen: &CheapestSeen, plan: &Plan) -> Markup {
    let currency = plan.costume.currency.as_str();
    let dye = |id: &String| {
        let row = plan.shopping.rows.iter().find(|row| row.item == *id);
        row.map_or_else(|| id.clone(), |row| row.name.clone())
    };
    html! {
        h3 { "The cheapest dyes that still reach everything" }
        p { (seen.words) }
        p { "To buy " b { (money(seen.to_pay, currency)) } " instead of "
            b { (money(seen.chosen_to_pay, currency)) } ": "
            (seen.dyes.iter().map(dye).collect::<Vec<_>>().join(", ")) ". "
            @if seen.proven { "No cheaper set is left." }
            @else { "The search stopped before it was proven: a cheaper set may be left." } }
        @if !seen.changes.is_empty() {
            ul { @for change in &seen.changes {
                li { (name(plan, &change.piece)) ": its recipe " (change.recipe) ", "
                    (apart(change.difference)) " from the target in daylight" }
            } }
        }
    }
}
