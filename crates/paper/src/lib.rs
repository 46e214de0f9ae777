//! Room `paper`: a plan as one self-contained HTML page that prints.
//!
//! It decides nothing: every number and every word about a piece comes from the document
//! ([`plan::document::Plan`]) and is printed with the digits it has there. What is said here for every
//! plan alike is the headings, the key and the closing paragraphs. Nothing outside the page is asked for:
//! styles and drawings are in it, there is no script.
//!
//! The look, from the work itself: a neutral page, chips on a mid grey mount, edge to edge where they are
//! compared, words instead of signs. What is reckoned has a dashed foot, what the maker gave or read a
//! plain one, and a word says which.

mod chip;
mod closing;
mod curve;
mod expected;
mod front;
mod number;
mod page;
mod piece;
mod recipes;
mod sheet;
mod shopping;
mod steps;
mod table;

/// The plan as one HTML page.
///
/// Self-contained, en-GB, for a phone beside the pot and for A4.
#[must_use]
pub fn html(plan: &plan::document::Plan) -> String {
    page::page(plan).into_string()
}
