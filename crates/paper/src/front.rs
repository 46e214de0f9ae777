//! The front: whose plan, what needs attention, what to do next, and every piece at a glance.

use maud::{Markup, html};
use plan::document::{Outcome, PeopleNear, PiecePlan, Plan};

use crate::chip::{Chip, Standing, pair};
use crate::table::{say, table};

/// Name, note and days.
pub(crate) fn head(plan: &Plan) -> Markup {
    let costume = &plan.costume;
    html! {
        p.over { "Dye plan" }
        h1 { (costume.name) }
        @if let Some(note) = &costume.note { p.note { (note) } }
        dl.facts {
            @if let Some(day) = &costume.day { div { dt { "Ready by" } dd { (day) } } }
            div { dt { "Plan made on" } dd { (costume.today) } }
            div { dt { "Prices in" } dd { (costume.currency) } }
            @if let Some(from) = &costume.reference {
                div { dt { "Colours read off" } dd { (from.picture)
                    @if let Some(because) = &from.because { ", because: " (because) }
                    @if !from.over.is_empty() { " (and not " (from.over.join(", ")) ")" } } }
            }
        }
    }
}

/// Attention, next, people, the overview.
pub(crate) fn first(plan: &Plan) -> Markup {
    html! {
        section.attention aria-labelledby="attention" {
            h2 id="attention" { "What needs attention first" }
            @if plan.attention.is_empty() { p { "Nothing out of the ordinary." } }
            @else { ol { @for line in &plan.attention { li { (line) } } } }
        }
        section aria-labelledby="next" {
            h2 id="next" { "What to do next" }
            @if plan.next.is_empty() { p { "Nothing: every piece is as it should be." } }
            @else { ol { @for line in &plan.next { li { (line) } } } }
        }
        (people(plan.people))
        section aria-labelledby="pieces" {
            h2 id="pieces" tabindex="-1" { "The pieces at a glance" }
            (key(plan.costume.starter_shelf))
            (overview(&plan.pieces))
            (jumps(plan))
        }
    }
}

/// To the sections that are there.
fn jumps(plan: &Plan) -> Markup {
    let bath = plan.pieces.iter().any(|piece| piece.sheets.iter().any(|s| !s.cautions.is_empty()));
    html! {
        ul.jump {
            @if !plan.sets.is_empty() || !plan.fixed.is_empty() { li { a href="#sets" { "What must match" } } }
            @if plan.together.is_some() { li { a href="#together" { "The colours together" } } }
            @if plan.days.is_some() { li { a href="#days" { "Which day, which pot" } } }
            li { a href="#shopping" { "Shopping" } }
            @if bath { li { a href="#cautions" { "Cautions" } } }
            li { a href="#sure" { "How sure these numbers are" } }
        }
    }
}

fn people(near: PeopleNear) -> Markup {
    let said: Vec<&str> = [
        (near.asthma, "Somebody with asthma or a dye allergy is near the pots."),
        (near.pregnancy, "Somebody pregnant or breast-feeding is near the pots."),
        (near.children, "Children are near the pots."),
        (near.pets, "Pets are near the pots."),
    ]
    .into_iter()
    .filter_map(|(here, words)| here.then_some(words))
    .collect();
    html! {
        section aria-labelledby="people" {
            h2 id="people" { "Who is near the pots" }
            @if said.is_empty() {
                p { "The costume file names nobody with asthma or a dye allergy, nobody pregnant or \
                     breast-feeding, no children and no pets. If that is wrong, say so there and plan again." }
            } @else {
                ul { @for line in &said { li { (line) } } }
                p { "The cautions on the bath sheets take this into account." }
            }
        }
    }
}

fn key(starter_shelf: bool) -> Markup {
    html! {
        p.key {
            "How to read the chips: a " span.given { "plain line" } " under a chip or a word means it is as \
             you gave it or read it; a " span.estimate { "dashed line" } " means it is reckoned. Colours are \
             CIELAB for daylight D65 and the 10° observer unless a light is named. Differences are CIEDE2000: \
             0 is the same, and smaller is nearer."
        }
        p.key.print-only {
            "Under each light the target is on the left and what is expected on the right; each light's white is \
             taken as white, and the number is the difference."
        }
        @if starter_shelf {
            p.key { strong { "Starter shelf: " } "every dye in this plan is an "
                span.estimate { "estimate" } " until your own swatches say more." }
        }
    }
}

fn overview(pieces: &[PiecePlan]) -> Markup {
    let rows: Vec<Vec<Markup>> = pieces
        .iter()
        .enumerate()
        .map(|(at, piece)| {
            vec![
                html! { a href={ "#piece-" (at + 1) } { (piece.name) } },
                chips(piece),
                match &piece.class {
                    Some(class) => html! { (class.name) },
                    None => html! { span.absent { "none" } },
                },
                html! {
                    (outcome(piece.outcome)) br; span.quiet { (piece.why) }
                    @if !piece.sheets.is_empty() { ul.jump {
                        @for (n, sheet) in piece.sheets.iter().enumerate() {
                            li { a href={ "#piece-" (at + 1) "-bath-" (n + 1) } { (sheet.kind) " bath sheet" } }
                        }
                    } }
                },
                match &piece.expected {
                    Some(expected) => say(&expected.verdict),
                    None => say("nothing to judge yet"),
                },
            ]
        })
        .collect();
    let heads = ["Piece", "Target and expected", "Class", "What it comes to", "Verdict"];
    table(
        "overview",
        "Every piece, its target and what the chosen recipe should give",
        &heads,
        &rows,
    )
}

fn chips(piece: &PiecePlan) -> Markup {
    let mut chips = vec![Chip::seen("Target", &piece.target, Standing::Given)];
    if let Some(expected) = &piece.expected {
        chips.push(Chip::seen("Expected", &expected.colour, Standing::Estimate));
    }
    html! {
        (pair(&chips))
        span.quiet aria-hidden="true" {
            (piece.target.words)
            @if let Some(expected) = &piece.expected {
                " | " span.estimate { (expected.colour.words) }
            } @else { " | nothing expected yet" }
        }
    }
}

/// What a piece's plan comes to, in words.
pub(crate) const fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Bath => "A bath",
        Outcome::NoBath => "No bath yet",
        Outcome::Leave => "Nothing to dye",
        Outcome::SharesBath => "In the bath of another piece",
    }
}
