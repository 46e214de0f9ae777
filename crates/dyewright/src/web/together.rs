//! The colours brought to cloth together, and the choice of it: a button where the printed plan names a line of the file.

use std::collections::BTreeMap;

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, PreEscaped, html};
use paper::{Part, part};
use workroom::{Change, Plan, Trouble, change_costume, costume_mark};

use super::frame::Here;
use super::opened::Opened;
use super::routes::{In, answered};

/// The part of a page; nothing where every colour is within reach.
pub(super) fn together(opened: &Opened, plan: &Plan) -> Result<Markup, Trouble> {
    let Some(seen) = &plan.together else { return Ok(html! {}) };
    // The same words as on paper, without the line that is written there and pressed here.
    let told = part(plan, Part::Together).into_string();
    let told = told.replace(OF_THE_PLAN, "").replace(OF_THE_PAPER, "");
    let key = &opened.costume.key;
    Ok(html! {
        (PreEscaped(told))
        section {
            form method="post" action={ "/c/" (key) "/together" } {
                input type="hidden" name="since" value=(costume_mark(&opened.costume.path)?);
                @if seen.used {
                    button.second type="submit" { "Aim at each colour alone" }
                } @else {
                    input type="hidden" name="together" value="yes";
                    button.second type="submit" { "Let the recipes aim at the colours brought together" }
                }
            }
        }
    })
}

/// What the plan says besides, as it stands in a page.
const OF_THE_PLAN: &str =
    "; write colours = &quot;together&quot; under [costume] to have the recipes follow it";

/// The same of the printed part.
const OF_THE_PAPER: &str =
    "; to aim at these, write <code>colours = &quot;together&quot;</code> in the costume file";

/// `POST /c/{costume}/together`.
pub(super) async fn choose(
    State(room): In,
    Path(key): Path<String>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Response {
    answered(room, Here::Costume, move |room| {
        let costume = room.costume(&key)?;
        let change = Change::Together(fields.contains_key("together"));
        let since = fields.get("since").map(String::as_str);
        change_costume(&costume.path, &change, since, &room.recording())?;
        Ok(Redirect::to(&format!("/c/{key}#together")).into_response())
    })
    .await
}
