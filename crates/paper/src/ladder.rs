//! A ladder drawn: what one dye adds to K/S against its amount, its swatches, the line of the model and its band.
//!
//! What is the maker's own looks different from what is only expected: full rings on a full line in a grey band, against
//! a broken line between broken borders. The same stands in the sentence beneath and in the table of whoever asks for it.

use maud::{Markup, html};

use crate::curve::{Field, WIDE, path, place};
use crate::number::number;

/// Its height, in the drawing's own units.
const HIGH: f64 = 300.0;

/// A ladder to draw.
#[derive(Debug, Clone, Copy)]
pub struct LadderDrawn<'a> {
    /// A word of its own on the page, for what is said of the drawing.
    pub id: &'a str,
    /// What the drawing is of: "golden yellow on white cotton, at 450 nm".
    pub what: &'a str,
    /// Doses (% owf) with what they add to K/S, and the least and the most nine times in ten.
    pub line: &'a [[f64; 4]],
    /// Whether the line rests on the maker's own swatches.
    pub own: bool,
    /// The swatches, in the order of the table they stand in.
    pub rungs: &'a [RungDrawn],
}

/// A swatch in it.
#[derive(Debug, Clone, Copy)]
pub struct RungDrawn {
    /// % owf.
    pub owf_pct: f64,
    /// What it adds to K/S.
    pub adds: f64,
    /// The maker's own; a friend's or an old note's otherwise.
    pub own: bool,
}

/// The drawing.
#[must_use]
pub fn ladder(of: &LadderDrawn<'_>) -> Markup {
    let far = of.line.last().map_or(1.0, |at| at[0]);
    let highest = of.line.iter().map(|at| at[3]).chain(of.rungs.iter().map(|r| r.adds));
    // The band of a dye that nobody swatched may reach far above its line: the line is what must be seen.
    let line_top = of.line.iter().map(|at| at[1]).chain(of.rungs.iter().map(|r| r.adds));
    let top = highest.fold(0.0, f64::max).min(2.5 * line_top.fold(0.0, f64::max)).max(1e-3);
    let (xs, ys) = (ticks(far), ticks(top));
    let field = Field::to(far, top, HIGH);
    let along = |at: usize| -> Vec<(f64, f64)> {
        of.line.iter().map(|place| (place[0], place[at].min(top))).collect()
    };
    let mut around = along(3);
    around.extend(along(2).into_iter().rev());
    let place_of = |r: &RungDrawn| (field.x(r.owf_pct), field.y(r.adds.clamp(0.0, top)));
    let places: Vec<(f64, f64)> = of.rungs.iter().map(place_of).collect();
    let sort = if of.own { "own" } else { "expected" };
    html! {
        figure.ladder {
            svg viewBox={ "0 0 " (WIDE) " " (HIGH) } role="img" aria-labelledby={ (of.id) "-ladder " (of.id) "-ladder-words" } {
                title id={ (of.id) "-ladder" } { "The ladder of " (of.what) }
                desc id={ (of.id) "-ladder-words" } { (spoken(of)) }
                polygon class={ "ladder-band " (sort) } points=(path(&field, &around)) {}
                (field.axes(&xs, "amount, % on weight of fibre", &ys, "what it adds to K/S"))
                polyline class={ "ladder-line " (sort) } points=(path(&field, &along(1))) {}
                @for (at, (x, y)) in places.iter().copied().enumerate() {
                    @let rung = &of.rungs[at];
                    @let (right, down, anchor) = beside(&places[..at], (x, y));
                    @if rung.own { circle.rung cx=(place(x)) cy=(place(y)) r="4.5" {} }
                    @else { rect.rung x=(place(x - 4.0)) y=(place(y - 4.0)) width="8" height="8" {} }
                    text.rung x=(place(x + right)) y=(place(y + down)) text-anchor=(anchor) { (at + 1) }
                }
            }
            figcaption {
                (spoken(of))
                " " @if of.own { "Full line: as your swatches taught it; grey: where it lies nine times in ten." }
                @else { "Broken line: an " span.estimate { "estimate" } ", no swatch of yours is in it; between the broken borders it lies nine times in ten." }
                @if of.rungs.iter().any(|r| r.own) { " Rings: your own swatches, numbered as in the table." }
                @if of.rungs.iter().any(|r| !r.own) { " Squares: others’ swatches." }
            }
        }
    }
}

/// Where the number of a swatch stands beside it, so that those of swatches near each other do not cover each other.
fn beside(before: &[(f64, f64)], (x, y): (f64, f64)) -> (f64, f64, &'static str) {
    let near = before.iter().filter(|(a, b)| (a - x).abs() < 16.0 && (b - y).abs() < 30.0).count();
    [(0.0, -8.0, "middle"), (0.0, 18.0, "middle"), (9.0, 4.0, "start"), (-9.0, 4.0, "end")]
        [near % 4]
}

fn spoken(of: &LadderDrawn<'_>) -> String {
    let at = |share: usize| of.line.get((of.line.len().max(1) - 1) * share / 4);
    let told: Vec<String> = [1, 2, 4]
        .into_iter()
        .filter_map(at)
        .map(|[dose, adds, ..]| {
            format!("{} at {} %", number((adds * 100.0).round() / 100.0), number(round_to(*dose)))
        })
        .collect();
    format!("It adds {} to K/S.", told.join(", "))
}

fn round_to(dose: f64) -> f64 {
    (dose * 100.0).round() / 100.0
}

/// Round values from nothing, about five of them.
fn ticks(top: f64) -> Vec<f64> {
    let power = 10_f64.powf((top / 4.0).log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|by| by * power).find(|s| top / s <= 6.0);
    let step = step.unwrap_or(top);
    std::iter::successors(Some(0.0), |at| Some(at + step))
        .take_while(|&at| at <= top * 1.0001)
        .map(|at| (at / power).round() * power)
        .map(|at| (at * 1e6).round() / 1e6)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_few() {
        for (top, wanted) in [
            (4.0, vec![0.0, 1.0, 2.0, 3.0, 4.0]),
            (2.3, vec![0.0, 0.5, 1.0, 1.5, 2.0]),
            (0.07, vec![0.0, 0.02, 0.04, 0.06]),
            (23.0, vec![0.0, 5.0, 10.0, 15.0, 20.0]),
        ] {
            assert_eq!(ticks(top), wanted, "{top}");
        }
    }

    #[test]
    fn own_and_expected_look_different_and_every_swatch_is_drawn() {
        let line: Vec<[f64; 4]> =
            (0..=8_u8).map(|n| f64::from(n) * 0.5).map(|x| [x, 2.0 * x, x, 4.0 * x]).collect();
        let rungs = [
            RungDrawn { owf_pct: 0.5, adds: 1.1, own: true },
            RungDrawn { owf_pct: 2.0, adds: 3.7, own: false },
        ];
        let of = LadderDrawn {
            id: "a",
            what: "red on white wool",
            line: &line,
            own: true,
            rungs: &rungs,
        };
        let own = ladder(&of).into_string();
        let expected = ladder(&LadderDrawn { own: false, rungs: &[], ..of }).into_string();
        assert!(own.contains("ladder-line own") && !own.contains("ladder-line expected"));
        assert!(expected.contains("ladder-line expected") && expected.contains("estimate"));
        assert_eq!((own.matches("<circle").count(), own.matches("<rect").count()), (1, 1));
        assert!(own.contains("It adds 2 at 1 %, 4 at 2 %, 8 at 4 % to K/S."), "{own}");
        assert!(!own.contains("NaN") && !expected.contains("NaN"));
    }
}
