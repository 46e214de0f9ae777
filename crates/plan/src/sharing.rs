//! Pieces of one cloth and one colour lie in one bath: they match because nothing between them differs.
//!
//! Only like cloth shares (the bath room says what is like), only for one target, and only where a
//! vessel takes all of it; a piece is never split. Unlike cloth never shares a bath for a match.

use costume::Piece;

use crate::Request;
use crate::document::{Outcome, PiecePlan};
use crate::making::made;
use crate::piece::{CameTo, Decided};
use crate::seen::sentence;

/// Puts pieces into the bath of an earlier one wherever they may.
pub(crate) fn share(request: &Request, decided: &mut [Decided]) {
    for at in 1..decided.len() {
        let leader = (0..at).find(|&lead| joins(request, decided, lead, at));
        if let Some(lead) = leader {
            decided[at].follows = Some(lead);
            let piece = decided[at].piece;
            decided[lead].with.push(piece);
        }
    }
}

/// Whether a piece goes into an earlier one's bath; if it does, that bath's sheets are made for both.
fn joins(request: &Request, decided: &mut [Decided], lead: usize, at: usize) -> bool {
    let (one, other) = (&decided[lead], &decided[at]);
    let (Some(found), Some(own)) = (one.found(), other.found()) else { return false };
    let same_way =
        found.way.offer.procedure == own.way.offer.procedure && found.way.class == own.way.class;
    if one.follows.is_some() || !same_way || !alike(request, one.piece, other.piece) {
        return false;
    }
    let mut with = one.with.clone();
    with.push(other.piece);
    let (piece, way) = (one.piece, &found.way);
    let Ok(made) = made(request, piece, &with, &way.offer, &way.asked, &way.choice().doses) else {
        return false;
    };
    if let CameTo::Way(found) = &mut decided[lead].came_to {
        found.way.made = made;
    }
    true
}

/// One cloth in the same words, one colour, the same company, neither of them asking for anything apart.
fn alike(request: &Request, a: &Piece, b: &Piece) -> bool {
    let set =
        |piece: &Piece| request.costume.matches.iter().position(|m| m.members.contains(&piece.id));
    let plain = |piece: &Piece| {
        piece.over.is_none() && piece.dyed_by.is_empty() && piece.goods.lining.is_none()
    };
    a.goods.makeup == b.goods.makeup
        && a.ground == b.ground
        && a.brightened == b.brightened
        && a.target == b.target
        && a.procedure == b.procedure
        && a.ratio == b.ratio
        && a.swatch == b.swatch
        && a.viewing.limit() == b.viewing.limit()
        && set(a) == set(b)
        && plain(a)
        && plain(b)
}

/// Says on each piece in whose bath it lies.
pub(crate) fn tell(decided: &[Decided], pieces: &mut [PiecePlan]) {
    for (at, one) in decided.iter().enumerate() {
        let Some(lead) = one.follows else { continue };
        let (name, id) = (decided[lead].piece.name.clone(), decided[lead].piece.id.clone());
        let leader = pieces[lead].clone();
        let piece = &mut pieces[at];
        piece.outcome = Outcome::SharesBath;
        piece.special.shares_with = Some(id);
        piece.why = sentence(&format!(
            "the same cloth and the same colour as {name}: it lies in that bath, goes in and comes out \
             with it, and its sheets stand there"
        ));
        piece.sheets = vec![];
        piece.recipes = leader.recipes;
        piece.expected = leader.expected;
        piece.search = leader.search;
        piece.special.rests_on = leader.special.rests_on;
    }
}
