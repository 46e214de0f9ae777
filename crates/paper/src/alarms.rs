//! The instants of a running bath as an iCalendar file (RFC 5545) with an alarm at each: what wakes a sleeping phone,
//! where a page cannot.
//!
//! Instants are given in UTC (section 3.3.5, form 2), so that every phone rings at the same moment. Left out: the clock.

use crate::Stamp;
use crate::content_line::{line, text};

/// One alarm.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Alarm {
    /// What makes it the same one when the file is taken again: letters, digits, hyphens.
    pub id: String,
    /// When it rings.
    pub at: Stamp,
    /// What it says.
    pub says: String,
    /// What to do, in full.
    pub words: String,
}

/// The file.
pub(crate) fn calendar(alarms: &[Alarm], written: &Stamp) -> String {
    let mut out = String::new();
    for fixed in
        ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Dyewright//Bath//EN", "CALSCALE:GREGORIAN"]
    {
        out += &line(fixed);
    }
    for alarm in alarms {
        out += &line("BEGIN:VEVENT");
        out += &line(&format!("UID:{}", text(&alarm.id)));
        out += &line(&format!("DTSTAMP:{}", written.as_utc()));
        out += &line(&format!("DTSTART:{}", alarm.at.as_utc()));
        // A moment, no time taken: RFC 5545 section 3.6.1 lets an event end where it begins.
        out += &line("DURATION:PT1M");
        out += &line(&format!("SUMMARY:{}", text(&alarm.says)));
        out += &line(&format!("DESCRIPTION:{}", text(&alarm.words)));
        out += &line("BEGIN:VALARM");
        out += &line("ACTION:AUDIO");
        out += &line("TRIGGER:PT0S");
        out += &line("END:VALARM");
        out += &line("BEGIN:VALARM");
        out += &line("ACTION:DISPLAY");
        out += &line("TRIGGER:PT0S");
        out += &line(&format!("DESCRIPTION:{}", text(&alarm.says)));
        out += &line("END:VALARM");
        out += &line("END:VEVENT");
    }
    out + &line("END:VCALENDAR")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_alarm_rings_at_its_instant_in_utc() {
        let at = |given: &str| Stamp::try_utc(given).unwrap_or_else(|e| panic!("{e}"));
        let alarm = Alarm {
            id: "coat-bulk-5".to_owned(),
            at: at("20310502T103000Z"),
            says: "Coat: step 5 is over; next: add".to_owned(),
            words: "Lift the goods, slowly".to_owned(),
        };
        let file = calendar(&[alarm], &at("20310502T093000Z"));
        assert!(file.contains("DTSTART:20310502T103000Z\r\n"), "{file}");
        assert!(file.contains("TRIGGER:PT0S\r\n") && file.contains("ACTION:DISPLAY\r\n"));
        assert!(
            file.contains("step 5 is over\\; next") && file.contains("goods\\, slowly"),
            "{file}"
        );
        assert_eq!(file.matches("BEGIN:").count(), file.matches("END:").count());
    }
}
