//! Rule 16: hands, and powder weighed only while nothing else asks for them; and that the day plan calls
//! changing, hot and powdery what is so on the bath sheets.

use crate::Log;
use crate::read::{Sheet, Step};
use crate::whole::Piece;
use crate::whole::clock::{Book, Hands, Work};

/// Pots that one free pair of hands can watch (judgement; the trade knowledge gives no figure).
const WATCHED: usize = 2;
/// A bath this hot burns in seconds (trade.md H1: 60 °C burns in about 5 s) and is never left alone.
const HOT_C: f64 = 60.0;
/// Minutes that rounding to the whole minute may lose, for each step.
const ROUNDING_MIN: f64 = 1.0;

/// Hands, watching and powder at every moment something begins.
pub(crate) fn check(log: &mut Log<'_>, book: &Book<'_>) {
    let Some(people) = book.limit("hands") else {
        log.sheet(16, "the day plan does not say how many people are at the pots");
        return;
    };
    for now in book.begins() {
        let full = book.deeds(now, |w| w.hands == Hands::All);
        if full > people {
            log.sheet(
                16,
                format!(
                    "{}: {full} things need full hands, and there are {people}",
                    book.moment(now)
                ),
            );
        }
        let free = people.saturating_sub(full);
        let changing = book.deeds(now, |w| w.hands == Hands::Near && w.changing);
        let near = book.deeds(now, |w| w.hands == Hands::Near);
        if changing > WATCHED * free || near > WATCHED * free + full.min(people) {
            log.sheet(16, format!("{}: {near} pots want looking at ({changing} of them changing), with {free} of {people} pairs of hands free", book.moment(now)));
        }
    }
    for powder in book.works.iter().filter(|w| w.powder) {
        if powder.hands != Hands::All {
            log.about(
                16,
                powder.piece,
                format!("{}: powder is weighed with full hands", powder.when()),
            );
        }
        let asks = |w: &&Work<'_>| w.changing || (w.burner && w.hands == Hands::Away);
        let other =
            book.works.iter().filter(asks).find(|w| {
                w.meets(powder) && !std::ptr::eq(*w, powder) && !book.one_deed(w, powder)
            });
        if let Some(other) = other {
            log.about(
                16,
                powder.piece,
                format!(
                    "{}: powder is weighed while the {} needs attention ({})",
                    powder.when(),
                    other.who(),
                    other.what
                ),
            );
        }
    }
}

/// What is hot, changing or powdery on a sheet must be so in the day plan: the flags of the days are not
/// taken on trust. Rule 16 for powder and changing, rule 17 for heat.
pub(crate) fn as_on_the_sheets(log: &mut Log<'_>, book: &Book<'_>, pieces: &[Piece<'_>]) {
    for piece in pieces.iter().filter(|p| !book.has_no_place(p.id)) {
        for kind in ["swatch", "bulk"] {
            let works: Vec<&Work<'_>> = book.of_piece(piece.id, kind).collect();
            if works.is_empty() {
                continue;
            }
            let sum = |fits: fn(&Work<'_>) -> bool| {
                works.iter().filter(|w| fits(w)).map(|w| w.minutes()).sum::<f64>()
            };
            let (mut changing, mut hot, mut fired) = (Needed::NONE, Needed::NONE, Needed::NONE);
            for sheet in piece.of_kind(kind) {
                let steps = || {
                    sheet.steps.iter().filter(|s| matches!(s.act, "add" | "heat" | "hold" | "cool"))
                };
                let is_hot = |s: &&Step<'_>| s.hottest().is_some_and(|t| t >= HOT_C);
                let heated = |s: &&Step<'_>| matches!(s.act, "heat" | "hold");
                changing.take(steps().filter(|s| s.act != "hold"));
                hot.take(steps().filter(is_hot));
                if works.iter().any(|w| w.pot.is_some()) && !is_plastic(sheet) {
                    fired.take(steps().filter(is_hot).filter(heated));
                }
                let powdery = sheet.dyes.iter().any(|d| d.form != "liquid");
                if powdery && !works.iter().any(|w| w.powder) {
                    log.about(
                        16,
                        piece.id,
                        format!("the {kind} sheet weighs powder, the day plan does not say when"),
                    );
                }
            }
            changing.held(log, 16, piece.id, kind, sum(|w| w.changing), "changing");
            hot.held(log, 17, piece.id, kind, sum(|w| w.hands != Hands::Away), "hot, and attended");
            fired.held(log, 17, piece.id, kind, sum(|w| w.burner), "on a burner");
        }
    }
}

fn is_plastic(sheet: &Sheet<'_>) -> bool {
    sheet.raw.pointer("/vessel/material").and_then(serde_json::Value::as_str) == Some("plastic")
}

/// Minutes that the sheets ask for.
struct Needed {
    minutes: f64,
    rounding: f64,
}

impl Needed {
    const NONE: Self = Self { minutes: 0.0, rounding: 0.0 };

    fn take<'s, 'a: 's>(&mut self, steps: impl Iterator<Item = &'s Step<'a>>) {
        for step in steps {
            self.minutes += step.minutes.unwrap_or(0.0);
            self.rounding += ROUNDING_MIN;
        }
    }

    fn held(&self, log: &mut Log<'_>, rule: u8, piece: &str, kind: &str, given: f64, how: &str) {
        if given + self.rounding < self.minutes {
            log.about(
                rule,
                piece,
                format!(
                    "the {kind} sheets have {:.0} min {how}, the day plan has {given:.0}",
                    self.minutes
                ),
            );
        }
    }
}
