//! What is scoured before it is dyed: one short block for each scour bath.

use maud::{Markup, html};
use plan::document::{Plan, ScourSeen};

use crate::number::{water, with};

/// The section; nothing where nothing is scoured.
pub(crate) fn scours(plan: &Plan) -> Markup {
    html! {
        @if !plan.scours.is_empty() {
            section.scours aria-labelledby="scours" {
                h2 id="scours" tabindex="-1" { "Scour before dyeing" }
                p { "Dye goes evenly only onto clean goods. Goods of one scour may share its bath; let them dry after it "
                    "and weigh them dry. The cloth for a swatch goes through the scour of its goods; where it comes from \
                     stands on the swatch sheet. "
                    @if let Some(first) = plan.scours.first() { (first.accept) } }
                @for scour in &plan.scours { (one(scour)) }
            }
        }
    }
}

/// The scour of one piece, for somebody who has nothing but its recipe; nothing where it needs none.
pub(crate) fn of_one(plan: &Plan, id: &str) -> Markup {
    let scour = plan.scours.iter().find(|s| s.pieces.iter().any(|piece| piece == id));
    html! {
        @if let Some(scour) = scour {
            section.scours {
                h2 { "Scour it first" }
                p { "Dye goes evenly only onto clean goods. " (scour.accept) " Let it dry, and weigh it dry." }
                (bath(scour))
                p { "For your own weight: keep to " (with(scour.liquor_ratio, "L per kg")) " of dry cloth" @for aux in &scour.auxiliaries {
                    @if let Some(g) = aux.g_per_l { ", " (with(g, "g/L")) " " (aux.name) } } "." }
            }
        }
    }
}

fn one(scour: &ScourSeen) -> Markup {
    html! {
        div.scour-bath {
            h3 { "Scour " (scour.n) ": " (scour.names.join(", ")) }
            (bath(scour))
        }
    }
}

fn bath(scour: &ScourSeen) -> Markup {
    html! {
        p { (scour.title) ". " (scour.why) }
        p { b { (with(scour.dry_g, "g")) " in " (water(scour.liquor_ml)) " of water" }
            @for aux in &scour.auxiliaries { ", " (with(aux.grams, "g")) " " (aux.name) }
            "; " (scour.vessel.words) ". " (with(scour.total_min, "minutes")) " in all." }
        ol { @for step in &scour.steps { li { (step.text) " (" (with(step.minutes, "min")) ") " } } }
        @if !scour.notes.is_empty() { p.quiet { (scour.notes.join(" ")) } }
    }
}
