//! The workroom in the browser: pages made on this machine, for this machine.
//!
//! Handlers read what came in, call `workroom`, and hand the answer to a page; no page decides anything. Nothing is
//! asked of any other machine: every style and script is in the binary, and the content security policy says so to
//! the browser too. Left out: whatever a rule of the trade would have to decide.

mod alarms;
mod answer;
mod assets;
mod bath;
mod bath_amounts;
mod bath_done;
mod bath_steps;
mod beside;
mod book;
mod charts;
mod costume;
mod desk;
mod dye;
mod dyed;
mod dyed_photo;
mod edits;
mod frame;
mod guard;
mod late;
mod lights;
mod moment;
mod old_notes;
mod opened;
mod phone;
mod phones;
mod photograph;
mod picked;
mod picking;
mod piece;
mod printed;
mod printed_card;
mod reference;
mod room;
mod routes;
mod shelf;
mod shelf_forms;
mod shown;
mod start;
mod swatch;
mod swatches;
mod taking_back;
#[cfg(test)]
mod tests;
mod together;
mod upload;
mod went_wrong;
mod words;
mod works;

use std::io::{self, Write as _};
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;

use workroom::Trouble;

use crate::opening::Opening;
use room::Room;

/// Opens the workroom and keeps it open until Ctrl-C.
pub(crate) fn open(opening: &Opening) -> Result<(), Trouble> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|e| broken("starting", &e))?;
    runtime.block_on(serve(opening))
}

async fn serve(opening: &Opening) -> Result<(), Trouble> {
    let address = SocketAddr::from((Ipv4Addr::LOCALHOST, opening.port));
    let listener = tokio::net::TcpListener::bind(address).await.map_err(|e| Trouble::Refused {
        says: format!("nothing can listen on port {}: {e}", opening.port),
        hint: "name another with --port, or leave it out".to_owned(),
    })?;
    let port = listener.local_addr().map_err(|e| broken("listening", &e))?.port();
    let room = Arc::new(Room::of(opening, port)?);
    let url = room.first_address();
    let mut out = io::stdout();
    // Whoever started it may have closed the terminal: the workroom is open all the same.
    let _ = writeln!(out, "The workroom is open on this machine, for {}:", room.folder().display());
    let _ = writeln!(out, "  {url}");
    let _ = writeln!(out, "Ctrl-C closes it. Nothing typed and saved is lost by that.");
    let _ = out.flush();
    if opening.browser && open::that_detached(&url).is_err() {
        let _ = writeln!(out, "No browser could be started: open the address above in yours.");
    }
    axum::serve(listener, routes::routes(room))
        .with_graceful_shutdown(async {
            // Where no signal can be waited for, only the terminal ends it.
            if tokio::signal::ctrl_c().await.is_err() {
                std::future::pending::<()>().await;
            }
        })
        .await
        .map_err(|e| broken("serving", &e))
}

fn broken(doing: &'static str, why: &io::Error) -> Trouble {
    Trouble::Broken { doing, path: "the workroom".into(), why: why.to_string() }
}
