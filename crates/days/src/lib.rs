//! The day plan: jobs of a costume on days and clocks, within what a home kitchen and its maker can do.
//!
//! `timetable` takes an [`Ask`] (days, kitchen, jobs with their stages) and gives a [`Timetable`].
//! `faults` holds any timetable against its ask by rules of its own, written without a line of
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
mod job;
mod refusal;
mod timetable;

pub use ask::{Ask, Hours, Item, Judgement, Kitchen, Pot};
pub use job::{Attention, Family, Heat, Job, JobKind, JobPlace, Leftover, Stage, Worth};
pub use refusal::AskRefusal;
pub use timetable::{
    Date, Dropped, Drying, Entry, LeftoverOffer, Moment, OrderBy, Rescue, Slack, Timetable,
    Unplaced, Wash, WashReason, Washed, WhyDropped, WhyUnplaced,
};
