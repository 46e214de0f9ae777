//! A piece dyed whole, on its page: the baths it was in, how it came out, and what that says.

use std::collections::BTreeMap;

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use paper::{ChipOf, Standing, chip_style, chips};
use workroom::document::{PiecePlan, Plan};
use workroom::{
    BathSeen, Corrected, Names, ReadingTyped, Trouble, keep_photo, record_dyed_reading,
    record_of_piece, undo_entry,
};

use super::answer::only_a_colour;
use super::frame::{self, Here, page as framed};
use super::opened::Opened;
use super::photograph;
use super::room::Room;
use super::routes::{In, answered};
use super::swatch::{BY, STATES};
use super::words::apart;

/// The part of a piece's page; nothing where the piece was never dyed whole.
pub(super) fn dyed(
    room: &Room,
    opened: &Opened,
    plan: &Plan,
    piece: &PiecePlan,
    judged: Option<&Corrected>,
) -> Markup {
    if piece.special.recorded.as_ref().is_none_or(|recorded| !recorded.whole) {
        return html! {};
    }
    let book = opened.book(room);
    let Ok(record) = record_of_piece(Some(&book), &piece.id, Some(&plan.costume.name)) else {
        return html! {};
    };
    let here = format!("/c/{}/p/{}", opened.costume.key, piece.id);
    let names = Names::of(plan);
    html! {
        section.dyed aria-labelledby="dyed" {
            h2 id="dyed" tabindex="-1" { "Dyed whole" }
            ul.baths-done { @for bath in &record.baths { (bath_done(&here, bath, &names)) } }
            @if let Some(judged) = judged { (says(judged)) }
            @else if record.baths.iter().any(|bath| !bath.readings.is_empty()) {
                p { "It is read, and nothing can be said yet: a reading counts once it is washed off, dry, cool and ironed." }
            }
            details open[record.baths.iter().all(|bath| bath.readings.is_empty())] {
                summary { "How it came out" }
                (photograph::upload(&format!("{here}/dyed/photo"), "dyed-photo"))
                h3 { "Or read some other way" }
                (form(&here, &usual(&plan.costume.today), None))
            }
        }
    }
}

fn bath_done(here: &str, bath: &BathSeen, names: &Names) -> Markup {
    html! {
        li {
            p { b { (bath.day) } ", " (bath.purpose) ", " (bath.goods_g) "\u{a0}g"
                @if let Some(min) = bath.minutes { ", " (min) "\u{a0}min" }
                @if let Some(hot) = bath.hottest_c { ", " (hot) " °C at the hottest" }
                @if let Some(code) = &bath.from_swatch { ", by swatch " (code) } "." }
            ul.doses { @for dose in &bath.doses { li { (names.called(&dose.of)) ": " (dose.amount) } } }
            @if let Some(note) = &bath.note { p { (note) } }
            @for read in &bath.readings {
                div.row.reading {
                    @if let Some(style) = read.hex.as_deref().and_then(chip_style) {
                        div.mount.small { div.chips { span.chip.given role="img" aria-label={ "As read: " (read.words.as_deref().unwrap_or("a colour")) } style=(style) {} } }
                    }
                    p { "Read: " (read.words.as_deref().unwrap_or("a colour")) }
                    (take_back(here, read.entry, "Take this reading back"))
                }
            }
            @if bath.readings.is_empty() { (take_back(here, bath.entry, "Take this dyeing back")) }
        }
    }
}

fn take_back(here: &str, entry: i64, words: &str) -> Markup {
    html! {
        form method="post" action={ (here) "/dyed/undo" } {
            input type="hidden" name="entry" value=(entry);
            button.second type="submit" { (words) span.unseen { ", entry " (entry) } }
        }
    }
}

/// What the dyed piece says: its colour as read beside the one wanted, and what to do.
fn says(now: &Corrected) -> Markup {
    let it = &now.it;
    let given = |head, colour| ChipOf { head, colour, standing: Standing::Given };
    html! {
        h3 id="dyed-says" { "What the dyed piece says" }
        (chips(&[given("Target", &it.target), given("As it came out", &it.read)]))
        p { "Judged by " (now.by) ": it reads " b { (apart(it.read_difference)) } " from the colour wanted; " (apart(it.passes)) " passes." }
        @for line in &it.words { p { (line) } }
        @if !it.otherwise.is_empty() {
            h4 { "What is left where adding does not help" }
            ul { @for one in &it.otherwise { li { (one.words) @for caution in &one.cautions { " " b { (caution) } } } } }
        }
    }
}

/// A reading as it usually is, before anything was typed.
pub(super) fn usual(today: &str) -> ReadingTyped {
    ReadingTyped {
        day: today.to_owned(),
        spread: BY[0].1.to_owned(),
        state: STATES.iter().map(|(name, _)| (*name).to_owned()).collect(),
        by: BY[0].0.to_owned(),
        ..ReadingTyped::default()
    }
}

/// How it came out, as a form; with the number and the size of the photograph that it was read from.
pub(super) fn form(here: &str, typed: &ReadingTyped, photo: Option<(u64, usize)>) -> Markup {
    html! {
        form.question method="post" action={ (here) "/dyed" } {
            div.field {
                label for="dyed-colour" { "How the piece reads" }
                div.pick { input id="dyed-colour" name="colour" value=(typed.colour) required autocomplete="off" aria-describedby="dyed-colour-how";
                    input.picker type="color" value="#808080" aria-label="Pick the colour of the piece" data-fills="dyed-colour"; }
                p.how id="dyed-colour-how" { "L* a* b* for daylight: 45 -12.5 8; or #2f6f5a." }
            }
            div.field { label for="dyed-day" { "The day it was read" } input id="dyed-day" name="day" type="date" value=(typed.day) required; }
            fieldset {
                legend { "The state the piece was read in" }
                @for (name, words) in STATES {
                    label.check { input type="checkbox" name={ "state-" (name) } checked[typed.state.iter().any(|s| s == name)]; span { (words) } }
                }
                p.how { "A reading of wet, warm or unsoaped cloth is kept, and nothing is judged by it." }
            }
            div.field {
                label for="dyed-by" { "Read by" }
                select id="dyed-by" name="by" { @for (word, _, words) in BY { option value=(word) selected[*word == typed.by] { (words) } } }
            }
            div.field {
                label for="dyed-spread" { "How far that may be off (ΔE00)" }
                input id="dyed-spread" name="spread" value=(typed.spread) inputmode="decimal" autocomplete="off" aria-describedby="dyed-spread-how";
                p.how id="dyed-spread-how" { "About " @for (at, (_, spread, words)) in BY.iter().enumerate() { @if at > 0 { ", " } (spread) " for " (words) } "." }
            }
            div.field { label for="dyed-light" { "The light it was read in" } input id="dyed-light" name="light" value=(typed.light) autocomplete="off"; }
            div.field { label for="dyed-reader" { "Whose eye, which camera" } input id="dyed-reader" name="reader" value=(typed.reader) autocomplete="off"; }
            input type="hidden" name="job" value=(typed.job);
            @if let Some((number, bytes)) = photo {
                input type="hidden" name="photo" value=(number);
                label.check { input type="checkbox" name="keep" checked; span { "Keep the photograph in the workbook too (" (bytes.div_ceil(1 << 20)) " MB)" } }
            }
            button type="submit" { "Record how it came out" }
        }
    }
}

/// `POST /c/{costume}/p/{piece}/dyed`.
pub(super) async fn read(
    State(room): In,
    Path((key, id)): Path<(String, String)>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let here = format!("/c/{key}/p/{id}");
        let typed = typed(&fields);
        // The workbook knows the costume by the name its plan has.
        let opened = Opened::of(room, &key)?;
        let name =
            opened.look.plan().map_or(costume.name.clone(), |plan| plan.costume.name.clone());
        let photo = fields.get("photo").and_then(|n| n.parse().ok());
        let photo = photo.and_then(|n| room.tray.numbered(n).ok());
        let done = only_a_colour(&typed.colour).and_then(|_| {
            let of = (name.as_str(), id.as_str());
            let made =
                record_dyed_reading(&costume.path, of, &typed, room.book(), &room.recording())?;
            if let Some(photo) = &photo {
                if fields.contains_key("keep") {
                    let note = format!("{id}, dyed whole: {}", photo.job);
                    keep_photo(
                        photo,
                        Some(&opened.book(room)),
                        Some(of),
                        &note,
                        &room.recording(),
                    )?;
                }
                room.tray.take_away(photo.number)?;
            }
            Ok(made)
        });
        Ok(match done {
            Ok(_) => Redirect::to(&format!("{here}#dyed")).into_response(),
            Err(why) => {
                let body = html! {
                    h1 { "How it came out" }
                    (frame::trouble(&why))
                    (form(&here, &typed, photo.as_ref().map(|p| (p.number, p.bytes))))
                    p { a href=(here) { "Leave it" } }
                };
                let page = framed("How it came out", Here::Costume, &body);
                (frame::status(&why), page).into_response()
            }
        })
    })
    .await
}

fn typed(fields: &BTreeMap<String, String>) -> ReadingTyped {
    let field = |name: &str| fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default();
    let state = STATES.iter().filter(|(name, _)| fields.contains_key(&format!("state-{name}")));
    ReadingTyped {
        colour: field("colour"),
        spread: field("spread"),
        day: field("day"),
        state: state.map(|(name, _)| (*name).to_owned()).collect(),
        by: field("by"),
        reader: field("reader"),
        light: field("light"),
        job: field("job"),
    }
}

/// `POST /c/{costume}/p/{piece}/dyed/undo`.
pub(super) async fn undo(
    State(room): In,
    Path((key, id)): Path<(String, String)>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let opened = Opened::of(room, &key)?;
        let entry =
            fields.get("entry").and_then(|n| n.parse().ok()).ok_or_else(|| Trouble::Refused {
                says: "no entry was named".to_owned(),
                hint: "take it back from the piece's page".to_owned(),
            })?;
        undo_entry(Some(&opened.book(room)), Some(entry), &room.recording())?;
        Ok(Redirect::to(&format!("/c/{key}/p/{id}#dyed")).into_response())
    })
    .await
}
