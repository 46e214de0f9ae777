//! The answer: who does what when, what is rinsed and scrubbed between, and how it stands to the date.

use std::fmt;

use units::{Day, Minutes};

use crate::job::{Attention, Family};

/// A day and a minute after its midnight.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Moment {
    /// The day.
    pub day: Day,
    /// Minutes after midnight; less than a day.
    pub clock: Minutes,
}

/// The jobs on days and clocks.
#[derive(Debug, Clone, PartialEq)]
pub struct Timetable {
    /// What is done when, in the order of the clock.
    pub entries: Vec<Entry>,
    /// What hangs to dry from when to when.
    pub drying: Vec<Drying>,
    /// Sinks rinsed and pots scrubbed in between; written steps, each takes full hands.
    pub washes: Vec<Wash>,
    /// Jobs that have no place, each with its reason.
    pub unplaced: Vec<Unplaced>,
    /// When the last placed job is finished and dry; none: nothing is placed.
    pub finish: Option<Moment>,
    /// How that stands to the date.
    pub date: Date,
    /// For each placed job the last day it may start, when the date is kept.
    pub slack: Vec<Slack>,
    /// For each item on order, when it comes and when it could still be ordered.
    pub orders: Vec<OrderBy>,
    /// Baths that may be used again, dark to pale; offers only, nothing relies on them.
    pub leftovers: Vec<LeftoverOffer>,
}

/// One stage on the clock.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The jobs (indices into the ask's jobs): one, or all the jars of one bath.
    pub jobs: Vec<usize>,
    /// Index of the stage within each of these jobs.
    pub stage: usize,
    /// When it begins.
    pub start: Moment,
    /// When it ends; the next day for a hold overnight.
    pub end: Moment,
    /// The pot (index into the kitchen's pots) the goods are in.
    pub pot: Option<usize>,
    /// Which of the sinks, from 0.
    pub sink: Option<usize>,
    /// Who must be there.
    pub attention: Attention,
    /// A burner is in use.
    pub burner: bool,
}

/// A job's goods on the drying place.
#[derive(Debug, Clone, PartialEq)]
pub struct Drying {
    /// Index into the ask's jobs.
    pub job: usize,
    /// Hung up.
    pub start: Moment,
    /// Dry.
    pub end: Moment,
}

/// A step that is in no bath sheet and must be written into the day.
#[derive(Debug, Clone, PartialEq)]
pub struct Wash {
    /// What is washed.
    pub what: Washed,
    /// Why.
    pub why: WashReason,
    /// From.
    pub start: Moment,
    /// Until.
    pub end: Moment,
}

/// What is washed in between.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Washed {
    /// A sink, rinsed down with much water; from 0.
    Sink(usize),
    /// A pot, scrubbed; index into the kitchen's pots.
    Pot(usize),
}

/// Why something is washed in between.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WashReason {
    /// What was there and what comes must never meet.
    NeverTogether(Family, Family),
    /// A paler bath follows a darker one.
    DarkToPale,
}

/// A job without a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Unplaced {
    /// Index into the ask's jobs.
    pub job: usize,
    /// Why.
    pub why: WhyUnplaced,
}

/// Why a job has no place.
#[derive(Debug, Clone, PartialEq)]
pub enum WhyUnplaced {
    /// Some stages must follow each other and are longer than a day's hours; holds without heat
    /// excepted.
    LongerThanADay {
        /// Minutes that must be done in one go.
        needs: Minutes,
        /// Minutes a day has (for judging: of daylight).
        day: Minutes,
    },
    /// No run of free days fits its stages and holds (an overnight hold that would end on a day
    /// that is not free, for instance).
    NoFittingDays,
    /// It needs a burner, and there is none.
    NoBurner,
    /// It needs a sink, and there is none.
    NoSink,
    /// It needs a drying place (or more at once than there are).
    NoDryingPlace,
    /// It waits for a job that has no place.
    WaitsFor {
        /// Index into the ask's jobs.
        job: usize,
    },
    /// The pot and hands are taken for as far ahead as the plan looks.
    NoRoom,
}

/// How the plan stands to the date.
#[derive(Debug, Clone, PartialEq)]
pub enum Date {
    /// There is no date.
    Open,
    /// Everything is dry by the date.
    Kept {
        /// The last day on which the first job may start.
        latest_start: Day,
        /// Days from the planned start to that.
        slack_days: u32,
    },
    /// Something is not.
    Missed {
        /// What can be done about it.
        rescue: Rescue,
    },
}

/// What can still be done when not everything can.
#[derive(Debug, Clone, PartialEq)]
pub struct Rescue {
    /// Pieces that can all be ready by the date once the others are dropped; what then is planned
    /// comes from asking again `without` the dropped ones.
    pub kept: Vec<String>,
    /// Pieces to drop, the first to drop first.
    pub drop: Vec<Dropped>,
    /// Whether dropping them is enough; when not, some piece that must be done cannot be.
    pub enough: bool,
}

/// A piece that is dropped to keep the date.
#[derive(Debug, Clone, PartialEq)]
pub struct Dropped {
    /// The piece.
    pub piece: String,
    /// Attended minutes that dropping it frees.
    pub frees: Minutes,
    /// What stands in its way.
    pub why: WhyDropped,
}

/// Why a piece is dropped.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WhyDropped {
    /// It would be ready if the others were not there.
    Crowded,
    /// It would be ready, but for the delivery of these items.
    DeliveryTooLate(Vec<String>),
    /// Even alone, with everything at hand, it takes longer.
    TooLongAlone,
    /// One of its jobs has no place at all.
    NoPlace,
}

/// How long a job may wait.
#[derive(Debug, Clone, PartialEq)]
pub struct Slack {
    /// Index into the ask's jobs.
    pub job: usize,
    /// The last day it may start, everything else as late as it may be.
    pub latest_start: Day,
    /// Days from its planned start.
    pub days: u32,
}

/// An item on order against the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderBy {
    /// Index into the ask's items.
    pub item: usize,
    /// The day it comes when it is ordered today.
    pub arrives: Day,
    /// The last day it can be ordered so that the date is kept; none: no date, nobody who still
    /// waits for it, or it is too late already.
    pub last_day: Option<Day>,
    /// Pieces for which it comes too late though they would be ready without the wait.
    pub too_late_for: Vec<String>,
}

/// A bath that may be used again.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftoverOffer {
    /// The darker job whose bath is left (index into the ask's jobs).
    pub from: usize,
    /// The paler job that may begin in it.
    pub to: usize,
    /// What makes them alike.
    pub key: String,
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let minutes = self.clock.to_minutes();
        let hour = (minutes / 60.0).floor();
        write!(f, "{} {hour:02.0}:{:02.0}", self.day, minutes - hour * 60.0)
    }
}
