//! The steps of a bath with their clocks, and where it is now: the step, the time left, the curve.

use maud::{Markup, html};
use paper::bath_here;
use workroom::document::SheetStep;

use super::bath::{AtPot, button, stands_for, step_now};
use super::late;
use super::moment;
use super::words::sentence;

/// Where a running bath is: first on the page, for whoever comes back to it with wet hands.
pub(super) fn now(pot: &AtPot<'_>) -> Markup {
    let Some(now) = &pot.now else { return html! {} };
    let step = now.step.as_ref();
    let told = step.and_then(|at| pot.sheet.steps.iter().find(|s| s.n == at.n));
    html! {
        section.here aria-labelledby="here" data-now=(pot.at_ms)
            data-step-at=[told.map(|s| s.at_min)] data-step-min=[told.map(|s| s.minutes)] data-step-began=[step.map(|s| s.began)] {
            h2 id="here" tabindex="-1" { "Where you are" }
            @match (step, told) {
                (Some(at), Some(told)) => {
                    p.now-step { b { "Step " (at.n) ": " (told.kind) } " " (temperature(told)) ". " (told.text) }
                    @for add in &told.adds { p.goes-in { "In goes " b { (add.words) } @if add.dissolved { ", dissolved or diluted first" } } }
                    @if let Some(until) = &told.until { p { b { "Until: " } (sentence(until)) } }
                    @if let Some(ends) = at.ends {
                        p.timer role="timer" data-ends=(ends) data-step=(at.n) { "Ends at " (moment::to_the_second(ends)) }
                    }
                    div.row.wet {
                        (button(&pot.here, at.n, "done", "Done"))
                        @if told.minutes > 0.0 && !pot.clock.rings.contains_key(&at.n) {
                            (button(&pot.here, at.n, "start", &format!("Start {} min from now", told.minutes)))
                        }
                    }
                }
                _ => p.verdict { "Every step is done." },
            }
            p { (late::sentence_of(now)) }
            p.said role="status" data-said {}
            (bath_here(pot.sheet, now.at_min))
        }
    }
}

/// All steps, to be ticked.
pub(super) fn steps(pot: &AtPot<'_>) -> Markup {
    let next = step_now(pot)
        .or_else(|| pot.sheet.steps.iter().find(|s| !pot.clock.done.contains(&s.n)).map(|s| s.n));
    html! {
        section.clock aria-labelledby="clock" data-now=(pot.at_ms) data-watch={ (pot.here) "/now" } data-now-asking=(stands_for(&pot.clock)) {
            h2 id="clock" tabindex="-1" { "Step by step" }
            p { (pot.clock.done.len()) " of " (pot.sheet.steps.len()) " steps done." }
            ol.steps-now { @for step in &pot.sheet.steps { (one(pot, step, next == Some(step.n))) } }
            (ringing(pot))
        }
    }
}

fn one(pot: &AtPot<'_>, step: &SheetStep, is_next: bool) -> Markup {
    let done = pot.clock.done.contains(&step.n);
    let rings = pot.clock.rings.get(&step.n);
    let here = &pot.here;
    // Of the steps still to come the buttons wait inside: a thumb must not meet the wrong one.
    let open = is_next || done || rings.is_some();
    html! {
        li.done[done].now[is_next] id={ "step-" (step.n) } {
            details open[is_next || rings.is_some()] {
                summary {
                    b { "Step " (step.n) ": " (step.kind) }
                    " " span.quiet { (temperature(step)) @if step.minutes > 0.0 { ", " (step.minutes) "\u{a0}min" } }
                    @if done { span.mark { " done" } } @else if is_next { span.mark { " now" } }
                }
                p { (step.text) }
                @for add in &step.adds { p.goes-in { "In goes " b { (add.words) } @if add.dissolved { ", dissolved or diluted first" } } }
                @if let Some(until) = &step.until { p { b { "Until: " } (sentence(until)) } }
                @if let Some(look) = &step.look_for { p { b { "Look for: " } (sentence(look)) } }
                p.late { b { "If you are late: " }
                    @match step.stretch_min { Some(most) if most > 0.0 => { "this step may take up to " (most) "\u{a0}min longer." }
                        _ if step.minutes <= 0.0 => { "it takes as long as it takes." }
                        _ => { "keep to the clock here; do not leave it longer." } } }
                @if let Some(ends) = rings {
                    p.timer role="timer" data-ends=(ends) data-step=(step.n) { "Rings at " (moment::to_the_second(*ends)) }
                }
                @if !open { (buttons(pot, step)) }
                p { a href={ (here) "/wrong?step=" (step.n) } { "It went wrong" span.unseen { " in step " (step.n) } } }
            }
            @if open { (buttons(pot, step)) }
        }
    }
}

fn buttons(pot: &AtPot<'_>, step: &SheetStep) -> Markup {
    let here = &pot.here;
    let done = pot.clock.done.contains(&step.n);
    html! {
        div.row {
            (button(here, step.n, if done { "undo" } else { "done" }, if done { "Not done after all" } else { "Done" }))
            @if !done && step.minutes > 0.0 {
                @if pot.clock.rings.contains_key(&step.n) { (button(here, step.n, "silence", "Stop the clock")) }
                @else { (button(here, step.n, "start", &format!("Start {} min", step.minutes))) }
            }
        }
    }
}

/// What rings, and what a page cannot do.
fn ringing(pot: &AtPot<'_>) -> Markup {
    html! {
        div.ringing {
            h3 { "What rings" }
            p { "The clock is kept by this machine: it is right after a reload, and on every page that is open." }
            p hidden data-sound { button.second type="button" { "Let this page ring" } " " span role="status" data-sound-says { "Until it is touched a page may make no sound." } }
            p.quiet { "A page on a house network cannot wake a sleeping phone. A calendar can:" }
            @if pot.now.as_ref().is_some_and(|now| now.step.is_some()) {
                p { a href={ (pot.here) "/alarms" } download { "The alarms of this bath as a calendar file" } ", from now to its end. Say “late” or \
                    start another clock, and take it again: it takes the place of the one before." }
            } @else if pot.now.is_none() {
                p.quiet { "Once the first clock is started, the alarms of this bath stand here as a calendar file." }
            }
        }
    }
}

pub(super) fn temperature(step: &SheetStep) -> String {
    if (step.from_c - step.to_c).abs() < 0.05 {
        format!("{} °C", step.to_c)
    } else {
        format!("{} → {} °C", step.from_c, step.to_c)
    }
}
