//! Who is let in: this machine by its own names, a browser that has the key, and forms sent from our own pages.
//!
//! A page of another site may try to reach a server on loopback through the maker's browser: its `Host` is another
//! name (rebinding), or its `Origin` is (a forged form). Both are refused, and without the key nothing is told.

use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, COOKIE, HOST, HeaderName, LOCATION, ORIGIN,
    REFERRER_POLICY, SET_COOKIE, USER_AGENT, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};

use super::phones::Asked;
use super::room::Room;
use super::{frame, phone};

/// The cookie that holds the key. The port is not part of a cookie's place: each port has its own name.
const COOKIE_NAME: &str = "dyewright-key";

/// The cookie that holds a phone's token.
const PHONE_COOKIE: &str = "dyewright-phone";

/// Nothing from elsewhere, no script but ours; colours of chips are the only styles written in a page.
const POLICY: &str = "default-src 'none'; style-src 'self'; style-src-attr 'unsafe-inline'; script-src 'self'; \
                      img-src 'self' data: blob:; connect-src 'self'; form-action 'self'; base-uri 'none'; \
                      frame-ancestors 'none'";

/// Lets a request through, or says why not.
pub(super) async fn guard(State(room): State<Arc<Room>>, request: Request, next: Next) -> Response {
    let headers = request.headers();
    if !one(headers, HOST).is_some_and(|host| room.is_own_host(host)) {
        return refused(StatusCode::MISDIRECTED_REQUEST, "This address is not the workroom's own.");
    }
    let changes = !matches!(*request.method(), Method::GET | Method::HEAD);
    if changes && !from_own_page(headers, &room) {
        return refused(StatusCode::FORBIDDEN, "This was not sent from a page of the workroom.");
    }
    if let Some(key) = key_in_address(request.uri().query().unwrap_or_default()) {
        return match key == room.key() {
            true => let_in(&request, &room),
            false => shut(),
        };
    }
    if !has_key(headers, room.key()) {
        return shut();
    }
    hardened(next.run(request).await)
}

/// Lets a request from the house network through when its phone was allowed; else asks for the code, or to wait.
pub(super) async fn guard_of_the_house(
    State(room): State<Arc<Room>>,
    request: Request,
    next: Next,
) -> Response {
    let headers = request.headers();
    let own = room.phones.address().map(|address| address.to_string());
    if own.is_none() || one(headers, HOST) != own.as_deref() {
        return refused(StatusCode::MISDIRECTED_REQUEST, "This address is not the workroom's own.");
    }
    let origin = one(headers, ORIGIN).and_then(|origin| origin.strip_prefix("http://"));
    let changes = !matches!(*request.method(), Method::GET | Method::HEAD);
    if changes && origin != own.as_deref() {
        return refused(StatusCode::FORBIDDEN, "This was not sent from a page of the workroom.");
    }
    let path = request.uri().path();
    if path == "/look.css" {
        // The look is no secret, and a page that asks for the code needs it.
        return hardened(next.run(request).await);
    }
    let known = cookie(headers, PHONE_COOKIE).and_then(|token| room.phones.known(token));
    match known {
        Some(true) if path == "/join" => {
            hardened((StatusCode::SEE_OTHER, [(LOCATION, "/")]).into_response())
        }
        Some(true) => hardened(next.run(request).await),
        Some(false) => hardened((StatusCode::FORBIDDEN, phone::waiting()).into_response()),
        None => hardened(join(&request, &room)),
    }
}

/// A phone that is not known: with the code that was given out it may wait.
fn join(request: &Request, room: &Room) -> Response {
    let query = request.uri().query().unwrap_or_default();
    let code = query.split('&').find_map(|pair| pair.strip_prefix("code="));
    let Some(code) = code.filter(|_| request.uri().path() == "/join") else {
        return (StatusCode::FORBIDDEN, phone::code_wanted(false)).into_response();
    };
    let calls_itself = one(request.headers(), USER_AGENT).unwrap_or("a browser without a name");
    match room.phones.ask(code, calls_itself) {
        Ok(Asked::Waits(token)) => {
            let cookie = format!("{PHONE_COOKIE}={token}; HttpOnly; SameSite=Strict; Path=/");
            // No redirect: browsers do not send a strict cookie along a redirect that began outside, at a scanned code.
            (StatusCode::FORBIDDEN, [(SET_COOKIE, cookie)], phone::waiting()).into_response()
        }
        Ok(Asked::Wrong) => (StatusCode::FORBIDDEN, phone::code_wanted(true)).into_response(),
        Ok(Asked::Full) => refused(StatusCode::FORBIDDEN, "Too many phones wait already."),
        Err(why) => (frame::status(&why), phone::code_wanted(true)).into_response(),
    }
}

fn hardened(mut response: Response) -> Response {
    harden(response.headers_mut());
    response
}

/// Sets what every answer carries.
fn harden(headers: &mut HeaderMap) {
    let mut set = |name: HeaderName, value: &'static str| {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    };
    set(CONTENT_SECURITY_POLICY, POLICY);
    set(X_CONTENT_TYPE_OPTIONS, "nosniff");
    // With "no-referrer" browsers send forms with `Origin: null` (Fetch standard), which nothing could tell from a forged one.
    set(REFERRER_POLICY, "same-origin");
    set(CACHE_CONTROL, "no-store");
    set(HeaderName::from_static("cross-origin-opener-policy"), "same-origin");
    set(HeaderName::from_static("cross-origin-resource-policy"), "same-origin");
}

fn one(headers: &HeaderMap, name: HeaderName) -> Option<&str> {
    let mut all = headers.get_all(name).iter();
    match (all.next(), all.next()) {
        (Some(value), None) => value.to_str().ok(),
        _ => None,
    }
}

fn from_own_page(headers: &HeaderMap, room: &Room) -> bool {
    let origin = one(headers, ORIGIN).and_then(|origin| origin.strip_prefix("http://"));
    origin.is_some_and(|host| room.is_own_host(host))
}

fn key_in_address(query: &str) -> Option<&str> {
    query.split('&').find_map(|pair| pair.strip_prefix("key="))
}

fn has_key(headers: &HeaderMap, key: &str) -> bool {
    cookie(headers, COOKIE_NAME) == Some(key)
}

fn cookie<'h>(headers: &'h HeaderMap, wanted: &str) -> Option<&'h str> {
    let lines = headers.get_all(COOKIE).iter().filter_map(|value| value.to_str().ok());
    let mut pairs = lines.flat_map(|line| line.split(';')).filter_map(|p| p.trim().split_once('='));
    pairs.find(|(name, _)| *name == wanted).map(|(_, value)| value)
}

/// The browser keeps the key, and the address loses it.
fn let_in(request: &Request, room: &Room) -> Response {
    let to = request.uri().path().to_owned();
    let cookie = format!("{COOKIE_NAME}={}; HttpOnly; SameSite=Strict; Path=/", room.key());
    let mut response =
        (StatusCode::SEE_OTHER, [(LOCATION, to), (SET_COOKIE, cookie)]).into_response();
    harden(response.headers_mut());
    response
}

fn shut() -> Response {
    refused(
        StatusCode::FORBIDDEN,
        "The workroom does not know this browser. Open the whole address that was said when the workroom was \
         opened; it ends with a key.",
    )
}

fn refused(status: StatusCode, words: &str) -> Response {
    let mut response = (status, frame::bare("The workroom is shut", words)).into_response();
    harden(response.headers_mut());
    response
}
