//! The light switch: the same pieces as a lamp shows them, each lamp's white seen as white.

use maud::{Markup, html};
use paper::chip_style;
use workroom::document::{LightSeen, PiecePlan, Plan};

use super::words::apart;

/// What a screen can and cannot tell of a piece, in words.
pub(super) fn of_the_screen(piece: &PiecePlan) -> Markup {
    let expected = piece.expected.as_ref().map(|e| &e.colour);
    let beyond: Vec<&str> =
        [("The target", Some(&piece.target)), ("The expected colour", expected)]
            .into_iter()
            .filter(|(_, colour)| colour.is_some_and(|c| !c.screen_shows))
            .map(|(what, _)| what)
            .collect();
    html! {
        @if !beyond.is_empty() {
            p.stop { b { (beyond.join(" and ")) } @if beyond.len() > 1 { " lie" } @else { " lies" } " outside what these pages can show (sRGB): the chip is the nearest colour a screen \
                has, and the cloth is stronger than it looks here." }
        }
        p.quiet.of-screen { "Chips are drawn in sRGB on a neutral grey."
            span.wide { " This screen says that it shows more than that; with its colours left vivid the chips look too strong: set it to sRGB to judge them." }
            " A screen is for choosing, daylight and the swatch are for judging." }
    }
}

/// Lights of a plan by name, with their words, in the order in which the pieces first name them.
fn lights(plan: &Plan) -> Vec<(&str, &str)> {
    let mut all: Vec<(&str, &str)> = vec![];
    for light in plan.pieces.iter().filter_map(|p| p.expected.as_ref()).flat_map(|e| &e.lights) {
        if !all.iter().any(|(name, _)| *name == light.light) {
            all.push((&light.light, &light.words));
        }
    }
    all
}

/// The light a page was asked for, when a piece of the plan is judged under it.
pub(super) fn asked<'p>(plan: &'p Plan, wanted: &str) -> Option<&'p str> {
    lights(plan).into_iter().map(|(name, _)| name).find(|name| *name == wanted)
}

/// The switch: one way for each light.
pub(super) fn switch(plan: &Plan, here: &str, now: Option<&str>) -> Markup {
    let all = lights(plan);
    html! {
        @if all.len() > 1 {
            nav.lamps aria-label="See the pieces under" {
                ul {
                    li { a href={ (here) "#pieces" } aria-current=[now.is_none().then_some("true")] { "as wanted and expected" } }
                    @for (name, words) in all {
                        li { a href={ (here) "?light=" (name) "#pieces" } aria-current=[(now == Some(name)).then_some("true")] { (words) " (" (name) ")" } }
                    }
                }
            }
        }
    }
}

/// Target and expected colour under one light, edge to edge; says so where the piece is not judged under it.
pub(super) fn under(piece: &PiecePlan, light: &str) -> Markup {
    let seen = piece.expected.as_ref().and_then(|e| e.lights.iter().find(|l| l.light == light));
    html! {
        @match seen {
            Some(seen) => {
                div.mount.small { div.chips {
                    (chip(&seen.target_hex, "given", &said(seen, "Target", &piece.name)))
                    (chip(&seen.hex, "estimate", &said(seen, "Expected", &piece.name)))
                } }
                p { (apart(seen.difference)) " apart in this light"
                    @if seen.glow.is_some() { "; the cloth glows in it" } }
            }
            None => p.quiet { "Not judged under this light." },
        }
    }
}

fn said(seen: &LightSeen, what: &str, piece: &str) -> String {
    let lab = if what == "Target" { seen.target_lab } else { seen.lab };
    format!(
        "{what} of {piece} under {}: L* {:.0}, a* {:.0}, b* {:.0}",
        seen.words, lab[0], lab[1], lab[2]
    )
}

fn chip(hex: &str, standing: &str, words: &str) -> Markup {
    html! { span class={ "chip " (standing) } role="img" aria-label=(words) style=[chip_style(hex)] {} }
}
