//! What is printed or taken along: the plan as a page, cards and labels, the list, the days, the calendar.

use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::response::{IntoResponse as _, Response};
use maud::html;
use workroom::Trouble;

use super::costume::Opened;
use super::frame::Here;
use super::routes::{In, answered};

/// A printed page carries its own style, and nothing else.
const PRINTED_POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'";

/// `/c/{costume}/print/{what}`.
pub(super) async fn page(State(room): In, Path((key, what)): Path<(String, String)>) -> Response {
    answered(room, Here::Costume, move |room| {
        let opened = Opened::of(room, &key)?;
        let stamp = room.stamp()?;
        let Some(plan) = opened.look.plan() else {
            return opened.page("Print", "/print/plan", |_| Ok(html! {}));
        };
        let html = "text/html; charset=utf-8";
        let (kind, ending, text) = match what.as_str() {
            "plan" => (html, None, paper::html(plan)),
            "cards" => (html, None, paper::cards_and_labels(plan)),
            "shopping" => {
                ("text/csv; charset=utf-8", Some("shopping.csv"), paper::shopping_csv(plan))
            }
            "days" => ("text/csv; charset=utf-8", Some("days.csv"), paper::days_csv(plan)),
            "calendar" => {
                ("text/calendar; charset=utf-8", Some("days.ics"), paper::calendar(plan, &stamp))
            }
            other => {
                let id = other.strip_prefix("hand-out-").unwrap_or_default();
                let sheet = paper::recipe_sheet(plan, id).ok_or_else(|| Trouble::Refused {
                    says: format!("there is no page \"{other}\" to print"),
                    hint: "the costume's page leads to those there are".to_owned(),
                })?;
                (html, None, sheet)
            }
        };
        let mut response = ([(CONTENT_TYPE, kind)], text).into_response();
        let headers = response.headers_mut();
        if let Some(ending) = ending
            && let Ok(value) = format!("attachment; filename=\"{key}.{ending}\"").parse()
        {
            headers.insert(CONTENT_DISPOSITION, value);
        }
        headers
            .insert(CONTENT_SECURITY_POLICY, axum::http::HeaderValue::from_static(PRINTED_POLICY));
        Ok(response)
    })
    .await
}
