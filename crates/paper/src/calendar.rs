//! The day plan as an iCalendar file (RFC 5545): what needs hands as events, deadlines as whole days.
//!
//! Times are floating local ones (section 3.3.5, form 1): a kitchen clock has no time zone. Waiting with
//! nothing to do makes no event. The file asks for nothing outside and holds no clock: its stamp is given.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::str::FromStr;

use plan::document::{AtHandSeen, DayItem, DaySeen, OrderSeen, Plan};
use units::Day;

use crate::content_line::{line, text};

/// When a calendar was written, in UTC: "20270301T091500Z".
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamp(String);

/// Why a stamp was refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "the stamp “{given}” is no moment in UTC: write year, month, day, T, hours, minutes, seconds and Z, \
     like 20270301T091500Z"
)]
pub struct NotAStamp {
    /// As given.
    pub given: String,
}

impl Stamp {
    /// Reads a stamp in the form of RFC 5545, section 3.3.5, form 2.
    ///
    /// # Errors
    /// [`NotAStamp`] for any other form, and for a day or an hour that does not exist.
    pub fn try_utc(given: &str) -> Result<Self, NotAStamp> {
        let refused = || NotAStamp { given: given.to_owned() };
        let digits: Vec<u8> = given.bytes().filter(u8::is_ascii_digit).collect();
        let shaped = given.len() == 16
            && given.as_bytes()[8] == b'T'
            && given.ends_with('Z')
            && digits.len() == 14;
        if !shaped {
            return Err(refused());
        }
        let date = format!("{}-{}-{}", &given[..4], &given[4..6], &given[6..8]);
        let clock = given[9..11] <= *"23" && given[11..13] <= *"59" && given[13..15] <= *"59";
        if Day::from_str(&date).is_err() || !clock {
            return Err(refused());
        }
        Ok(Self(given.to_owned()))
    }

    /// As it is written.
    pub(crate) fn as_utc(&self) -> &str {
        &self.0
    }
}

/// The whole calendar.
pub(crate) fn calendar(plan: &Plan, stamp: &Stamp) -> String {
    let mut out = String::new();
    for fixed in [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Dyewright//Day plan//EN",
        "CALSCALE:GREGORIAN",
    ] {
        out += &line(fixed);
    }
    let root = fingerprint(&plan.costume.name);
    let mut counted: BTreeMap<String, usize> = BTreeMap::new();
    if let Some(days) = &plan.days {
        for day in &days.days {
            for stretch in stretches(day) {
                let what = stretch.key();
                let n = counted.entry(what.clone()).or_default();
                *n += 1;
                out += &work(&stretch, day, &format!("{root}-{what}-{n}"), plan, stamp);
            }
        }
        for order in &days.orders {
            out += &deadline(order, &format!("{root}-order-{}", order.item), plan, stamp);
        }
        let mut by_day: BTreeMap<&str, Vec<&AtHandSeen>> = BTreeMap::new();
        for one in &days.at_hand {
            by_day.entry(&one.by).or_default().push(one);
        }
        for (n, (by, all)) in by_day.into_iter().enumerate() {
            out += &at_hand(by, &all, &format!("{root}-at-hand-{}", n + 1), plan, stamp);
        }
    }
    if let Some(day) = &plan.costume.day {
        let summary = format!("{}: ready", plan.costume.name);
        let words = plan.days.as_ref().map_or_else(String::new, |days| days.verdict.clone());
        out += &whole_day(day, &format!("{root}-ready"), &summary, &words, stamp);
    }
    out + &line("END:VCALENDAR")
}

/// Work of one job that follows without a pause.
struct Stretch<'a> {
    items: Vec<&'a DayItem>,
    until: f64,
}

impl Stretch<'_> {
    fn first(&self) -> &DayItem {
        self.items[0]
    }

    /// Piece and job: what makes its UID, so that a plan made anew moves the event and does not double it.
    fn key(&self) -> String {
        format!("{}-{}", self.first().piece.as_deref().unwrap_or("kitchen"), self.first().job)
    }
}

/// The stretches of a day that need hands, by the clock.
fn stretches(day: &DaySeen) -> Vec<Stretch<'_>> {
    let mut all: Vec<Stretch<'_>> = vec![];
    for item in day.items.iter().filter(|item| item.hands != "away" && item.leads()) {
        let same = |s: &&mut Stretch<'_>| {
            s.first().piece == item.piece && s.first().job == item.job && item.start_min <= s.until
        };
        match all.iter_mut().rev().find(same) {
            Some(stretch) => {
                stretch.until = stretch.until.max(item.end_min);
                stretch.items.push(item);
            }
            None => all.push(Stretch { items: vec![item], until: item.end_min }),
        }
    }
    all
}

fn work(stretch: &Stretch<'_>, day: &DaySeen, uid: &str, plan: &Plan, stamp: &Stamp) -> String {
    let first = stretch.first();
    let who = match first.together.is_empty() {
        true => first.piece_name.clone().unwrap_or_else(|| "Kitchen".to_owned()),
        false => crate::number::names(plan, &first.together),
    };
    let heat = stretch.items.iter().any(|item| item.burner);
    let mut words = format!("{}\n", plan.costume.name);
    for item in &stretch.items {
        // Writing to a String cannot fail.
        let _ = write!(words, "{} to {}: {}", item.start, item.end, item.what);
        let notes = notes(item);
        if !notes.is_empty() {
            let _ = write!(words, " ({})", notes.join("; "));
        }
        words.push('\n');
    }
    let summary = format!("{who}: {}", first.job);
    let mut out = begin(uid, stamp);
    out += &line(&format!("DTSTART:{}", moment(&day.day, first.start_min)));
    out += &line(&format!("DTEND:{}", moment(&day.day, stretch.until)));
    out += &line(&format!("SUMMARY:{}", text(&summary)));
    out += &line(&format!("DESCRIPTION:{}", text(words.trim_end())));
    if heat {
        out += &line("BEGIN:VALARM");
        out += &line("ACTION:DISPLAY");
        out += &line("TRIGGER:-PT15M");
        out += &line(&format!(
            "DESCRIPTION:{}",
            text(&format!("{summary}: heat from {}; stay in the house", first.start))
        ));
        out += &line("END:VALARM");
    }
    out + &line("END:VEVENT")
}

/// Pot, hands, powder and sink of an item, in words.
pub(crate) fn notes(item: &DayItem) -> Vec<String> {
    let mut all: Vec<String> =
        item.stands.as_ref().or(item.vessel.as_ref()).cloned().into_iter().collect();
    if item.burner {
        all.push("on a burner".to_owned());
    }
    all.push(hands(item.hands).to_owned());
    if item.powder {
        all.push("powder is open".to_owned());
    }
    if !item.sink.is_empty() {
        all.push(format!("into the sink: {}", item.sink.join(", ")));
    }
    all
}

/// What the hands of an item mean.
pub(crate) const fn hands(hands: &str) -> &str {
    match hands.as_bytes() {
        b"alone" => "the kitchen to itself: nothing lit or looked after beside it",
        b"all" => "hands full; what stands near goes on",
        b"near" => "stay in the house and look",
        b"away" => "needs nobody",
        _ => hands,
    }
}

fn deadline(order: &OrderSeen, uid: &str, plan: &Plan, stamp: &Stamp) -> String {
    let late = if order.in_time { "" } else { " (it comes too late)" };
    let summary = format!("Last day to order {}{late}", order.name);
    let words = format!(
        "{}\nOrdered on {} it comes on {}.\nFor: {}.",
        plan.costume.name,
        plan.costume.today,
        order.comes,
        crate::number::names(plan, &order.pieces)
    );
    whole_day(&order.order_by, uid, &summary, &words, stamp)
}

/// What must be at hand by a day: bought, or looked for.
fn at_hand(by: &str, all: &[&AtHandSeen], uid: &str, plan: &Plan, stamp: &Stamp) -> String {
    let mut words = plan.costume.name.clone();
    for one in all {
        let how = match (one.ask, one.food_shop) {
            (true, false) if one.too_late => {
                "do you have it? If not, it is too late by post: get it near you, or begin later"
            }
            (true, true) => "do you have it? Any food shop has it",
            (true, false) => "do you have it? If not, order it",
            (false, _) => "buy it: any food shop has it",
        };
        let _ = write!(words, "\n{}, {}: {how}; first used on {}.", one.name, one.need, one.used);
    }
    let names: Vec<&str> = all.iter().map(|one| one.name.as_str()).collect();
    whole_day(by, uid, &format!("Have at hand: {}", names.join("; ")), &words, stamp)
}

/// An event of one whole day: with a DATE and no end it lasts that day (section 3.6.1). It takes no time.
fn whole_day(day: &str, uid: &str, summary: &str, words: &str, stamp: &Stamp) -> String {
    let mut out = begin(uid, stamp);
    out += &line(&format!("DTSTART;VALUE=DATE:{}", day.replace('-', "")));
    out += &line("TRANSP:TRANSPARENT");
    out += &line(&format!("SUMMARY:{}", text(summary)));
    if !words.is_empty() {
        out += &line(&format!("DESCRIPTION:{}", text(words)));
    }
    out + &line("END:VEVENT")
}

fn begin(uid: &str, stamp: &Stamp) -> String {
    line("BEGIN:VEVENT")
        + &line(&format!("UID:{}", text(uid)))
        + &line(&format!("DTSTAMP:{}", stamp.0))
}

/// A floating moment: the day and minutes since its midnight; from 1440 on it is a later day.
#[expect(clippy::cast_possible_truncation, reason = "minutes of a few days fit")]
fn moment(day: &str, minutes: f64) -> String {
    let minutes = minutes.round() as i32;
    let on = Day::from_str(day)
        .map_or_else(|_| day.to_owned(), |d| d.plus_days(minutes.div_euclid(1440)).to_string());
    let rest = minutes.rem_euclid(1440);
    format!("{}T{:02}{:02}00", on.replace('-', ""), rest / 60, rest % 60)
}

/// A name as 16 hexadecimal digits (FNV-1a, 64 bits; constants from memory of the published ones): the same
/// costume always gets the same, so that a plan made anew takes the place of the old one in a calendar.
fn fingerprint(name: &str) -> String {
    let mixed = name
        .bytes()
        .fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3));
    format!("{mixed:016x}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stamp_is_a_moment_in_utc() {
        assert!(Stamp::try_utc("20270301T091500Z").is_ok());
        for bad in [
            "",
            "20270301T091500",
            "20270301T091500+0100",
            "20270230T091500Z",
            "20270301T246000Z",
            "2027-03-01T09:15Z",
            "20270301T0915é0",
            "20270301 091500Z",
        ] {
            let refused = Stamp::try_utc(bad).unwrap_err().to_string();
            assert!(refused.contains(bad) && refused.contains("20270301T091500Z"), "{refused}");
        }
    }

    #[test]
    fn minutes_after_midnight_are_the_next_day() {
        for (minutes, written) in [
            (600.0, "20271231T100000"),
            (0.0, "20271231T000000"),
            (1440.0, "20280101T000000"),
            (1505.0, "20280101T010500"),
            (2890.0, "20280102T001000"),
        ] {
            assert_eq!(moment("2027-12-31", minutes), written);
        }
    }
}
