//! The shelf: what there is to dye with, how well each dye is known, what a look at it shows, and every change of it.

use std::collections::BTreeMap;
use std::path::{Path as FilePath, PathBuf};

use axum::extract::{Query, State};
use axum::response::{IntoResponse as _, Response};
use maud::{Markup, html};
use paper::chip_style;
use workroom::{
    DyeSeen, OnShelf, OtherSeen, ShelfFound, ShelfKind, ShelfSeen, Trouble, last_change,
    list_shelf, shelf_as_written, shelves_in, swatches_by_dye,
};

use super::frame::{Here, page as framed};
use super::room::Room;
use super::routes::{In, answered};
use super::shelf_forms::new_form;
use super::taking_back;
use super::words::{escaped, sentence};

/// `/shelf`: a shelf file of the folder, else the starter shelf.
pub(super) async fn page(
    State(room): In,
    Query(fields): Query<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Shelf, move |room| {
        let files = shelves_in(room.folder())?;
        let wanted = fields.get("of").map(String::as_str).unwrap_or_default();
        // Compared with what was found, never made into a path.
        let file = files
            .iter()
            .find(|one| one.file == wanted)
            .or_else(|| files.first().filter(|_| wanted.is_empty()));
        let body = match file {
            Some(file) => own(room, file, &files)?,
            None => starters(room, &files)?,
        };
        Ok(framed("The shelf", Here::Shelf, &body).into_response())
    })
    .await
}

pub(super) fn ways(files: &[ShelfFound], of: &str) -> Markup {
    html! {
        nav.ways.of-costume aria-label="Shelves" { ul {
            @for one in files { li { a href={ "/shelf?of=" (escaped(&one.file)) } aria-current=[(one.file == of).then_some("page")] { (one.file) } } }
            li { a href="/shelf?of=starter" aria-current=[(of == "starter").then_some("page")] { "Starter shelf" } }
        } }
    }
}

/// What a tile of a dye shows besides the dye itself.
struct Beside<'a> {
    file: &'a str,
    written: &'a [OnShelf],
    swatched: BTreeMap<String, usize>,
    costumes: Vec<(String, String)>,
}

fn own(room: &Room, file: &ShelfFound, files: &[ShelfFound]) -> Result<Markup, Trouble> {
    let seen = list_shelf(Some(&file.path), None, room.today()?)?;
    let (written, mark) = shelf_as_written(&file.path)?;
    let last = last_change(&file.path)?;
    let beside = Beside {
        file: &file.file,
        written: &written,
        swatched: swatched(room, &file.path)?,
        costumes: costumes_beside(room, &file.path)?,
    };
    Ok(html! {
        (ways(files, &file.file))
        h1 { "The shelf" }
        @if let Some(last) = &last { div.state { (taking_back::form("/shelf/undo", &[("of", &file.file)], &mark, last)) } }
        (advice(&seen))
        (dyes(&seen, Some(&beside)))
        section aria-labelledby="more" {
            h2 id="more" { "Put something on it" }
            details.after { summary { "A dye" } (new_form(ShelfKind::Dye, &file.file, &mark, &|_| String::new())) }
            details.after { summary { "Anything else: alkali, acid, salt, gear" } (new_form(ShelfKind::Auxiliary, &file.file, &mark, &|_| String::new())) }
            p { a href={ "/shelf/file?of=" (escaped(&file.file)) } { "The text of the shelf’s file" } span.quiet { ": swatches of a dye, packs, liquids and comments are written there." } }
        }
        (others(&seen, &beside))
    })
}

fn starters(room: &Room, files: &[ShelfFound]) -> Result<Markup, Trouble> {
    let seen = list_shelf(None, None, room.today()?)?;
    Ok(html! {
        (ways(files, "starter"))
        h1 { "The starter shelf" }
        p.note { "Generic dyes by hue, to plan with before you have your own." }
        (advice(&seen))
        @if files.is_empty() {
            section aria-labelledby="own" {
                h2 id="own" { "A shelf of your own" }
                p { "It is kept in a file of this folder, “" (BEGUN) "”, and begins with the first dye you put on it. The question at \
                    the start is then answered with it, and a costume plans with it once it is chosen on the costume’s page." }
                details.after { summary { "The first dye" } (new_form(ShelfKind::Dye, "", "", &|_| String::new())) }
            }
        }
        (dyes(&seen, None))
    })
}

/// The file a shelf is begun in.
pub(super) const BEGUN: &str = "shelf.toml";

/// How many swatches of each dye the workbook has: the one named, else the one beside the shelf.
fn swatched(room: &Room, shelf: &FilePath) -> Result<BTreeMap<String, usize>, Trouble> {
    book_beside(room, shelf).map_or_else(|| Ok(BTreeMap::new()), |book| swatches_by_dye(&book))
}

/// The workbook that was named, else the one beside a shelf; none where there is none yet.
pub(super) fn book_beside(room: &Room, shelf: &FilePath) -> Option<PathBuf> {
    let beside = || shelf.with_file_name(workroom::WORKBOOK);
    Some(room.book().map_or_else(beside, FilePath::to_path_buf)).filter(|book| book.exists())
}

/// The first costumes in the folder of a shelf: key and name.
fn costumes_beside(room: &Room, shelf: &FilePath) -> Result<Vec<(String, String)>, Trouble> {
    const FEW: usize = 3;
    let all = room.costumes()?.into_iter().filter(|one| one.path.parent() == shelf.parent());
    Ok(all.take(FEW).map(|one| (one.key, one.name)).collect())
}

fn advice(seen: &ShelfSeen) -> Markup {
    html! {
        @if !seen.advice.is_empty() {
            section aria-labelledby="advice" { h2 id="advice" { "What to look at" } ul { @for line in &seen.advice { li { (line) } } } }
        }
    }
}

fn dyes(seen: &ShelfSeen, beside: Option<&Beside<'_>>) -> Markup {
    let mut classes: Vec<&str> = vec![];
    for dye in &seen.dyes {
        if !classes.contains(&dye.class_name.as_str()) {
            classes.push(&dye.class_name);
        }
    }
    html! {
        @if seen.dyes.is_empty() { section { p { "There is no dye on it yet." } } }
        @for class in classes {
            section { h2 { (sentence(class).trim_end_matches('.')) }
                ul.tiles { @for dye in seen.dyes.iter().filter(|d| d.class_name == class) { (one(dye, beside)) } }
            }
        }
    }
}

fn one(dye: &DyeSeen, beside: Option<&Beside<'_>>) -> Markup {
    let own = dye.known.contains("own");
    html! {
        li.tile {
            h3 { (dye.name) }
            @if let Some(look) = &dye.look {
                div.mount.small { div.chips {
                    span class={ "chip " (if own { "given" } else { "estimate" }) } role="img"
                        aria-label={ "At 1 % on white " (look.on) ", " (if own { "from your own swatches" } else { "estimate" }) ": " (look.words) } style=[chip_style(&look.hex)] {}
                } }
                p { (look.words) span.quiet { " at 1 % on white " (look.on) } }
            }
            p { "Known by: " span class=(if own { "given" } else { "estimate" }) { b { (dye.known) } } }
            p.ways-on { a href={ "/shelf/dye?of=" (beside.map_or_else(|| "starter".to_owned(), |b| escaped(b.file))) "&id=" (escaped(&dye.id)) } { "Its ladder" span.unseen { ": " (dye.name) } } }
            @if let Some(beside) = beside { (known_better(dye, beside)) }
            p.quiet {
                @if let Some(left) = dye.left_g { (left) "\u{a0}g left. " }
                @if let Some(price) = dye.price_per_g { (format!("{price:.2}")) " a gram. " }
                @if let Some(lot) = &dye.lot { "Lot " (lot) ". " }
                @if let Some(opened) = &dye.opened { "Opened " (opened) ". " } @else if let Some(bought) = &dye.bought { "Bought " (bought) ". " }
                @if let Some(ci) = &dye.ci { (ci) ". " }
                @if let Some(until) = &dye.expires { "Vouched for until " (until) ". " }
            }
            @if let Some(note) = &dye.note { p.quiet { (note) } }
            @if let Some(beside) = beside {
                @match beside.written.iter().find(|w| w.kind == ShelfKind::Dye && w.id == dye.id) {
                    Some(_) => (change_way(beside.file, "dye", &dye.id, &dye.name)),
                    None => p.quiet { "A pack: changed in the shelf’s text." },
                }
            }
        }
    }
}

/// Swatches in the workbook, and the way to what one more would bring.
fn known_better(dye: &DyeSeen, beside: &Beside<'_>) -> Markup {
    let many = beside.swatched.get(&dye.id).copied().unwrap_or(0);
    html! {
        p { @match many {
            0 => "No swatch with it in the workbook yet.",
            1 => "1 swatch with it in the workbook.",
            n => { (n) " swatches with it in the workbook." },
        } }
        @if !beside.costumes.is_empty() {
            details { summary { "What one more swatch would bring" span.unseen { ": " (dye.name) } }
                ul { @for (key, name) in &beside.costumes { li { a href={ "/c/" (key) "/swatches?dye=" (escaped(&dye.id)) } { "For " (name) } } } }
            }
        }
    }
}

fn others(seen: &ShelfSeen, beside: &Beside<'_>) -> Markup {
    html! {
        @if !seen.auxiliaries.is_empty() {
            section aria-labelledby="others" { h2 id="others" { "What else there is" }
                ul.tiles { @for one in &seen.auxiliaries { (other(one, beside)) } }
            }
        }
    }
}

fn other(one: &OtherSeen, beside: &Beside<'_>) -> Markup {
    let name = one.id.replace('-', " ");
    html! {
        li.tile {
            h3 { (sentence(&name).trim_end_matches('.')) }
            p.quiet {
                @if let Some(left) = one.left_g { (left) "\u{a0}g left. " }
                @if let Some(bought) = &one.bought { "Bought " (bought) ". " }
                @if let Some(until) = &one.expires { "Good until " (until) ". " }
            }
            @if beside.written.iter().any(|w| w.kind == ShelfKind::Auxiliary && w.id == one.id) {
                (change_way(beside.file, "other", &one.id, &name))
            }
        }
    }
}

/// The way to the form of what stands on a shelf.
fn change_way(file: &str, kind: &str, id: &str, name: &str) -> Markup {
    html! {
        p.ways-on { a href={ "/shelf/change?of=" (escaped(file)) "&kind=" (kind) "&id=" (escaped(id)) } { "Change it" span.unseen { ": " (name) } } }
    }
}
