//! Pieces of a set that have swatches of their own: what a set asks of them is held against those.
//!
//! A piece of a set is wanted where the set brings it, which may be beside its own colour. A swatch that is good enough
//! there stays as it is, and the others come to it: so a recipe that was found good is not moved again for the sake of a
//! difference nobody sees.

use costume::Piece;
use recipe::{Aimed, Choice, Fixed, Matched, Say, Target};

use super::{Posed, solved};
use crate::Request;
use crate::goes_by::{GoesBy, Kept, judged, kept, own};
use crate::piece::{Decided, Found};
use crate::way::Way;

/// What a set comes to.
pub(super) struct Answered {
    pub(super) matched: Option<Matched>,
    /// Places of the pieces that were matched.
    pub(super) dyed: Vec<usize>,
    /// What stayed as it is: place among the members, and its look.
    pub(super) stays: Vec<(usize, Fixed)>,
    /// Pieces that stay as their swatch is, with their place.
    pub(super) kept: Vec<(usize, Kept)>,
}

/// Solves a set; whoever has a good swatch where the set would bring it stays, and the rest is solved anew around it.
pub(super) fn answered(request: &Request, decided: &[Decided], posed: &Posed) -> Answered {
    let (mut dyed, mut stays) = (posed.dyed.clone(), posed.stays.clone());
    let mut all = vec![];
    loop {
        let matched = solved(request, decided, posed, (&dyed, &stays));
        let moved = matched.iter().flat_map(|answer| &answer.pieces).zip(&dyed);
        let mut good = moved.filter_map(|(choice, &at)| {
            let found = decided[at].found()?;
            Some((at, stays_there(request, &decided[at], found, posed, choice)?))
        });
        let Some((at, kept)) = good.next() else {
            return Answered { matched, dyed, stays, kept: all };
        };
        dyed.retain(|other| *other != at);
        let id = &decided[at].piece.id;
        if let Some(member) = posed.standing.iter().position(|s| s.id == *id) {
            stays.push((member, Fixed { bands: kept.choice.prediction.bands }));
        }
        all.push((at, kept));
    }
}

/// The recipe of a piece's own swatch, where that is good enough for the colour that a set brings it to.
fn stays_there(
    request: &Request,
    one: &Decided,
    found: &Found,
    posed: &Posed,
    choice: &Choice,
) -> Option<Kept> {
    let (piece, way, taught) = (one.piece, &found.way, request.taught?);
    if choice.doses == way.choice().doses {
        return None;
    }
    let target = there(way, choice);
    let own = own(taught, &request.costume.name, piece, way, &target);
    let next = way.asked.in_stock(&choice.doses);
    let passes = posed.viewing.limit().min(piece.viewing.limit());
    let (lesson, said) = judged(taught, way, &own, (&target, passes), &next).ok()?;
    let good = said.say == Say::Stop;
    good.then(|| kept(request, piece, &one.with, way, (taught, lesson, said, target)).ok())
        .flatten()
}

/// The piece of a way that a set moved goes by its swatch toward the set's recipe.
pub(super) fn toward(request: &Request, piece: &Piece, way: &mut Way, choice: &Choice) {
    way.goes_by = None;
    let Some(taught) = request.taught else { return };
    let target = there(way, choice);
    let own = own(taught, &request.costume.name, piece, way, &target);
    let next = way.asked.in_stock(&choice.doses);
    let passes = piece.viewing.limit();
    if let Ok((lesson, said)) = judged(taught, way, &own, (&target, passes), &next) {
        let aimed = Aimed { target, ..way.asked.aimed(taught, lesson) };
        way.goes_by = GoesBy::toward(&aimed, lesson, said, target).ok();
    }
}

/// The colour that a set brings a piece to.
fn there(way: &Way, choice: &Choice) -> Target {
    Target { bands: choice.prediction.bands, assumed: way.asked.target.assumed }
}
