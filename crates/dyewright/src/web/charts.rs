//! Charts and cards of the maker's own, to read photographs by: those in the folder, one more taken in as text, and the card
//! to print at home.
//!
//! Left out: reading a print (`printed_card`), and what is read by any of them (`beside`).

use std::collections::BTreeMap;

use axum::extract::{Multipart, Query, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use workroom::{Trouble, ValuesFound, card_drawing, take_in_values, values_in};

use super::beside::text_field;
use super::frame::{self, Here, page as framed};
use super::photograph;
use super::room::Room;
use super::routes::{In, answered};
use super::upload::Sent;
use super::words::escaped;

type Fields = BTreeMap<String, String>;

/// Largest text of values taken in, bytes; a chart of a thousand patches with spectra is smaller.
const LARGEST: usize = 1024 * 1024;

/// `/charts`.
pub(super) async fn page(State(room): In, Query(fields): Query<Fields>) -> Response {
    answered(room, Here::Book, move |room| {
        let kept = fields.get("kept").map(String::as_str);
        Ok(whole(room, kept, None, &Fields::new())?.into_response())
    })
    .await
}

fn whole(
    room: &Room,
    kept: Option<&str>,
    why: Option<&Trouble>,
    typed: &Fields,
) -> Result<Response, Trouble> {
    let found = values_in(room.folder())?;
    let kept = found.iter().find(|one| kept == Some(one.file.as_str()));
    let field = |name: &str| typed.get(name).map(String::as_str).unwrap_or_default();
    let body = html! {
        h1 { "Charts and cards of your own" }
        @if let Some(why) = why { (frame::trouble(why)) }
        @if let Some(one) = kept { p.verdict role="status" { "Kept: “" (one.file) "”. A photograph can be read by it from now on." } }
        p { "A photograph shows a colour beside something whose colours are known. A bought chart of 24 patches is known here; anything else is told once, here." }
        section aria-labelledby="there" {
            h2 id="there" { "What there is" }
            @if found.is_empty() { p { "Nothing yet but the bought chart of 24." } }
            ul.entries { @for one in &found { (there(one)) } }
        }
        section aria-labelledby="print" {
            h2 id="print" { "Print a card" }
            p { "For whoever has no chart: 48 patches to print at home. It counts once it was read beside a chart that is known; a borrowed one will do." }
            form.question method="get" action="/charts/card" {
                div.field {
                    label for="sheet" { "The sheet" }
                    select id="sheet" name="sheet" { option value="a5" { "A5, lying" } option value="a4" { "A4, lying" } }
                }
                (text_field("code", "A code for this print", &room.today()?.to_string(), "It is printed on the card: each print is another. Letters, digits and hyphens, sixteen at most."))
                button type="submit" name="as" value="pdf" { "The card as PDF" }
                button.second type="submit" name="as" value="svg" { "The card as SVG" }
            }
            ol {
                li { "Print it at 100 %, best quality, without colour correction, on matt paper, without brightener if you can get it. Measure the bar. Let it dry for a day." }
                li { a href="/charts/read" { "Read it once" } ": by day at a window, beside a chart of known patches, both in one photograph." }
                li { "From then on choose it where a photograph asks what lies beside the cloth." }
            }
        }
        section aria-labelledby="take-in" {
            h2 id="take-in" { "Take in the values of a chart, or of dyed cloths" }
            p { "The text that came with it (CGATS.17), or a table of spectra: patches or cloths row after row, from the upper left. It is copied into your folder." }
            form.question method="post" action="/charts" enctype="multipart/form-data" {
                (text_field("called", "What it is called", field("called"), "As: my chart."))
                div.field {
                    label for="values-text" { "The text file" }
                    input id="values-text" name="picture" type="file" required accept=".txt,.csv,.cgats,text/plain,text/csv" aria-describedby="values-text-how";
                    p.how id="values-text-how" { "At most 1 MB; eight patches at least." }
                }
                button type="submit" { "Take it in" }
            }
            details { summary { "How such a text looks" } pre { (SHAPE) } }
        }
        p { a href="/book" { "To the swatch book" } }
    };
    let status = why.map_or(StatusCode::OK, frame::status);
    let page = framed("Charts and cards of your own", Here::Book, &body);
    Ok((status, page).into_response())
}

/// A text of values, as it may be written by hand.
const SHAPE: &str = "CGATS.17\nDESCRIPTOR \"my chart\"\nKEYWORD \"PATCHES_ACROSS\"\nPATCHES_ACROSS 6\n\
                     WEIGHTING_FUNCTION \"ILLUMINANT, D65\"\nWEIGHTING_FUNCTION \"OBSERVER, 10 degree\"\n\
                     BEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n\
                     A1 37.9 13.6 14.1\nA2 65.7 18.1 17.8\n(… a line for each)\nEND_DATA";

fn there(one: &ValuesFound) -> Markup {
    html! {
        li { span { b { (one.file) } ": " (one.patches) " values"
            @if let Some(across) = one.across { ", " (across) " in a row" }
            @if one.printed { ", a card printed at home and read here" } } }
    }
}

/// `POST /charts`.
pub(super) async fn take_in(State(room): In, form: Multipart) -> Response {
    let sent = match room.uploads.acquire().await {
        Ok(_one) => Sent::read(form).await,
        Err(_) => Ok(Sent::default()),
    };
    answered(room, Here::Book, move |room| {
        let mut sent = sent?;
        let fields = std::mem::take(&mut sent.fields);
        let called = fields.get("called").map(String::as_str).unwrap_or_default();
        let taken = sent.taken().and_then(|text| {
            if text.len() > LARGEST {
                return Err(Trouble::Refused {
                    says: "the text is larger than 1 MB".to_owned(),
                    hint: "is it the right file? the values of a chart are smaller".to_owned(),
                });
            }
            take_in_values(room.folder(), called, text)
        });
        match taken {
            Ok(name) => {
                Ok(Redirect::to(&format!("/charts?kept={}", escaped(&name))).into_response())
            }
            Err(why) => whole(room, None, Some(&why), &fields),
        }
    })
    .await
}

/// `/charts/card`: the card to print, as a file.
pub(super) async fn card(State(room): In, Query(fields): Query<Fields>) -> Response {
    answered(room, Here::Book, move |room| {
        let field = |name: &str| fields.get(name).map(|v| v.trim()).unwrap_or_default();
        let drawn = match card_drawing(field("sheet"), field("code")) {
            Ok(drawn) => drawn,
            Err(why) => return whole(room, None, Some(&why), &Fields::new()),
        };
        let (ending, media) = match field("as") {
            "svg" => ("svg", "image/svg+xml"),
            _ => ("pdf", "application/pdf"),
        };
        let name = format!("attachment; filename=\"{}.{ending}\"", drawn.stem);
        let head = [(CONTENT_TYPE, media.to_owned()), (CONTENT_DISPOSITION, name)];
        let bytes = if ending == "svg" { drawn.svg.into_bytes() } else { drawn.pdf };
        Ok((head, bytes).into_response())
    })
    .await
}

/// `/charts/read`: the form that sends a photograph of a printed card.
pub(super) async fn ask(State(room): In) -> Response {
    answered(room, Here::Book, |_| Ok(asking(None))).await
}

fn asking(why: Option<&Trouble>) -> Response {
    let body = html! {
        h1 { "Read a printed card" }
        @if let Some(why) = why { (frame::trouble(why)) }
        p { "Lay the card and a chart of known patches side by side, by day at a window, and photograph both whole. From the same camera and in the \
            same kind of light cloth is read by it later." }
        (photograph::upload("/charts/read", "card-photo"))
        p { a href="/charts" { "Back to the charts" } }
    };
    let status = why.map_or(StatusCode::OK, frame::status);
    (status, framed("Read a printed card", Here::Book, &body)).into_response()
}

/// `POST /charts/read`.
pub(super) async fn send(State(room): In, form: Multipart) -> Response {
    let laid = photograph::laid(&room, form, "/charts/read").await;
    answered(room, Here::Book, move |_| {
        Ok(match &laid {
            Ok(to) => Redirect::to(to).into_response(),
            Err(why) => asking(Some(why)),
        })
    })
    .await
}
