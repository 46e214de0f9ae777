//! Pictures as pages show them: made small once, written anew (nothing of the file but its pixels), sent with a type
//! of our own choosing.

use std::path::Path;
use std::time::{Duration, Instant};

use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse as _, Response};
use workroom::{PictureShown, Trouble, show_picture};

use super::room::Room;
use super::works::{Seen, as_it_is};

/// How long a picture that is asked for by itself is waited for; others may be made small before it.
const LONGEST: Duration = Duration::from_secs(30);

/// A picture made small: artwork truly, a photograph to point at.
pub(super) fn shown(room: &Room, path: &Path, truly: bool) -> Seen<PictureShown> {
    let of = format!("shown {truly} {}", as_it_is(path));
    let path = path.to_path_buf();
    room.works.look(&of, "opening the picture", move |_| show_picture(&path, truly))
}

/// The same as an answer.
pub(super) fn shown_bytes(room: &Room, path: &Path, truly: bool) -> Result<Response, Trouble> {
    let moment = |says: &str| Trouble::Refused {
        says: says.to_owned(),
        hint: "load the page again in a moment".to_owned(),
    };
    // A page that was not asked to wait shows the picture as soon as it is there: its address is asked only once.
    let began = Instant::now();
    let seen = loop {
        match shown(room, path, truly) {
            Seen::Busy(_) if began.elapsed() < LONGEST => {}
            seen => break seen,
        }
    };
    match seen {
        Seen::Made(shown) => {
            let head = [(CONTENT_TYPE, shown.media), (CACHE_CONTROL, "private, max-age=600")];
            Ok((head, shown.bytes.clone()).into_response())
        }
        Seen::Refused(why) => Err(moment(&why.to_string())),
        Seen::Busy(_) | Seen::Stopped(_) => Err(moment("the picture is not open yet")),
    }
}
