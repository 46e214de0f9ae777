//! A calendar day, written year-month-day (ISO 8601).

use std::fmt;
use std::str::FromStr;

/// A calendar day of the civil (proleptic Gregorian) calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(jiff::civil::Date);

/// A text that is not a day.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{given}' is not a day: write it as year-month-day, like 2027-03-20")]
pub struct NotADay {
    /// The text as it came.
    pub given: String,
}

impl Day {
    /// From year, month and day of the month.
    pub fn try_ymd(year: i16, month: i8, day: i8) -> Result<Self, NotADay> {
        jiff::civil::Date::new(year, month, day)
            .map(Self)
            .map_err(|_| NotADay { given: format!("{year}-{month}-{day}") })
    }

    /// Whole days from `self` to `later`; negative when `later` comes first.
    #[must_use]
    pub fn days_until(self, later: Self) -> i32 {
        (later.0 - self.0).get_days()
    }

    /// The day a number of days later (or earlier, when negative); stops at the calendar's ends.
    #[must_use]
    pub fn plus_days(self, days: i32) -> Self {
        Self(self.0.saturating_add(jiff::Span::new().days(days)))
    }
}

impl FromStr for Day {
    type Err = NotADay;
    fn from_str(text: &str) -> Result<Self, NotADay> {
        text.trim().parse().map(Self).map_err(|_| NotADay { given: text.to_owned() })
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_count_and_round_trip() -> Result<(), NotADay> {
        let day: Day = "2026-11-24".parse()?;
        assert_eq!(day.to_string(), "2026-11-24");
        assert_eq!(day.days_until(Day::try_ymd(2027, 1, 1)?), 38);
        assert_eq!(day.plus_days(38), Day::try_ymd(2027, 1, 1)?);
        assert!("24.11.2026".parse::<Day>().is_err());
        Ok(())
    }
}
