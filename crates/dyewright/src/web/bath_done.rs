//! What was really done, into the workbook: a swatch, or pieces dyed whole; and the way back.

use std::collections::BTreeMap;

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use workroom::document::{PiecePlan, Plan, Sheet};
use workroom::{
    BathMark, DyedTyped, SwatchTyped, Trouble, list_swatches, mark_bath, record_dyed_typed,
    record_of_piece, record_typed, taking_dye, teaches_nothing, time_and_heat, undo_entry,
};

use super::bath::{AtPot, Place, Typed, found, name_of, no_bath, shown};
use super::bath_amounts::planned;
use super::frame::Here;
use super::moment;
use super::opened::Opened;
use super::room::Room;
use super::routes::{In, answered};

/// What a bath can be for: the word in the record, and in words.
const PURPOSES: &[(&str, &str)] = &[
    ("dye", "dyeing the goods"),
    ("top up", "more into the same bath"),
    ("overdye", "another bath over the first"),
];

/// The part of the page.
pub(super) fn done(pot: &AtPot<'_>, typed: &Typed<'_>) -> Markup {
    let swatch = pot.sheet.kind == "swatch";
    let nothing = teaches_nothing(pot.piece, pot.sheet);
    let (key_here, id) = (&pot.here, &pot.piece.id);
    let piece_page = key_here.split("/bath/").next().unwrap_or_default();
    html! {
        section.recording aria-labelledby="done" {
            h2 id="done" tabindex="-1" { "What was really done" }
            @match pot.clock.recorded {
                Some(at) if typed.why.is_none() => {
                    p.verdict { "Recorded in the workbook, " (moment::day(at)) " " (moment::clock(at)) "." }
                    p { "When it is washed off, dry and cool, read it: "
                        @match (swatch, &pot.sheet.code) {
                            (true, Some(code)) => a href={ (piece_page) "#card-" (code) } { "how the swatch reads" },
                            _ => a href={ (piece_page) "#dyed" } { "how the piece came out" },
                        }
                    }
                    form method="post" action={ (key_here) "/unrecord" } { button.second type="submit" { "Take the record back" } }
                }
                _ => {
                    p { @if nothing.is_none() { "Into the workbook, from where the next recipe learns: " } @else { "Into the workbook: " } @if swatch { "the swatch" } @else { (names(pot)) " dyed whole" }
                        ", with the amounts as you ticked them. " (as_planned(pot)) }
                    (form(pot, typed, swatch))
                }
            }
            @if let Some(nothing) = &nothing { p.absent { (nothing) } }
            p.quiet id="read" { "The piece’s page has the places for readings: " a href={ (piece_page) } { (pot.piece.name) } " (" (id) ")." }
        }
    }
}

fn names(pot: &AtPot<'_>) -> String {
    let name = |id: &String| {
        let piece = pot.plan.pieces.iter().find(|p| p.id == *id);
        piece.map_or_else(|| id.clone(), |p| p.name.clone())
    };
    pot.sheet.pieces.iter().map(name).collect::<Vec<_>>().join(", ")
}

/// What is not ticked goes into the record as planned, and that is said.
fn as_planned(pot: &AtPot<'_>) -> String {
    let all = planned(pot.sheet);
    let not = all.iter().filter(|one| !pot.clock.really.contains_key(&one.id));
    let not: Vec<&str> = not.map(|one| one.name.as_str()).collect();
    match not.is_empty() {
        true => "All of them are ticked.".to_owned(),
        false => format!("Not ticked, and recorded as planned: {}.", not.join("; ")),
    }
}

fn form(pot: &AtPot<'_>, typed: &Typed<'_>, swatch: bool) -> Markup {
    let usual = usual(pot);
    let value = |name: &str| {
        let was = typed.why.is_some().then(|| typed.fields.get(name)).flatten();
        was.or_else(|| usual.get(name)).cloned().unwrap_or_default()
    };
    html! {
        form.question method="post" action={ (pot.here) "/record" } {
            div.field { label for="day" { "The day" } input id="day" name="day" type="date" value=(value("day")) required; }
            div.field {
                label for="minutes" { "Minutes in the dye bath" }
                input id="minutes" name="minutes" value=(value("minutes")) inputmode="decimal" autocomplete="off" aria-describedby="minutes-how";
                p.how id="minutes-how" { (minutes_from(pot)) }
            }
            div.field {
                label for="hottest" { "How hot it was at the hottest, °C" }
                input id="hottest" name="hottest" value=(value("hottest")) inputmode="decimal" autocomplete="off" aria-describedby="hottest-how";
                p.how id="hottest-how" { "By your thermometer; as planned stands here." }
            }
            @if !swatch {
                @for (id, _) in taking_dye(pot.plan, pot.sheet) {
                    div.field {
                        label for={ "weight-" (id) } { "What of " (id) " took the dye, dry, g" }
                        input id={ "weight-" (id) } name={ "weight-" (id) } value=(value(&format!("weight-{id}"))) inputmode="decimal" autocomplete="off";
                    }
                }
                div.field {
                    label for="purpose" { "What it was for" }
                    select id="purpose" name="purpose" { @for (word, words) in PURPOSES { option value=(word) selected[*word == value("purpose")] { (words) } } }
                }
            }
            div.field { label for="note" { "Anything else" } input id="note" name="note" value=(value("note")) autocomplete="off"; }
            button type="submit" { "Record what was really done" }
        }
    }
}

/// What stands in the form before anything is typed: what the clock knows, else what was planned.
fn usual(pot: &AtPot<'_>) -> BTreeMap<String, String> {
    let day = pot.clock.begun.map_or_else(|| pot.plan.costume.today.clone(), moment::day);
    let hottest = in_dye_bath(pot.sheet).flat_map(|s| [s.from_c, s.to_c]).fold(0.0, f64::max);
    let later_bath = pot
        .piece
        .sheets
        .iter()
        .filter(|s| s.kind == "bulk")
        .position(|s| std::ptr::eq(s, pot.sheet))
        .is_some_and(|at| at > 0);
    let mut all = BTreeMap::from([
        ("day".to_owned(), day),
        (
            "minutes".to_owned(),
            really_min(pot).unwrap_or_else(|| planned_min(pot.sheet)).to_string(),
        ),
        ("hottest".to_owned(), hottest.to_string()),
        ("purpose".to_owned(), if later_bath { "overdye" } else { "dye" }.to_owned()),
    ]);
    for (id, grams) in taking_dye(pot.plan, pot.sheet) {
        all.insert(format!("weight-{id}"), grams.to_string());
    }
    all
}

/// The steps with the goods in the dye bath: from where they enter to where it is drained.
fn in_dye_bath(sheet: &Sheet) -> impl Iterator<Item = &workroom::document::SheetStep> {
    let enters = sheet.steps.iter().position(|s| s.kind == "enter").unwrap_or(0);
    sheet.steps[enters..].iter().take_while(|s| s.kind != "drain" && s.kind != "rinse")
}

fn planned_min(sheet: &Sheet) -> f64 {
    in_dye_bath(sheet).map(|s| s.minutes).sum::<f64>().round()
}

/// From the ticks: between the tick of the step before they entered and that of the last one in the bath.
fn really_min(pot: &AtPot<'_>) -> Option<f64> {
    let first = in_dye_bath(pot.sheet).next()?;
    let last = in_dye_bath(pot.sheet).last()?;
    let before = pot.sheet.steps.iter().rev().find(|s| s.n < first.n);
    let from = before.map_or(pot.clock.begun, |s| pot.clock.done_at.get(&s.n).copied())?;
    let to = *pot.clock.done_at.get(&last.n)?;
    #[expect(clippy::cast_precision_loss, reason = "a few days of milliseconds")]
    let minutes = ((to - from) as f64 / 60_000.0).round();
    (minutes >= 1.0).then_some(minutes)
}

fn minutes_from(pot: &AtPot<'_>) -> &'static str {
    match really_min(pot) {
        Some(_) => "By your own ticks.",
        None => "As planned: not every step of it was ticked.",
    }
}

/// `POST /c/{costume}/p/{piece}/bath/{at}/record`.
pub(super) async fn record(
    State(room): In,
    Path(place): Path<Place>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let (_, id, at) = &place;
        let opened = Opened::at_pot(room, &place)?;
        let plan = opened.look.plan().ok_or_else(|| no_bath(id))?;
        let pot = AtPot::of(&opened, plan, &place)?;
        match recorded(room, &opened, &pot, &fields) {
            Ok(()) => {
                let (piece, sheet) = found(plan, id, *at)?;
                let mark = BathMark::Recorded(pot.at_ms);
                mark_bath(&opened.costume.path, &name_of(piece, sheet), mark, pot.at_ms)?;
                Ok(Redirect::to(&format!("{}#done", pot.here)).into_response())
            }
            Err(why) => shown(room, &place, &Typed { why: Some(&why), fields }),
        }
    })
    .await
}

fn recorded(
    room: &Room,
    opened: &Opened,
    pot: &AtPot<'_>,
    fields: &BTreeMap<String, String>,
) -> Result<(), Trouble> {
    let field = |name: &str| fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default();
    let file = &opened.costume.path;
    let (minutes, hottest, note) = (field("minutes"), field("hottest"), field("note"));
    if let (true, Some(code)) = (pot.sheet.kind == "swatch", &pot.sheet.code) {
        // A swatch's record has no places for time and heat: they are told in its note.
        let mut told = time_and_heat(&minutes, &hottest)?;
        if !note.is_empty() {
            told.push(note);
        }
        let typed = SwatchTyped {
            code: code.clone(),
            day: field("day"),
            doses: pot.clock.really.clone(),
            note: told.join("; "),
            ..SwatchTyped::default()
        };
        record_typed(file, pot.plan, &typed, room.book(), &room.recording())?;
        return Ok(());
    }
    let weight = |(name, given): (&String, &String)| {
        Some((name.strip_prefix("weight-")?.to_owned(), given.clone()))
    };
    let typed = DyedTyped {
        day: field("day"),
        purpose: field("purpose"),
        doses: pot.clock.really.clone(),
        weights: fields.iter().filter_map(weight).collect(),
        minutes,
        hottest,
        note,
    };
    let at = (pot.piece, pot.sheet);
    record_dyed_typed(file, pot.plan, at, &typed, room.book(), &room.recording())?;
    Ok(())
}

/// `POST /c/{costume}/p/{piece}/bath/{at}/unrecord`.
pub(super) async fn unrecord(State(room): In, Path(place): Path<Place>) -> Response {
    answered(room, Here::Costume, move |room| {
        let (key, id, at) = &place;
        let opened = Opened::at_pot(room, &place)?;
        let plan = opened.look.plan().ok_or_else(|| no_bath(id))?;
        let (piece, sheet) = found(plan, id, *at)?;
        let book = opened.book(room);
        if let Some(entry) = entry_of(&book, plan, piece, sheet)? {
            undo_entry(Some(&book), Some(entry), &room.recording())?;
        }
        let file = &opened.costume.path;
        mark_bath(file, &name_of(piece, sheet), BathMark::NotRecorded, moment::now_ms())?;
        Ok(Redirect::to(&format!("/c/{key}/p/{id}/bath/{at}#done")).into_response())
    })
    .await
}

/// The entry of a bath in the workbook; none where it was taken back already.
fn entry_of(
    book: &std::path::Path,
    plan: &Plan,
    piece: &PiecePlan,
    sheet: &Sheet,
) -> Result<Option<i64>, Trouble> {
    if let Some(code) = sheet.code.as_ref().filter(|_| sheet.kind == "swatch") {
        let all = list_swatches(Some(book))?;
        let own = all.swatches.iter().find(|one| one.code.as_ref() == Some(code));
        return Ok(own.map(|one| one.entry));
    }
    let record = record_of_piece(Some(book), &piece.id, Some(&plan.costume.name))?;
    let way = |bath: &&workroom::BathSeen| bath.programme.as_ref() == Some(&sheet.procedure);
    Ok(record.baths.iter().rev().find(way).map(|bath| bath.entry))
}
