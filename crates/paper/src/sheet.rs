//! The bath sheet: the first line, cautions, goods and liquor, dyes, auxiliaries, the steps to tick.

use maud::{Markup, html};
use plan::document::{
    Addition, Caution, LightSeen, PiecePlan, Sheet, SheetAuxiliary, SheetDye, StockToMake,
};

use crate::cautions::Cautions;
use crate::number::{depth, money, percent, water, with, words};
use crate::table::{say, say_or, table};
use crate::{cautions, curve, piece, steps};

/// Whether a sheet has its table of steps, or whoever shows it has a better way to tick them.
#[derive(Clone, Copy)]
pub(crate) enum Steps<'a> {
    /// As a table.
    Told,
    /// Left out; of the cautions those that it says were read before stand by their names.
    Elsewhere(&'a dyn Fn(&Caution) -> bool),
}

/// One bath sheet on a page of its own; `id` is unique in the page.
pub(crate) fn sheet(
    id: &str,
    of: &PiecePlan,
    sheet: &Sheet,
    currency: &str,
    all: &Cautions<'_>,
    steps_are: Steps<'_>,
) -> Markup {
    let other =
        |kind: &str| of.sheets.iter().find(|b| b.kind == kind && b.procedure == sheet.procedure);
    let bulk = other("bulk").filter(|_| sheet.kind == "swatch");
    let judged = other("swatch").is_some_and(|s| sheet.kind == "bulk" && s.judge == sheet.judge);
    let seen = of.expected.as_ref().map_or(&[][..], |expected| &expected.lights);
    html! {
        article class={ "sheet " (sheet.kind) } aria-labelledby=(id) {
            (first_line(sheet))
            div.heading {
                h3 id=(id) tabindex="-1" { (of.name) ": " (kind(sheet.kind)) }
                p.title { (sheet.title) ", " (with(sheet.total_min, "minutes")) " in all"
                    @if let Some(code) = &sheet.code { "; card " b { (code) } } }
            }
            @if let Some(scour) = &sheet.scour { p.scour { (scour) } }
            @match steps_are { Steps::Told => (all.on(sheet)), Steps::Elsewhere(known) => (cautions::after(sheet, known)) }
            div.flow {
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
            (dyes(sheet, currency))
            (auxiliaries(&sheet.auxiliaries, currency))
            @if matches!(steps_are, Steps::Told) {
                h4 { "Step by step" }
                (steps::steps(id, sheet, bulk))
            }
            @if let Some(after) = &sheet.no_top_up_after {
                p.stop { strong { "No top-up: " } "add no dye once the " (words(after)) " is in." }
            }
            div.judging {
                h4 { "Judging it" }
                @if judged { p.print-only { "As on its swatch sheet, under the same lights." } }
                p.screen-only[judged] { (sheet.judge.text)
                    @if !sheet.judge.lights.is_empty() {
                        " Lights to judge under: " (lights(&sheet.judge.lights, seen)) "."
                    }
                }
                @if !sheet.fastness_claimed { p.quiet { "Nothing is promised about washing." } }
                @if !sheet.notes.is_empty() {
                    h4 { "Notes" @if bulk.is_some() { span.print-only { ", and those of its bulk sheet" } } }
                    ul { @for note in &sheet.notes {
                        li.screen-only[bulk.is_some_and(|b| b.notes.contains(note))] { (note) }
                    } }
                }
            }
            }
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
            p.first-line.calm {
                "Swatch " @if let Some(code) = &swatch.code { (code) " " } "recorded " (swatch.day) " at "
                (with(swatch.liquor_ratio, "L per kg"))
                @if swatch.code.is_some() { ": good enough, and this is its recipe as dosed" }
                @if swatch.look_alike { ". It was of another cloth like this one: look at the first minutes of the bath" }
            }
        }
    }
}

/// The heading's words for a sheet's kind.
fn kind(kind: &str) -> String {
    format!("{kind} bath")
}

/// The dyes, each with the stock solution to make of it first.
fn dyes(sheet: &Sheet, currency: &str) -> Markup {
    let stocked = !sheet.stocks.is_empty();
    let rows: Vec<Vec<Markup>> = sheet
        .dyes
        .iter()
        .map(|dye| {
            let mut row = vec![html! { (dye.name)
                    br; span.quiet { (dye.class_name) @if let Some(ci) = &dye.ci { ", " (ci) } ", " (dye.form) } }];
            if stocked {
                let mut of = sheet.stocks.iter().filter(|stock| stock.dye == dye.id).peekable();
                let none = of.peek().is_none();
                row.push(html! { @for one in of { (stock(one, dye)) } @if none { (say_or(None, "none")) } });
            }
            row.extend([
                measured(dye),
                html! { (depth(dye.owf_pct, "% owf")) },
                html! { "± " (with(dye.scatter_pct, "%")) },
                cost(dye.cost, dye.price_per_g, currency),
            ]);
            row
        })
        .collect();
    let mut heads = vec!["Dye", "Measure out", "Depth", "Scatter of the dose", "Cost"];
    if stocked {
        heads.insert(1, "Stock solution to make first");
    }
    html! {
        @if !rows.is_empty() {
            h4 { "Dyes" }
            (table(if stocked { "dyes stocked" } else { "dyes" }, "Dyes of this bath; a solution of 1 % holds 1 g in 100 mL", &heads, &rows))
        }
    }
}

/// A stock solution: its strength, then how to make it, without the dye's name, which heads the row.
fn stock(stock: &StockToMake, dye: &SheetDye) -> Markup {
    let how = stock
        .words
        .strip_prefix(dye.name.as_str())
        .map_or(stock.words.as_str(), |rest| rest.trim_start_matches([':', ' ']));
    html! { b { (with(stock.stock_pct, "%")) } ": " (how) " " }
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
                html! {
                    b.amount { (with(one.grams, "g")) }
                    @if let Some(household) = &one.household {
                        ", or " (household)
                        @if let Some(declared) = &one.declared { span.quiet { " (" (declared) ")" } }
                    }
                    br; span class={ "quiet" @if said_before(one) { " twice" } } { (one.words) }
                },
                reckoned(one),
                cost(one.cost, one.price_per_g, currency),
            ]
        })
        .collect();
    let heads = ["What", "How much", "Reckoned as", "Cost"];
    html! {
        @if !rows.is_empty() {
            h4 { "What else goes in" }
            (table("auxiliaries", "Auxiliaries, in grams, and in household measures where that is near enough", &heads, &rows))
        }
    }
}

/// Whether the words only say again what stands before them: the grams, or the household measure.
fn said_before(one: &SheetAuxiliary) -> bool {
    let measure = one.household.as_ref().and_then(|all| all.split(", or ").next());
    one.words.starts_with("Weigh") || measure.is_some_and(|first| one.words.contains(first))
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
///
/// What goes in by its plain name: the table over the steps has it in full. `said` is true where it is said
/// for all additions at once that they are dissolved.
pub(crate) fn addition(add: &Addition, of: &[SheetAuxiliary], said: bool) -> Markup {
    let grams = with(add.grams, "g");
    let named = add.words.replace('\u{a0}', " ").starts_with(&grams.replace('\u{a0}', " "));
    html! {
        b { (plainly(&add.words, of)) }
        @if !named { " (" (grams) ")" }
        @if add.portion < 1.0 { ", " (percent(add.portion)) " of the whole" }
        @if add.dissolved && !said { "; dissolved or diluted first" }
    }
}

/// Words with the names of auxiliaries as far as their brackets: "soda ash (sodium carbonate, anhydrous)" is
/// "soda ash".
fn plainly(words: &str, of: &[SheetAuxiliary]) -> String {
    of.iter().fold(words.to_owned(), |said, one| match one.name.split_once(" (") {
        Some((plain, _)) => said.replace(&one.name, plain),
        None => said,
    })
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
