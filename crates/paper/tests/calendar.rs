//! The calendar read back by a reader that is not ours, and held to RFC 5545.

mod fixture;

use std::collections::BTreeSet;

use icalendar::parser::{Component, read_calendar, unfold};
use paper::{Stamp, calendar};
use plan::document::Plan;

fn written(plan: &Plan) -> String {
    calendar(plan, &Stamp::try_utc("20270301T091500Z").expect("a stamp"))
}

fn value<'a>(component: &'a Component<'_>, name: &str) -> Option<&'a str> {
    component.properties.iter().find(|p| p.name == name).map(|p| p.val.as_str())
}

/// Runs a check on every event of the fixture's calendar.
fn check(each: impl Fn(&Component<'_>)) -> usize {
    let text = unfold(&written(&fixture::plan()));
    let read = read_calendar(&text).expect("a calendar");
    let events: Vec<_> = read.components.iter().filter(|c| c.name == "VEVENT").collect();
    events.iter().for_each(|event| each(event));
    events.len()
}

/// RFC 5545, sections 3.4 and 3.6: VERSION and PRODID once each, before the components.
#[test]
fn it_is_a_calendar_of_version_2() {
    let text = written(&fixture::plan());
    assert!(text.starts_with("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//"), "{text}");
    assert!(text.ends_with("END:VCALENDAR\r\n"));
    for once in ["VERSION:", "PRODID:", "BEGIN:VCALENDAR"] {
        assert_eq!(
            text.matches(&format!("\r\n{once}")).count() + usize::from(text.starts_with(once)),
            1
        );
    }
}

/// RFC 5545, section 3.1: lines end in CRLF and have at most 75 octets; no other line break stands in it.
#[test]
fn lines_are_short_and_end_in_crlf() {
    let text = written(&fixture::plan());
    for line in text.split_terminator("\r\n") {
        assert!(line.len() <= 75, "{} octets: {line}", line.len());
        assert!(!line.contains(['\r', '\n']), "{line:?}");
    }
    assert!(text.split("\r\n").any(|line| line.starts_with(' ')), "nothing was folded");
}

/// RFC 5545, section 3.6.1: UID and DTSTAMP once in each event, DTSTART too; section 3.8.4.7: UIDs differ.
#[test]
fn every_event_has_a_uid_of_its_own() {
    let text = unfold(&written(&fixture::plan()));
    let read = read_calendar(&text).expect("a calendar");
    let uids: Vec<_> = read.components.iter().filter_map(|c| value(c, "UID")).collect();
    assert_eq!(uids.iter().collect::<BTreeSet<_>>().len(), uids.len());
    let events = check(|event| {
        for name in ["UID", "DTSTAMP", "DTSTART", "SUMMARY"] {
            assert_eq!(event.properties.iter().filter(|p| p.name == name).count(), 1, "{name}");
        }
        assert_eq!(value(event, "DTSTAMP"), Some("20270301T091500Z"));
    });
    assert_eq!(uids.len(), events);
}

/// RFC 5545, section 3.3.5, form 1: a floating time has neither "Z" nor a time zone.
#[test]
fn work_has_floating_times_and_ends_after_it_begins() {
    let mut whole_days = 0;
    let text = unfold(&written(&fixture::plan()));
    let read = read_calendar(&text).expect("a calendar");
    for event in &read.components {
        let start = event.properties.iter().find(|p| p.name == "DTSTART").unwrap();
        assert!(start.params.iter().all(|p| p.key != "TZID"));
        if start.params.iter().any(|p| p.key == "VALUE") {
            whole_days += 1;
            assert_eq!(start.val.as_str().len(), 8);
            assert_eq!(value(event, "TRANSP"), Some("TRANSPARENT"));
            continue;
        }
        let (from, to) = (start.val.as_str(), value(event, "DTEND").unwrap());
        for moment in [from, to] {
            assert!(moment.len() == 15 && moment.as_bytes()[8] == b'T', "{moment}");
        }
        assert!(from < to, "{from} to {to}");
    }
    assert_eq!(whole_days, 5, "two orders, two things to have at hand, the day it must be ready");
}

/// RFC 5545, section 3.6.6: a display alarm has ACTION, DESCRIPTION and TRIGGER once each.
#[test]
fn heat_is_announced_and_nothing_else() {
    let plan = fixture::plan();
    let text = unfold(&written(&plan));
    let read = read_calendar(&text).expect("a calendar");
    let mut alarms = 0;
    for event in &read.components {
        let description = value(event, "DESCRIPTION").unwrap_or_default();
        assert_eq!(
            !event.components.is_empty(),
            description.contains("on a burner"),
            "{description}"
        );
        for alarm in &event.components {
            alarms += 1;
            assert_eq!((alarm.name.as_str(), value(alarm, "ACTION")), ("VALARM", Some("DISPLAY")));
            assert_eq!(value(alarm, "TRIGGER"), Some("-PT15M"));
            assert!(value(alarm, "DESCRIPTION").is_some_and(|d| d.contains("heat from")));
        }
    }
    assert!(alarms >= 2, "{alarms}");
}

#[test]
fn every_stretch_that_needs_hands_is_in_some_event_once() {
    let plan = fixture::plan();
    let text = unfold(&written(&plan));
    for item in plan.days.iter().flat_map(|d| &d.days).flat_map(|d| &d.items) {
        let words = item.what.replace(',', "\\,").replace(';', "\\;");
        let line = format!("{} to {}: {words}", item.start, item.end);
        let times = text.matches(&line).count();
        assert_eq!(times, usize::from(item.hands != "away"), "{line}");
    }
    // The jerkin's weighing, swatching and rinsing follow each other: one event from 10:00 to 12:40.
    assert!(
        text.contains(
            "DTSTART:20270508T100000\r\nDTEND:20270508T124000\r\nSUMMARY:Keeper's jerkin: swatch"
        ) || text.contains(
            "DTSTART:20270508T100000\nDTEND:20270508T124000\nSUMMARY:Keeper's jerkin: swatch"
        ),
        "{text}"
    );
}

#[test]
fn a_reader_gets_the_words_back() {
    use icalendar::{Calendar, CalendarComponent, Component as _};
    let mut plan = fixture::plan();
    let nasty = "Stir; lift, then \\ rest\nand “look” – \u{1f9f5}".repeat(5);
    plan.days.as_mut().unwrap().days[0].items[2].what = nasty.clone();
    let read: Calendar = written(&plan).parse().expect("a calendar");
    let found = read.components.iter().any(|c| match c {
        CalendarComponent::Event(event) => {
            event.get_description().is_some_and(|d| d.contains(&nasty))
        }
        _ => false,
    });
    assert!(found, "{}", written(&plan));
}

#[test]
fn the_same_plan_gives_the_same_calendar_and_later_days_keep_their_uids() {
    let plan = fixture::plan();
    assert_eq!(written(&plan), written(&plan));
    let mut later = fixture::plan();
    for day in &mut later.days.as_mut().unwrap().days {
        day.day = day.day.replace("2027-05", "2027-06");
    }
    let uids = |plan: &Plan| -> Vec<String> {
        unfold(&written(plan))
            .lines()
            .filter(|l| l.starts_with("UID:"))
            .map(str::to_owned)
            .collect()
    };
    assert_eq!(uids(&plan), uids(&later));
    assert_ne!(written(&plan), written(&later));
    let mut renamed = fixture::plan();
    renamed.costume.name.push('!');
    assert!(uids(&renamed).iter().all(|uid| !uids(&plan).contains(uid)));
}

#[test]
fn without_days_it_is_still_a_calendar() {
    let mut plan = fixture::plan();
    plan.days = None;
    plan.costume.day = None;
    let text = written(&plan);
    assert!(read_calendar(&unfold(&text)).is_ok() && !text.contains("VEVENT"), "{text}");
}
