//! The page that lets a phone in, and what a phone sees until it is.

use std::collections::BTreeMap;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::Arc;

use axum::extract::{Form, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, PreEscaped, html};
use qrcode::render::svg;
use qrcode::{EcLevel, QrCode};
use tokio::sync::oneshot;
use workroom::Trouble;

use super::frame::{self, Here, page as framed};
use super::phones::{Phone, house_address};
use super::room::Room;
use super::routes::{self, In, answered};

/// `/phone`.
pub(super) async fn page(State(room): In) -> Response {
    answered(room, Here::Phone, |room| {
        let body = match room.phones.address() {
            Some(address) => open(room, address)?,
            None => shut(),
        };
        Ok(framed("A phone beside the pot", Here::Phone, &body).into_response())
    })
    .await
}

fn shut() -> Markup {
    html! {
        h1 { "A phone beside the pot" }
        p { "The bath sheets can be shown on a phone in the same house network: steps to tick, clocks, cautions. Until you open \
            this door nothing but this machine can reach the workroom." }
        form method="post" action="/phone/open" { button type="submit" { "Let a phone in" } }
        (honestly())
    }
}

fn open(room: &Room, address: SocketAddr) -> Result<Markup, Trouble> {
    let code = room.phones.code()?;
    let link = format!("http://{address}/join?code={code}");
    let phones = room.phones.all();
    Ok(html! {
        h1 { "A phone beside the pot" }
        section aria-labelledby="scan" {
            h2 id="scan" { "Scan this with the phone" }
            div.code { (drawn(&link)?) }
            p { "Or open " b.amount { "http://" (address) "/join" } " on it and type " b.amount { (spaced(&code)) } ". A code counts once, \
                for five minutes. The phone has to be in the same house network." }
        }
        section aria-labelledby="asking" data-watch="/phone/asking" data-now-asking=(asking(&phones)) {
            h2 id="asking" { "Phones" }
            @if phones.is_empty() { p { "None has asked yet." } }
            ul.entries { @for phone in &phones { (one(phone)) } }
        }
        form method="post" action="/phone/close" { button.second type="submit" { "Shut this door and send all phones away" } }
        (honestly())
    })
}

fn one(phone: &Phone) -> Markup {
    let button = |to: &str, words: &str, second: bool| {
        html! { form method="post" action={ "/phone/" (to) } {
            input type="hidden" name="number" value=(phone.number);
            button.second[second] type="submit" { (words) span.unseen { ", phone " (phone.number) } }
        } }
    };
    html! {
        li {
            span { b { "Phone " (phone.number) } ": " (phone.calls_itself) " " @if phone.allowed { "is in." } @else { "asks to come in." } }
            span.row {
                @if !phone.allowed { (button("allow", "Allow", false)) }
                (button("refuse", if phone.allowed { "Send away" } else { "Refuse" }, true))
            }
        }
    }
}

fn honestly() -> Markup {
    html! {
        section aria-labelledby="honestly" {
            h2 id="honestly" { "What a page cannot do" }
            ul {
                li { "It cannot wake a sleeping phone. Keep its screen on, or take the costume’s calendar into the phone: its alarm rings." }
                li { "What goes over the house network is not sealed: whoever shares that network could read along. Open this door at home, \
                    not in a hall." }
                li { "This machine must stay awake: the clocks are kept here." }
            }
        }
    }
}

fn spaced(code: &str) -> String {
    let (first, last) = code.split_at(code.len() / 2);
    format!("{first} {last}")
}

fn drawn(link: &str) -> Result<Markup, Trouble> {
    let code =
        QrCode::with_error_correction_level(link, EcLevel::M).map_err(|e| Trouble::Broken {
            doing: "drawing the code",
            path: "the workroom".into(),
            why: e.to_string(),
        })?;
    let svg = code.render::<svg::Color<'_>>().min_dimensions(240, 240).build();
    // The drawing stands in the page: what stands before it belongs to a file.
    let svg = svg.find("<svg").map_or(svg.as_str(), |at| &svg[at..]);
    Ok(
        html! { div.drawn role="img" aria-label="A square code that holds the address beside it" { (PreEscaped(svg)) } },
    )
}

/// What stands for "who waits", so that a page knows when to load again.
fn asking(phones: &[Phone]) -> String {
    phones
        .iter()
        .map(|p| format!("{}{} ", p.number, if p.allowed { "in" } else { "asks" }))
        .collect()
}

/// `/phone/asking`.
pub(super) async fn watched(State(room): In) -> Response {
    axum::Json(serde_json::json!({ "now": asking(&room.phones.all()) })).into_response()
}

/// `POST /phone/open`: from now on the house network can ask.
pub(super) async fn open_door(State(room): In) -> Response {
    match listen(room).await {
        Ok(()) => Redirect::to("/phone").into_response(),
        Err(why) => frame::whole_trouble(&why, Here::Phone),
    }
}

async fn listen(room: Arc<Room>) -> Result<(), Trouble> {
    if room.phones.address().is_some() {
        return Ok(());
    }
    let no_network = || Trouble::Refused {
        says: "this machine is in no house network".to_owned(),
        hint: "join the network the phone is in, then try again".to_owned(),
    };
    let ip = house_address().unwrap_or(IpAddr::V4(Ipv4Addr::UNSPECIFIED));
    if ip.is_unspecified() {
        return Err(no_network());
    }
    let listener = tokio::net::TcpListener::bind((ip, 0)).await.map_err(|_| no_network())?;
    let address = listener.local_addr().map_err(|_| no_network())?;
    let (shut, shutting) = oneshot::channel::<()>();
    room.phones.opened(address, shut);
    let app = routes::for_the_house(Arc::clone(&room));
    tokio::spawn(async move {
        let closing = async {
            // Either a message or its sender dropped: both shut the door.
            let _ = shutting.await;
        };
        let serving = axum::serve(listener, app).with_graceful_shutdown(closing).await;
        if serving.is_err() {
            room.phones.close();
        }
    });
    Ok(())
}

/// `POST /phone/close`.
pub(super) async fn close(State(room): In) -> Response {
    room.phones.close();
    Redirect::to("/phone").into_response()
}

/// `POST /phone/allow`.
pub(super) async fn allow(
    State(room): In,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    room.phones.allow(number(&fields));
    Redirect::to("/phone#asking").into_response()
}

/// `POST /phone/refuse`.
pub(super) async fn refuse(
    State(room): In,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    room.phones.refuse(number(&fields));
    Redirect::to("/phone#asking").into_response()
}

fn number(fields: &BTreeMap<String, String>) -> usize {
    fields.get("number").and_then(|n| n.parse().ok()).unwrap_or(0)
}

/// What a phone sees that has no code yet, or a wrong one.
pub(super) fn code_wanted(was_wrong: bool) -> Markup {
    let body = html! {
        h1 { "Come in with a code" }
        @if was_wrong { div.trouble role="alert" { p { "That code does not count, or no longer. The workroom’s screen shows the one that does." } } }
        form method="get" action="/join" {
            div.field { label for="code" { "The code on the workroom’s screen" } input id="code" name="code" required autocomplete="off" autocapitalize="characters"; }
            button type="submit" { "Ask to come in" }
        }
    };
    frame::outside("Come in with a code", &body, None)
}

/// What a phone sees while it waits.
pub(super) fn waiting() -> Markup {
    let body = html! {
        h1 { "Allow this phone on the workroom’s screen" }
        p role="status" { "It is waiting there under “Phones”. This page goes on by itself." }
    };
    frame::outside("Waiting to be let in", &body, Some(3))
}
