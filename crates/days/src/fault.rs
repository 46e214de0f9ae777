//! What can be wrong with a timetable.

use crate::timetable::Moment;

/// One limit a timetable breaks. Jobs and items are indices into the ask's, stages into the job's.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    /// A job is neither placed nor reported.
    Lost {
        /// The job.
        job: usize,
    },
    /// A job is reported as without a place, but part of it is placed.
    PlacedAndNot {
        /// The job.
        job: usize,
    },
    /// A stage is there more than once, or not though others of its job are.
    NotOnce {
        /// The job.
        job: usize,
        /// The stage.
        stage: usize,
    },
    /// A stage is shorter than it must be or longer than it may be.
    WrongLength {
        /// The job.
        job: usize,
        /// The stage.
        stage: usize,
    },
    /// A stage begins before the one before it ends.
    OutOfOrder {
        /// The job.
        job: usize,
        /// The later stage.
        stage: usize,
    },
    /// Work stops before a stage where it may not.
    Interrupted {
        /// The job.
        job: usize,
        /// The stage.
        stage: usize,
    },
    /// The entry says another pot, hands or burner than its stage.
    NotAsAsked {
        /// The job.
        job: usize,
        /// The stage.
        stage: usize,
    },
    /// Attended, heated or draining work outside the hours of one free day.
    OutsideHours {
        /// The job.
        job: usize,
        /// The stage.
        stage: usize,
    },
    /// Judging without daylight.
    NoDaylight {
        /// The job.
        job: usize,
    },
    /// Goods that must dry do not, or not for long enough, or not at once.
    NotDried {
        /// The job.
        job: usize,
    },
    /// A job begins before another that must be finished and dry.
    TooEarly {
        /// The job.
        job: usize,
        /// What it waits for.
        after: usize,
    },
    /// A job begins before an item has come.
    NotDelivered {
        /// The job.
        job: usize,
        /// The item.
        item: usize,
    },
    /// More is to be done than there are people for.
    TooFewHands(Moment),
    /// Powder is weighed while something else needs attention.
    PowderBeside(Moment),
    /// Something is attended beside what must have the kitchen to itself.
    BesideAlone(Moment),
    /// More burners in use than there are.
    TooFewBurners(Moment),
    /// More drying places in use than there are.
    TooFewDryingPlaces(Moment),
    /// Two things in one pot.
    PotTaken {
        /// The pot.
        pot: usize,
        /// When.
        at: Moment,
    },
    /// Two things at one sink.
    SinkTaken {
        /// The sink.
        sink: usize,
        /// When.
        at: Moment,
    },
    /// A draining stage without a sink, or a sink that is not there.
    NoSink {
        /// The job.
        job: usize,
        /// The stage.
        stage: usize,
    },
    /// Things that must never meet, in one sink on one day with no rinse between.
    MeetInSink {
        /// The sink.
        sink: usize,
        /// When the second goes down.
        at: Moment,
    },
    /// A bath in a pot that was not scrubbed after something darker or something it must not meet.
    PotNotScrubbed {
        /// The pot.
        pot: usize,
        /// When the second bath begins.
        at: Moment,
    },
    /// A rinse or scrub outside the hours of a free day, or too short.
    WashOutsideHours(Moment),
    /// Jobs in one entry that may not share a bath, or too many of them.
    NotOneBath {
        /// The first of them.
        job: usize,
    },
    /// A leftover bath offered to a piece of a match, to a darker piece, or before it is left.
    BadOffer {
        /// Whose bath.
        from: usize,
        /// For whom.
        to: usize,
    },
    /// What is said about the date is not what the entries say.
    DateUntrue,
}
