//! The day plan: jobs of a costume on days and clocks, within what a home kitchen and its maker can do.
//!
//! [`timetable()`] takes an [`Ask`] (days, kitchen, jobs with their stages) and gives a [`Timetable`].
//! [`faults`] holds any timetable against its ask by rules of its own, written without a line of
//! the planner's.
//!
//! The limits: hands, burners, pots, sinks and drying places; no powder weighed while another pot
//! needs attention; no heat unattended or past the end of the day; what must never meet kept apart
//! in sink and pot; swatches dyed, dried and judged before their piece; work only on free days and
//! with what has come.
//!
//! Left out: what a job is (room `plan` makes jobs of bath sheets), printing, and every fact of the
//! trade: pairs that never meet and figures of judgement arrive with the ask. Nothing here touches
//! disk, clock or chance; one ask always gives one timetable.

mod ask;
mod book;
mod clock;
mod date;
mod fault;
mod faults;
mod fit;
mod jars;
mod job;
mod leftover;
mod order;
mod place;
mod read;
mod refusal;
mod rescue;
mod schedule;
mod timetable;
mod unit;
mod windows;
mod write;

pub use ask::{Ask, Hours, Item, Judgement, Kitchen, Pot};
pub use fault::Fault;
pub use faults::faults;
pub use job::{Attention, Family, Heat, Job, JobKind, JobPlace, Leftover, Stage, Worth};
pub use refusal::AskRefusal;
pub use timetable::{
    Date, Dropped, Drying, Entry, LeftoverOffer, Moment, OrderBy, Rescue, Slack, Timetable,
    Unplaced, Wash, WashReason, Washed, WhyDropped, WhyUnplaced,
};

/// The day plan of an ask.
///
/// Always the same for the same ask. What has no place is reported in it, never left out; only an
/// ask that makes no sense is refused.
///
/// # Errors
/// An [`AskRefusal`] that names the culprit, the rule and what to do.
pub fn timetable(ask: &Ask) -> Result<Timetable, AskRefusal> {
    let units = read::units(ask)?;
    let planner = schedule::Planner::new(ask, &units);
    let plan = planner.plan(None);
    let Some(deadline) = date::missed(ask, &plan) else {
        return Ok(written(ask, &planner, &plan, None));
    };
    let rescue = rescue::rescue(ask, deadline);
    // Not all can be ready: what still can stands as if it were alone, and the rest where there is room.
    let parted = ask.parted(&date::gone(&rescue));
    let units = read::units(&parted)?;
    let planner = schedule::Planner::new(&parted, &units);
    let plan = planner.around(date::kept_alone(ask, &rescue, (&parted, &units)));
    // Now and then all of it is ready after all.
    let missed = date::missed(ask, &plan);
    Ok(written(ask, &planner, &plan, missed.map(|_| rescue)))
}

fn written(
    ask: &Ask,
    planner: &schedule::Planner<'_>,
    plan: &schedule::Schedule,
    rescue: Option<Rescue>,
) -> Timetable {
    let mut written = write::write(ask, planner.units, plan);
    written.leftovers = leftover::offers(ask, planner.units, plan);
    date::stand(ask, planner, plan, rescue, &mut written);
    written
}
