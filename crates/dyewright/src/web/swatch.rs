//! A swatch dyed and read: its card as a form, filled in as planned, to be changed to what was really done.

use std::collections::BTreeMap;

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use workroom::document::{PiecePlan, Sheet};
use workroom::{SwatchTyped, Trouble, record_typed};

use super::answer::only_a_colour;
use super::costume::Opened;
use super::frame::{self, Here, page as framed};
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
pub(super) fn forms(key: &str, piece: &PiecePlan, today: &str) -> Markup {
    html! {
        @for sheet in piece.sheets.iter().filter(|sheet| sheet.code.is_some()) {
            section aria-labelledby={ "card-" (sheet.code.as_deref().unwrap_or_default()) } {
                h2 id={ "card-" (sheet.code.as_deref().unwrap_or_default()) } { "Swatch " (sheet.code.as_deref().unwrap_or_default()) ": dyed and read" }
                details { summary { "Record it" }
                    (form(key, &piece.id, sheet, &as_planned(sheet, today)))
                }
            }
        }
    }
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

fn form(key: &str, id: &str, sheet: &Sheet, typed: &SwatchTyped) -> Markup {
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
    let opened = Opened::of(room, key)?;
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
    let done = done.and_then(|()| {
        record_typed(&opened.costume.path, plan, &typed, room.book(), &room.recording())
    });
    match done {
        Ok(_) => Ok(Redirect::to(&format!("/c/{key}/p/{id}#swatched")).into_response()),
        Err(why) => {
            let body = html! {
                h1 { (piece.name) ": swatch " (code) }
                (frame::trouble(&why))
                (form(key, id, sheet, &typed))
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
    }
}
