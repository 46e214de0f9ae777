//! Two small drawings: reflectance of the expected cloth, and bath temperature against time.
//!
//! Each has a title and a description for those who do not see it; the numbers stand in a table too.

use maud::{Markup, html};
use plan::document::Sheet;

use crate::number::{number, with};

/// Size of a drawing and of the margins around its field, in its own units.
pub(crate) const WIDE: f64 = 400.0;
pub(crate) const HIGH: f64 = 174.0;
pub(crate) const LEFT: f64 = 44.0;
pub(crate) const RIGHT: f64 = 12.0;
pub(crate) const TOP: f64 = 42.0;
pub(crate) const FOOT: f64 = 44.0;

/// First band of a spectrum and the step between bands, nm.
const FIRST_NM: usize = 400;
const STEP_NM: usize = 10;

/// A field with axes: what a value means in the drawing's units.
pub(crate) struct Field {
    x_from: f64,
    x_to: f64,
    y_to: f64,
    high: f64,
}

impl Field {
    /// A field from nothing to these values, in a drawing so high.
    pub(crate) const fn to(x_to: f64, y_to: f64, high: f64) -> Self {
        Self { x_from: 0.0, x_to, y_to, high }
    }

    pub(crate) fn x(&self, value: f64) -> f64 {
        LEFT + (value - self.x_from) / (self.x_to - self.x_from).max(1e-9) * (WIDE - LEFT - RIGHT)
    }

    pub(crate) fn y(&self, value: f64) -> f64 {
        let foot = self.high - FOOT;
        foot - value / self.y_to.max(1e-9) * (foot - TOP)
    }

    pub(crate) fn axes(&self, xs: &[f64], x_label: &str, ys: &[f64], y_label: &str) -> Markup {
        html! {
            @for &y in ys {
                line.grid x1=(place(LEFT)) x2=(place(WIDE - RIGHT)) y1=(place(self.y(y))) y2=(place(self.y(y))) {}
                text x=(place(LEFT - 6.0)) y=(place(self.y(y) + 4.0)) text-anchor="end" { (number(y)) }
            }
            @for &x in xs {
                line.grid x1=(place(self.x(x))) x2=(place(self.x(x))) y1=(place(self.high - FOOT)) y2=(place(self.high - FOOT + 4.0)) {}
                text x=(place(self.x(x))) y=(place(self.high - FOOT + 17.0)) text-anchor="middle" { (number(x)) }
            }
            text x=(place((LEFT + WIDE - RIGHT) / 2.0)) y=(place(self.high - 8.0)) text-anchor="middle" { (x_label) }
            text x="4" y="16" { (y_label) }
        }
    }
}

/// Reflectance against wavelength; `id` is the piece's.
pub(crate) fn reflectance(id: &str, spectrum: &[f64]) -> Markup {
    let points: Vec<(f64, f64)> =
        spectrum.iter().enumerate().map(|(at, &r)| (nanometres(at), r)).collect();
    let last = nanometres(spectrum.len().saturating_sub(1));
    let field = Field { x_from: nanometres(0), x_to: last, y_to: 1.0, high: HIGH };
    let ys = [0.0, 0.2, 0.4, 0.6, 0.8, 1.0];
    html! {
        figure {
            svg viewBox={ "0 0 " (WIDE) " " (HIGH) } role="img"
                aria-labelledby={ (id) "-reflectance " (id) "-reflectance-words" } {
                title id={ (id) "-reflectance" } { "Reflectance of the expected cloth" }
                desc id={ (id) "-reflectance-words" } { (spoken(&points)) }
                (field.axes(&[400.0, 500.0, 600.0, 700.0], "wavelength, nm", &ys, "reflectance, 1 = perfect white"))
                polyline.estimate-line points=(path(&field, &points)) {}
            }
            figcaption { "Expected reflectance (" span.estimate { "estimate" } "). " (spoken(&points)) }
        }
        details {
            summary { "The reflectance in figures" }
            p.run { @for (at, &(nm, r)) in points.iter().enumerate() {
                @if at > 0 { "; " }
                (with(nm, "nm")) " " (number(r))
            } }
        }
    }
}

fn spoken(points: &[(f64, f64)]) -> String {
    let low = points.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1));
    let high = points.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1));
    match (low, high) {
        (Some(low), Some(high)) => format!(
            "Lowest {} at {}, highest {} at {}.",
            number(low.1),
            with(low.0, "nm"),
            number(high.1),
            with(high.0, "nm")
        ),
        _ => String::new(),
    }
}

/// Bath temperature against time, with the additions marked by the number of their step.
pub(crate) fn temperature(id: &str, sheet: &Sheet) -> Markup {
    let points = course(sheet);
    let (field, end) = field(sheet, &points);
    let marks = marks(&field, sheet);
    html! {
        @if !points.is_empty() {
            h4.screen-only { "Temperature of the bath" }
            figure {
                svg viewBox={ "0 0 " (WIDE) " " (HIGH) } role="img"
                    aria-labelledby={ (id) "-curve " (id) "-curve-words" } {
                    title id={ (id) "-curve" } { "Bath temperature against time" }
                    desc id={ (id) "-curve-words" } { "The same as the °C and clock columns of the steps; the numbers mark steps in which something is added." }
                    (field.axes(&ticks(end), "minutes from the start", &[0.0, 25.0, 50.0, 75.0, 100.0], "°C, and steps with additions"))
                    polyline.line points=(path(&field, &points)) {}
                    @for (n, x, y, low) in &marks {
                        line.mark x1=(place(*x)) x2=(place(*x)) y1=(place(*low)) y2=(place(*y)) {}
                        text.mark x=(place(*x)) y=(place(*y - 2.0)) text-anchor="middle" { (n) }
                    }
                }
                figcaption { "Time and temperature. A number over the curve is a step in which something goes in." }
            }
        }
    }
}

/// The course of a bath: minutes and °C where each step begins and ends.
pub(crate) fn course(sheet: &Sheet) -> Vec<(f64, f64)> {
    let ends = |step: &plan::document::SheetStep| {
        [(step.at_min, step.from_c), (step.at_min + step.minutes, step.to_c)]
    };
    sheet.steps.iter().flat_map(ends).collect()
}

/// The field of a bath's course, and the minute it ends at.
pub(crate) fn field(sheet: &Sheet, points: &[(f64, f64)]) -> (Field, f64) {
    let end = points.iter().map(|p| p.0).fold(sheet.total_min, f64::max);
    (Field::to(end, 100.0, HIGH), end)
}

/// Step number, x, y of the mark's head, y of the curve; heads too near each other stand in three rows.
fn marks(field: &Field, sheet: &Sheet) -> Vec<(usize, f64, f64, f64)> {
    let mut last = [f64::NEG_INFINITY; 3];
    sheet
        .steps
        .iter()
        .filter(|step| !step.adds.is_empty())
        .map(|step| {
            let (x, curve) = (field.x(step.at_min), field.y(step.from_c));
            let row = last.iter().position(|&before| x - before > 24.0).unwrap_or(0);
            last[row] = x;
            let up = [12.0, 25.0, 38.0][row];
            (step.n, x, (curve - up).max(TOP - 12.0), curve)
        })
        .collect()
}

/// Round times for the axis, about five of them.
pub(crate) fn ticks(end: f64) -> Vec<f64> {
    let step = [5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 1440.0]
        .into_iter()
        .find(|step| end / step <= 7.0)
        .unwrap_or(2880.0);
    std::iter::successors(Some(0.0), |at| Some(at + step)).take_while(|&at| at <= end).collect()
}

pub(crate) fn path(field: &Field, points: &[(f64, f64)]) -> String {
    points
        .iter()
        .map(|&(x, y)| format!("{},{}", place(field.x(x)), place(field.y(y))))
        .collect::<Vec<_>>()
        .join(" ")
}

/// A place in the drawing, to a tenth of its unit.
pub(crate) fn place(value: f64) -> String {
    format!("{value:.1}")
}

#[expect(clippy::cast_precision_loss, reason = "a spectrum has a few dozen bands")]
fn nanometres(at: usize) -> f64 {
    (FIRST_NM + STEP_NM * at) as f64
}
