//! Room `paper`: a plan as one self-contained HTML page that prints, as one sheet for somebody else, as
//! tables for a spreadsheet, as a calendar; and the colour card to print at home.
//!
//! It decides nothing: every number and every word about a piece comes from the document
//! ([`plan::document::Plan`]) and is printed with the digits it has there. What is said here for every
//! plan alike is the headings, the key and the closing paragraphs. Nothing outside the page is asked for:
//! styles and drawings are in it, there is no script.
//!
//! The look, from the work itself: a neutral page, chips on a mid grey mount, edge to edge where they are
//! compared, words instead of signs. What is reckoned has a dashed foot, what the maker gave or read a
//! plain one, and a word says which.

mod alarms;
mod apart;
mod blend;
mod calendar;
mod cards;
mod care;
mod cautions;
mod chip;
mod closing;
mod colour_card;
mod colours;
mod content_line;
mod csv;
mod curve;
mod curve_now;
mod days;
mod embedded;
mod expected;
mod finished;
mod front;
mod ladder;
mod number;
mod one_sheet;
mod page;
mod parts;
mod piece;
mod recipes;
mod record;
mod scours;
mod sets;
mod sheet;
mod shopping;
mod special;
mod steps;
mod table;
mod timeline;
mod together;

pub use alarms::Alarm;
pub use calendar::{NotAStamp, Stamp};
pub use colour_card::{CardSheet, ColourCard, NotACard};
pub use colours::{ColourBeside, OtherBeside, PictureBeside};
pub use finished::{Finished, FinishedPiece};
pub use ladder::{LadderDrawn, RungDrawn, ladder};
pub use parts::{
    ChipOf, Part, Standing, bath_here, bath_part, chip_style, chips, chips_of, day_part, look,
    part, piece_headings, piece_part, small_chips, small_chips_of,
};
pub use record::{Record, RecordChip, RecordDose, RecordDyeing};

use plan::document::Plan;

/// The plan as one HTML page.
///
/// Self-contained, en-GB, for a phone beside the pot and for A4 and Letter paper.
#[must_use]
pub fn html(plan: &Plan) -> String {
    page::page(plan).into_string()
}

/// Cards to cut out for the swatches still to be dyed, labels for the bottles of stock solution, and the swatches as
/// text to be noted.
///
/// A self-contained HTML page: four cards or eighteen labels to a side of A4 or Letter.
#[must_use]
pub fn cards_and_labels(plan: &Plan) -> String {
    cards::cards(plan).into_string()
}

/// A swatch of the plan as text of a file of swatches, as it was really done.
///
/// `sheet` is its bath with the amounts really dosed; `lines` are what only the maker knows, as TOML: the day, how the
/// cloth was undyed, the readings. `None` when the bath has no card.
#[must_use]
pub fn swatch_done(
    plan: &Plan,
    piece: &plan::document::PiecePlan,
    sheet: &plan::document::Sheet,
    lines: &[String],
) -> Option<String> {
    cards::done(plan, piece, sheet, lines)
}

/// Pieces of the plan dyed whole as text of a file of swatches, as it was really done.
///
/// `sheet` is their bath with the amounts really dosed; `pieces` are the ids of what was in it, each with the grams that
/// took the dye; `lines` are what only the maker knows, as TOML: the day, the minutes, the heat, the readings. `None`
/// when nobody knows the cloth.
#[must_use]
pub fn bath_done(
    plan: &Plan,
    piece: &plan::document::PiecePlan,
    sheet: &plan::document::Sheet,
    pieces: &[(&str, f64)],
    lines: &[String],
) -> Option<String> {
    cards::dyed(plan, piece, sheet, pieces, lines)
}

/// One piece as a sheet for somebody without the program: what to have, what to do, how to scale it.
///
/// A self-contained HTML page of one or two sides. `None` when there is no piece of that id or no bath
/// for it.
#[must_use]
pub fn recipe_sheet(plan: &Plan, piece: &str) -> Option<String> {
    one_sheet::one_sheet(plan, piece).map(maud::PreEscaped::into_string)
}

/// The record of a piece as a page to keep: a self-contained HTML page.
#[must_use]
pub fn record_page(of: &Record) -> String {
    record::record(of).into_string()
}

/// The bath sheets of one piece, or of all, as a page to print; `None` where there is none.
#[must_use]
pub fn bath_sheets(plan: &Plan, piece: Option<&str>) -> Option<String> {
    apart::bath_sheets(plan, piece).map(maud::PreEscaped::into_string)
}

/// The shopping list as a page to print.
#[must_use]
pub fn shopping_page(plan: &Plan) -> String {
    apart::shopping_list(plan).into_string()
}

/// A finished costume as pages to keep: self-contained HTML.
#[must_use]
pub fn finished_page(of: &Finished) -> String {
    finished::finished(of).into_string()
}

/// A picture with its colours beside it: a self-contained HTML page.
#[must_use]
pub fn colours_page(of: &PictureBeside) -> String {
    colours::colours(of).into_string()
}

/// The shopping list as comma-separated values (RFC 4180, UTF-8), a head row first.
///
/// Prices are in the costume's currency, amounts in grams; a number not known is an empty field. A field
/// that a spreadsheet would take for a formula gets an apostrophe before it.
#[must_use]
pub fn shopping_csv(plan: &Plan) -> String {
    csv::shopping(plan)
}

/// The day plan as comma-separated values, likewise; the head row alone when there is no day plan.
#[must_use]
pub fn days_csv(plan: &Plan) -> String {
    csv::days(plan)
}

/// The day plan as an iCalendar file (RFC 5545): work that needs hands, and the last days to order.
///
/// Times are local and float; `stamp` is the moment of writing, from the door. The same costume's events
/// keep their names (UID) when the plan is made anew.
#[must_use]
pub fn calendar(plan: &Plan, stamp: &Stamp) -> String {
    calendar::calendar(plan, stamp)
}

/// The instants of a running bath as an iCalendar file with an alarm at each; `written` is the moment of writing.
#[must_use]
pub fn alarms(alarms: &[Alarm], written: &Stamp) -> String {
    alarms::calendar(alarms, written)
}
