//! When an entry was made and by whom. The workbook has no clock: the moment is given.

use std::fmt;
use std::str::FromStr;

use units::Day;

use crate::{Refusal, words};

/// A moment to the second, in universal time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Moment {
    day: Day,
    second: u32,
}

/// Who made an entry, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamp {
    /// When.
    pub at: Moment,
    /// Who: a name, one line.
    pub who: String,
}

impl Moment {
    /// From a day and the time of it; refuses hours past 23, minutes and seconds past 59.
    pub fn try_new(day: Day, hour: u32, minute: u32, second: u32) -> Result<Self, Refusal> {
        if hour > 23 || minute > 59 || second > 59 {
            return Err(bad(&format!("{day}T{hour:02}:{minute:02}:{second:02}Z")));
        }
        Ok(Self { day, second: (hour * 60 + minute) * 60 + second })
    }

    /// Its day, in universal time.
    #[must_use]
    pub const fn day(self) -> Day {
        self.day
    }
}

fn bad(given: &str) -> Refusal {
    Refusal::Text {
        what: "a moment",
        given: given.chars().take(60).collect(),
        rule: "write it in universal time, like 2027-03-20T14:05:00Z".to_owned(),
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (minutes, second) = (self.second / 60, self.second % 60);
        write!(f, "{}T{:02}:{:02}:{second:02}Z", self.day, minutes / 60, minutes % 60)
    }
}

impl FromStr for Moment {
    type Err = Refusal;
    fn from_str(text: &str) -> Result<Self, Refusal> {
        let refuse = || bad(text);
        let (day, time) = text.split_once('T').ok_or_else(refuse)?;
        let day: Day = day.parse().map_err(|_| refuse())?;
        let parts: Vec<&str> = time.strip_suffix('Z').ok_or_else(refuse)?.split(':').collect();
        let [hour, minute, second] = parts[..] else { return Err(refuse()) };
        let two = |s: &str| {
            let digits = s.len() == 2 && s.bytes().all(|b| b.is_ascii_digit());
            if digits { s.parse().map_err(|_| refuse()) } else { Err(refuse()) }
        };
        Self::try_new(day, two(hour)?, two(minute)?, two(second)?)
    }
}

impl Stamp {
    /// A stamp; the name must be one line that says something.
    pub fn try_new(at: Moment, who: &str) -> Result<Self, Refusal> {
        words::name("the name of who records", who)?;
        Ok(Self { at, who: who.to_owned() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_read_back_and_others_are_refused() {
        for text in ["2026-11-25T05:02:31Z", "1999-12-31T23:59:59Z", "2027-01-01T00:00:00Z"] {
            assert_eq!(text.parse::<Moment>().unwrap().to_string(), text);
        }
        for bad in
            ["", "2026-11-25", "2026-11-25T24:00:00Z", "2026-11-25T05:02:31", "2026-11-25T5:2:3Z"]
        {
            assert!(bad.parse::<Moment>().is_err(), "{bad}");
        }
    }
}
