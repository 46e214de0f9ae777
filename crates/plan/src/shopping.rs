//! What the whole costume takes, what is on the shelf, and what it costs.
//!
//! A row's grams are what has to be weighed out: dye weighed for a bath plus dye weighed for its stock
//! solutions, over every sheet of the plan. Cost is grams × price, to the hundredth.

use std::collections::BTreeMap;

use dosing::{Shown, cost, price_shown};
use units::{Mass, Money, PricePerGram};

use crate::Request;
use crate::document::{PiecePlan, Shopping, ShoppingRow};
use crate::seen::print;

struct Need {
    name: String,
    kind: &'static str,
    grams: f64,
    left: Option<Mass>,
    price: Option<PricePerGram>,
}

/// The shopping list of the pieces that have a bath.
pub(crate) fn shopping(request: &Request, pieces: &[PiecePlan]) -> Shopping {
    let mut needs: BTreeMap<(&'static str, String), Need> = BTreeMap::new();
    for sheet in pieces.iter().flat_map(|p| &p.sheets) {
        for dye in &sheet.dyes {
            let weighed = if dye.how == "stock" { 0.0 } else { dye.grams };
            let stocks = sheet.stocks.iter().filter(|s| s.dye == dye.id).map(|s| s.grams);
            let grams = weighed + stocks.sum::<f64>();
            let shelf = request.shelf.dyes.iter().find(|d| d.dye.id == dye.id);
            let need = needs.entry(("dye", dye.id.clone())).or_insert_with(|| Need {
                name: format!("{} ({})", dye.name, dye.class_name),
                kind: "dye",
                grams: 0.0,
                left: shelf.and_then(|s| s.left),
                price: shelf.and_then(|s| s.price),
            });
            need.grams += grams;
        }
        for aux in &sheet.auxiliaries {
            let shelf = request.shelf.others.iter().find(|o| o.id == aux.id);
            let need = needs.entry(("auxiliary", aux.id.clone())).or_insert_with(|| Need {
                name: plain_name(request, &aux.id, &aux.name),
                kind: "auxiliary",
                grams: 0.0,
                left: shelf.and_then(|s| s.left),
                price: shelf.and_then(|s| s.price),
            });
            need.grams += aux.grams;
        }
    }
    let rows: Vec<ShoppingRow> = needs.into_iter().map(|((_, id), need)| row(id, &need)).collect();
    let hundredths = rows.iter().filter_map(|r| r.cost).map(|c| (c * 100.0).round()).sum::<f64>();
    let left_out = left_out(&rows);
    let to_pay = 0.0;
    Shopping { rows, total: print(hundredths / 100.0, 2), to_pay, left_out, cheapest: None }
}

fn plain_name(request: &Request, id: &str, name: &str) -> String {
    request.lore.agent(id).map_or_else(|_| name.to_owned(), |a| a.name.clone())
}

fn row(item: String, need: &Need) -> ShoppingRow {
    let grams = Shown::try_round(need.grams, DECIMALS).unwrap_or(Shown::ZERO).trimmed();
    let cost = need.price.and_then(|p| cost(p, grams).ok()).map(Money::to_amount);
    let left = need.left.map(Mass::to_grams);
    let short = left.map(|l| print((grams.value() - l).max(0.0), 2)).filter(|s| *s > 0.0);
    ShoppingRow {
        item,
        name: need.name.clone(),
        kind: need.kind,
        grams: grams.value(),
        on_shelf_g: left.map(|l| print(l, 2)),
        short_g: short,
        price_per_g: need.price.map(|p| price_shown(p).value()),
        cost,
        pack_g: None,
        pack_price: None,
        packs: None,
        to_pay: None,
        notes: vec![],
        pieces: vec![],
    }
}

/// Decimals that hold every sum of printed amounts exactly (the finest scale shows 0.0001 g).
const DECIMALS: u8 = 4;

fn left_out(rows: &[ShoppingRow]) -> Vec<String> {
    let without: Vec<&str> =
        rows.iter().filter(|r| r.cost.is_none()).map(|r| r.name.as_str()).collect();
    let mut said = vec![];
    if !without.is_empty() {
        said.push(format!("no price is known for: {}", without.join("; ")));
    }
    said.push(
        "packs: what is bought comes in whole packs; this list counts what is used".to_owned(),
    );
    said
}
