//! The record of a piece as a page: all that is kept of how it was made, so that it can be made again.
//!
//! Its words and figures come from whoever keeps the record ([`Record`]); here they are only laid out. What is not
//! known stands on the page as such, in a box of its own: an empty place would be taken for nothing to know.

use maud::{Markup, html};

use crate::chip::{Chip, Standing, row};
use crate::page;
use crate::table::{say, say_or, table};

/// The record's own style.
const STYLE: &str = ".record .cautions h3 { border: 0; padding: 0; margin: .5em 0 .2em; font-size: 1.05rem; }
@media print { .record .cautions { display: block; } .record .cautions h3 { font-size: 9.5pt; margin: 0; }
  .record .dosed th:first-child { width: 32%; } .record .dosed td { width: 17%; } .record h3 + p, .record .dosed caption { break-after: avoid; } }
";

/// Everything kept of a piece, as words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Record {
    /// Its costume.
    pub costume: String,
    /// Its name.
    pub piece: String,
    /// What stands over its name: whose record, of which day.
    pub over: String,
    /// The colours to look at side by side: what was wanted, and how it was read.
    pub chips: Vec<RecordChip>,
    /// What and how much: a head and its words.
    pub facts: Vec<(String, String)>,
    /// How to make it again, in sentences.
    pub again: Vec<String>,
    /// The dyeings, swatches and baths, in the order they were recorded.
    pub dyeings: Vec<RecordDyeing>,
    /// Readings of the piece as it is.
    pub readings: Vec<String>,
    /// What was thought of it.
    pub verdicts: Vec<String>,
    /// What was taken for granted.
    pub assumed: Vec<String>,
    /// What is not known.
    pub missing: Vec<String>,
}

/// A colour of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordChip {
    /// What it is of.
    pub head: &'static str,
    /// For a screen, "#" and six hexadecimal digits.
    pub hex: String,
    /// In words.
    pub words: String,
}

/// A swatch or a bath.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct RecordDyeing {
    /// What it is: "Swatch W-4", "Bath of 2027-02-06".
    pub head: String,
    /// Cloth, weight, ratio, way of dyeing; who recorded it and when.
    pub about: Vec<String>,
    /// What was dosed, row by row.
    pub doses: Vec<RecordDose>,
    /// How it was read, in sentences.
    pub readings: Vec<String>,
    /// Anything else.
    pub note: Option<String>,
}

/// A dose as really dosed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordDose {
    /// Of what.
    pub of: String,
    /// Its lot, where it was noted.
    pub lot: Option<String>,
    /// As it was dosed.
    pub amount: String,
    /// On weight of fibre, where that is known.
    pub depth: Option<String>,
    /// By what, and how far it may be off.
    pub measured: Option<String>,
}

/// The page.
pub(crate) fn record(of: &Record) -> Markup {
    let title = format!("{}: record of a piece", of.piece);
    let body = html! {
        header {
            p.over { (of.over) }
            h1 { (of.piece) }
            p.note { "Of the costume “" (of.costume) "”" }
        }
        main.record {
            section {
                h2 { "What it is" }
                div.beside {
                    @if !of.chips.is_empty() { (chips(&of.chips)) }
                    dl.facts { @for (head, words) in &of.facts { div { dt { (head) } dd { (words) } } } }
                }
                (list("What was thought of it", &of.verdicts))
                (list("As it was read", &of.readings))
            }
            section {
                h2 { "To make it again" }
                @if of.again.is_empty() { p { "Nothing recorded tells how." } }
                ol { @for line in &of.again { li { (line) } } }
                @if !of.missing.is_empty() {
                    div.cautions { h3 { "Not known" } ul { @for line in &of.missing { li { (line) } } } }
                }
                @if !of.assumed.is_empty() {
                    div.cautions { h3 { "Assumed" } ul { @for line in &of.assumed { li { (line) } } } }
                }
            }
            section {
                h2 { "As it was dyed" }
                @if of.dyeings.is_empty() { p { "No swatch and no bath of it is recorded." } }
                @for one in &of.dyeings { (dyeing(one)) }
            }
        }
        footer { p { "Colours are CIELAB for daylight D65 and the 10° observer unless it says otherwise; a screen or a printer \
            shows them only nearly. Another lot of a dye is another dye until its swatch says that it is not." } }
    };
    page::whole_in(&title, STYLE, &body)
}

fn chips(all: &[RecordChip]) -> Markup {
    let chips: Vec<Chip> =
        all.iter().map(|c| Chip::of(c.head, &c.hex, c.words.clone(), Standing::Given)).collect();
    row(&chips)
}

fn list(head: &str, lines: &[String]) -> Markup {
    html! { @if !lines.is_empty() { h3 { (head) } ul { @for line in lines { li { (line) } } } } }
}

/// A swatch or a bath: what it was, what was dosed, how it was read.
pub(crate) fn dyeing(of: &RecordDyeing) -> Markup {
    let rows: Vec<Vec<Markup>> = of
        .doses
        .iter()
        .map(|dose| {
            vec![
                say(&dose.of),
                html! { b { (dose.amount) } },
                say_or(dose.depth.clone(), "not of fibre"),
                say_or(dose.lot.clone(), "not noted"),
                say_or(dose.measured.clone(), "not noted"),
            ]
        })
        .collect();
    html! {
        h3 { (of.head) }
        p { (of.about.join("; ")) "." }
        @if rows.is_empty() { p.absent { "No dose is recorded." } } @else {
            (table("dosed", "As really dosed", &["What", "Dosed", "Depth", "Lot", "Measured with"], &rows))
        }
        @if of.readings.is_empty() { p.absent { "Not read." } }
        ul { @for line in &of.readings { li { (line) } } }
        @if let Some(note) = &of.note { p { "Note: " (note) } }
    }
}
