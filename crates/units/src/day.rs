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

    /// Which day of the week it is.
    #[must_use]
    pub fn weekday(self) -> Weekday {
        Weekday::ALL[usize::from(self.0.weekday().to_monday_zero_offset().unsigned_abs())]
    }
}

/// A day of the week, Monday first (ISO 8601).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weekday {
    /// The first day of the week.
    Monday,
    /// The second.
    Tuesday,
    /// The third.
    Wednesday,
    /// The fourth.
    Thursday,
    /// The fifth.
    Friday,
    /// The sixth.
    Saturday,
    /// The seventh.
    Sunday,
}

impl Weekday {
    /// All seven, Monday first.
    pub const ALL: [Self; 7] = [
        Self::Monday,
        Self::Tuesday,
        Self::Wednesday,
        Self::Thursday,
        Self::Friday,
        Self::Saturday,
        Self::Sunday,
    ];

    /// Its place in a week that begins on Monday: 0 to 6.
    #[must_use]
    pub const fn from_monday(self) -> usize {
        self as usize
    }
}

impl fmt::Display for Weekday {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Monday => "Monday",
            Self::Tuesday => "Tuesday",
            Self::Wednesday => "Wednesday",
            Self::Thursday => "Thursday",
            Self::Friday => "Friday",
            Self::Saturday => "Saturday",
            Self::Sunday => "Sunday",
        })
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

    /// RFC 3339, appendix B, gives Zeller's congruence; history gives two days everybody can look
    /// up: the first landing on the Moon was on a Sunday, and the calendar's reform of 1582 on a
    /// Friday.
    #[test]
    fn weekdays_are_those_of_history_and_of_the_congruence() -> Result<(), NotADay> {
        assert_eq!(Day::try_ymd(1969, 7, 20)?.weekday(), Weekday::Sunday);
        assert_eq!(Day::try_ymd(1582, 10, 15)?.weekday(), Weekday::Friday);
        let first = Day::try_ymd(1999, 12, 25)?;
        for after in 0..1500 {
            let day = first.plus_days(after);
            let (year, month, date) =
                (i32::from(day.0.year()), i32::from(day.0.month()), i32::from(day.0.day()));
            // March is the first month of the congruence's year; Sunday is its day 0.
            let (month, year) = if month < 3 { (month + 10, year - 1) } else { (month - 2, year) };
            let (century, year) = (year / 100, year % 100);
            let sunday_first =
                ((26 * month - 2) / 10 + date + year + year / 4 + century / 4 + 5 * century) % 7;
            let monday_first = usize::try_from((sunday_first + 6) % 7).unwrap_or(7);
            assert_eq!(day.weekday().from_monday(), monday_first, "{day}");
        }
        Ok(())
    }
}
