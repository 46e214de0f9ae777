//! Rules 16 and 17: the hours of the day, and that nothing hot or changing is left alone or goes on at
//! night.

use crate::Log;
use crate::whole::clock::{Book, DAY_MIN, Hands};

pub(crate) fn check(log: &mut Log<'_>, book: &Book<'_>) {
    for work in &book.works {
        let outside =
            book.hours.is_none_or(|(from, until)| work.from_min < from || work.to_min > until);
        let (when, who) = (work.when(), work.who());
        if work.hands != Hands::Away && outside {
            log.about(
                16,
                work.piece,
                format!("{when}: the {who} needs hands outside the working day"),
            );
        }
        if !work.sink.is_empty() && work.hands == Hands::Away {
            log.about(
                16,
                work.piece,
                format!("{when}: the {who} goes down the sink, and nobody is there"),
            );
        }
        // What ends at midnight itself may be said to end on either day.
        if work.to_min != DAY_MIN && work.over_night != (work.to_min > DAY_MIN) {
            log.about(
                17,
                work.piece,
                format!("{when}: the {who} goes on at night or does not, and says the contrary"),
            );
        }
        if work.burner && (outside || work.to_min > DAY_MIN) {
            log.about(
                17,
                work.piece,
                format!("{when}: the {who} is heated outside the working day"),
            );
        }
        if work.burner && work.hands == Hands::Away {
            log.about(17, work.piece, format!("{when}: the {who} is heated and nobody is there"));
        }
        if work.changing && work.hands == Hands::Away {
            log.about(
                17,
                work.piece,
                format!(
                    "{when}: the {who} is heating, cooling or being added to and nobody is there"
                ),
            );
        }
    }
}
