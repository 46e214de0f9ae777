//! The day plan: finished bath sheets become jobs (`jobs`), the `days` room puts them on days and
//! clocks, and what it answers is told in words (`told`).

mod at_hand;
mod families;
pub(crate) mod jars;
mod jobs;
mod other_recipe;
mod parcels;
mod told;
mod trials;

use crate::Request;
use crate::document::{DayPlan, PiecePlan, ScourSeen, Shopping};

/// The day plan of a costume; none where there is nothing to do.
pub(crate) fn day_plan(
    request: &Request,
    pieces: &[PiecePlan],
    scours: &[ScourSeen],
    shopping: &Shopping,
) -> Option<DayPlan> {
    let ask = jobs::ask(request, pieces, scours, shopping);
    if ask.jobs.is_empty() {
        return None;
    }
    Some(match days::timetable(&ask) {
        Ok(found) => told::told(request, pieces, scours, shopping, &ask, &found),
        Err(refusal) => told::refused(request, &ask, &refusal),
    })
}
