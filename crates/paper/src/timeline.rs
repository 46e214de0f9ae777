//! A day drawn: pots as lanes, work as bars, readable in black and white.
//!
//! What takes the hands is black, what needs somebody near is striped, what needs nobody is empty; a letter
//! in the bar leads to the piece. The same stands in words in the table under it.

use maud::{Markup, html};
use plan::document::{DayItem, DayLimits, DaySeen};

use crate::days::clock;

/// Size in the drawing's own units: wide enough that 12 of them are 9 pt at the width of a page.
const WIDE: f64 = 720.0;
const LEFT: f64 = 120.0;
const RIGHT: f64 = 26.0;
const LANE: f64 = 23.0;
const TOP: f64 = 24.0;
const HOUR: f64 = 60.0;

/// How the bars are read.
pub(crate) const KEY: &str = "black: hands full; striped: stay in the house and look; empty: needs nobody. Drying is not drawn.";

/// Lane of what stands in no pot.
const NO_POT: &str = "no pot";

/// The drawing of a day; `id` is the day's.
pub(crate) fn timeline(id: &str, day: &DaySeen, limits: &DayLimits) -> Markup {
    let shown: Vec<&DayItem> = day.items.iter().filter(|i| i.job != "drying").collect();
    let lanes = lanes(&shown, limits);
    let pieces = pieces(&shown);
    let from = least(shown.iter().map(|i| i.start_min));
    let until = -least(shown.iter().filter(|i| !i.over_night).map(|i| -i.end_min));
    let field = Field { from: (from / HOUR).floor() * HOUR, until: (until / HOUR).ceil() * HOUR };
    #[expect(clippy::cast_precision_loss, reason = "a kitchen has a few pots")]
    let high = TOP + LANE * lanes.len() as f64 + 8.0;
    html! {
        @if !shown.is_empty() && field.until > field.from {
            figure.timeline tabindex="0" {
                svg viewBox={ "0 0 " (WIDE) " " (high) } role="img" aria-labelledby={ (id) "-drawn " (id) "-words" } {
                    title id={ (id) "-drawn" } { "The day drawn: pots as lanes" }
                    desc id={ (id) "-words" } { "The same as in the table beneath." }
                    @for hour in field.hours() {
                        line.grid x1=(place(field.x(hour))) x2=(place(field.x(hour))) y1=(place(TOP - 4.0)) y2=(place(high - 6.0)) {}
                        text x=(place(field.x(hour))) y="14" text-anchor="middle" { (clock(hour)) }
                    }
                    @for (at, lane) in lanes.iter().enumerate() {
                        text x="0" y=(place(top(at) + 16.0)) { (short(lane)) }
                    }
                    @for alike in &bars(&shown) { (bar(alike, &lanes, &pieces, &field)) }
                }
                figcaption {
                    @for (at, name) in pieces.iter().enumerate() { b { (letter(at)) } " " (name) "; " }
                    span.screen-only { (KEY) }
                }
            }
        }
    }
}

struct Field {
    from: f64,
    until: f64,
}

impl Field {
    /// What lasts longer than the drawing ends at its edge.
    fn x(&self, minute: f64) -> f64 {
        let share = (minute.min(self.until) - self.from) / (self.until - self.from);
        LEFT + share * (WIDE - LEFT - RIGHT)
    }

    fn hours(&self) -> Vec<f64> {
        let step = [1.0, 2.0, 3.0, 6.0]
            .into_iter()
            .map(|hours| hours * HOUR)
            .find(|step| (self.until - self.from) / step <= 10.0)
            .unwrap_or(12.0 * HOUR);
        std::iter::successors(Some(self.from), |at| Some(at + step))
            .take_while(|&at| at <= self.until)
            .collect()
    }
}

/// What is done at one time in one lane in one way is one bar: drawn over each other, only the last letter would show.
fn bars<'a>(shown: &[&'a DayItem]) -> Vec<Vec<&'a DayItem>> {
    let mut all: Vec<Vec<&DayItem>> = vec![];
    for &item in shown {
        let alike = |bar: &&mut Vec<&DayItem>| {
            let first = bar[0];
            let at = |a: f64, b: f64| (a - b).abs() < 0.5;
            pot(first) == pot(item)
                && at(first.start_min, item.start_min)
                && at(first.end_min, item.end_min)
                && (first.hands == item.hands)
        };
        match all.iter_mut().find(alike) {
            Some(bar) => bar.push(item),
            None => all.push(vec![item]),
        }
    }
    all
}

fn bar(alike: &[&DayItem], lanes: &[&str], pieces: &[&str], field: &Field) -> Markup {
    let Some(item) = alike.first() else { return html! {} };
    let lane = lanes.iter().position(|l| *l == pot(item)).unwrap_or(0);
    let (x, y) = (field.x(item.start_min), top(lane) + 3.0);
    let wide = (field.x(item.end_min) - x).max(2.0);
    let fill = if matches!(item.hands, "all" | "alone") { "#161616" } else { "#fff" };
    let of = |item: &&DayItem| {
        let name = item.piece_name.as_deref()?;
        pieces.iter().position(|p| *p == name).map(letter)
    };
    let mut letters: Vec<char> = vec![];
    for letter in alike.iter().filter_map(of) {
        if !letters.contains(&letter) {
            letters.push(letter);
        }
    }
    let letters: String = letters.into_iter().collect();
    #[expect(clippy::cast_precision_loss, reason = "a day has a few dozen pieces")]
    let field_wide = 3.0 + 10.0 * letters.chars().count() as f64;
    html! {
        rect x=(place(x)) y=(place(y)) width=(place(wide)) height=(place(LANE - 6.0)) fill=(fill) stroke="#161616" stroke-width="1.2" {}
        @if item.hands == "near" { path.hatch d=(hatch(x, y, wide)) {} }
        @if !letters.is_empty() && wide > field_wide {
            rect x=(place(x + (wide - field_wide) / 2.0)) y=(place(y + 2.0)) width=(place(field_wide)) height=(place(LANE - 10.0)) fill="#fff" {}
            text x=(place(x + wide / 2.0)) y=(place(y + 13.0)) text-anchor="middle" { (letters) }
        }
    }
}

/// Upright strokes across a bar.
fn hatch(x: f64, y: f64, wide: f64) -> String {
    std::iter::successors(Some(x + 4.0), |at| Some(at + 5.0))
        .take_while(|&at| at < x + wide)
        .map(|at| format!("M{} {}v{}", place(at), place(y), place(LANE - 6.0)))
        .collect()
}

/// The kitchen's pots that are used, in its own order, then others, then work beside the pots.
fn lanes<'a>(items: &[&'a DayItem], limits: &'a DayLimits) -> Vec<&'a str> {
    let used: Vec<&str> = items.iter().map(|item| pot(item)).collect();
    let known = limits.vessels.iter().map(String::as_str).filter(|v| used.contains(v));
    let mut all: Vec<&str> = known.collect();
    for lane in used.iter().filter(|lane| **lane != NO_POT).chain([&NO_POT]) {
        if used.contains(lane) && !all.contains(lane) {
            all.push(lane);
        }
    }
    all
}

fn pot(item: &DayItem) -> &str {
    item.vessel.as_deref().unwrap_or(NO_POT)
}

fn pieces<'a>(items: &[&'a DayItem]) -> Vec<&'a str> {
    let mut all: Vec<&str> = vec![];
    for name in items.iter().filter_map(|item| item.piece_name.as_deref()) {
        if !all.contains(&name) {
            all.push(name);
        }
    }
    all
}

/// A, B, … Z, then a, b, …; a day has no more pieces than that.
fn letter(at: usize) -> char {
    ('A'..='Z').chain('a'..='z').nth(at).unwrap_or('…')
}

/// A lane's name as far as its margin reaches; the table has the whole.
fn short(name: &str) -> String {
    if name.chars().count() <= 17 {
        return name.to_owned();
    }
    name.chars().take(16).collect::<String>() + "…"
}

#[expect(clippy::cast_precision_loss, reason = "a kitchen has a few pots")]
fn top(lane: usize) -> f64 {
    TOP + LANE * lane as f64
}

fn least(all: impl Iterator<Item = f64>) -> f64 {
    all.fold(f64::INFINITY, f64::min)
}

fn place(value: f64) -> String {
    format!("{value:.1}")
}
