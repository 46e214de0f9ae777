//! The instants of a running bath as a calendar file whose alarms wake a sleeping phone.

use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse as _, Response};
use paper::Alarm;
use workroom::Trouble;

use super::bath::{AtPot, Place, no_bath};
use super::frame::Here;
use super::moment;
use super::opened::Opened;
use super::routes::{In, answered};

/// `/c/{costume}/p/{piece}/bath/{at}/alarms`.
pub(super) async fn file(State(room): In, Path(place): Path<Place>) -> Response {
    answered(room, Here::Costume, move |room| {
        let (key, id, at) = &place;
        let opened = Opened::at_pot(room, &place)?;
        let plan = opened.look.plan().ok_or_else(|| no_bath(id))?;
        let pot = AtPot::of(&opened, plan, &place)?;
        let all = of(&pot, key);
        if all.is_empty() {
            return Err(Trouble::Refused {
                says: "there is no alarm: this bath is not running".to_owned(),
                hint: "start the clock of its first step".to_owned(),
            });
        }
        let text = paper::alarms(&all, &room.stamp()?);
        let named = format!("attachment; filename=\"{key}-{id}-{at}.ics\"");
        let kind = (CONTENT_TYPE, "text/calendar; charset=utf-8".to_owned());
        Ok(([kind, (CONTENT_DISPOSITION, named)], text).into_response())
    })
    .await
}

/// An alarm at the end of the step that is being done and at the begin of every later one.
fn of(pot: &AtPot<'_>, key: &str) -> Vec<Alarm> {
    let Some(now) = &pot.now else { return vec![] };
    let steps = |n: usize| pot.sheet.steps.iter().find(|s| s.n == n);
    let alarm = |n: usize, at: i64, says: String| {
        let words = steps(n).map_or_else(String::new, |s| s.text.clone());
        let code = pot.sheet.code.as_deref().unwrap_or("bulk");
        // The same step of the same bath keeps its name: a file taken again moves the alarm and does not double it.
        let id = format!("{key}-{}-{}-{code}-{n}", pot.piece.id, pot.sheet.procedure);
        Some(Alarm { id, at: moment::stamp(at)?, says, words })
    };
    let mut all = vec![];
    for (at, later) in now.later.iter().enumerate() {
        let before =
            if at == 0 { now.step.as_ref().map(|s| s.n) } else { Some(now.later[at - 1].n) };
        // What takes no time begins with what comes after it.
        let took = before.and_then(steps).is_some_and(|s| s.minutes > 0.0);
        if took {
            let says = format!("{}: step {}, {}", pot.piece.name, later.n, later.kind);
            all.extend(alarm(later.n, later.begins, says));
        }
    }
    all
}
