//! The day plan as a list of stretches of work on one clock. What cannot be read is complained of here
//! and then left out; nothing else is judged.

use serde_json::Value;
use units::Day;

use crate::Log;
use crate::read::{list, number, text};

/// A day has so many minutes.
pub(crate) const DAY_MIN: f64 = 1440.0;

/// What an item may be (docs/json.md).
const JOBS: [&str; 9] =
    ["test", "scour", "swatch", "judge", "bulk", "finish", "drying", "rinse", "scrub"];

/// Who must be there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Hands {
    /// Hands full.
    All,
    /// In the house, looking often.
    Near,
    /// Nobody.
    Away,
}

/// One stretch of work or waiting.
pub(crate) struct Work<'a> {
    pub(crate) day: Day,
    /// Minutes since midnight of the first day of the plan.
    pub(crate) from: f64,
    pub(crate) to: f64,
    /// Minutes since midnight of its own day.
    pub(crate) from_min: f64,
    pub(crate) to_min: f64,
    pub(crate) piece: &'a str,
    pub(crate) job: &'a str,
    /// Which of two baths, from 1; none where there is but one.
    pub(crate) bath: Option<u64>,
    pub(crate) what: &'a str,
    /// The pot, or the pot in which its jar stands.
    pub(crate) pot: Option<&'a str>,
    pub(crate) jar: bool,
    pub(crate) burner: bool,
    pub(crate) hands: Hands,
    /// It has the kitchen to itself.
    pub(crate) alone: bool,
    pub(crate) powder: bool,
    pub(crate) changing: bool,
    pub(crate) sink: Vec<&'a str>,
    /// Which of several sinks, where the plan says so.
    pub(crate) sink_no: Option<u64>,
    pub(crate) over_night: bool,
}

impl Work<'_> {
    /// Whether both go on at some moment.
    pub(crate) fn meets(&self, other: &Self) -> bool {
        self.from < other.to && other.from < self.to
    }

    pub(crate) fn at(&self, moment: f64) -> bool {
        self.from <= moment && moment < self.to
    }

    pub(crate) fn minutes(&self) -> f64 {
        self.to - self.from
    }

    /// Where it stands in the plan, for a sentence.
    pub(crate) fn when(&self) -> String {
        format!("{} {}", self.day, clock(self.from_min))
    }

    /// Who and what, for a sentence.
    pub(crate) fn who(&self) -> String {
        if self.piece.is_empty() {
            self.job.to_owned()
        } else {
            format!("{} of {}", self.job, self.piece)
        }
    }
}

/// The day plan.
pub(crate) struct Book<'a> {
    pub(crate) raw: &'a Value,
    pub(crate) works: Vec<Work<'a>>,
    pub(crate) pots: Vec<&'a str>,
    /// The working day, minutes since midnight; none when the plan does not say.
    pub(crate) hours: Option<(f64, f64)>,
}

impl<'a> Book<'a> {
    /// Reads a day plan; complains under rule 16 of what cannot be read.
    pub(crate) fn of(log: &mut Log<'_>, raw: &'a Value) -> Self {
        let limits = raw.get("limits").unwrap_or(&Value::Null);
        let hours =
            text(limits, "from").and_then(minutes).zip(text(limits, "until").and_then(minutes));
        let hours = hours.map(|(a, b)| (a, if b <= a { b + DAY_MIN } else { b }));
        if hours.is_none() {
            log.sheet(16, "the day plan does not say when the working day begins and ends");
        }
        let mut works = Vec::new();
        let mut first: Option<Day> = None;
        let mut last: Option<Day> = None;
        for seen in list(raw, "days") {
            let Some(day) = text(seen, "day").and_then(|d| d.parse::<Day>().ok()) else {
                log.sheet(16, "a day of the day plan is no day of the calendar");
                continue;
            };
            if last.is_some_and(|last| last.days_until(day) <= 0) {
                log.sheet(16, format!("{day} does not stand after the day before it"));
            }
            last = Some(day);
            let since = f64::from(first.get_or_insert(day).days_until(day)) * DAY_MIN;
            for item in list(seen, "items") {
                match work(item, day, since) {
                    Ok(work) => works.push(work),
                    Err(why) => log.sheet(16, format!("an item of {day} cannot be read: {why}")),
                }
            }
        }
        let pots = list(limits, "vessels").filter_map(Value::as_str).collect();
        Self { raw, works, pots, hours }
    }

    /// A whole number among the limits of the kitchen.
    pub(crate) fn limit(&self, key: &str) -> Option<usize> {
        let given = self.raw.get("limits")?.get(key)?.as_u64()?;
        usize::try_from(given).ok()
    }

    /// The work of one job of a piece, by the clock.
    pub(crate) fn of_piece<'s>(
        &'s self,
        piece: &'s str,
        job: &'s str,
    ) -> impl Iterator<Item = &'s Work<'a>> {
        self.works.iter().filter(move |w| w.piece == piece && w.job == job)
    }

    /// Whether two items are one deed: jars that stand in one pot and are handled together, and the
    /// weighing and judging that goes with them.
    pub(crate) fn one_deed(&self, a: &Work<'_>, b: &Work<'_>) -> bool {
        let alike = |a: &Work<'_>, b: &Work<'_>| {
            a.from == b.from && a.to == b.to && a.job == b.job && a.what == b.what && a.pot == b.pot
        };
        if !alike(a, b) || a.piece == b.piece {
            return false;
        }
        if a.jar || b.jar {
            return a.jar && b.jar;
        }
        // Goods of one scour are handled together: what is done names the scour by its number.
        if a.job == "scour" {
            return a.what.starts_with("scour ");
        }
        // Weighing has no vessel; it is one deed when the jars it is for are one.
        a.pot.is_none()
            && self
                .of_piece(a.piece, a.job)
                .filter(|x| x.jar && x.day == a.day && x.from >= a.to)
                .any(|x| self.of_piece(b.piece, b.job).any(|y| y.jar && alike(x, y)))
    }

    /// How many deeds go on at a moment among the work that fits.
    pub(crate) fn deeds(&self, moment: f64, fits: impl Fn(&Work<'_>) -> bool) -> usize {
        let now: Vec<&Work<'_>> = self.works.iter().filter(|w| w.at(moment) && fits(w)).collect();
        let first = |i: &usize| !now[..*i].iter().any(|w| self.one_deed(w, now[*i]));
        (0..now.len()).filter(first).count()
    }

    /// Every moment at which something begins, each once.
    pub(crate) fn begins(&self) -> Vec<f64> {
        let mut begins: Vec<f64> = self.works.iter().map(|w| w.from).collect();
        begins.sort_by(f64::total_cmp);
        begins.dedup();
        begins
    }

    /// A moment in words.
    pub(crate) fn moment(&self, at: f64) -> String {
        self.works.iter().find(|w| w.from == at).map(Work::when).unwrap_or_default()
    }

    /// True when the plan says that some work of the piece has no place.
    pub(crate) fn has_no_place(&self, piece: &str) -> bool {
        list(self.raw, "no_place").any(|one| text(one, "piece") == Some(piece))
    }
}

fn work<'a>(item: &'a Value, day: Day, since: f64) -> Result<Work<'a>, String> {
    let minute = |key: &str| {
        number(item, key)
            .filter(|m| *m >= 0.0)
            .ok_or_else(|| format!("`{key}` is no minute of a day"))
    };
    let (from_min, to_min) = (minute("start_min")?, minute("end_min")?);
    let job = text(item, "job").unwrap_or_default();
    if from_min >= DAY_MIN || to_min <= from_min {
        return Err(format!("'{job}' ends before it begins, or begins on another day"));
    }
    for (key, told) in [("start", from_min), ("end", to_min)] {
        if text(item, key) != Some(clock(told).as_str()) {
            return Err(format!("`{key}` does not say the same as `{key}_min`"));
        }
    }
    if !JOBS.contains(&job) {
        return Err(format!("the auditor does not know the job '{job}'"));
    }
    let hands = match text(item, "hands") {
        Some("all" | "alone") => Hands::All,
        Some("near") => Hands::Near,
        Some("away") => Hands::Away,
        other => return Err(format!("`hands` is '{}'", other.unwrap_or_default())),
    };
    let flag = |key: &str| {
        item.get(key).and_then(Value::as_bool).ok_or_else(|| format!("`{key}` is not said"))
    };
    let vessel = text(item, "vessel");
    let pot = vessel.map(|v| v.strip_prefix("jar in ").unwrap_or(v));
    Ok(Work {
        day,
        from: since + from_min,
        to: since + to_min,
        from_min,
        to_min,
        piece: text(item, "piece").unwrap_or_default(),
        job,
        bath: item.get("bath").and_then(Value::as_u64),
        what: text(item, "what").unwrap_or_default(),
        pot,
        jar: vessel.is_some_and(|v| v.starts_with("jar in ")),
        burner: flag("burner")?,
        hands,
        alone: text(item, "hands") == Some("alone"),
        powder: flag("powder")?,
        changing: flag("changing")?,
        sink: list(item, "sink").map(|s| s.as_str().unwrap_or_default()).collect(),
        sink_no: item.get("sink_no").and_then(Value::as_u64),
        over_night: flag("over_night")?,
    })
}

/// "10:05" as minutes since midnight.
fn minutes(clock: &str) -> Option<f64> {
    let (hours, minutes) = clock.split_once(':')?;
    let (hours, minutes): (u8, u8) = (hours.parse().ok()?, minutes.parse().ok()?);
    (hours <= 24 && minutes < 60).then(|| f64::from(hours) * 60.0 + f64::from(minutes))
}

/// Minutes since midnight as "10:05"; past midnight it begins again.
fn clock(minutes: f64) -> String {
    let whole = minutes.rem_euclid(DAY_MIN).round();
    format!("{:02.0}:{:02.0}", (whole / 60.0).floor(), whole % 60.0)
}
