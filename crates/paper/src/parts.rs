//! Parts of a plan for a door that shows them one by one: the same words and digits as on the printed page.

use maud::Markup;
use plan::document::{Caution, ColourSeen, Plan, Sheet};

use crate::cautions::Cautions;
use crate::chip::{Chip, row};
pub use crate::chip::{Standing, style as chip_style};
use crate::{closing, days, piece, scours, sets, sheet, shopping, together};

/// A part of the printed page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// The pieces that must match.
    Sets,
    /// The colours brought to cloth together.
    Together,
    /// What is scoured first.
    Scours,
    /// The days.
    Days,
    /// The shopping list.
    Shopping,
    /// Every caution in full.
    Cautions,
    /// How sure the numbers are.
    Sure,
}

/// One part, as on the printed page; empty where the plan has none.
#[must_use]
pub fn part(plan: &Plan, part: Part) -> Markup {
    match part {
        Part::Sets => sets::sets(plan),
        Part::Together => together::together(plan),
        Part::Scours => scours::scours(plan),
        Part::Days => days::days(plan),
        Part::Shopping => shopping::shopping(plan),
        Part::Cautions => Cautions::of(plan).page(),
        Part::Sure => closing::sure(plan),
    }
}

/// The days with one of them told, counted from 0, and ways to the others; `way` makes the address of each.
#[must_use]
pub fn day_part(plan: &Plan, only: usize, way: &dyn Fn(usize) -> String) -> Markup {
    days::day(plan, only, way)
}

/// Everything about one piece but its baths, in the order of the work; nothing where there is no such piece.
#[must_use]
pub fn piece_part(plan: &Plan, id: &str) -> Option<Markup> {
    let at = plan.pieces.iter().position(|piece| piece.id == id)?;
    let mut one = plan.pieces[at].clone();
    one.sheets.clear();
    one.wrong.clear();
    Some(piece::piece(at, &one, plan, &Cautions::of(plan)))
}

/// The headings of [`piece_part`] that a page can lead to: the id of each and its words, in the order of the work.
#[must_use]
pub fn piece_headings(plan: &Plan, id: &str) -> Vec<(String, &'static str)> {
    let Some(at) = plan.pieces.iter().position(|piece| piece.id == id) else { return vec![] };
    let piece = &plan.pieces[at];
    let there = [
        ("goods", "The cloth", true),
        ("colour", "The colour", true),
        ("tests", "Tests first", !piece.tests.is_empty()),
        ("reach", "Can it be reached?", piece.reach.is_some()),
        ("class", "Dye class", piece.class.is_some() || !piece.others.is_empty()),
        ("recipes", "The recipes", !piece.recipes.is_empty()),
        ("expect", "What to expect", piece.expected.is_some()),
    ];
    let there = there.into_iter().filter(|(.., there)| *there);
    there.map(|(own, words, _)| (format!("piece-{}-{own}", at + 1), words)).collect()
}

/// The bath of a piece that stands at this place among its baths, from 0; without its steps, which whoever shows it
/// makes to be ticked. Cautions that `known` says were read at an earlier pot stand by their names, to be opened.
#[must_use]
pub fn bath_part(
    plan: &Plan,
    id: &str,
    at: usize,
    known: &dyn Fn(&Caution) -> bool,
) -> Option<Markup> {
    let piece = plan.pieces.iter().find(|piece| piece.id == id)?;
    let bath = piece.sheets.get(at)?;
    let currency = plan.costume.currency.as_str();
    let all = Cautions::of(plan);
    Some(sheet::sheet("bath", piece, bath, currency, &all, sheet::Steps::Elsewhere(known)))
}

/// The temperature of a bath against time, with a mark at this minute of its own time, and the same in words.
#[must_use]
pub fn bath_here(sheet: &Sheet, at_min: f64) -> Markup {
    crate::curve_now::here(sheet, at_min)
}

/// A colour under its head.
#[derive(Debug, Clone, Copy)]
pub struct ChipOf<'a> {
    /// What it is.
    pub head: &'static str,
    /// The colour.
    pub colour: &'a ColourSeen,
    /// What it rests on.
    pub standing: Standing,
}

/// Chips edge to edge on the mount, with their words beneath.
#[must_use]
pub fn chips(of: &[ChipOf<'_>]) -> Markup {
    let chips: Vec<Chip> =
        of.iter().map(|one| Chip::seen(one.head, one.colour, one.standing)).collect();
    row(&chips)
}

/// Small chips edge to edge without words beneath, where the words stand beside them.
#[must_use]
pub fn small_chips(of: &[ChipOf<'_>]) -> Markup {
    let chips: Vec<Chip> =
        of.iter().map(|one| Chip::seen(one.head, one.colour, one.standing)).collect();
    crate::chip::pair(&chips)
}

/// The same, the expected cloth drawn as its surface below: pile, satin or sheer.
#[must_use]
pub fn small_chips_of(of: &[ChipOf<'_>], surface: Option<&str>) -> Markup {
    crate::chip::pair(&drawn(of, surface))
}

/// Chips edge to edge with their words, the cloth drawn as its surface below.
#[must_use]
pub fn chips_of(of: &[ChipOf<'_>], surface: Option<&str>) -> Markup {
    row(&drawn(of, surface))
}

fn drawn(of: &[ChipOf<'_>], surface: Option<&str>) -> Vec<Chip> {
    let each = of.iter().map(|one| {
        let chip = Chip::seen(one.head, one.colour, one.standing);
        // What is to come is cloth; what was asked for may be paint or light.
        chip.drawn_as(surface.filter(|_| one.head == "Expected"))
    });
    each.collect()
}

/// The style sheet of every page of ours.
#[must_use]
pub fn look() -> &'static str {
    crate::page::STYLE
}
