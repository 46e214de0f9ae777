//! A costume: the one next thing, every piece in working order, what does not match, the date and the money.

use std::collections::BTreeMap;

use axum::extract::{Path as Of, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use paper::{ChipOf, Part, Standing, day_part, part, small_chips_of};
use workroom::document::PiecePlan;
use workroom::{CostumeFound, HeadAsWritten, Outcome, Plan, Trouble, head_as_written, shelves_in};

use super::answer::only_these;
use super::frame::{self, Here};
use super::late;
use super::lights;
use super::opened::Opened;
use super::reference;
use super::room::Room;
use super::routes::{In, answered};
use super::together;
use super::words::{apart, money, sentence, without_commands};

/// `/c/{costume}`.
pub(super) async fn page(
    State(room): In,
    Of(key): Of<String>,
    Query(fields): Query<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let opened = Opened::of(room, &key)?;
        let light = fields.get("light").map(String::as_str).unwrap_or_default();
        let written = head_as_written(&opened.costume.path).ok();
        let notes = opened.look.made.as_ref().map(|made| made.notes.clone()).unwrap_or_default();
        opened.page_told("The costume", "", |plan, news| {
            let picture = reference::beside(&key, &opened.costume.path)?;
            let together = together::together(&opened, plan)?;
            Ok(html! {
                (whole(&key, plan, lights::asked(plan, light), news, [&picture, &together]))
                @if let Some(written) = &written {
                    details.after { summary { "Name, note and date" } (head_form(&key, written)) }
                    details.after id="shelf" { summary { "What it is dyed with: " (shelf_called(&written.shelf)) @if !written.have.is_empty() { ", only " (written.have.join(", ")) } } (shelf_form(&key, written, &shelves(room, &opened.costume)?)) }
                }
                @if !notes.is_empty() {
                    details.after { summary { "About the files and the workbook" } ul { @for note in &notes { li { (note) } } } }
                }
            })
        })
    })
    .await
}

fn whole(
    key: &str,
    plan: &Plan,
    light: Option<&str>,
    news: &Markup,
    [reference, together]: [&Markup; 2],
) -> Markup {
    html! {
        header.hello {
            h1 { (plan.costume.name) }
            @if let Some(note) = &plan.costume.note { p.note { (note) } }
            (facts(key, plan))
        }
        (news)
        section.next aria-labelledby="next" {
            h2 id="next" { "The next thing to do" }
            @match plan.next.split_first() {
                None => p.verdict { "Nothing: every piece is as it should be." },
                Some((first, rest)) => {
                    p.verdict { (without_commands(first)) }
                    @if !rest.is_empty() { details { summary { "And after that" } ol start="2" { @for line in rest { li { (without_commands(line)) } } } } }
                }
            }
        }
        (attention(&plan.attention))
        (reference)
        section aria-labelledby="pieces" {
            h2 id="pieces" { "The pieces" }
            (lights::switch(plan, &format!("/c/{key}"), light))
            ul.tiles { @for piece in in_working_order(plan) { (tile(key, piece, light)) } }
            details.after { summary { "Another piece" } (new_piece(key, |_| String::new())) }
        }
        (matched(key, plan))
        (together)
    }
}

/// Each set in a line: whether it holds, and where it is worst.
fn matched(key: &str, plan: &Plan) -> Markup {
    html! {
        @if !plan.sets.is_empty() {
            section aria-labelledby="matched" {
                h2 id="matched" { "What must match" }
                ul { @for set in &plan.sets { li {
                    b { (set.name) ": " } (set.verdict)
                    @if let Some(worst) = set.pairs.first() { span.quiet { " Widest apart under " (worst.light) ": " (apart(worst.worst)) "." } }
                } } }
                p { a href={ "/c/" (key) "/match" } { "Every pair, edge to edge, under every light" } }
            }
        }
    }
}

/// The first few in sight, the others a touch away: the pieces are what the page is for.
const FIRST: usize = 3;

fn attention(lines: &[String]) -> Markup {
    let (first, more) = lines.split_at(lines.len().min(FIRST));
    html! {
        @if !first.is_empty() {
            section aria-labelledby="attention" {
                h2 id="attention" { "What needs attention" }
                ol { @for line in first { li { (without_commands(line)) } } }
                @if !more.is_empty() {
                    details { summary { "And " (more.len()) " more" } ol start=(FIRST + 1) { @for line in more { li { (without_commands(line)) } } } }
                }
            }
        }
    }
}

/// Pieces in the order in which the days take them; what has no day comes last, in the order of the file.
fn in_working_order(plan: &Plan) -> Vec<&PiecePlan> {
    let mut order: Vec<&str> = vec![];
    if let Some(days) = &plan.days {
        for day in &days.days {
            for item in &day.items {
                for id in item.piece.iter() {
                    if !order.contains(&id.as_str()) {
                        order.push(id);
                    }
                }
            }
        }
    }
    let place =
        |piece: &PiecePlan| order.iter().position(|id| *id == piece.id).unwrap_or(usize::MAX);
    let mut pieces: Vec<&PiecePlan> = plan.pieces.iter().collect();
    pieces.sort_by_key(|piece| place(piece));
    pieces
}

fn facts(key: &str, plan: &Plan) -> Markup {
    let broken = plan.sets.iter().filter(|set| !set.holds).count();
    html! {
        dl.facts.big {
            @if let Some(day) = &plan.costume.day { div { dt { "Ready by" } dd { (day) } } }
            @if let Some(days) = &plan.days {
                div { dt { a href={ "/c/" (key) "/days" } { "The date" } } dd { (days.verdict) } }
            }
            @if !plan.sets.is_empty() {
                div { dt { a href={ "/c/" (key) "/match" } { "What must match" } }
                    dd { @if broken == 0 { "every set holds" } @else { (broken) " of " (plan.sets.len()) " sets do not hold" } } }
            }
            div { dt { a href={ "/c/" (key) "/shopping" } { "To pay" } }
                @let unpriced = plan.shopping.rows.iter().filter(|row| row.cost.is_none()).count();
                dd { (money(plan.shopping.to_pay, &plan.costume.currency)) @if unpriced > 0 { ", and " (unpriced) " without a price" } } }
        }
    }
}

fn tile(key: &str, piece: &PiecePlan, light: Option<&str>) -> Markup {
    let mut seen =
        vec![ChipOf { head: "Target", colour: &piece.target, standing: Standing::Given }];
    if let Some(expected) = &piece.expected {
        seen.push(ChipOf {
            head: "Expected",
            colour: &expected.colour,
            standing: Standing::Estimate,
        });
    }
    html! {
        li.tile {
            h3 { a href={ "/c/" (key) "/p/" (piece.id) } { (piece.name) } }
            @match light {
                Some(light) => (lights::under(piece, light)),
                None => {
                    (small_chips_of(&seen, piece.special.surface.as_ref().map(|s| s.kind)))
                    p { (piece.target.words)
                        @if let Some(recipe) = piece.recipes.first() { "; " span.estimate { "expected" } " " (apart(recipe.difference)) " from it" } }
                    @if let Some(surface) = &piece.special.surface { p.quiet { "Not flat: " (surface.kind) "; the foot of its chip shows how." } }
                }
            }
            p.quiet { (piece.goods.words) ", " (piece.goods.dry_g) "\u{a0}g" }
            p { b { (next_of(piece)) } }
        }
    }
}

/// The one next thing for a piece.
pub(super) fn next_of(piece: &PiecePlan) -> String {
    if let Some(recorded) = &piece.special.recorded {
        return match (recorded.whole, recorded.read) {
            (true, true) => "Dyed and read: see how it is judged".to_owned(),
            (true, false) => "It was dyed: read it and judge it".to_owned(),
            (false, _) => format!("Read its swatch: {}", recorded.unread.join(", ")),
        };
    }
    match piece.outcome {
        Outcome::Leave => "Nothing to do".to_owned(),
        Outcome::NoBath => match piece.tests.first() {
            Some(test) => format!("Test it: {}", test.test),
            None => sentence(&piece.why),
        },
        Outcome::SharesBath => "It lies in another piece's bath".to_owned(),
        Outcome::Bath => match piece.sheets.iter().find(|s| s.kind == "swatch") {
            Some(swatch) => match &swatch.code {
                Some(code) => format!("Dye its swatch, card {code}"),
                None => "Dye its swatch".to_owned(),
            },
            None => "Dye it".to_owned(),
        },
    }
}

/// The form of another piece, with what was typed.
pub(super) fn new_piece(key: &str, typed: impl Fn(&str) -> String) -> Markup {
    html! {
            form.question method="post" action={ "/c/" (key) "/pieces" } {
                @for (name, label, hint) in [("name", "What it is", "as: left glove"), ("cloth", "The cloth", "a fibre, a blend as 65 cotton, 35 polyester, or unknown"), ("weight", "Its weight, dry", "as 250 g"), ("target", "The colour it shall be", "as #2f6f5a, or L* a* b*: 45 -12.5 8")] {
                    div.field {
                        label for={ "new-" (name) } { (label) }
                        input id={ "new-" (name) } name=(name) value=(typed(name)) required autocomplete="off" aria-describedby={ "new-" (name) "-how" };
                        p.how id={ "new-" (name) "-how" } { (sentence(hint)) }
                    }
                }
                button type="submit" { "Add the piece" }
            }
    }
}

/// The form of the costume's own name, note and day.
pub(super) fn head_form(key: &str, written: &HeadAsWritten) -> Markup {
    html! {
        form.question method="post" action={ "/c/" (key) } {
            input type="hidden" name="since" value=(written.mark);
            div.field { label for="name" { "What it is called" } input id="name" name="name" required maxlength="120" value=(written.name) autocomplete="off"; }
            div.field { label for="note" { "What is to be said of it" } input id="note" name="note" value=(written.note) autocomplete="off"; }
            div.field { label for="day" { "The day it must be ready" } input id="day" name="day" type="date" value=(written.day); }
            button type="submit" { "Save" }
        }
    }
}

/// The shelves a costume can name without a path that leads away: those of its own folder and beneath.
pub(super) fn shelves(room: &Room, costume: &CostumeFound) -> Result<Vec<String>, Trouble> {
    let Some(folder) = costume.path.parent() else { return Ok(vec![]) };
    let all = shelves_in(room.folder())?;
    let near = all.iter().filter_map(|one| one.path.strip_prefix(folder).ok());
    Ok(near.map(|path| path.to_string_lossy().into_owned()).collect())
}

fn shelf_called(shelf: &str) -> &str {
    if shelf.is_empty() { "the starter shelf" } else { shelf }
}

/// The form that says which shelf a costume is dyed with.
fn shelf_form(key: &str, written: &HeadAsWritten, all: &[String]) -> Markup {
    let now = &written.shelf;
    let more = (!now.is_empty() && !all.contains(now)).then_some(now);
    html! {
        @if all.is_empty() { p { "There is no shelf of your own beside this costume yet. " a href="/shelf" { "Put your first dye on one" } "; then it can be chosen here." } }
        form.question method="post" action={ "/c/" (key) "/shelf" } {
            input type="hidden" name="since" value=(written.mark);
            div.field { label for="its-shelf" { "The shelf" }
                select id="its-shelf" name="shelf" {
                    option value="" selected[now.is_empty()] { "The starter shelf: dyes of every kind, by estimate" }
                    @for one in all.iter().chain(more) { option value=(one) selected[one == now] { (one) } }
                } }
            (only_these(&written.have))
            button type="submit" { "Plan with it" }
        }
    }
}

/// `/c/{costume}/match`.
pub(super) async fn matching(State(room): In, Of(key): Of<String>) -> Response {
    answered(room, Here::Costume, move |room| {
        let opened = Opened::of(room, &key)?;
        opened.page("What must match", "/match", |plan| {
            Ok(html! {
                h1 { "What must match" }
                @if plan.sets.is_empty() && plan.fixed.is_empty() {
                    p { "No piece is said to match another. Say so in the costume’s file, under " code { "[[match]]" } "." }
                }
                (part(plan, Part::Sets))
                (together::together(&opened, plan)?)
            })
        })
    })
    .await
}

/// `/c/{costume}/days`: the verdict, and one day at a time.
pub(super) async fn days(
    State(room): In,
    Of(key): Of<String>,
    Query(fields): Query<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let opened = Opened::of(room, &key)?;
        let only = fields.get("day").and_then(|n| n.parse::<usize>().ok()).unwrap_or(1);
        let today = room.today()?;
        opened.page("Days", "/days", |plan| {
            Ok(html! {
                h1 { "Which day, which pot" }
                @if plan.days.is_none() {
                    p { "There are no days yet: say when the costume must be ready." }
                } @else {
                    p { a href={ "/c/" (key) "/print/calendar" } download { "The days as a calendar" } " for your phone: it rings even while this \
                        machine sleeps." }
                }
                (late::on_the_days(&opened, plan, today)?)
                // What to do today comes first; how the goods are scoured is looked up from there.
                (day_part(plan, only.saturating_sub(1), &|at| format!("/c/{key}/days?day={}#days", at + 1)))
                (part(plan, Part::Scours))
            })
        })
    })
    .await
}

/// `/c/{costume}/shopping`.
pub(super) async fn shopping(State(room): In, Of(key): Of<String>) -> Response {
    answered(room, Here::Costume, move |room| {
        let opened = Opened::of(room, &key)?;
        opened.page("Shopping", "/shopping", |plan| {
            Ok(html! {
                h1 { "Shopping" }
                p { a href={ "/c/" (key) "/print/shopping-list" } { "The list to print" } ", or " a href={ "/c/" (key) "/print/shopping" } download { "as a table (CSV)" } }
                (part(plan, Part::Shopping))
            })
        })
    })
    .await
}

/// `/c/{costume}/progress`: how far a plan is, for the page that shows it.
pub(super) async fn progress(State(room): In, Of(key): Of<String>) -> Response {
    answered(room, Here::Costume, move |room| {
        Ok(frame::progress(Opened::of(room, &key)?.look.busy.as_ref()))
    })
    .await
}

/// `POST /c/{costume}/stop`.
pub(super) async fn stop(State(room): In, Of(key): Of<String>) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        room.desks.stop(&costume.key);
        Ok(Redirect::to(&format!("/c/{key}")).into_response())
    })
    .await
}

/// `POST /c/{costume}/anew`.
pub(super) async fn anew(State(room): In, Of(key): Of<String>) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        room.desks.anew(&costume.key);
        Ok(Redirect::to(&format!("/c/{key}")).into_response())
    })
    .await
}
