//! The one-minute question: this cloth, this colour, what there is. Its answer, and a costume made of it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum::extract::{Form, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use paper::{ChipOf, Standing, chips_of};
use workroom::document::{PiecePlan, Sheet};
use workroom::{
    Outcome, PieceField, ProposeWanted, Proposed, ShelfFound, Trouble, begin_costume, cloths_known,
    propose_one, shelves_in,
};

use super::frame::{self, Here, page as framed};
use super::room::Room;
use super::routes::{In, answered};
use super::shelf::BEGUN;
use super::words::{escaped, sentence};
use super::works::{self, Seen};

/// The question as it came in; what was typed is shown again, whatever it was.
#[derive(Debug, Clone, Default)]
pub(super) struct Asked {
    cloth: String,
    colour: String,
    weight: String,
    undyed: String,
    seen_from: String,
    shelf: Option<String>,
    have: Vec<String>,
}

/// What may be at hand, as a question asks for it: the word of `shelf`, and what it is called.
const HAVE: &[(&str, &str)] = &[
    ("reactive", "reactive dyes (cotton, linen, viscose)"),
    ("acid", "acid dyes (wool, silk, nylon)"),
    ("disperse", "disperse dyes (polyester)"),
    ("direct", "direct dyes"),
    ("basic", "basic dyes (acrylic)"),
];

/// From how near a piece may be seen.
pub(super) const SEEN_FROM: &[(&str, &str)] = &[
    ("", "close up (usual)"),
    ("touching", "touching another piece"),
    ("beside", "beside another piece"),
    ("close up", "close up"),
    ("stage", "on a stage"),
];

impl Asked {
    fn read(fields: &BTreeMap<String, String>) -> Self {
        let field = |name: &str| fields.get(name).map(|v| v.trim().to_owned()).unwrap_or_default();
        let have = HAVE.iter().filter(|(word, _)| fields.contains_key(&format!("have-{word}")));
        Self {
            cloth: field("cloth"),
            colour: field("colour"),
            weight: field("weight"),
            undyed: field("undyed"),
            seen_from: field("seen_from"),
            shelf: fields.get("shelf").map(|v| v.trim().to_owned()),
            have: have.map(|(word, _)| (*word).to_owned()).collect(),
        }
    }

    /// The shelf asked for, compared with those of the folder; where none is named, the maker's own before the starter shelf.
    fn shelf_found(&self, room: &Room) -> Result<Option<ShelfFound>, Trouble> {
        let mut all = shelves_in(room.folder())?.into_iter();
        match self.shelf.as_deref() {
            None => Ok(all.find(|one| one.file == BEGUN)),
            Some("") => Ok(None),
            Some(wanted) => {
                all.find(|one| one.file == wanted).map(Some).ok_or_else(|| Trouble::Refused {
                    says: format!("there is no shelf \"{wanted}\" in this folder"),
                    hint: "choose one of those that are offered".to_owned(),
                })
            }
        }
    }

    fn wanted(&self, room: &Room) -> Result<ProposeWanted, Trouble> {
        let given = |text: &String| (!text.is_empty()).then(|| text.clone());
        for (what, text, hint) in [
            ("which cloth it is", &self.cloth, "write its fibre, as cotton; or unknown"),
            ("which colour it shall be", &self.colour, "pick it, or write it as #2f6f5a"),
        ] {
            if text.is_empty() {
                let says = format!("the question does not say {what}");
                return Err(Trouble::Refused { says, hint: hint.to_owned() });
            }
        }
        Ok(ProposeWanted {
            cloth: self.cloth.clone(),
            colour: only_a_colour(&self.colour)?,
            weight: given(&self.weight),
            undyed: given(&self.undyed).map(|u| only_a_colour(&u)).transpose()?,
            have: self.have.clone(),
            shelf: self.shelf_found(room)?.map(|one| one.path),
            book: room.book().map(std::path::Path::to_path_buf),
            seen_from: given(&self.seen_from),
            lights: vec![],
            scale_g: None,
            pot_l: None,
            today: room.today()?,
        })
    }
}

/// A colour from a form is never the name of a file of this machine.
pub(super) fn only_a_colour(given: &str) -> Result<String, Trouble> {
    if given.contains(['/', '\\']) || std::path::Path::new(given).exists() {
        return Err(Trouble::Refused {
            says: format!("\"{given}\" names a file, and a form takes a colour"),
            hint: "write it as #2f6f5a, or as L* a* b*: 45 -12.5 8".to_owned(),
        });
    }
    Ok(given.to_owned())
}

/// The form of the question.
pub(super) fn form(asked: &Asked, room: &Room) -> Result<Markup, Trouble> {
    let shelves = shelves_in(room.folder())?;
    let own = asked.shelf_found(room).ok().flatten().map(|one| one.file);
    let picked = if is_hex(&asked.colour) { asked.colour.as_str() } else { "#808080" };
    Ok(html! {
        form.question method="get" action="/answer" {
            div.field {
                label for="cloth" { "The cloth" }
                input id="cloth" name="cloth" value=(asked.cloth) list="cloths" required
                    aria-describedby="cloth-how" autocomplete="off";
                p.how id="cloth-how" { "A fibre, as cotton; a blend, as 65 cotton, 35 polyester; or unknown." }
                datalist id="cloths" { @for name in cloths_known() { option value=(name) {} } }
            }
            div.field {
                label for="colour" { "The colour it shall be" }
                div.pick {
                    input id="colour" name="colour" value=(asked.colour) required aria-describedby="colour-how" autocomplete="off";
                    input.picker type="color" value=(picked) aria-label="Pick a colour" data-fills="colour";
                }
                p.how id="colour-how" { "As #2f6f5a, or as L* a* b*: 45 -12.5 8." }
            }
            div.field {
                label for="weight" { "Its weight, dry" }
                input id="weight" name="weight" value=(asked.weight) aria-describedby="weight-how" autocomplete="off";
                p.how id="weight-how" { "As 250 g, 0.3 kg or 8 oz; left empty, 100 g." }
            }
            @if !shelves.is_empty() {
                div.field {
                    label for="shelf" { "What you have" }
                    select id="shelf" name="shelf" {
                        @for one in &shelves { option value=(one.file) selected[own.as_ref() == Some(&one.file)] { "The shelf in " (one.file) } }
                        option value="" selected[own.is_none()] { "The starter shelf: dyes of every kind" }
                    }
                }
            }
            details open[!asked.undyed.is_empty() || !asked.have.is_empty() || !asked.seen_from.is_empty()] {
                summary { "More about it" }
                div.field {
                    label for="undyed" { "The cloth before dyeing" }
                    input id="undyed" name="undyed" value=(asked.undyed) placeholder="white" aria-describedby="undyed-how" autocomplete="off";
                    p.how id="undyed-how" { "white, natural, or a colour." }
                }
                div.field {
                    label for="seen_from" { "From how near it is seen" }
                    select id="seen_from" name="seen_from" {
                        @for (word, name) in SEEN_FROM {
                            option value=(word) selected[*word == asked.seen_from] { (name) }
                        }
                    }
                }
                (only_these(&asked.have))
            }
            button type="submit" { "Answer" }
        }
    })
}

/// Which dyes of a shelf are had, as boxes to tick; words that are none of the usual are kept as boxes of their own.
pub(super) fn only_these(have: &[String]) -> Markup {
    let own = have.iter().filter(|word| !HAVE.iter().any(|(known, _)| known == word));
    html! {
        fieldset {
            legend { "Only these dyes (none ticked: all of the shelf)" }
            @for (word, name) in HAVE {
                label.check {
                    input type="checkbox" name={ "have-" (word) } checked[have.iter().any(|h| h == word)];
                    span { (name) }
                }
            }
            @for word in own { label.check { input type="checkbox" name={ "have-" (word) } checked; span { (word) } } }
        }
    }
}

pub(super) fn is_hex(text: &str) -> bool {
    text.len() == 7 && text.starts_with('#') && text[1..].bytes().all(|b| b.is_ascii_hexdigit())
}

/// `/answer`.
pub(super) async fn page(
    State(room): In,
    Query(fields): Query<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Start, move |room| {
        let asked = Asked::read(&fields);
        let state = |file: &Path| {
            std::fs::metadata(file).ok().map(|about| (about.len(), about.modified().ok()))
        };
        let book = room.book().and_then(state);
        let shelf = asked.shelf_found(room).ok().flatten().map(|one| (state(&one.path), one.file));
        let of = format!("question {fields:?} {:?} {book:?} {shelf:?}", room.today()?);
        let seen = match asked.wanted(room) {
            Ok(wanted) => room.works.look(&of, "looking", move |tell| propose_one(&wanted, tell)),
            Err(why) => Seen::Refused(Arc::new(why)),
        };
        let title = match &seen {
            Seen::Made(_) => "The answer",
            Seen::Busy(_) => "Looking for the answer",
            Seen::Refused(_) | Seen::Stopped(_) => "No answer yet",
        };
        let status = match &seen {
            Seen::Refused(why) => frame::status(why),
            _ => axum::http::StatusCode::OK,
        };
        let body = html! {
            @match &seen {
                Seen::Made(found) => (told(found, &asked)),
                Seen::Busy(id) => { h1 { (title) } (works::busy(*id, "Looking", &back_to(&fields))) }
                Seen::Refused(why) => { h1 { (title) } (frame::trouble(why)) }
                Seen::Stopped(id) => { h1 { (title) } (works::stopped(*id, &back_to(&fields))) }
            }
            section.ask aria-labelledby="again" {
                h2 id="again" { @if matches!(seen, Seen::Made(_)) { "Ask it otherwise" } @else { "The question" } }
                (form(&asked, room)?)
            }
        };
        Ok((status, framed(title, Here::Start, &body)).into_response())
    })
    .await
}

/// The address of this question.
fn back_to(fields: &BTreeMap<String, String>) -> String {
    let pairs = fields.iter().map(|(name, value)| format!("{}={}", escaped(name), escaped(value)));
    format!("/answer?{}", pairs.collect::<Vec<_>>().join("&"))
}

fn told(found: &Proposed, asked: &Asked) -> Markup {
    let piece = &found.piece;
    let bulk = piece.sheets.iter().find(|sheet| sheet.kind == "bulk");
    html! {
        header.hello {
            p.over { (piece.goods.dry_g) "\u{a0}g of " (piece.goods.words) " to " (piece.target.words) }
            h1 { (headline(piece)) }
        }
        section aria-labelledby="colours" {
            h2.unseen id="colours" { "The colours" }
            (colours(piece))
            @if let Some(expected) = &piece.expected { p.verdict { (expected.verdict) } }
            @if let Some(reach) = &piece.reach {
                @if !reach.within {
                    @if !reach.limits.is_empty() { h3 { "What limits it" } ul { @for line in &reach.limits { li { (line) } } } }
                    @if !reach.would_help.is_empty() { h3 { "What would help" } ul { @for line in &reach.would_help { li { (line) } } } }
                }
            }
        }
        @if !piece.tests.is_empty() {
            section aria-labelledby="tests" {
                h2 id="tests" { "First find out what it is" }
                ol { @for test in &piece.tests { li { b { (test.test) } ": " (test.how) " " span.quiet { (sentence(&test.hazard)) } } } }
            }
        }
        @if let Some(class) = &piece.class {
            section aria-labelledby="with" {
                h2 id="with" { "With what" }
                p.verdict { b { (class.name) } ": " (class.why) }
                @if let Some(bulk) = bulk { (doses(bulk)) }
            }
        }
        @if !piece.advice.is_empty() || !piece.wrong.is_empty() {
            section aria-labelledby="wrong" {
                h2 id="wrong" { "What could go wrong" }
                ul {
                    @for one in &piece.advice { li { (one.text) } }
                    @for one in piece.wrong.iter().take(MOST_WRONG) { li { b { (sentence(&one.sight)) } " " (sentence(&one.remedy)) } }
                }
            }
        }
        section aria-labelledby="taken" {
            h2 id="taken" { "What was taken for granted" }
            ul { @for line in &found.taken { li { (line) } } }
            @for line in &found.notes { p.quiet { (line) } }
        }
        section aria-labelledby="make" {
            h2 id="make" { "Make it a costume" }
            p { "With every step and time, a swatch to dye first, more pieces, a date and a shopping list." }
            (make_form(asked, "", ""))
        }
    }
}

/// The form that makes a costume of a question, with what was typed.
fn make_form(asked: &Asked, name: &str, piece: &str) -> Markup {
    html! {
        form.row method="post" action="/begin" {
            (hidden(asked))
            div.field {
                label for="name" { "What the costume is called" }
                input id="name" name="name" required maxlength=(MOST_LETTERS) value=(name) autocomplete="off";
            }
            div.field {
                label for="of-piece" { "What this piece of it is, as: coat" }
                input id="of-piece" name="piece" maxlength=(MOST_LETTERS) value=(piece) autocomplete="off";
            }
            button type="submit" { "Make it a costume" }
        }
    }
}

/// Most letters of a name, as the costume file has it.
const MOST_LETTERS: usize = 120;

/// Failures told in an answer: the rest stands on the piece's page.
const MOST_WRONG: usize = 3;

fn headline(piece: &PiecePlan) -> &'static str {
    match (piece.outcome, &piece.reach) {
        (Outcome::Leave, _) => "Leave it: it is that colour already",
        (Outcome::NoBath, _) => "Not yet: no bath for this",
        (_, Some(reach)) if !reach.within => "Not quite: this is the nearest",
        _ => "Yes, this can be done",
    }
}

/// Cloth, target and what is expected, edge to edge.
pub(super) fn colours(piece: &PiecePlan) -> Markup {
    let mut all = vec![];
    if let Some(cloth) = &piece.cloth {
        let standing = if cloth.assumed { Standing::Estimate } else { Standing::Given };
        all.push(ChipOf { head: "Undyed cloth", colour: cloth, standing });
    }
    all.push(ChipOf { head: "Target", colour: &piece.target, standing: Standing::Given });
    if let Some(expected) = &piece.expected {
        let standing = Standing::Estimate;
        all.push(ChipOf { head: "Expected", colour: &expected.colour, standing });
    }
    chips_of(&all, piece.special.surface.as_ref().map(|s| s.kind))
}

fn doses(bulk: &Sheet) -> Markup {
    html! {
        ul.doses {
            @for dye in &bulk.dyes { li { b { (dye.name) } ": " (dye.words) } }
            @for one in &bulk.auxiliaries { li { (one.name) ": " (one.words) } }
        }
    }
}

fn hidden(asked: &Asked) -> Markup {
    let fields = [
        ("cloth", &asked.cloth),
        ("colour", &asked.colour),
        ("weight", &asked.weight),
        ("undyed", &asked.undyed),
        ("seen_from", &asked.seen_from),
    ];
    html! {
        @for (name, value) in fields { input type="hidden" name=(name) value=(value); }
        @if let Some(shelf) = &asked.shelf { input type="hidden" name="shelf" value=(shelf); }
        @for word in &asked.have { input type="hidden" name={ "have-" (word) } value="on"; }
    }
}

/// `POST /begin`.
pub(super) async fn begin(
    State(room): In,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Start, move |room| {
        let asked = Asked::read(&fields);
        let typed = |name: &str| fields.get(name).map(|v| v.trim()).unwrap_or_default();
        let (name, piece) = (typed("name"), typed("piece"));
        Ok(match begun(room, &asked, name, piece) {
            Ok(to) => Redirect::to(&to).into_response(),
            Err(why) => {
                let body = html! {
                    h1 { "Make it a costume" }
                    (frame::trouble(&why))
                    (make_form(&asked, name, piece))
                    p { a href="/" { "Leave it" } }
                };
                (frame::status(&why), framed("Make it a costume", Here::Start, &body))
                    .into_response()
            }
        })
    })
    .await
}

/// Begins a costume of a question; gives the address of its page. Nothing is written where anything of it is refused.
fn begun(room: &Room, asked: &Asked, name: &str, piece: &str) -> Result<String, Trouble> {
    let file = room.folder().join(file_name(name)?);
    fits(piece)?;
    let shelf = asked.shelf_found(room)?.map(|one| PathBuf::from(one.file));
    let wanted = ProposeWanted { book: None, shelf, ..asked.wanted(room)? };
    if file.symlink_metadata().is_ok() {
        let file = file.file_name().unwrap_or_default().to_string_lossy();
        return Err(Trouble::Refused {
            says: format!("there is a file \"{file}\" in this folder already"),
            hint: "give this one another name".to_owned(),
        });
    }
    begin_costume(&wanted, &file)?;
    let head =
        workroom::Change::Head { name: name.to_owned(), note: String::new(), day: String::new() };
    workroom::change_costume(&file, &head, None, &room.recording())?;
    if !piece.is_empty() {
        let fields = vec![(PieceField::Name, piece.to_owned())];
        let named = workroom::Change::Piece { id: "piece".to_owned(), fields };
        workroom::change_costume(&file, &named, None, &room.recording())?;
    }
    let found = room.costumes()?.into_iter().find(|one| one.path == file);
    Ok(found.map_or_else(|| "/".to_owned(), |one| format!("/c/{}", one.key)))
}

/// Whether a name is short enough for a costume file.
fn fits(name: &str) -> Result<(), Trouble> {
    let letters = name.chars().count();
    if letters <= MOST_LETTERS {
        return Ok(());
    }
    Err(Trouble::Refused {
        says: format!("the name has {letters} letters, and at most {MOST_LETTERS} are taken"),
        hint: "give it a shorter one; what else there is to say stands in its note".to_owned(),
    })
}

/// A file name of letters, digits and hyphens made from a name: never a path.
fn file_name(name: &str) -> Result<String, Trouble> {
    let letters: String = name
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' })
        .collect();
    let words: Vec<&str> = letters.split('-').filter(|w| !w.is_empty()).collect();
    let stem: String = words.join("-").chars().take(60).collect();
    if name.is_empty() {
        let says = "the costume has no name".to_owned();
        return Err(Trouble::Refused { says, hint: "say what it is called".to_owned() });
    }
    fits(name)?;
    Ok(format!("{}.toml", if stem.is_empty() { "costume" } else { stem.as_str() }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_path_comes_out_of_a_name() {
        let name = |given: &str| file_name(given).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(name("The Ferryman"), "the-ferryman.toml");
        assert_eq!(name("../../etc/passwd"), "etc-passwd.toml");
        assert_eq!(name("…"), "costume.toml");
        assert!(file_name("").is_err());
        assert!(name(&"x".repeat(MOST_LETTERS)).len() < 70);
        assert!(file_name(&"x".repeat(4000)).is_err());
    }

    #[test]
    fn a_colour_is_no_file() {
        assert!(only_a_colour("#2f6f5a").is_ok() && only_a_colour("45 -12 8").is_ok());
        assert!(only_a_colour("../secret.csv").is_err() && only_a_colour("Cargo.toml").is_err());
    }
}
