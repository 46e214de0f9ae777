//! Every address of the workroom, and the guard before them all.

use std::sync::Arc;

use axum::Router;
use axum::extract::{DefaultBodyLimit, State};
use axum::middleware::{from_fn_with_state, map_response};
use axum::response::Response;
use axum::routing::{get, post};
use workroom::Trouble;

use super::frame::{self, Here};
use super::room::Room;
use super::{
    alarms, answer, assets, bath, bath_done, book, charts, costume, dye, dyed, dyed_photo, edits,
    guard, late, old_notes, phone, photograph, piece, printed, printed_card, reference, shelf,
    shelf_forms, start, swatch, swatches, together, upload, went_wrong, works,
};

/// Most bytes a form may send: a costume file of the largest size read, with what its encoding adds.
const MOST_BYTES: usize = 4 * 1024 * 1024;

/// What a handler is given.
pub(super) type In = State<Arc<Room>>;

/// All routes, for this machine.
pub(super) fn routes(room: Arc<Room>) -> Router {
    let own = Router::new()
        .route("/phone", get(phone::page))
        .route("/phone/asking", get(phone::watched))
        .route("/phone/open", post(phone::open_door))
        .route("/phone/close", post(phone::close))
        .route("/phone/allow", post(phone::allow))
        .route("/phone/refuse", post(phone::refuse))
        .route("/c/{costume}/picture/{number}/take", post(reference::take))
        .route("/c/{costume}/picture/{number}/choose", post(reference::choose))
        .route("/c/{costume}/picture/{number}/hide", post(reference::hide))
        .route(
            "/book/old",
            get(old_notes::ask)
                .post(old_notes::send)
                .layer(DefaultBodyLimit::max(upload::MOST_SENT)),
        )
        .route("/charts", post(charts::take_in).layer(DefaultBodyLimit::max(upload::MOST_SENT)))
        .route("/book/old/{number}", get(old_notes::page).post(old_notes::record))
        .route(
            "/c/{costume}/picture",
            post(reference::lay).layer(DefaultBodyLimit::max(upload::MOST_SENT)),
        );
    own.merge(everywhere())
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(map_response(frame::in_words))
        .layer(from_fn_with_state(Arc::clone(&room), guard::guard))
        .with_state(room)
}

/// The routes for phones that were let in: all but the door itself.
pub(super) fn for_the_house(room: Arc<Room>) -> Router {
    everywhere()
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(map_response(frame::in_words))
        .layer(from_fn_with_state(Arc::clone(&room), guard::guard_of_the_house))
        .with_state(room)
}

fn everywhere() -> Router<Arc<Room>> {
    Router::new()
        .route("/", get(start::page))
        .route("/answer", get(answer::page))
        .route("/begin", post(answer::begin))
        .route("/example", post(start::example))
        .route("/shelf", get(shelf::page).post(shelf_forms::change))
        .route("/shelf/dye", get(dye::page))
        .route("/shelf/change", get(shelf_forms::one))
        .route("/shelf/undo", post(shelf_forms::undo))
        .route("/shelf/file", get(shelf_forms::file).post(shelf_forms::write_file))
        .route("/book", get(book::page))
        .route("/book/undo", post(book::undo))
        .route("/c/{costume}", get(costume::page).post(edits::head))
        .route("/c/{costume}/progress", get(costume::progress))
        .route("/c/{costume}/stop", post(costume::stop))
        .route("/c/{costume}/anew", post(costume::anew))
        .route("/c/{costume}/undo", post(edits::undo))
        .route("/c/{costume}/shelf", post(edits::shelf))
        .route("/c/{costume}/together", post(together::choose))
        .route("/c/{costume}/pieces", post(edits::new_piece))
        .route("/c/{costume}/file", get(edits::file).post(edits::write_file))
        .route("/c/{costume}/days", get(costume::days))
        .route("/c/{costume}/days/from", post(late::from))
        .route("/c/{costume}/shopping", get(costume::shopping))
        .route("/c/{costume}/swatches", get(swatches::page))
        .route("/c/{costume}/print", get(printed::hub))
        .route("/c/{costume}/match", get(costume::matching))
        .route("/c/{costume}/p/{piece}", get(piece::page).post(edits::piece))
        .route("/c/{costume}/p/{piece}/drop", post(edits::drop_piece))
        .route("/c/{costume}/p/{piece}/swatch/{code}", post(swatch::record))
        .route("/c/{costume}/p/{piece}/dyed", post(dyed::read))
        .route("/c/{costume}/p/{piece}/dyed/undo", post(dyed::undo))
        .route(
            "/c/{costume}/p/{piece}/dyed/photo",
            get(dyed_photo::ask)
                .post(dyed_photo::send)
                .layer(DefaultBodyLimit::max(upload::MOST_SENT)),
        )
        .route("/c/{costume}/p/{piece}/dyed/photo/{number}", get(dyed_photo::page))
        .route("/c/{costume}/p/{piece}/bath/{at}", get(bath::page).post(bath::mark))
        .route("/c/{costume}/p/{piece}/bath/{at}/now", get(bath::watched))
        .route("/c/{costume}/p/{piece}/bath/{at}/late", post(late::say))
        .route("/c/{costume}/p/{piece}/bath/{at}/record", post(bath_done::record))
        .route("/c/{costume}/p/{piece}/bath/{at}/unrecord", post(bath_done::unrecord))
        .route("/c/{costume}/p/{piece}/bath/{at}/aside", post(bath::aside))
        .route("/c/{costume}/p/{piece}/bath/{at}/alarms", get(alarms::file))
        .route("/c/{costume}/p/{piece}/bath/{at}/wrong", get(went_wrong::at_the_pot))
        .route("/wrong", get(went_wrong::page))
        .route("/c/{costume}/print/{what}", get(printed::page))
        .route("/c/{costume}/picture", get(reference::first))
        .route("/c/{costume}/picture/{number}", get(reference::page))
        .route("/c/{costume}/picture/{number}/shown", get(reference::image))
        .route(
            "/c/{costume}/p/{piece}/swatch/{code}/photo",
            get(photograph::ask)
                .post(photograph::send)
                .layer(DefaultBodyLimit::max(upload::MOST_SENT)),
        )
        .route("/c/{costume}/p/{piece}/swatch/{code}/photo/{number}", get(photograph::page))
        .route("/photo/{number}/shown", get(photograph::image))
        .route("/charts", get(charts::page))
        .route("/charts/card", get(charts::card))
        .route(
            "/charts/read",
            get(charts::ask).post(charts::send).layer(DefaultBodyLimit::max(upload::MOST_SENT)),
        )
        .route("/charts/read/{number}", get(printed_card::page))
        .route("/charts/read/{number}/keep", post(printed_card::keep))
        .route("/works/{id}", get(works::progress))
        .route("/works/{id}/stop", post(works::stop))
        .route("/works/{id}/anew", post(works::anew))
        .route("/picking.js", get(assets::picking))
        .route("/look.css", get(assets::look))
        .route("/alive.js", get(assets::alive))
        .fallback(|| async { frame::whole_trouble(&no_page(), Here::Start) })
}

fn no_page() -> Trouble {
    Trouble::Refused {
        says: "there is no such page".to_owned(),
        hint: "the start page leads to all that there are".to_owned(),
    }
}

/// Runs what reads files away from the threads that answer; its trouble is a page of its own.
pub(super) async fn answered<F>(room: Arc<Room>, here: Here, make: F) -> Response
where
    F: FnOnce(&Room) -> Result<Response, Trouble> + Send + 'static,
{
    match tokio::task::spawn_blocking(move || make(&room)).await {
        Ok(Ok(response)) => response,
        Ok(Err(trouble)) => frame::whole_trouble(&trouble, here),
        Err(_) => frame::whole_trouble(&broken(), here),
    }
}

fn broken() -> Trouble {
    Trouble::Broken {
        doing: "making this page",
        path: "the workroom".into(),
        why: "the program has a fault here".to_owned(),
    }
}
