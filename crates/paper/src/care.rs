//! What can go wrong with a way of dyeing, and how to look after the finished pieces: on a screen with each
//! piece, on paper once for all the pieces it holds for.

use maud::{Markup, html};
use plan::document::{Care, Failure, PiecePlan, Plan};

use crate::table::{say, say_or, table};

/// For paper: every failure and every label once, with the pieces it holds for.
pub(crate) fn for_all(plan: &Plan) -> Markup {
    html! {
        section.print-only.all-wrong { (wrong_for_all(&plan.pieces)) (care_for_all(&plan.pieces)) }
    }
}

fn wrong_for_all(pieces: &[PiecePlan]) -> Markup {
    let told =
        pieces.iter().flat_map(|piece| piece.wrong.iter().map(|one| (one, piece.name.as_str())));
    let groups = groups(told);
    let with_bath = pieces.iter().filter(|piece| !piece.wrong.is_empty()).count();
    let rows: Vec<_> = groups
        .iter()
        .map(|(one, names)| {
            let mut row = failure(one);
            row.push(if names.len() == with_bath {
                say("every piece dyed")
            } else {
                say(names.join(", "))
            });
            row
        })
        .collect();
    let heads = ["What you see", "Likely why", "How to check", "What then", "For"];
    html! {
        @if !rows.is_empty() {
            h2 { "If it goes wrong" }
            (table("wrong", "What can go wrong, each once, with the pieces it holds for", &heads, &rows))
        }
    }
}

fn care_for_all(pieces: &[PiecePlan]) -> Markup {
    let told = pieces
        .iter()
        .filter_map(|piece| piece.care.as_ref().map(|care| (care, piece.name.as_str())));
    let groups = groups(told);
    html! {
        @if !groups.is_empty() {
            h2 { "Care of the finished pieces" }
            div.cares { @for (care, names) in &groups {
                div.cared { h3 { (names.join(", ")) } (brief(care)) }
            } }
        }
    }
}

/// What is equal is told once, with the names of all it holds for, in the order in which it first comes.
fn groups<'a, T: PartialEq>(
    told: impl Iterator<Item = (&'a T, &'a str)>,
) -> Vec<(&'a T, Vec<&'a str>)> {
    let mut all: Vec<(&T, Vec<&str>)> = vec![];
    for (one, name) in told {
        match all.iter_mut().find(|(has, _)| *has == one) {
            Some((_, names)) => names.push(name),
            None => all.push((one, vec![name])),
        }
    }
    all
}

/// On a screen: what can go wrong with one piece.
pub(crate) fn wrong(failures: &[Failure]) -> Markup {
    let rows: Vec<_> = failures.iter().map(failure).collect();
    let heads = ["What you see", "Likely why", "How to check", "What then"];
    table("wrong", "What can go wrong with this way of dyeing", &heads, &rows)
}

fn failure(one: &Failure) -> Vec<Markup> {
    vec![
        say(&one.sight),
        say(&one.cause),
        say_or(one.check.clone(), "no check known"),
        say(&one.remedy),
    ]
}

/// On a screen: the label and the fastness of one piece.
pub(crate) fn cared(care: &Care) -> Markup {
    let rows: Vec<_> =
        care.fastness.iter().map(|one| vec![say(&one.test), say(&one.grade)]).collect();
    html! {
        div.two {
            @if !care.label.is_empty() {
                div {
                    h4 { "Words for the label" }
                    ul.label { @for line in &care.label { li { (line) } } }
                }
            }
            @if !rows.is_empty() {
                (table("fastness", "Fastness to expect", &["Test", "Grade"], &rows))
            }
        }
    }
}

/// Label and fastness in two lines.
pub(crate) fn brief(care: &Care) -> Markup {
    html! {
        @if !care.label.is_empty() { p { b { "Label: " } (care.label.join("; ")) "." } }
        @if !care.fastness.is_empty() {
            p { b { "Fastness to expect: " }
                @for (at, one) in care.fastness.iter().enumerate() {
                    @if at > 0 { "; " }
                    (one.test) " " b { (one.grade) }
                }
                "." }
        }
    }
}
