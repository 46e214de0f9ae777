//! The question put to this room, and the walk that answers it.

use std::ops::ControlFlow;

use costume::{Costume, Piece, Shelf};
use lore::Lore;
use units::Day;

use crate::crew::Crew;
use crate::document::{
    CostumeHead, FixedSeen, Outcome, PeopleNear, PiecePlan, Plan, ReferenceSeen, SetSeen,
    TogetherSeen,
};
use crate::piece::{Decided, Opened};
use crate::taught::Taught;
use crate::{
    attention, on_record, piece, rests, scours, seen, sets, sharing, stock_left, thrift, together,
};

/// A whole costume to be planned.
#[derive(Debug, Clone, Copy)]
pub struct Request<'a> {
    /// What the trade knows.
    pub lore: &'a Lore,
    /// The order.
    pub costume: &'a Costume,
    /// What is at hand.
    pub shelf: &'a Shelf,
    /// What swatches taught of that shelf; none: the dyes are as the shelf has them.
    pub taught: Option<&'a Taught>,
    /// The day it is planned on.
    pub today: Day,
    /// Threads of the search: 1, or 0 for all cores. The plan does not depend on it.
    pub threads: usize,
}

/// What is being done just now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress<'a> {
    /// Pieces finished.
    pub done: usize,
    /// Pieces in all.
    pub of: usize,
    /// The piece in hand.
    pub piece: &'a str,
    /// What is done with it.
    pub doing: &'static str,
}

/// The plan was stopped by whoever listened to its progress; nothing is lost, nothing was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("stopped as asked: nothing was written")]
pub struct Stopped;

/// Everything decided that hangs together, before anything is written down.
pub(crate) struct Whole<'a> {
    pub(crate) decided: Vec<Decided<'a>>,
    pub(crate) together: Option<TogetherSeen>,
    pub(crate) sets: Vec<SetSeen>,
}

/// Decides the recipes of all pieces: each for itself, then those that hang on each other. Whoever is asked for a recipe
/// of a costume takes it from here, so that all say the same.
pub(crate) fn decide<'a>(
    crew: &'a Crew<'a>,
    opened: &'a [Opened<'a>],
    told: &mut dyn FnMut(usize, &str, &'static str) -> Result<(), Stopped>,
) -> Result<Whole<'a>, Stopped> {
    let (request, of) = (&crew.each, opened.len());
    let mut decided = crew.work(
        opened,
        |one| piece::decide(request, one, None),
        |done| told(done, &opened[done].piece.name, "searching recipes"),
    )?;
    told(of, "the costume", "bringing the colours to cloth together")?;
    let together = together::bring(request, opened, &mut decided);
    sharing::share(request, &mut decided);
    let sets =
        sets::match_all(request, crew, &mut decided, &mut |set| told(of, set, "matching the set"))?;
    Ok(Whole { decided, together, sets })
}

/// Plans a costume; tells what it is doing, and stops where the listener says [`ControlFlow::Break`].
pub fn plan(
    request: &Request,
    tell: &mut dyn FnMut(Progress<'_>) -> ControlFlow<()>,
) -> Result<Plan, Stopped> {
    let costume = request.costume;
    // Learnt once, made ready once for every fibre and job of the costume.
    let ready = request.taught.map(|taught| taught.ready_for(request.lore, costume));
    let request = &Request { taught: ready.as_ref(), ..*request };
    let of = costume.pieces.len();
    let mut told = |done: usize, piece: &str, doing: &'static str| {
        if tell(Progress { done, of, piece, doing }).is_break() { Err(Stopped) } else { Ok(()) }
    };
    let crew = Crew::of(request, of);
    let request = &crew.each;
    let opened: Vec<Opened> = costume.pieces.iter().map(|one| piece::open(request, one)).collect();
    let Whole { decided, together, sets } = decide(&crew, &opened, &mut told)?;
    let mut pieces: Vec<PiecePlan> = decided.iter().map(|one| one.written(request)).collect();
    sharing::tell(&decided, &mut pieces);
    on_record::tell(request, &mut pieces);
    for set in &request.costume.matches {
        for piece in pieces.iter_mut().filter(|p| set.members.contains(&p.id)) {
            piece.special.set = Some(set.name.clone());
        }
    }
    let scours = scours::scours(request, &decided);
    scours::tell(&scours, &mut pieces);
    told(of, "the costume", "putting the work on days")?;
    let (pieces, mut shopping, days) = stock_left::on_days(request, pieces, &scours);
    shopping.cheapest = thrift::thrift(request, &decided);
    let (attention, next) = attention::of(request, &pieces, &sets, days.as_ref());
    Ok(Plan {
        dyewright: "plan",
        version: 2,
        costume: CostumeHead {
            name: costume.name.clone(),
            note: costume.note.clone(),
            day: costume.day.map(|d| d.to_string()),
            today: request.today.to_string(),
            currency: costume.currency.clone(),
            starter_shelf: request.shelf.starter,
            reference: costume.reference.as_ref().map(|it| ReferenceSeen {
                picture: it.picture.clone(),
                because: it.because.clone(),
                over: it.over.clone(),
            }),
        },
        people: PeopleNear {
            asthma: costume.people.asthma,
            pregnancy: costume.people.pregnancy,
            children: costume.people.children,
            pets: costume.people.pets,
        },
        workbook: request.taught.map(rests::workbook),
        attention,
        next,
        pieces,
        fixed: fixed(costume),
        sets,
        scours,
        together,
        days,
        shopping,
    })
}

impl Request<'_> {
    /// The pieces that have a bath, with the order that asked for them.
    pub(crate) fn with_bath<'p>(
        &self,
        pieces: &'p [PiecePlan],
    ) -> impl Iterator<Item = (&Piece, &'p PiecePlan)> {
        self.costume.pieces.iter().zip(pieces).filter(|(_, p)| p.outcome == Outcome::Bath)
    }
}

/// The pieces that are read and never dyed.
fn fixed(costume: &Costume) -> Vec<FixedSeen> {
    let seen = |one: &costume::Fixed| {
        let colour = seen::resolve(&one.colour, &[]).ok()?.seen;
        let (id, name, note) = (one.id.clone(), one.name.clone(), one.note.clone());
        Some(FixedSeen { id, name, colour, note })
    };
    costume.fixed.iter().filter_map(seen).collect()
}
