//! The ways with a blend side by side, each as it would look: the cloth as a whole from afar, and its fibres
//! in fine stripes from near.

use maud::{Markup, html};
use plan::document::{BlendWaySeen, PiecePlan};

use crate::chip::{Chip, Standing, heather};
use crate::number::{apart, lab, words};
use crate::piece::part;

/// The ways; nothing for a cloth of one fibre.
pub(crate) fn ways(piece: &PiecePlan) -> Markup {
    let body = html! {
            p { "Each over the same target: the target, the cloth from afar, and the same from near, where its \
                 fibres show as a mixture." }
            div.ways { @for way in &piece.special.blend_ways { (one(way, piece)) } }
    };
    html! { @if !piece.special.blend_ways.is_empty() { (part("The ways with this blend", &body)) } }
}

fn one(way: &BlendWaySeen, piece: &PiecePlan) -> Markup {
    let near = way.fibres.iter().map(|f| format!("{} {}", words(&f.fibre), f.colour.words));
    let near = near.collect::<Vec<_>>().join(", ");
    let shares: Vec<(&str, f64)> = way
        .fibres
        .iter()
        .map(|f| {
            let of = piece.goods.fibres.iter().find(|g| g.fibre == f.fibre);
            (f.colour.hex.as_str(), of.map_or(1.0, |g| g.share))
        })
        .collect();
    html! {
        div.way {
            h4 { (way.way) @if way.chosen { ": the sheets are made for this" } }
            (heather(
                &[
                    Chip::seen("Target", &piece.target, Standing::Given),
                    Chip::seen("From afar", &way.looks, Standing::Estimate),
                ],
                &shares,
                &near,
            ))
            p { (way.words) }
            ul {
                li { "As a whole: " (way.looks.words) " (" (lab(way.looks.lab)) "), "
                    b { (apart(way.difference)) } " from the target" }
                @for fibre in &way.fibres {
                    li { (words(&fibre.fibre)) ": " (fibre.colour.words) " (" (lab(fibre.colour.lab)) ")" }
                }
                li { "Its fibres are " b { (apart(way.contrast)) } " apart" }
                li { "Baths: " @for (at, bath) in way.procedures.iter().enumerate() {
                    @if at > 0 { ", then " } (words(bath)) } }
            }
        }
    }
}
