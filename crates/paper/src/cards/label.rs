//! Labels for bottles of stock solution: what it is, how strong, when it was made, when it goes, what can hurt.

use maud::{Markup, html};
use plan::document::{Plan, SheetDye, StockToMake};

use crate::number::{number, with};

/// A bottle: one dye at one strength, and the baths it is made for.
pub(crate) struct Bottle<'a> {
    dye: &'a SheetDye,
    stock: &'a StockToMake,
    /// The names of its pieces.
    pieces: Vec<&'a str>,
    /// Times the plan makes it, where no bottle keeps from one to the next for certain.
    times: usize,
}

/// Every stock solution that the plan makes. One dye at one strength is one bottle, made as often as the sheets ask:
/// for each of them a label would only be thrown away.
pub(crate) fn bottles(plan: &Plan) -> Vec<Bottle<'_>> {
    let mut all: Vec<Bottle<'_>> = vec![];
    for piece in &plan.pieces {
        for sheet in &piece.sheets {
            for stock in &sheet.stocks {
                let Some(dye) = sheet.dyes.iter().find(|dye| dye.id == stock.dye) else { continue };
                let same = |b: &&mut Bottle<'_>| {
                    b.stock.dye == stock.dye
                        && (b.stock.stock_pct - stock.stock_pct).abs() < f64::EPSILON
                };
                match all.iter_mut().find(same) {
                    Some(bottle) => {
                        bottle.times += 1;
                        if !bottle.pieces.contains(&piece.name.as_str()) {
                            bottle.pieces.push(&piece.name);
                        }
                    }
                    None => all.push(Bottle { dye, stock, pieces: vec![&piece.name], times: 1 }),
                }
            }
        }
    }
    all
}

/// The label.
pub(crate) fn label(of: &Bottle<'_>) -> Markup {
    let Bottle { dye, stock, pieces, times } = of;
    html! {
        article.bottle {
            p.name { b { (dye.name) } span.strength { (number(stock.stock_pct)) "\u{a0}%" } }
            p.small { (dye.class_name) @if let Some(ci) = &dye.ci { ", " (ci) } "; " (with(stock.grams, "g")) " in "
                (with(stock.make_ml, "mL")) }
            p.line { "Made on " span.blank {} " lot " span.blank {} }
            p.line { "Discard by " span.blank {} " " (keeps(stock.keeps_days)) }
            p.small { "For: " (pieces.join(", ")) @if *times > 1 { " (made " (times) " times)" } }
            p.caution { b { "Dye: never food or drink." } " " @if let Some(caution) = &stock.caution { (caution) " " }
                "Gloves; keep cool, dark, away from children." }
        }
    }
}

/// How long after making: the day itself is the maker's to write, for nobody else knows when it is made.
fn keeps(days: u32) -> String {
    match days {
        0 => "(the day it is made)".to_owned(),
        1 => "(the day after)".to_owned(),
        days => format!("({days} days later)"),
    }
}
