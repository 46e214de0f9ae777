//! The steps as a table to tick: on paper with a pencil, on a phone with a wet thumb.

use maud::{Markup, html};
use plan::document::{Sheet, SheetStep};

use crate::number::{number, with};
use crate::sheet::addition;
use crate::table::table;

/// The steps in order.
///
/// In print a swatch's steps leave out the words that stand on the bulk sheet of the same piece: clock,
/// heat and what goes in are all here.
pub(crate) fn steps(id: &str, sheet: &Sheet, bulk: Option<&Sheet>) -> Markup {
    let there = |step: &SheetStep| {
        bulk.is_some_and(|b| {
            b.steps.iter().any(|other| {
                (&other.text, &other.until, &other.look_for)
                    == (&step.text, &step.until, &step.look_for)
            })
        })
    };
    let dissolved = sheet.steps.iter().flat_map(|step| &step.adds).all(|add| add.dissolved);
    let rows: Vec<Vec<Markup>> =
        sheet.steps.iter().map(|step| cells(id, step, there(step), sheet, dissolved)).collect();
    let heads = ["Tick", "Clock", "°C", "Minutes", "Longer?", "What to do", "What goes in"];
    html! {
        p.quiet {
            span.print-only { "Clock, °C, minutes; in brackets how much longer a step may take. " }
            @if dissolved { "All that goes in is dissolved or diluted first. " }
            @if bulk.is_some() { span.print-only { "In full words: the bulk sheet." } }
        }
        (table("steps", "Steps; the clock counts hours and minutes from the start", &heads, &rows))
    }
}

fn cells(id: &str, step: &SheetStep, there: bool, sheet: &Sheet, dissolved: bool) -> Vec<Markup> {
    vec![
        html! {
            label.tick for={ (id) "-step-" (step.n) } {
                input type="checkbox" id={ (id) "-step-" (step.n) };
                span { (step.n) span.unseen { ", " (step.kind) ", done" } }
            }
        },
        html! { b { (step.clock) } },
        html! {
            @if step.from_c == step.to_c { span.degrees { (number(step.to_c)) } }
            @else { span.degrees.nowrap { (number(step.from_c)) " → " (number(step.to_c)) } }
            @if let Some(rate) = step.rate_c_per_min {
                br; span.quiet { (with(rate, "°C per min")) }
            }
        },
        html! {
            span.minutes.screen-only[step.minutes <= 0.0] {
                (number(step.minutes))
                @if let Some(most) = longer(step) { span.print-only { " (+" (number(most)) ")" } }
            }
            @if step.agitation != "none" { br; span.quiet { (step.agitation) } }
        },
        html! {
            @match longer(step) {
                Some(most) => span.screen-only { "may take up to " (with(most, "min")) " longer" },
                None if step.minutes <= 0.0 => { span.asked { "as long as it takes" } }
                None => strong.asked { "keep to the clock" }
            }
        },
        html! {
            @if step.kind == "judge" && there { span.print-only { "Judge it: see Judging it." } span.screen-only { (step.text) } }
            @else if there { span.print-only { (step.kind) ". " } span.screen-only { (step.text) } }
            @else if let Some(n) = before(step, sheet) { span.print-only { "As step " (n) "." } span.screen-only { (step.text) } }
            @else { (step.text) }
            @if let Some(vessel) = &step.vessel { p.until { b { "In: " } (vessel.words) " (" (vessel.material) ")" } }
            @if let Some(until) = &step.until { p.until.screen-only[there] { b { "Until: " } (until) } }
            @if let Some(look) = &step.look_for { p.look.screen-only[there || looked(step, sheet)] { b { "Look for: " } (look) } }
        },
        html! {
            @if step.adds.is_empty() { span.absent { "nothing" } }
            @else { ul.plain { @for add in &step.adds { li { (addition(add, &sheet.auxiliaries, dissolved)) } } } }
            @if let Some(ph) = step.ph { p.until { "Aim at pH " (number(ph)) } }
        },
    ]
}

/// The number of an earlier step with the very same words.
fn before(step: &SheetStep, sheet: &Sheet) -> Option<usize> {
    sheet
        .steps
        .iter()
        .find(|other| other.n < step.n && other.text == step.text)
        .map(|other| other.n)
}

/// Whether an earlier step already says what to look for.
fn looked(step: &SheetStep, sheet: &Sheet) -> bool {
    sheet.steps.iter().any(|other| other.n < step.n && other.look_for == step.look_for)
}

/// Minutes a step may take longer than it says; none where the clock must be kept or says nothing.
fn longer(step: &SheetStep) -> Option<f64> {
    step.stretch_min.filter(|&most| most > 0.0)
}
