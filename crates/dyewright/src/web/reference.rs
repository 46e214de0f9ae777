//! The reference pictures of a costume: laid beside its file, shown, a colour picked on them and made a piece's target.
//!
//! Where a colour is picked stands in the address, so that a reload, a bookmark and the back button lead to it again.
//! Everything works by fields alone; pointing and dragging fill them.

use std::collections::BTreeMap;
use std::path::Path as FilePath;
use std::sync::Arc;

use axum::extract::{Form, Multipart, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use workroom::{
    Coloured, PickFor, PickKept, PickPlace, PickSeen, PickWanted, Picked, PictureFound, Trouble,
    choose_picture, costume_mark, hide_picture, keep_picked, last_change, lay_picture, pick_colour,
    picks_of, picture_numbered, pictures_of, pieces_as_written, suggest_colours,
};

use super::frame::{self, Here, page as framed};
use super::opened::ways;
use super::picked::{self, Typed};
use super::picking::{self, Asked};
use super::room::Room;
use super::routes::{In, answered};
use super::shown::{shown, shown_bytes};
use super::taking_back;
use super::upload::Sent;
use super::works::{self, Seen, as_it_is};

type Fields = BTreeMap<String, String>;

/// `/c/{costume}/picture`.
pub(super) async fn first(State(room): In, Path(key): Path<String>) -> Response {
    answered(room, Here::Costume, move |room| {
        let file = room.costume(&key)?.path;
        match pictures_of(&file)?.first() {
            Some(one) => {
                Ok(Redirect::to(&format!("/c/{key}/picture/{}", one.number)).into_response())
            }
            None => none_yet(room, &key, None),
        }
    })
    .await
}

fn none_yet(room: &Room, key: &str, why: Option<&Trouble>) -> Result<Response, Trouble> {
    let costume = room.costume(key)?;
    let body = html! {
        (ways(key, &costume.name, "/picture"))
        h1 { "The reference picture" }
        @if let Some(why) = why { (frame::trouble(why)) }
        @else { p { "There is none yet. Lay the character’s picture beside the costume, and pick the pieces’ colours on it." } }
        (upload(key, true))
    };
    let status = why.map_or(axum::http::StatusCode::OK, frame::status);
    Ok((status, framed(&title(&costume.name), Here::Costume, &body)).into_response())
}

fn title(costume: &str) -> String {
    format!("The reference picture – {costume}")
}

/// The form that lays a picture beside the costume.
fn upload(key: &str, is_first: bool) -> Markup {
    html! {
        form.question method="post" action={ "/c/" (key) "/picture" } enctype="multipart/form-data" {
            div.field {
                label for="picture" { @if is_first { "The picture" } @else { "Another picture" } }
                input id="picture" name="picture" type="file" required accept="image/jpeg,image/png,image/webp,image/tiff" aria-describedby="picture-how";
                p.how id="picture-how" { "JPEG, PNG, WebP or TIFF, at most 64 MB. It is copied beside the costume’s file and goes nowhere else." }
            }
            button type="submit" { "Lay it beside the costume" }
        }
    }
}

/// `POST /c/{costume}/picture`.
pub(super) async fn lay(State(room): In, Path(key): Path<String>, form: Multipart) -> Response {
    let sent = match room.uploads.acquire().await {
        Ok(_one) => Sent::read(form).await,
        Err(_) => Ok(Sent::default()),
    };
    answered(room, Here::Costume, move |room| {
        let file = room.costume(&key)?.path;
        let mut sent = sent?;
        let laid = sent.taken().map(<[u8]>::to_vec).and_then(|bytes| lay_picture(&file, &bytes));
        match laid {
            Ok(one) => {
                Ok(Redirect::to(&format!("/c/{key}/picture/{}", one.number)).into_response())
            }
            Err(why) => none_yet(room, &key, Some(&why)),
        }
    })
    .await
}

/// `/c/{costume}/picture/{number}`.
pub(super) async fn page(
    State(room): In,
    Path((key, number)): Path<(String, usize)>,
    Query(fields): Query<Fields>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let asked = Asked::of(&fields);
        let taken = fields.get("taken").cloned();
        whole(room, &Place { key, number }, &asked, taken.as_deref(), None, &Typed::default())
    })
    .await
}

/// Which picture.
struct Place {
    key: String,
    number: usize,
}

impl Place {
    fn here(&self) -> String {
        format!("/c/{}/picture/{}", self.key, self.number)
    }
}

fn whole(
    room: &Room,
    place: &Place,
    asked: &Asked,
    taken: Option<&str>,
    why: Option<&Trouble>,
    typed: &Typed,
) -> Result<Response, Trouble> {
    let costume = room.costume(&place.key)?;
    let all = pictures_of(&costume.path)?;
    let this = picture_numbered(&costume.path, place.number)?;
    let here = place.here();
    let flats = suggested(room, &costume.path, &this)?;
    let suggestion = match &flats {
        Seen::Made(flats) => Some(Arc::clone(flats)),
        _ => None,
    };
    let seen = shown(room, &this.path, true);
    let chosen = asked.place();
    let picked = match (&chosen, &flats) {
        (Ok(Some(at)), Seen::Made(_) | Seen::Refused(_)) => {
            Some(pick(room, &costume.path, &this, *at, asked.piece(), suggestion.clone())?)
        }
        _ => None,
    };
    let refused = match (&chosen, &picked) {
        (Err(no), _) => Some(no),
        (_, Some(Seen::Refused(no))) => Some(&**no),
        _ => None,
    };
    let why = why.or(refused);
    let mut here_picked = picks_of(&costume.path)?;
    here_picked.retain(|pick| pick.picture == this.name);
    let mark = costume_mark(&costume.path)?;
    let last = last_change(&costume.path)?;
    let address = asked.address(&here);
    let body = html! {
        (ways(&place.key, &costume.name, "/picture"))
        h1 { "The reference picture" }
        @if let Some(why) = why { (frame::trouble(why)) }
        @if let Some(id) = taken {
            @let name = pieces_as_written(&costume.path)?.into_iter().find(|(of, _)| of == id).map_or_else(|| id.to_owned(), |(_, piece)| piece.name);
            p.verdict role="status" { "Written: " a href={ "/c/" (place.key) "/p/" (super::words::escaped(id)) } { (name) } " has this colour as its target now." }
        }
        @if let Some(last) = last {
            (taking_back::form(&format!("/c/{}/undo", place.key), &[], &mark, &last))
        }
        @if all.len() > 1 { (tabs(&place.key, &all, &this)) }
        section.pictured aria-label="The picture" {
            @match &seen {
                Seen::Made(shown) => (picking::form(&here, shown.size, asked, suggestion.as_deref(), &here_picked)),
                Seen::Busy(id) => (works::busy(*id, "Opening the picture", &address)),
                Seen::Stopped(id) => (works::stopped(*id, &address)),
                Seen::Refused(why) => (frame::trouble(why)),
            }
        }
        @if !here_picked.is_empty() { (already(&place.key, &here_picked)) }
        @match &picked {
            Some(Seen::Made(picked)) => (picked::part(&place.key, &here, &costume.path, picked, asked, &mark, &this, &all, typed)?),
            Some(Seen::Busy(id)) => (works::busy(*id, "Looking at the colour there", &address)),
            Some(Seen::Stopped(id)) => (works::stopped(*id, &address)),
            Some(Seen::Refused(_)) | None => {}
        }
        (flats_part(&flats, &here, &address, asked))
        @if let Some(flats) = &suggestion { (picked::others(flats)) }
        (choice(&place.key, &this, &all, &mark))
        details.after { summary { "Lay another picture beside it" } (upload(&place.key, false)) }
        script type="module" src="/picking.js" {}
    };
    let status = why.map_or(axum::http::StatusCode::OK, frame::status);
    Ok((status, framed(&title(&costume.name), Here::Costume, &body)).into_response())
}

/// Pieces that have their colour from this picture.
fn already(key: &str, picks: &[PickSeen]) -> Markup {
    html! {
        section aria-labelledby="already" {
            h2 id="already" { "Picked on it already" }
            (picks_list(key, picks))
        }
    }
}

fn picks_list(key: &str, picks: &[PickSeen]) -> Markup {
    html! {
        ul.tiles { @for pick in picks {
            li.tile { h3 { a href={ "/c/" (key) "/p/" (pick.piece) } { (pick.name) } }
                @if let Some(hex) = &pick.hex { (picking::chip(&[("Picked", hex, &pick.name)])) }
                p.quiet { "At " (pick.at[0]) "," (pick.at[1]) @if let Some(hex) = &pick.hex { ", " (hex) } } }
        } }
    }
}

/// The pictures of the costume, the one that holds first.
fn tabs(key: &str, all: &[PictureFound], this: &PictureFound) -> Markup {
    html! {
        nav.lamps aria-label="Pictures of this costume" { ul { @for one in all {
            li { a href={ "/c/" (key) "/picture/" (one.number) } aria-current=[(one.number == this.number).then_some("page")] {
                (one.name) @if one.holds { " (its colours hold)" } } }
        } } }
    }
}

/// The picture on the costume's page: small, and the way to pick colours on it.
pub(super) fn beside(key: &str, file: &FilePath) -> Result<Markup, Trouble> {
    let all = pictures_of(file)?;
    let picks = picks_of(file)?;
    Ok(html! {
        section aria-labelledby="reference" {
            h2 id="reference" { "The reference picture" }
            @match all.first() {
                None => p { "There is none yet. " a href={ "/c/" (key) "/picture" } { "Lay one beside the costume" } ", and pick the pieces’ colours on it." },
                Some(one) => div.beside-picture {
                    a href={ "/c/" (key) "/picture/" (one.number) } {
                        img src={ "/c/" (key) "/picture/" (one.number) "/shown" } alt="The reference picture: pick colours on it" loading="lazy";
                    }
                    div {
                        p { a href={ "/c/" (key) "/picture/" (one.number) } { "Pick colours on it" } }
                        @if let Some(because) = &one.because { p.quiet { "Chosen because: " (because) "." } }
                        @if !picks.is_empty() { (picks_list(key, &picks)) }
                        @if all.len() > 1 { p.quiet { (all.len()) " pictures lie here" @if !one.holds { "; none is chosen yet" } "." } }
                    }
                }
            }
        }
    })
}

/// What flats there are: the answer, or how far it is.
fn suggested(room: &Room, file: &FilePath, this: &PictureFound) -> Result<Seen<Coloured>, Trouble> {
    let others = pictures_of(file)?;
    let seen: Vec<String> = others.iter().map(|one| as_it_is(&one.path)).collect();
    let (file, number, today) = (file.to_path_buf(), this.number, room.today()?);
    let of = format!("flats {number} {}", seen.join("; "));
    Ok(room
        .works
        .look(&of, "looking for flat colours", move |_| suggest_colours(&file, number, today)))
}

fn pick(
    room: &Room,
    file: &FilePath,
    this: &PictureFound,
    place: PickPlace,
    piece: Option<String>,
    suggested: Option<Arc<Coloured>>,
) -> Result<Seen<Picked>, Trouble> {
    let mark = costume_mark(file)?;
    let of =
        format!("pick {} {place:?} {piece:?} {mark} {}", as_it_is(&this.path), suggested.is_some());
    let wanted = PickWanted {
        file: file.to_path_buf(),
        picture: this.number,
        place,
        piece,
        today: room.today()?,
    };
    Ok(room.works.look(&of, "looking at the colour there", move |tell| {
        pick_colour(&wanted, suggested.as_deref(), tell)
    }))
}

fn flats_part(flats: &Seen<Coloured>, here: &str, address: &str, asked: &Asked) -> Markup {
    html! {
        section aria-labelledby="flats" {
            h2 id="flats" { "Colours suggested" }
            @match flats {
                Seen::Busy(id) => (works::busy(*id, "Looking for the flat colours", address)),
                Seen::Stopped(id) => (works::stopped(*id, address)),
                Seen::Refused(why) => p { (super::words::sentence(&why.to_string())) " Point at the place instead." },
                Seen::Made(found) => {
                    p.quiet { "Lines, edges and small things are set aside (" (found.left_aside_pct) "\u{a0}% of the picture). Take the one that is meant." }
                    ul.tiles { @for flat in &found.flats { (picking::suggestion(flat, here, asked)) } }
                    @for note in found.notes.iter().filter(|note| !note.contains("--")) { p.quiet { (note) } }
                }
            }
        }
    }
}

/// Choosing this picture, or putting it out of sight.
fn choice(key: &str, this: &PictureFound, all: &[PictureFound], mark: &str) -> Markup {
    let here = format!("/c/{key}/picture/{}", this.number);
    html! {
        @if this.holds {
            section aria-labelledby="holds" {
                h2 id="holds" { "Its colours hold" }
                p { "The pieces’ colours are read off this picture"
                    @match &this.because { Some(because) => { ", because: " (because) "." } None => "." } }
            }
        } @else {
            section aria-labelledby="choose" {
                h2 id="choose" { "Which picture holds" }
                p { @if all.len() > 1 { "Pictures of one character differ. Choose one, say why, and keep to it." }
                    @else { "Say that the colours of this picture hold, and why: whoever looks at the costume next year will know." } }
                form.question method="post" action={ (here) "/choose" } {
                    input type="hidden" name="since" value=(mark);
                    div.field { label for="choose-because" { "Why this one" } input id="choose-because" name="because" maxlength="200" autocomplete="off"; }
                    button type="submit" { "Its colours hold" }
                }
                form method="post" action={ (here) "/hide" } { button.second type="submit" { "Put this picture out of sight" } }
            }
        }
    }
}

/// `/c/{costume}/picture/{number}/shown`.
pub(super) async fn image(State(room): In, Path((key, number)): Path<(String, usize)>) -> Response {
    answered(room, Here::Costume, move |room| {
        let file = room.costume(&key)?.path;
        shown_bytes(room, &picture_numbered(&file, number)?.path, true)
    })
    .await
}

/// `POST /c/{costume}/picture/{number}/take`.
pub(super) async fn take(
    State(room): In,
    Path((key, number)): Path<(String, usize)>,
    Form(fields): Form<Fields>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let asked = Asked::of(&fields);
        let typed = Typed::of(&fields);
        let this = picture_numbered(&costume.path, number)?;
        let done = taken(room, &costume.path, &this, &asked, &typed, &fields);
        let place = Place { key, number };
        match done {
            Ok(id) => {
                // The picture that holds is the first of the list from now on.
                let now = pictures_of(&costume.path)?;
                let at =
                    now.iter().find(|one| one.path == this.path).map_or(number, |one| one.number);
                let to =
                    format!("/c/{}/picture/{at}?taken={}", place.key, super::words::escaped(&id));
                Ok(Redirect::to(&to).into_response())
            }
            Err(why) => whole(room, &place, &asked, None, Some(&why), &typed),
        }
    })
    .await
}

/// Writes the picked colour; gives the id of its piece.
fn taken(
    room: &Room,
    file: &FilePath,
    this: &PictureFound,
    asked: &Asked,
    typed: &Typed,
    fields: &Fields,
) -> Result<String, Trouble> {
    let nothing = || Trouble::Refused {
        says: "no place of the picture was named".to_owned(),
        hint: "point at it, or take a suggested colour".to_owned(),
    };
    let at = asked.place()?.ok_or_else(nothing)?;
    let moment = || Trouble::Refused {
        says: "the colour is still being looked at".to_owned(),
        hint: "wait a moment and send it again".to_owned(),
    };
    let flats = match suggested(room, file, this)? {
        Seen::Made(flats) => Some(flats),
        Seen::Refused(_) => None,
        Seen::Busy(_) | Seen::Stopped(_) => return Err(moment()),
    };
    let picked = match pick(room, file, this, at, asked.piece(), flats)? {
        Seen::Made(picked) => picked,
        Seen::Refused(why) => return Err(picked::said_again(&why)),
        Seen::Busy(_) | Seen::Stopped(_) => return Err(moment()),
    };
    let keep = PickKept {
        to: typed.to()?,
        on_cloth_white: typed.on_cloth_white,
        because: Some(typed.because.clone()).filter(|b| !b.is_empty()),
        anew: typed.anew,
        since: fields.get("since").cloned(),
    };
    let what = keep_picked(file, &picked, &keep, &room.recording())?;
    Ok(match &keep.to {
        PickFor::Piece(id) => id.clone(),
        PickFor::New { .. } => what.split(' ').next().unwrap_or_default().to_owned(),
    })
}

/// The page of a picture with what could not be done to it.
fn refused(room: &Room, place: Place, why: &Trouble) -> Result<Response, Trouble> {
    whole(room, &place, &Asked::default(), None, Some(why), &Typed::default())
}

/// `POST /c/{costume}/picture/{number}/choose`.
pub(super) async fn choose(
    State(room): In,
    Path((key, number)): Path<(String, usize)>,
    Form(fields): Form<Fields>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let because = fields.get("because").map(String::as_str).unwrap_or_default();
        let since = fields.get("since").map(String::as_str);
        match choose_picture(&costume.path, number, because, since, &room.recording()) {
            Ok(_) => Ok(Redirect::to(&format!("/c/{key}/picture/1#holds")).into_response()),
            Err(why) => refused(room, Place { key, number }, &why),
        }
    })
    .await
}

/// `POST /c/{costume}/picture/{number}/hide`.
pub(super) async fn hide(State(room): In, Path((key, number)): Path<(String, usize)>) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        match hide_picture(&costume.path, number) {
            Ok(_) => Ok(Redirect::to(&format!("/c/{key}/picture")).into_response()),
            Err(why) => refused(room, Place { key, number }, &why),
        }
    })
    .await
}
