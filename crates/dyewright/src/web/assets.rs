//! What pages fetch from the binary: one style sheet, and scripts. All are answered with a tag, so that an unchanged
//! one is not sent twice.

use std::sync::OnceLock;

use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG, IF_NONE_MATCH};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse as _, Response};

const OWN_LOOK: &str = include_str!("look.css");
const ALIVE: &str = include_str!("alive.js");
const PICKING: &str = include_str!("picking.js");

/// The style sheet: that of the printed pages, then what a room has and paper has not.
pub(super) async fn look(headers: HeaderMap) -> Response {
    static LOOK: OnceLock<String> = OnceLock::new();
    let text = LOOK.get_or_init(|| format!("{}\n{OWN_LOOK}", paper::look()));
    sent(&headers, "text/css; charset=utf-8", text)
}

/// The script of pages that must be alive.
pub(super) async fn alive(headers: HeaderMap) -> Response {
    sent(&headers, "text/javascript; charset=utf-8", ALIVE)
}

/// The script of pictures that are pointed at.
pub(super) async fn picking(headers: HeaderMap) -> Response {
    sent(&headers, "text/javascript; charset=utf-8", PICKING)
}

fn sent(headers: &HeaderMap, kind: &'static str, text: &'static str) -> Response {
    let tag = tag(text);
    let known = headers.get(IF_NONE_MATCH).and_then(|value| value.to_str().ok()) == Some(&tag);
    let head =
        [(CONTENT_TYPE, kind.to_owned()), (CACHE_CONTROL, "no-cache".to_owned()), (ETAG, tag)];
    match known {
        true => (StatusCode::NOT_MODIFIED, head).into_response(),
        false => (head, text).into_response(),
    }
}

/// A tag of a text (FNV-1a, 64 bits): it tells two versions of our own files apart, and is no seal.
fn tag(text: &str) -> String {
    let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("\"{hash:016x}\"")
}
