//! The day plan of a finished plan, as printed.

use serde::Serialize;

/// Which day, which hour, which pot.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DayPlan {
    /// Whether everything is done by the day it must be ready; true too when no day was given.
    pub fits: bool,
    /// The day everything is done, when it can be placed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub done: Option<String>,
    /// The last day on which work can begin and still be done in time.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub latest_start: Option<String>,
    /// The verdict in words.
    pub verdict: String,
    /// What the kitchen allows.
    pub limits: DayLimits,
    /// The days with work on them.
    pub days: Vec<DaySeen>,
    /// What must be ordered, and until when.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub orders: Vec<OrderSeen>,
    /// What must be at hand and is not ordered: bought in a food shop, or to be looked for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub at_hand: Vec<AtHandSeen>,
    /// What to drop first when it does not fit, in that order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub drop_first: Vec<DropSeen>,
    /// Ids of pieces that can still be done in time, when not all can.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub still_possible: Vec<String>,
    /// Work that has no place, and why.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub no_place: Vec<NoPlaceSeen>,
    /// Baths that are left over and may be used again; never counted on.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub leftovers: Vec<LeftoverSeen>,
    /// What holds on every day.
    pub rules: Vec<String>,
}

/// What the kitchen allows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DayLimits {
    /// Names of the pots and tubs.
    pub vessels: Vec<String>,
    /// Burners.
    pub burners: usize,
    /// People at the pots.
    pub hands: usize,
    /// Sinks.
    pub sinks: usize,
    /// Pieces that can hang to dry at once.
    pub drying: usize,
    /// Begin of the working day, "10:00".
    pub from: String,
    /// End of the working day, "16:00".
    pub until: String,
    /// Days a delivery takes.
    pub delivery_days: u32,
    /// Days of the week there is time.
    pub weekdays: Vec<&'static str>,
    /// Days there is none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_on: Vec<String>,
}

/// A day with work on it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DaySeen {
    /// The day, "2027-02-06".
    pub day: String,
    /// "Saturday".
    pub weekday: &'static str,
    /// What kind of day: "swatches", "dyeing", "scouring, swatches and dyeing", "tests", "drying".
    pub kind: String,
    /// First minute of work, "10:00".
    pub begins: String,
    /// Last minute of work.
    pub ends: String,
    /// The work, by the clock.
    pub items: Vec<DayItem>,
}

/// One stretch of work or waiting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DayItem {
    /// "10:15".
    pub start: String,
    /// "11:05"; after midnight of a later day when `over_night`.
    pub end: String,
    /// Minutes since midnight of the day it begins on.
    pub start_min: f64,
    /// Minutes since midnight of the day it begins on; above 1440 when it ends later.
    pub end_min: f64,
    /// Id of the piece; absent for rinsing a sink or scrubbing a pot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub piece: Option<String>,
    /// Name of the piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub piece_name: Option<String>,
    /// test, scour, swatch, judge, bulk, finish, drying, rinse or scrub.
    pub job: &'static str,
    /// Which of two baths, 1 or 2; absent where a piece has but one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bath: Option<usize>,
    /// What is done, in words.
    pub what: String,
    /// The pot or tub.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vessel: Option<String>,
    /// For jars: which jar stands in which pot, with whose beside it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stands: Option<String>,
    /// Ids of all pieces done as one in this stretch, jar after jar; absent for a piece alone.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub together: Vec<String>,
    /// Whether it takes a burner.
    pub burner: bool,
    /// Hands it takes: alone (and nothing lit or looked after beside it), all (full; what stands near and holds goes
    /// on), near (stay in the house and look), away (nothing).
    pub hands: &'static str,
    /// True when powder is opened.
    pub powder: bool,
    /// True while its temperature is being changed or something is added.
    pub changing: bool,
    /// What goes into the sink: acid, alkali, bleach, reducer, peroxide, ammonia, …
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sink: Vec<String>,
    /// Which sink, from 1; absent when no sink is used.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sink_no: Option<usize>,
    /// True when it ends on a later day.
    pub over_night: bool,
}

impl DayItem {
    /// Whether it is told where each stretch is told once: the first of those done together, and what is alone.
    #[must_use]
    pub fn leads(&self) -> bool {
        self.together.first().is_none_or(|first| Some(first) == self.piece.as_ref())
    }
}

/// Something to order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderSeen {
    /// Shopping item.
    pub item: String,
    /// Its name.
    pub name: String,
    /// The last day to order it.
    pub order_by: String,
    /// The day it comes when ordered today.
    pub comes: String,
    /// False when it comes too late.
    pub in_time: bool,
    /// Ids of the pieces that wait for it.
    pub pieces: Vec<String>,
}

/// Something that must be at hand and comes by no parcel of this plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AtHandSeen {
    /// Shopping item.
    pub item: String,
    /// Its name.
    pub name: String,
    /// How much, as it is bought.
    pub need: String,
    /// True when the shelf file does not say how much of it there is: look.
    pub ask: bool,
    /// True when a food shop has it.
    pub food_shop: bool,
    /// True when no parcel ordered today comes in time for its first use, and no food shop has it.
    pub too_late: bool,
    /// The day to have looked or bought by: that of its first use; the last day to order what no food shop has.
    pub by: String,
    /// The day of its first use.
    pub used: String,
    /// Ids of the pieces it is for.
    pub pieces: Vec<String>,
}

/// A piece that would be dropped.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DropSeen {
    /// Its id.
    pub piece: String,
    /// Its name.
    pub name: String,
    /// Why this one.
    pub why: String,
}

/// Work without a place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NoPlaceSeen {
    /// Id of the piece.
    pub piece: String,
    /// Its name.
    pub name: String,
    /// Why, and what to do.
    pub why: String,
}

/// A bath that may be used again.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeftoverSeen {
    /// Id of the piece whose bath is left.
    pub from: String,
    /// Id of the piece that could use it.
    pub to: String,
    /// How, and why never for a match.
    pub words: String,
}
