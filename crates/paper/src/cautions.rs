//! The cautions: each in full once on a page at the front, numbered; on the sheets by number and short name,
//! and in full again where a sheet is the first to need one.
//!
//! On a screen the plan's sheets have them all in full: nobody turns pages beside a pot. Where the pots are shown one by one
//! what was read at an earlier one stands by its name, and opens.

use std::collections::BTreeMap;

use maud::{Markup, html};
use plan::document::{Caution, Plan, Sheet};

/// The cautions of a plan, in the order in which the sheets first need them.
pub(crate) struct Cautions<'a> {
    all: Vec<Told<'a>>,
    at: BTreeMap<(&'a str, &'a str), usize>,
    /// Whether every sheet has them in full, since each is taken to a pot by itself.
    each_in_full: bool,
}

/// One caution, and the sheet that needs it first.
struct Told<'a> {
    name: &'a str,
    text: &'a str,
    first: *const Sheet,
    pieces: Vec<&'a str>,
}

impl<'a> Cautions<'a> {
    /// Collects them. The same id with another text is another caution.
    pub(crate) fn of(plan: &'a Plan) -> Self {
        let mut this = Self { all: vec![], at: BTreeMap::new(), each_in_full: false };
        for piece in &plan.pieces {
            for sheet in &piece.sheets {
                for caution in &sheet.cautions {
                    let key = (caution.id.as_str(), caution.text.as_str());
                    let at = *this.at.entry(key).or_insert_with(|| {
                        this.all.push(Told {
                            name: &caution.name,
                            text: key.1,
                            first: sheet,
                            pieces: vec![],
                        });
                        this.all.len() - 1
                    });
                    if !this.all[at].pieces.contains(&piece.name.as_str()) {
                        this.all[at].pieces.push(&piece.name);
                    }
                }
            }
        }
        this
    }

    /// None collected: every sheet has its own in full, without numbers that would lead to a page which is not there.
    pub(crate) const fn each_in_full() -> Self {
        Self { all: vec![], at: BTreeMap::new(), each_in_full: true }
    }

    /// The page at the front; nothing when there is no bath.
    pub(crate) fn page(&self) -> Markup {
        html! {
            @if !self.all.is_empty() {
                section.all-cautions aria-labelledby="cautions" {
                    h2 id="cautions" tabindex="-1" { "Cautions" }
                    p { "Read them all before the first powder is opened. The bath sheets name them by these numbers." }
                    ol { @for told in &self.all {
                        li { b { (told.name) ". " } (told.text) " " span.quiet { "For: " (told.pieces.join(", ")) "." } }
                    } }
                }
            }
        }
    }

    /// Those of one sheet: in print the full text only where it is the first sheet to need it.
    pub(crate) fn on(&self, sheet: &Sheet) -> Markup {
        // By number: what was said before comes first, in print as one run of short names.
        let mut cautions: Vec<(Option<usize>, &Caution)> = sheet
            .cautions
            .iter()
            .map(|c| (self.at.get(&(c.id.as_str(), c.text.as_str())).copied(), c))
            .collect();
        cautions.sort_by_key(|(at, _)| *at);
        html! {
            @if !cautions.is_empty() {
                div.cautions {
                    h4 { "Cautions first" }
                    ul { @for (at, caution) in cautions {
                        @let first = at.is_some_and(|at| std::ptr::eq(self.all[at].first, sheet));
                        @let new = self.each_in_full || first;
                        li.again[!new] {
                            b { @if let Some(at) = at { (at + 1) " " } (caution.name) }
                            span.full { ": " (caution.text) }
                        }
                    } }
                }
            }
        }
    }
}

/// Those of a sheet shown by itself: what is new in this pot in full, what was read at an earlier one by name, to be
/// opened.
pub(crate) fn after(sheet: &Sheet, known: &dyn Fn(&Caution) -> bool) -> Markup {
    let (before, new): (Vec<&Caution>, Vec<&Caution>) =
        sheet.cautions.iter().partition(|caution| known(caution));
    let names: Vec<&str> = before.iter().map(|caution| caution.name.as_str()).collect();
    html! {
        @if !sheet.cautions.is_empty() {
            div.cautions {
                h4 { "Cautions first" }
                @if !new.is_empty() {
                    @if !before.is_empty() { p { b { "New in this pot:" } } }
                    ul { @for caution in &new { li { b { (caution.name) } span.full { ": " (caution.text) } } } }
                } @else { p { "Nothing is new in this pot." } }
                @if !before.is_empty() {
                    details {
                        summary { "Read at an earlier pot, and hold here too: " (names.join("; ")) }
                        ul { @for caution in &before { li { b { (caution.name) } span.full { ": " (caution.text) } } } }
                    }
                }
            }
        }
    }
}
