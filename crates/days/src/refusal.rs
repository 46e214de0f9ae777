//! What cannot be planned at all, in words: culprit, rule, what to do.

use units::Minutes;

/// An ask that makes no sense as it stands.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AskRefusal {
    /// Nobody works.
    #[error("the kitchen has no hands: a plan needs somebody at the pots; say hands = 1 or more")]
    NoHands,
    /// A day without hours.
    #[error("a day of dyeing has {} minutes: a plan needs time to work in; say how many hours a day", .0.to_minutes())]
    NoHours(Minutes),
    /// The day runs past midnight.
    #[error("a day of dyeing ends {} minutes after midnight: it must end by midnight (1440); begin earlier or work less", .0.to_minutes())]
    PastMidnight(Minutes),
    /// No day of the week.
    #[error("no day of the week is free: a plan needs at least one; name the weekdays")]
    NoWeekday,
    /// Nobody may look after anything.
    #[error("a person looks after no heat at all: at least one is needed; raise heats_a_person")]
    NoHeats,
    /// Two jobs, one name.
    #[error("two jobs are called '{id}': every job needs a name of its own; rename one")]
    TwoOfOneName {
        /// The name.
        id: String,
    },
    /// A job that waits for nobody known.
    #[error(
        "job '{id}' comes after '{after}', which is no job here; name one of the jobs or take it out"
    )]
    UnknownAfter {
        /// The waiting job.
        id: String,
        /// What it waits for.
        after: String,
    },
    /// An item nobody orders.
    #[error(
        "job '{id}' needs '{item}', which is not among the items; add it to them, with 0 days when it is at hand"
    )]
    UnknownItem {
        /// The job.
        id: String,
        /// The item.
        item: String,
    },
    /// Jobs that wait for each other.
    #[error("jobs wait for each other in a ring ({}): one of them must come first; take one 'after' out", .ids.join(", "))]
    Ring {
        /// The jobs on the ring.
        ids: Vec<String>,
    },
    /// A pot that is not there.
    #[error(
        "job '{id}' stands in pot {pot}, but the kitchen has {pots}; choose one of them (counted from 0)"
    )]
    NoSuchPot {
        /// The job.
        id: String,
        /// The index given.
        pot: usize,
        /// How many there are.
        pots: usize,
    },
    /// Jars in a pot that is no water bath.
    #[error(
        "job '{id}' is a jar in pot '{pot}', which holds no jars; choose a pot with jars = 1 or more"
    )]
    NoJars {
        /// The job.
        id: String,
        /// The pot's name.
        pot: String,
    },
    /// A job without stages.
    #[error("job '{id}' has no stages: a job needs at least one; add what is done")]
    NoStages {
        /// The job.
        id: String,
    },
    /// A stage that uses a vessel the job does not have.
    #[error(
        "stage '{stage}' of job '{id}' uses a vessel, but the job stands nowhere; give it a pot"
    )]
    NoVessel {
        /// The job.
        id: String,
        /// The stage.
        stage: String,
    },
    /// Heat that nobody watches.
    #[error(
        "stage '{stage}' of job '{id}' is heated with nobody there: heat is never unattended; say somebody is near"
    )]
    HeatUnattended {
        /// The job.
        id: String,
        /// The stage.
        stage: String,
    },
    /// Two things in one stage that must never meet.
    #[error(
        "stage '{stage}' of job '{id}' sends {one} and {other} down the sink together: they must never meet; make two stages"
    )]
    MeetInOneStage {
        /// The job.
        id: String,
        /// The stage.
        stage: String,
        /// One of them.
        one: crate::Family,
        /// The other.
        other: crate::Family,
    },
    /// A hold that may last shorter than it lasts.
    #[error("stage '{stage}' of job '{id}' may last at most {} minutes but lasts {}: the most cannot be less", .at_most.to_minutes(), .minutes.to_minutes())]
    AtMostBelow {
        /// The job.
        id: String,
        /// The stage.
        stage: String,
        /// The most.
        at_most: Minutes,
        /// The least.
        minutes: Minutes,
    },
    /// Jars of one key that are not alike.
    #[error(
        "jars '{one}' and '{other}' share the key '{together}' but not the programme: one bath has one programme; give them keys of their own"
    )]
    UnlikeTogether {
        /// The first jar.
        one: String,
        /// The second jar.
        other: String,
        /// Their key.
        together: String,
    },
}
