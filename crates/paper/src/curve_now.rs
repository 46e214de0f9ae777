//! The temperature of a bath against time with a mark at "you are here", for whoever stands beside the pot.
//!
//! Right as it is drawn; a door that is alive moves the mark along the line by the attributes beside it. The words say
//! the same. Left out: the clock.

use maud::{Markup, html};
use plan::document::Sheet;

use crate::curve::{FOOT, HIGH, LEFT, RIGHT, TOP, WIDE, course, field, path, place, ticks};
use crate::number::number;

/// The curve with a mark at this minute of the sheet's own time; nothing for a bath without steps.
pub(crate) fn here(sheet: &Sheet, at_min: f64) -> Markup {
    let points = course(sheet);
    let (field, end) = field(sheet, &points);
    let at = at_min.clamp(0.0, end);
    let (x, y) = (field.x(at), field.y(at_degrees(&points, at)));
    let per_min = (WIDE - LEFT - RIGHT) / end.max(1e-9);
    let here = sheet.steps.iter().rev().find(|step| step.at_min <= at + 1e-9);
    html! {
        @if !points.is_empty() {
            figure.here-curve {
                svg viewBox={ "0 0 " (WIDE) " " (HIGH) } role="img" aria-labelledby="here-curve here-curve-words" {
                    title id="here-curve" { "Bath temperature against time, and where you are" }
                    desc id="here-curve-words" { "The sentence beneath says the same." }
                    (field.axes(&ticks(end), "minutes from the start", &[0.0, 25.0, 50.0, 75.0, 100.0], "°C"))
                    polyline.line points=(path(&field, &points)) {}
                    line.here x1=(place(x)) x2=(place(x)) y1=(place(TOP - 18.0)) y2=(place(HIGH - FOOT)) data-left=(LEFT) data-per-min=(per_min) data-per-degree=(field.y(0.0) - field.y(1.0)) {}
                    circle.here cx=(place(x)) cy=(place(y)) r="5" {}
                    text.here x=(place(x.clamp(LEFT + 34.0, WIDE - RIGHT - 34.0))) y=(place(TOP - 22.0)) text-anchor="middle" { "you are here" }
                }
                figcaption { "By the sheet you are at minute " b data-here-min { (number(at.round())) } " of " (number(end))
                    @if let Some(step) = here { ", in step " (step.n) " (" (step.kind) ")" }
                    "; the bath should be at about " b { span data-here-c { (number(at_degrees(&points, at).round())) } "\u{a0}°C" } "." }
            }
        }
    }
}

/// The temperature of the course at a minute.
fn at_degrees(points: &[(f64, f64)], at: f64) -> f64 {
    let after = points.iter().position(|p| p.0 > at);
    match after {
        Some(0) | None => {
            points.last().filter(|_| after.is_none()).or(points.first()).map_or(0.0, |p| p.1)
        }
        Some(n) => {
            let ((x0, y0), (x1, y1)) = (points[n - 1], points[n]);
            y0 + (y1 - y0) * ((at - x0) / (x1 - x0).max(1e-9)).clamp(0.0, 1.0)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_temperature_between_two_points_lies_between_theirs() {
        let course = [(0.0, 20.0), (10.0, 20.0), (30.0, 60.0), (60.0, 60.0)];
        for (at, wanted) in [(0.0, 20.0), (10.0, 20.0), (20.0, 40.0), (45.0, 60.0), (99.0, 60.0)] {
            assert!((at_degrees(&course, at) - wanted).abs() < 1e-9, "{at}");
        }
        assert!(at_degrees(&[], 5.0).abs() < 1e-9);
    }
}
