//! What only some pieces have: a sheer over its backing, how black a black is, brightened cloth, friends who
//! dye the same, cloth kept for the repair.

use maud::{Markup, html};
use plan::document::{
    BlackSeen, BrightenedSeen, FriendStock, FriendsSeen, OverSeen, PiecePlan, SpareSeen,
    SurfaceSeen,
};

use crate::blend;
use crate::chip::{Chip, Standing, row};
use crate::number::{apart, lab, number, with, words};
use crate::piece::part;
use crate::table::{say, table};

/// All of it, each under its heading; nothing for an ordinary piece.
pub(crate) fn special(piece: &PiecePlan) -> Markup {
    let special = &piece.special;
    html! {
        @if let Some(seen) = &special.surface { (surface(piece, seen)) }
        @if let Some(seen) = &special.over { (over(piece, seen)) }
        @if let Some(seen) = &special.black { (black(seen)) }
        @if let Some(seen) = &special.brightened { (brightened(seen)) }
        (blend::ways(piece))
        @if let Some(seen) = &special.friends { (friends(seen, piece)) }
        @if let Some(seen) = &special.spare { (spare(seen)) }
    }
}

/// Pile, satin, sheer: what the chip cannot show, in a drawing and in words.
fn surface(piece: &PiecePlan, seen: &SurfaceSeen) -> Markup {
    let body = html! {
        @if let Some(expected) = &piece.expected {
            (row(&[Chip::seen("Expected", &expected.colour, Standing::Estimate).drawn_as(Some(seen.kind))]))
        }
        p { (seen.words) }
    };
    part(&format!("Not flat: {}", seen.kind), &body)
}

fn over(piece: &PiecePlan, over: &OverSeen) -> Markup {
    let body = html! {
        p { (over.words) }
        div.beside {
            (row(&[
                Chip::seen("Target", &piece.target, Standing::Given),
                Chip::seen("Over the backing", &over.shows, Standing::Estimate),
                Chip::seen("Off the backing", &over.cloth, Standing::Estimate),
                Chip::seen("The backing", &over.backing, Standing::Given),
            ]))
            dl.facts {
                div { dt { "Light that meets the yarn" } dd { (with(over.cover_pct, "%")) } }
                div { dt { "Over the backing" } dd { (lab(over.shows.lab)) ", " (apart(over.difference)) " from the target in daylight" } }
                div { dt { "Off the backing it must be" } dd { (lab(over.cloth.lab)) } }
                div { dt { "The backing" } dd { (lab(over.backing.lab)) ", " (over.backing.from) } }
            }
        }
    };
    part("Sheer over its backing", &body)
}

fn black(black: &BlackSeen) -> Markup {
    let heading = if black.holds { "Does it stay black? Yes." } else { "Does it stay black? No." };
    let body = html! {
        p { (black.words) " Lightest it is L* " (number(black.lightness)) "; its cast is C* "
            (number(black.cast)) " at most (" (black.light) ")." }
    };
    part(heading, &body)
}

fn brightened(seen: &BrightenedSeen) -> Markup {
    let body = html! {
        p { (seen.words) " The glow moves the colour in daylight by " (apart(seen.undyed))
            " undyed, by " (apart(seen.dyed)) " as dyed." }
    };
    part("Optical brightener", &body)
}

fn friends(seen: &FriendsSeen, piece: &PiecePlan) -> Markup {
    let body = html! {
        (shared(seen, piece))
        ol { @for line in &seen.words { li { (line) } } }
    };
    part(&format!("Dyed by {}", seen.names.join(", ")), &body)
}

/// The stocks made once for all, and what each takes of them.
pub(crate) fn shared(seen: &FriendsSeen, piece: &PiecePlan) -> Markup {
    let rows: Vec<Vec<Markup>> = seen.stocks.iter().map(|stock| share(stock, piece)).collect();
    html! {
        @if !rows.is_empty() {
            (table("shared", "One stock for all, shared out", &["Stock of", "Weigh, once", "Make up to", "Strength", "Each takes"], &rows))
        }
    }
}

fn share(stock: &FriendStock, piece: &PiecePlan) -> Vec<Markup> {
    let known = piece.sheets.iter().flat_map(|s| &s.dyes).find(|d| d.id == stock.dye);
    vec![
        say(known.map_or_else(|| words(&stock.dye), |d| d.name.clone())),
        html! { b { (with(stock.grams, "g")) } },
        html! { (with(stock.make_ml, "mL")) },
        html! { (with(stock.stock_pct, "%")) },
        html! { b { (with(stock.each_ml, "mL")) } },
    ]
}

fn spare(seen: &SpareSeen) -> Markup {
    part("Kept for the repair", &html! { p { b { (with(seen.grams, "g")) } ": " (seen.words) } })
}
