//! When there is time to dye: days of the week, hours of the day, days off, how long a parcel takes.

use units::{Day, Minutes};

/// When the maker can be at the pots.
#[derive(Debug, Clone, PartialEq)]
pub struct Calendar {
    /// Days of the week to dye on, Monday first.
    pub weekdays: [bool; 7],
    /// When a day of dyeing begins, after midnight.
    pub from: Minutes,
    /// How long a day of dyeing is.
    pub hours: Minutes,
    /// Days that are taken, in order, each once.
    pub not_on: Vec<Day>,
    /// Days from an order to the parcel.
    pub delivery_days: u32,
    /// The first day there is time; none: the day the plan is made.
    pub start: Option<Day>,
}

/// A day of dyeing begins at ten in the morning when the file says nothing (judgement).
const USUAL_FROM_MIN: f64 = 600.0;
/// A day of dyeing has six hours when the file says nothing (judgement).
const USUAL_HOURS: f64 = 6.0;
/// Days from an order to the parcel when the file says nothing (judgement).
const USUAL_DELIVERY_DAYS: u32 = 5;

impl Default for Calendar {
    fn default() -> Self {
        let minutes = |m| Minutes::try_minutes(m).unwrap_or(Minutes::ZERO);
        Self {
            weekdays: [true; 7],
            from: minutes(USUAL_FROM_MIN),
            hours: minutes(USUAL_HOURS * 60.0),
            not_on: vec![],
            delivery_days: USUAL_DELIVERY_DAYS,
            start: None,
        }
    }
}
