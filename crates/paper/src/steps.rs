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
        let same = |other: &&SheetStep| other.n == step.n && other.text == step.text;
        bulk.is_some_and(|b| b.steps.iter().any(|other| same(&other)))
    };
    let rows: Vec<Vec<Markup>> =
        sheet.steps.iter().map(|step| cells(id, step, there(step))).collect();
    let heads = ["Tick", "Clock", "What to do", "What goes in", "°C", "Minutes", "Longer?"];
    html! {
        @if bulk.is_some() { p.print-only { "Each step in full words stands on the bulk sheet of this piece." } }
        (table("steps", "Steps; the clock counts hours and minutes from the start", &heads, &rows))
    }
}

fn cells(id: &str, step: &SheetStep, there: bool) -> Vec<Markup> {
    vec![
        html! {
            label.tick for={ (id) "-step-" (step.n) } {
                input type="checkbox" id={ (id) "-step-" (step.n) };
                span { (step.n) span.unseen { ", " (step.kind) ", done" } }
            }
        },
        html! { b { (step.clock) } },
        html! {
            @if there { span.print-only { (step.kind) ". " } span.screen-only { (step.text) } }
            @else { (step.text) }
            @if let Some(vessel) = &step.vessel { p.until { b { "In: " } (vessel.words) " (" (vessel.material) ")" } }
            @if let Some(until) = &step.until { p.until { b { "Until: " } (until) } }
            @if let Some(look) = &step.look_for { p.look { b { "Look for: " } (look) } }
        },
        html! {
            @if step.adds.is_empty() { span.absent { "nothing" } }
            @else { ul.plain { @for add in &step.adds { li { (addition(add)) } } } }
            @if let Some(ph) = step.ph { p.until { "Aim at pH " (number(ph)) } }
        },
        html! {
            @if step.from_c == step.to_c { span.degrees { (number(step.to_c)) } }
            @else { span.degrees.nowrap { (number(step.from_c)) " → " (number(step.to_c)) } }
            @if let Some(rate) = step.rate_c_per_min {
                br; span.quiet { (with(rate, "°C per min")) }
            }
        },
        html! { span.minutes { (number(step.minutes)) } @if step.agitation != "none" { br; span.quiet { (step.agitation) } } },
        html! {
            @match step.stretch_min {
                Some(most) if most > 0.0 => { "may take up to " (with(most, "min")) " longer" }
                _ if step.minutes <= 0.0 => { "as long as it takes" }
                _ => strong { "keep to the clock" }
            }
        },
    ]
}
