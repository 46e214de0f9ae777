//! A piece: one page read from top to bottom in the order of the work.

use axum::extract::{Path, State};
use axum::response::Response;
use maud::{Markup, html};
use paper::{ChipOf, Standing, chips, piece_headings, piece_part};
use workroom::document::{Expected, PiecePlan, Plan, Say, Sheet};
use workroom::{Corrected, PieceAsWritten, Trouble, piece_as_written};

use super::answer::{SEEN_FROM, colours};
use super::costume;
use super::dyed;
use super::frame::Here;
use super::lights;
use super::opened::Opened;
use super::room::Room;
use super::routes::{In, answered};
use super::swatch;
use super::words::{apart, owf, sentence, without_commands};

/// `/c/{costume}/p/{piece}`.
pub(super) async fn page(State(room): In, Path((key, id)): Path<(String, String)>) -> Response {
    answered(room, Here::Costume, move |room| shown(room, &key, &id)).await
}

fn shown(room: &Room, key: &str, id: &str) -> Result<Response, Trouble> {
    let opened = Opened::of(room, key)?;
    let written = piece_as_written(&opened.costume.path, id).ok();
    let title = opened
        .look
        .plan()
        .and_then(|plan| plan.pieces.iter().find(|p| p.id == id))
        .map_or_else(|| id.to_owned(), |piece| piece.name.clone());
    opened.page_told(&title, "/p", |plan, news| {
        let (Some(piece), Some(all)) =
            (plan.pieces.iter().find(|p| p.id == id), piece_part(plan, id))
        else {
            return Err(Trouble::Refused {
                says: format!("there is no piece \"{id}\" in this costume"),
                hint: "it may have been taken out: look at the costume".to_owned(),
            });
        };
        Ok(html! {
            h1 { (piece.name) }
            (news)
            section.first aria-label="The colours" {
                p.verdict { b { (costume::next_of(piece)) } }
                (colours(piece))
                @match &piece.expected {
                    Some(expected) => p.verdict { (expected.verdict) },
                    None => p.verdict { (sentence(&piece.why)) },
                }
                @if let Some(expected) = &piece.expected { (figures(piece, expected)) }
                (lights::of_the_screen(piece))
            }
            (in_order(plan, piece))
            @let whole = opened.look.made.as_ref().and_then(|made| made.dyed.get(id));
            (dyed::dyed(room, &opened, plan, piece, whole))
            @if let Some(written) = &written { (form(key, id, written)) }
            h2.over-part { "What was reckoned" }
            div.piece-part { (all) }
            @if let Some(written) = &written { (overruling(key, piece, written)) }
            @if let Some(made) = &opened.look.made { @if let Some(now) = made.corrections.get(id) { (judged(now)) } }
            (swatch::forms(room, &opened, piece, &plan.costume.today))
            (baths(key, piece))
            (wrong(piece))
            (record(key, piece, opened.book(room).exists()))
            (neighbours(key, plan, id))
        })
    })
}

/// The verdict's figures, for whoever wants them.
fn figures(piece: &PiecePlan, expected: &Expected) -> Markup {
    let lab = |[l, a, b]: [f64; 3]| format!("L* {l}, a* {a}, b* {b}");
    html! {
        details { summary { "The figures behind it" }
            dl.facts {
                div { dt { "Target" } dd { (lab(piece.target.lab)) } }
                div { dt { "Expected (" span.estimate { "estimate" } ")" } dd { (lab(expected.colour.lab)) } }
                @if let Some(recipe) = piece.recipes.first() {
                    div { dt { "Between them, daylight" } dd { (apart(recipe.difference)) } }
                    div { dt { "At worst (" (recipe.worst_light.light) ")" } dd { (apart(recipe.worst_light.difference)) } }
                }
                div { dt { "Nine recipes in ten within" } dd { (apart(expected.recipe_spread90)) } }
                div { dt { "Nine dyed pieces in ten within" } dd { (apart(expected.piece_spread90)) } }
                div { dt { "Judged for" } dd { (expected.viewing) } }
            }
            p.quiet { "Differences are CIEDE2000: about 1 is what an eye just sees with both side by side." }
        }
    }
}

/// The page's headings in the order of the work.
fn in_order(plan: &Plan, piece: &PiecePlan) -> Markup {
    let mut all = piece_headings(plan, &piece.id);
    let carded = piece.sheets.iter().any(|sheet| sheet.code.is_some());
    for (id, words, there) in [
        ("swatches", "Swatches and readings", carded),
        ("baths", "Bath sheets", !piece.sheets.is_empty()),
        ("wrong", "It went wrong", !piece.wrong.is_empty()),
        ("record", "The record", true),
    ] {
        if there {
            all.push((id.to_owned(), words));
        }
    }
    html! {
        nav.in-order aria-label="This piece, in the order of the work" {
            ol { @for (id, words) in &all { li { a href={ "#" (id) } { (words) } } } }
        }
    }
}

/// What is on record of it, and the page to keep.
fn record(key: &str, piece: &PiecePlan, book: bool) -> Markup {
    html! {
        section aria-labelledby="record" {
            h2 id="record" tabindex="-1" { "The record" }
            @match &piece.special.recorded {
                Some(recorded) => p { (without_commands(&recorded.words)) },
                None => p { "Nothing of this piece is on record as dyed whole yet." },
            }
            @if let Some(rests) = &piece.special.rests_on { p { (rests.words) } }
            @if book { p.ways-on { a href={ "/c/" (key) "/print/record-" (piece.id) } { "Its record, to keep and to print" } } }
            @else { p.quiet { "There is no workbook yet: it begins with the first swatch that is recorded." } }
        }
    }
}

/// What the maker said of the piece, to be changed here.
pub(super) fn form(key: &str, id: &str, written: &PieceAsWritten) -> Markup {
    let field = |name: &str, label: &str, value: &str, hint: &str, required: bool| {
        html! {
            div.field {
                label for=(name) { (label) }
                input id=(name) name=(name) value=(value) required[required] autocomplete="off" aria-describedby={ (name) "-how" };
                p.how id={ (name) "-how" } { (sentence(hint)) }
            }
        }
    };
    html! {
        details.after open[written.fresh] {
            summary { "What you said of it: " (written.summary) }
            form.question method="post" action={ "/c/" (key) "/p/" (id) } {
                input type="hidden" name="since" value=(written.mark);
                (field("name", "What it is called", &written.name, "as on its label", true))
                (field("cloth", "The cloth", &written.cloth, "a fibre, a blend as 65 cotton, 35 polyester, or unknown", true))
                (field("weight", "Its weight, dry", &written.weight, "as 250 g; left as it is where it is reckoned from its size", false))
                (field("target", "The colour it shall be", &written.target, "as #2f6f5a, or L* a* b*: 45 -12.5 8", true))
                (field("undyed", "The cloth before dyeing", &written.undyed, "white, natural, or a colour", false))
                div.field {
                    label for="seen_from" { "From how near it is seen" }
                    select id="seen_from" name="seen_from" { @for (word, name) in SEEN_FROM {
                        option value=(word) selected[*word == written.seen_from] { (name) }
                    } }
                }
                div.field {
                    label for="worth" { "When time runs out" }
                    select id="worth" name="worth" { @for (word, name) in [("", "should be done (usual)"), ("must", "must be done"), ("should", "should be done"), ("could", "may be dropped first")] {
                        option value=(word) selected[word == written.worth] { (name) }
                    } }
                }
                button type="submit" { "Save and reckon again" }
            }
            form method="post" action={ "/c/" (key) "/p/" (id) "/drop" } { button.second type="submit" { "Take this piece out of the costume" } }
        }
    }
}

/// Advice that the maker has read and overrules, to be ticked; nothing where there is none to overrule.
fn overruling(key: &str, piece: &PiecePlan, written: &PieceAsWritten) -> Markup {
    let told = |id: &str| ["no-bath", "goods", "target-assumed", "programme"].contains(&id);
    let all: Vec<_> = piece.advice.iter().filter(|one| !told(&one.id)).collect();
    html! {
        @if !all.is_empty() {
            details.after { summary { "Advice that you have read and overrule" }
                form method="post" action={ "/c/" (key) "/p/" (piece.id) } {
                    input type="hidden" name="since" value=(written.mark);
                    input type="hidden" name="advice" value="yes";
                    @for one in all { label.check { input type="checkbox" name={ "overrule-" (one.id) } checked[one.overruled]; span { (one.text) } } }
                    button.second type="submit" { "Save, and plan as I say" }
                }
            }
        }
    }
}

/// What the swatches say: the colour as read beside the one wanted, and what to do.
fn judged(now: &Corrected) -> Markup {
    let it = &now.it;
    let given = |head, colour| ChipOf { head, colour, standing: Standing::Given };
    html! {
        section aria-labelledby="swatched" {
            h2 id="swatched" { "What its swatches say" }
            (chips(&[given("Target", &it.target), given("As read", &it.read)]))
            p { "Swatch " b { (it.swatch) } " reads " b { (apart(it.read_difference)) } " from the colour wanted; "
                (apart(it.passes)) " passes." }
            @for line in &it.words { p { (line) } }
            p.quiet { "Not as it was? " a href="/book#entries" { "Take the entry back in the swatch book" } "." }
            @if let Some(next) = it.next.as_ref().filter(|_| it.say != Say::Stop) {
                h3 { "The next swatch" }
                ul.doses { @for dye in &next.dyes { li { (dye.name) ": " (owf(dye.owf_pct)) " % owf" } } }
                p { "Expected " (apart(next.difference)) " from the colour wanted." }
            }
            @if !it.otherwise.is_empty() {
                h3 { "What is left where adding does not help" }
                ul { @for one in &it.otherwise { li { (one.words) @for caution in &one.cautions { " " b { (caution) } } } } }
            }
        }
    }
}

fn baths(key: &str, piece: &PiecePlan) -> Markup {
    html! {
        @if !piece.sheets.is_empty() {
            section.baths aria-labelledby="baths" {
                h2 id="baths" { "Beside the pot" }
                ul.tiles { @for (at, sheet) in piece.sheets.iter().enumerate() {
                    li.tile { h3 { a href={ "/c/" (key) "/p/" (piece.id) "/bath/" (at) } { (bath_name(sheet)) } }
                        p { (sheet.title) ", " (sheet.total_min) "\u{a0}minutes in all" }
                        @if let Some(line) = &sheet.first_line { p { b { (sentence(line)) } } }
                    }
                } }
            }
        }
    }
}

/// What a bath is called.
pub(super) fn bath_name(sheet: &Sheet) -> String {
    match (&sheet.code, sheet.kind) {
        (Some(code), "swatch") => format!("The swatch bath, card {code}"),
        (_, kind) => format!("The {kind} bath"),
    }
}

/// What can be seen on the goods, why it probably is, and what then.
pub(super) fn wrong(piece: &PiecePlan) -> Markup {
    html! {
        @if !piece.wrong.is_empty() {
            section aria-labelledby="wrong" {
                h2 id="wrong" tabindex="-1" { "What is seen on the goods" }
                p { "Once nothing is in danger. For the first five minutes: " a href="/wrong" { "it went wrong" } "." }
                @for one in &piece.wrong {
                    details { summary { (sentence(&one.sight)) }
                        p { b { "Likely: " } (sentence(&one.cause)) }
                        @if let Some(check) = &one.check { p { b { "Check: " } (sentence(check)) } }
                        p { b { "Then: " } (sentence(&one.remedy)) }
                    }
                }
            }
        }
    }
}

fn neighbours(key: &str, plan: &Plan, id: &str) -> Markup {
    let at = plan.pieces.iter().position(|p| p.id == id).unwrap_or(0);
    let before = at.checked_sub(1).and_then(|at| plan.pieces.get(at));
    let after = plan.pieces.get(at + 1);
    html! {
        nav.beside-pieces aria-label="Other pieces" {
            @if let Some(one) = before { a href={ "/c/" (key) "/p/" (one.id) } rel="prev" { "Before: " (one.name) } }
            a href={ "/c/" (key) } { "All pieces" }
            @if let Some(one) = after { a href={ "/c/" (key) "/p/" (one.id) } rel="next" { "After: " (one.name) } }
        }
    }
}
