//! A swatch dyed and read: its card as a form, filled in as planned, to be changed to what was really done.

use std::collections::BTreeMap;
use std::path::Path as FilePath;

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use workroom::document::{PiecePlan, Sheet};
use workroom::{
    SwatchTyped, Trouble, WORKBOOK, bath_clocks, keep_photo, record_typed, swatch_of_card,
};

use super::answer::only_a_colour;
use super::bath::name_of;
use super::frame::{self, Here, page as framed};
use super::opened::Opened;
use super::photograph;
use super::room::Room;
use super::routes::{In, answered};

/// States a reading may be in: their names in the form and in words.
pub(super) const STATES: &[(&str, &str)] = &[
    ("washed_off", "soaped and washed off"),
    ("dry", "dry"),
    ("cool", "cooled"),
    ("ironed", "ironed flat"),
];

/// By what a colour was read, and how far such a reading may be off (rms ΔE00; common practice for phone and eye).
pub(super) const BY: &[(&str, &str, &str)] = &[
    ("photograph", "1.0", "a photograph with a chart"),
    ("instrument", "0.3", "an instrument"),
    ("eye", "2.5", "by eye, against a card"),
];

/// The swatches of a piece that can be recorded, each as a form.
pub(super) fn forms(room: &Room, opened: &Opened, piece: &PiecePlan, today: &str) -> Markup {
    let key = &opened.costume.key;
    let before = dyed_before(opened, piece);
    let cards =
        piece.sheets.iter().filter(|sheet| sheet.code.is_some()).chain(before.iter().copied());
    html! {
        @if piece.sheets.iter().any(|sheet| sheet.code.is_some()) || !before.is_empty() { h2.over-part id="swatches" tabindex="-1" { "Swatches and readings" } }
        @for sheet in cards {
            section aria-labelledby={ "card-" (sheet.code.as_deref().unwrap_or_default()) } {
                h2 id={ "card-" (sheet.code.as_deref().unwrap_or_default()) } { "Swatch " (sheet.code.as_deref().unwrap_or_default()) ", when it is dyed" }
                @if before.iter().any(|one| std::ptr::eq(*one, sheet)) { p.absent { "Begun by a plan before this one, which has another recipe by now." } }
                (photograph::way(key, &piece.id, sheet.code.as_deref().unwrap_or_default()))
                details { summary { "Record it" }
                    (form(key, &piece.id, sheet, &filled(room, opened, sheet, today), None))
                }
            }
        }
    }
}

/// Swatches of a piece that were begun by a plan before this one, and whose cards it has no more.
fn dyed_before<'o>(opened: &'o Opened, piece: &PiecePlan) -> Vec<&'o Sheet> {
    let clocks = bath_clocks(&opened.costume.path).unwrap_or_default();
    let mut found: Vec<&Sheet> = vec![];
    for made in opened.look.earlier.iter().rev() {
        let Some(was) = made.plan.pieces.iter().find(|p| p.id == piece.id) else { continue };
        for sheet in was.sheets.iter().filter(|sheet| sheet.code.is_some()) {
            let known =
                piece.sheets.iter().chain(found.iter().copied()).any(|s| s.code == sheet.code);
            let begun = clocks.get(&name_of(was, sheet)).is_some_and(|clock| clock.begun.is_some());
            if begun && !known {
                found.push(sheet);
            }
        }
    }
    found
}

/// The card filled in: as the workbook has it where the swatch was recorded and not read yet, else as planned.
pub(super) fn filled(room: &Room, opened: &Opened, sheet: &Sheet, today: &str) -> SwatchTyped {
    let mut typed = as_planned(sheet, today);
    let book = room
        .book()
        .map_or_else(|| opened.costume.path.with_file_name(WORKBOOK), FilePath::to_path_buf);
    let Ok(Some(recorded)) = swatch_of_card(Some(&book), &typed.code) else { return typed };
    typed.day = recorded.day.unwrap_or_default();
    typed.note = recorded.note.unwrap_or_default();
    for dose in &recorded.doses {
        let grams = dose.amount.strip_suffix(" g").and_then(|n| n.parse::<f64>().ok());
        let Some(grams) = grams else { continue };
        let other = sheet.auxiliaries.iter().find(|one| one.id == dose.of || one.name == dose.of);
        if let Some(other) = other {
            typed.doses.insert(other.id.clone(), grams.to_string());
        }
        let dye = sheet.dyes.iter().find(|dye| dye.name == dose.of || dye.id == dose.of);
        let Some(dye) = dye else { continue };
        let stock = dye.stock_pct.filter(|_| dye.how == "stock");
        // A stock of so many grams in 100 mL, to the last digit that a syringe shows.
        let amount = stock.map_or(grams, |pct| (100.0 * grams / pct * 1e6).round() / 1e6);
        typed.doses.insert(dye.id.clone(), amount.to_string());
    }
    typed
}

fn as_planned(sheet: &Sheet, today: &str) -> SwatchTyped {
    let dyes = sheet.dyes.iter().map(|dye| {
        let planned = dye.stock_ml.filter(|_| dye.how == "stock").unwrap_or(dye.grams);
        (dye.id.clone(), planned.to_string())
    });
    let others = sheet.auxiliaries.iter().map(|one| (one.id.clone(), one.grams.to_string()));
    SwatchTyped {
        code: sheet.code.clone().unwrap_or_default(),
        day: today.to_owned(),
        doses: dyes.chain(others).collect(),
        spread: BY[0].1.to_owned(),
        state: STATES.iter().map(|(name, _)| (*name).to_owned()).collect(),
        by: BY[0].0.to_owned(),
        ..SwatchTyped::default()
    }
}

/// The card as a form; with the number and the size of the photograph that it was read from.
pub(super) fn form(
    key: &str,
    id: &str,
    sheet: &Sheet,
    typed: &SwatchTyped,
    photo: Option<(u64, usize)>,
) -> Markup {
    let code = &typed.code;
    let dose = |of: &str| typed.doses.get(of).map(String::as_str).unwrap_or_default();
    let amount = |of: &str, name: &str, unit: &str| {
        html! {
            div.field {
                label for={ (code) "-" (of) } { (name) ", " (unit) }
                input id={ (code) "-" (of) } name={ "dose-" (of) } value=(dose(of)) inputmode="decimal" autocomplete="off";
            }
        }
    };
    html! {
        form.question method="post" action={ "/c/" (key) "/p/" (id) "/swatch/" (code) } {
            div.field { label for={ (code) "-day" } { "The day it was dyed" } input id={ (code) "-day" } name="day" type="date" value=(typed.day) required; }
            div.field {
                label for={ (code) "-colour" } { "How it reads" }
                div.pick { input id={ (code) "-colour" } name="colour" value=(typed.colour) autocomplete="off" aria-describedby={ (code) "-colour-how" };
                    input.picker type="color" value="#808080" aria-label="Pick a colour" data-fills={ (code) "-colour" }; }
                p.how id={ (code) "-colour-how" } { "L* a* b* for daylight: 45 -12.5 8; or #2f6f5a. Left empty: not read yet." }
            }
            fieldset {
                legend { "What was really dosed" }
                div.question {
                    @for dye in &sheet.dyes {
                        @match (dye.how, dye.stock_pct) {
                            ("stock", Some(pct)) => (amount(&dye.id, &dye.name, &format!("mL of {pct} % stock"))),
                            _ => (amount(&dye.id, &dye.name, "g")),
                        }
                    }
                    @for one in &sheet.auxiliaries { (amount(&one.id, &one.name, "g")) }
                }
            }
            fieldset {
                legend { "The state it was read in" }
                @for (name, words) in STATES {
                    label.check { input type="checkbox" name={ "state-" (name) } checked[typed.state.iter().any(|s| s == name)]; span { (words) } }
                }
                p.how { "A reading of wet, warm or unsoaped cloth is kept, and nothing is learnt from it." }
            }
            div.field {
                label for={ (code) "-by" } { "Read by" }
                select id={ (code) "-by" } name="by" { @for (word, _, words) in BY { option value=(word) selected[*word == typed.by] { (words) } } }
            }
            div.field {
                label for={ (code) "-spread" } { "How far that may be off (ΔE00)" }
                input id={ (code) "-spread" } name="spread" value=(typed.spread) inputmode="decimal" autocomplete="off" aria-describedby={ (code) "-spread-how" };
                p.how id={ (code) "-spread-how" } { "About " @for (at, (_, spread, words)) in BY.iter().enumerate() { @if at > 0 { ", " } (spread) " for " (words) } "." }
            }
            div.field { label for={ (code) "-reader" } { "Whose eye, which camera" } input id={ (code) "-reader" } name="reader" value=(typed.reader) autocomplete="off"; }
            div.field { label for={ (code) "-light" } { "The light it was read in" } input id={ (code) "-light" } name="light" value=(typed.light) autocomplete="off"; }
            input type="hidden" name="note" value=(typed.note);
            input type="hidden" name="job" value=(typed.job);
            @if let Some((number, bytes)) = photo {
                input type="hidden" name="photo" value=(number);
                label.check { input type="checkbox" name="keep" checked; span { "Keep the photograph in the workbook too (" (bytes.div_ceil(1 << 20)) " MB)" } }
            }
            button type="submit" { "Record the swatch" }
        }
    }
}

/// `POST /c/{costume}/p/{piece}/swatch/{code}`.
pub(super) async fn record(
    State(room): In,
    Path((key, id, code)): Path<(String, String, String)>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| recorded(room, &key, &id, &code, &fields)).await
}

fn recorded(
    room: &Room,
    key: &str,
    id: &str,
    code: &str,
    fields: &BTreeMap<String, String>,
) -> Result<Response, Trouble> {
    let opened = Opened::with_card(room, key, code)?;
    let nothing = || Trouble::Refused {
        says: format!("there is no card {code} in the plan as it is now"),
        hint: "look at the piece again: its recipe may have changed since".to_owned(),
    };
    let plan = opened.look.plan().ok_or_else(nothing)?;
    let piece = plan.pieces.iter().find(|p| p.id == id).ok_or_else(nothing)?;
    let carded = |sheet: &&Sheet| sheet.code.as_deref() == Some(code);
    let sheet = piece.sheets.iter().find(carded).ok_or_else(nothing)?;
    let typed = typed(code, fields);
    let done = match typed.colour.is_empty() {
        true => Ok(()),
        false => only_a_colour(&typed.colour).map(drop),
    };
    let photo =
        fields.get("photo").and_then(|n| n.parse().ok()).and_then(|n| room.tray.numbered(n).ok());
    let done = done.and_then(|()| {
        let path = &opened.costume.path;
        let made = record_typed(path, plan, &typed, room.book(), &room.recording())?;
        if let Some(photo) = &photo {
            if fields.contains_key("keep") && made.readings > 0 {
                let book = room
                    .book()
                    .map_or_else(|| path.with_file_name(WORKBOOK), FilePath::to_path_buf);
                let note = format!("swatch {code}: {}", photo.job);
                let of = (plan.costume.name.as_str(), id);
                keep_photo(photo, Some(&book), Some(of), &note, &room.recording())?;
            }
            room.tray.take_away(photo.number)?;
        }
        Ok(made)
    });
    match done {
        Ok(_) => Ok(Redirect::to(&format!("/c/{key}/p/{id}#swatched")).into_response()),
        Err(why) => {
            let body = html! {
                h1 { (piece.name) ": swatch " (code) }
                (frame::trouble(&why))
                (form(key, id, sheet, &typed, photo.as_ref().map(|p| (p.number, p.bytes))))
                p { a href={ "/c/" (key) "/p/" (id) } { "Leave it" } }
            };
            let page = framed("The swatch", Here::Costume, &body);
            Ok((frame::status(&why), page).into_response())
        }
    }
}

fn typed(code: &str, fields: &BTreeMap<String, String>) -> SwatchTyped {
    let field = |name: &str| fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default();
    let dose = |(name, given): (&String, &String)| {
        Some((name.strip_prefix("dose-")?.to_owned(), given.trim().to_owned()))
    };
    let state = STATES.iter().filter(|(name, _)| fields.contains_key(&format!("state-{name}")));
    SwatchTyped {
        code: code.to_owned(),
        day: field("day"),
        doses: fields.iter().filter_map(dose).collect(),
        colour: field("colour"),
        spread: field("spread"),
        state: state.map(|(name, _)| (*name).to_owned()).collect(),
        by: field("by"),
        reader: field("reader"),
        light: field("light"),
        note: field("note"),
        job: field("job"),
    }
}
