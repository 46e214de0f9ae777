//! What is asked of the day plan: the days there are, the kitchen's limits, what is on order, the jobs.

use units::{Day, Minutes, Share};

use crate::job::{Family, Job, JobPlace};

/// A costume's jobs, and the days and the kitchen they must fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// The day the plan is made; orders are placed on it.
    pub today: Day,
    /// The day everything must be ready: dry by the end of its hours.
    pub due: Option<Day>,
    /// When there is time to dye.
    pub hours: Hours,
    /// What the kitchen has.
    pub kitchen: Kitchen,
    /// What is on order, or must be.
    pub items: Vec<Item>,
    /// Families that never meet in one sink or pot without a rinse between.
    pub never_together: Vec<(Family, Family)>,
    /// The figures that are a matter of judgement.
    pub judgement: Judgement,
    /// The jobs, in any order; the index of a job here is how the answer names it.
    pub jobs: Vec<Job>,
}

/// When there is time to dye.
#[derive(Debug, Clone, PartialEq)]
pub struct Hours {
    /// Days of the week, Monday first.
    pub weekdays: [bool; 7],
    /// When a day of dyeing begins, minutes after midnight.
    pub from: Minutes,
    /// How long a day of dyeing is; it ends by midnight.
    pub length: Minutes,
    /// Days there is no time.
    pub not_on: Vec<Day>,
    /// The first day there is time; none: today.
    pub first: Option<Day>,
}

/// What the kitchen has, and how many can be in use at once.
#[derive(Debug, Clone, PartialEq)]
pub struct Kitchen {
    /// Pots and tubs, one job in each at a time.
    pub pots: Vec<Pot>,
    /// Burners for pots.
    pub burners: usize,
    /// People at the pots.
    pub hands: usize,
    /// Sinks, one job at each at a time.
    pub sinks: usize,
    /// Pieces (or swatches) that can hang to dry at once.
    pub drying: usize,
}

/// A pot or tub.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pot {
    /// What the maker calls it.
    pub name: String,
    /// Jars that stand in it at once; 0: it is no water bath.
    pub jars: usize,
}

/// Something on order, with the days it takes when it is ordered today.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// What it is; jobs name it.
    pub name: String,
    /// Days from order to door; work with it may begin on the day it comes.
    pub days: u32,
}

/// The figures no source gives: a careful cook's judgement, kept where they can be changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// Stages that need to be looked at often which one person can look after at once.
    pub heats_a_person: usize,
    /// Of these, how many *at a steady temperature* one can look after with the hands full of
    /// something else; never more than `heats_a_person`. Weighing powder and judging take the eyes
    /// as well: beside them it is no bath on a burner.
    pub steady_beside: usize,
    /// The time to rinse a sink down between two things that must not meet.
    pub sink_rinse: Minutes,
    /// The time to scrub a pot, between dark and pale or between things that must not meet.
    pub scrub: Minutes,
    /// A pot is scrubbed when the next piece is paler by more than this.
    pub scrub_above: Share,
    /// A leftover bath is offered only to a piece paler by at least this.
    pub leftover_below: Share,
    /// Judging waits for daylight: from this minute after midnight …
    pub daylight_from: Minutes,
    /// … to this.
    pub daylight_until: Minutes,
}

impl Default for Judgement {
    /// Two heats a person, one steady one beside full hands, five minutes to rinse a sink and ten
    /// to scrub a pot, daylight from nine to four.
    fn default() -> Self {
        let minutes = |given| Minutes::try_minutes(given).unwrap_or(Minutes::ZERO);
        let share = |given| Share::try_fraction(given).unwrap_or(Share::WHOLE);
        Self {
            heats_a_person: 2,
            steady_beside: 1,
            sink_rinse: minutes(5.0),
            scrub: minutes(10.0),
            scrub_above: share(0.05),
            leftover_below: share(0.15),
            daylight_from: minutes(9.0 * 60.0),
            daylight_until: minutes(16.0 * 60.0),
        }
    }
}

impl Ask {
    /// The same question without some pieces: their jobs go, and nobody waits for them.
    #[must_use]
    pub fn without(&self, pieces: &[String]) -> Self {
        let gone = |piece: &String| pieces.contains(piece);
        let dropped: Vec<&String> =
            self.jobs.iter().filter(|job| gone(&job.piece)).map(|job| &job.id).collect();
        let jobs = self.jobs.iter().filter(|job| !gone(&job.piece)).cloned().map(|mut job| {
            job.after.retain(|id| !dropped.contains(&id));
            job
        });
        Self {
            today: self.today,
            due: self.due,
            hours: self.hours.clone(),
            kitchen: self.kitchen.clone(),
            items: self.items.clone(),
            never_together: self.never_together.clone(),
            judgement: self.judgement.clone(),
            jobs: jobs.collect(),
        }
    }

    /// The same with some pieces in no bath with the others: their jars and loads are dyed apart.
    pub(crate) fn parted(&self, pieces: &[String]) -> Self {
        let mut parted = self.clone();
        for job in parted.jobs.iter_mut().filter(|job| pieces.contains(&job.piece)) {
            if let JobPlace::Jar { together, .. } | JobPlace::Load { together, .. } = &mut job.place
            {
                together.push_str(", apart");
            }
        }
        parted
    }
}
