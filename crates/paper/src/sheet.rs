//! The bath sheet: the first line, cautions, goods and liquor, dyes, auxiliaries, the steps to tick.

use maud::{Markup, html};
use plan::document::{
    Addition, LightSeen, PiecePlan, Sheet, SheetAuxiliary, SheetDye, StockToMake,
};

use crate::cautions::Cautions;
use crate::number::{depth, money, percent, water, with, words};
use crate::table::{say, say_or, table};
use crate::{curve, piece, steps};

/// One bath sheet on a page of its own; `id` is unique in the page.
pub(crate) fn sheet(
    id: &str,
    of: &PiecePlan,
    sheet: &Sheet,
    currency: &str,
    all: &Cautions<'_>,
) -> Markup {
    let bulk = of
        .sheets
        .iter()
        .find(|b| sheet.kind == "swatch" && b.kind == "bulk" && b.procedure == sheet.procedure);
    let seen = of.expected.as_ref().map_or(&[][..], |expected| &expected.lights);
    html! {
        article class={ "sheet " (sheet.kind) } aria-labelledby=(id) {
            (first_line(sheet))
            h3 id=(id) tabindex="-1" { (of.name) ": " (kind(sheet.kind)) }
            p.title { (sheet.title) ", " (with(sheet.total_min, "minutes")) " in all" }
            @if let Some(scour) = &sheet.scour { p.scour { (scour) } }
            (all.on(sheet))
            div.two {
            div {
            h4 { "Goods and bath" }
            (piece::goods(&sheet.goods))
            dl.facts.big {
                @if sheet.dry_g != sheet.goods.dry_g {
                    div { dt { "Weight in this bath" } dd { (with(sheet.dry_g, "g")) } }
                }
                @if sheet.takes_g != sheet.dry_g {
                    div { dt { "Of that takes dye" } dd { (with(sheet.takes_g, "g")) ": doses are reckoned on this" } }
                }
                @if !sheet.weights.is_empty() {
                    div { dt { "As weighed" } dd { (weighed(sheet)) } }
                }
                @if sheet.pieces.len() > 1 {
                    div { dt { "In this bath together" } dd { (sheet.pieces.join(", ")) } }
                }
                div { dt { "Liquor ratio" } dd { (with(sheet.liquor_ratio, "L per kg")) } }
                div { dt { "Bath" } dd { (water(sheet.liquor_ml)) } }
                div { dt { "Water to run in first" } dd { (water(sheet.water_ml)) } }
                div { dt { "Vessel" } dd { (sheet.vessel.words) " (" (words(&sheet.vessel.material)) ")" } }
            }
            }
            div { (curve::temperature(id, sheet)) }
            }
            (stocks(sheet))
            (dyes(&sheet.dyes, currency))
            (auxiliaries(&sheet.auxiliaries, currency))
            h4 { "Step by step" }
            (steps::steps(id, sheet, bulk))
            @if let Some(after) = &sheet.no_top_up_after {
                p.stop { strong { "No top-up: " } "add no dye once the " (words(after)) " is in." }
            }
            div.judging {
                h4 { "Judging it" }
                p { (sheet.judge.text)
                    @if !sheet.judge.lights.is_empty() {
                        " Lights to judge under: " (lights(&sheet.judge.lights, seen)) "."
                    }
                }
                @if !sheet.notes.is_empty() {
                    h4 { "Notes" }
                    ul { @for note in &sheet.notes {
                        li.screen-only[bulk.is_some_and(|b| b.notes.contains(note))] { (note) }
                    } }
                    @if bulk.is_some() { p.print-only { "And the notes of its bulk sheet." } }
                }
                @if !sheet.fastness_claimed { p.quiet { "Nothing is promised about washing." } }
            }
            p.back { a href="#pieces" { "Back to the pieces" } }
        }
    }
}

/// Lights in words, each with its name in brackets; a light the piece says nothing of keeps its name.
fn lights(names: &[String], seen: &[LightSeen]) -> String {
    let told = |name: &String| {
        seen.iter()
            .find(|light| light.light == *name)
            .map_or_else(|| name.clone(), |light| format!("{} ({name})", light.words))
    };
    names.iter().map(told).collect::<Vec<_>>().join(", ")
}

/// What must stand before everything: provisional, waived, or a swatch recorded.
fn first_line(sheet: &Sheet) -> Markup {
    html! {
        @if let Some(line) = &sheet.first_line { p.first-line { (line) } }
        @if let Some(waiver) = &sheet.waiver {
            p.first-line { "No swatch, by the maker's own wish: signed by " (waiver.signed_by) ", " (waiver.day) }
        }
        @if let Some(swatch) = &sheet.swatch_recorded {
            p.first-line.calm { "Swatch recorded " (swatch.day) " at " (with(swatch.liquor_ratio, "L per kg")) }
        }
    }
}

/// The heading's words for a sheet's kind.
fn kind(kind: &str) -> String {
    format!("{kind} bath")
}

fn stocks(sheet: &Sheet) -> Markup {
    let name = |id: &str| {
        sheet.dyes.iter().find(|dye| dye.id == id).map_or_else(|| words(id), |dye| dye.name.clone())
    };
    let cells = |stock: &StockToMake| {
        vec![
            say(name(&stock.dye)),
            html! { (with(stock.grams, "g")) },
            html! { (with(stock.make_ml, "mL")) },
            html! { (with(stock.stock_pct, "%")) },
            html! { (with(stock.used_ml, "mL")) },
            say(&stock.words),
        ]
    };
    let rows: Vec<_> = sheet.stocks.iter().map(cells).collect();
    let heads = ["Stock of", "Weigh", "Make up to", "Strength", "Used here", "How"];
    html! {
        @if !rows.is_empty() {
            h4 { "Stock solutions to make first" }
            (table("stocks", "Stock solutions, grams in 100 mL as per cent", &heads, &rows))
        }
    }
}

fn dyes(dyes: &[SheetDye], currency: &str) -> Markup {
    let rows: Vec<Vec<Markup>> = dyes
        .iter()
        .map(|dye| {
            vec![
                html! { (dye.name)
                    br; span.quiet { (dye.class_name) @if let Some(ci) = &dye.ci { ", " (ci) } ", " (dye.form) } },
                measured(dye),
                html! { (depth(dye.owf_pct, "% owf")) },
                html! { "± " (with(dye.scatter_pct, "%")) },
                cost(dye.cost, dye.price_per_g, currency),
            ]
        })
        .collect();
    let heads = ["Dye", "Measure out", "Depth", "Scatter of the dose", "Cost"];
    html! {
        @if !rows.is_empty() {
            h4 { "Dyes" }
            (table("dyes", "Dyes of this bath", &heads, &rows))
        }
    }
}

/// What the hand does: grams, or millilitres of a stock and the grams in them.
fn measured(dye: &SheetDye) -> Markup {
    html! {
        @match (dye.stock_ml, dye.stock_pct) {
            (Some(ml), Some(pct)) => {
                b.amount { (with(ml, "mL")) } " of " (with(pct, "%")) " solution, holding "
                (with(dye.grams, "g")) " of dye"
            }
            (Some(ml), None) => { b.amount { (with(ml, "mL")) } ", " (with(dye.grams, "g")) " of dye" }
            _ => b.amount { (with(dye.grams, "g")) }
        }
        br; span class={ "quiet" @if dye.how != "volume" { " twice" } } { (dye.words) }
    }
}

fn auxiliaries(auxiliaries: &[SheetAuxiliary], currency: &str) -> Markup {
    let rows: Vec<Vec<Markup>> = auxiliaries
        .iter()
        .map(|one| {
            vec![
                say(&one.name),
                html! { b.amount { (with(one.grams, "g")) } br; span.quiet { (one.words) } },
                html! {
                    (say_or(one.household.clone(), "by weight only"))
                    @if let Some(declared) = &one.declared { br; span.quiet { (declared) } }
                },
                reckoned(one),
                cost(one.cost, one.price_per_g, currency),
            ]
        })
        .collect();
    let heads = ["What", "Grams", "In household measures", "Reckoned as", "Cost"];
    html! {
        @if !rows.is_empty() {
            h4 { "What else goes in" }
            (table("auxiliaries", "Auxiliaries, metric and household measures side by side", &heads, &rows))
        }
    }
}

/// Cost, with the price it comes from.
fn cost(cost: Option<f64>, price_per_g: Option<f64>, currency: &str) -> Markup {
    html! {
        (say_or(cost.map(|cost| money(cost, currency)), "price not known"))
        @if let Some(price) = price_per_g { br; span.quiet { (money(price, currency)) " per\u{a0}g" } }
    }
}

fn reckoned(one: &SheetAuxiliary) -> Markup {
    let owf = one.owf_pct.map(|pct| with(pct, "% owf"));
    let said: Vec<String> = one.g_per_l.map(|g| with(g, "g/L")).into_iter().chain(owf).collect();
    if said.is_empty() { say_or(None, "a fixed amount") } else { say(said.join(", ")) }
}

/// An addition: as it is measured, the grams where the words do not say them, its share of the whole.
pub(crate) fn addition(add: &Addition) -> Markup {
    let grams = with(add.grams, "g");
    let named = add.words.replace('\u{a0}', " ").starts_with(&grams.replace('\u{a0}', " "));
    html! {
        b { (add.words) }
        @if !named { " (" (grams) ")" }
        @if add.portion < 1.0 { ", " (percent(add.portion)) " of the whole" }
        @if add.dissolved { "; dissolved or diluted first" }
    }
}

/// What was weighed, line by line, in one sentence.
fn weighed(sheet: &Sheet) -> String {
    let line = |w: &plan::document::WeightLine| {
        let all = with(w.grams, "g");
        if w.takes_g == w.grams {
            format!("{} {all}", w.what)
        } else {
            format!("{} {all}, of which {} counts as taking dye", w.what, with(w.takes_g, "g"))
        }
    };
    sheet.weights.iter().map(line).collect::<Vec<_>>().join("; ")
}
