//! Pieces of a set that have swatches of their own: what a set asks of them is held against those.
//!
//! A piece of a set is wanted where the set brings it, which may be beside its own colour. A swatch that is good enough
//! there stays as it is, and the others come to it: so a recipe that was found good is not moved again for the sake of a
//! difference nobody sees.

use colour::Viewing;
use costume::Piece;
use recipe::{Aimed, Candidate, Choice, Fixed, Matched, Question, Say, Target};
use units::OnFibre;

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

/// The question of one piece, as its set puts it: a piece that has swatches of its own is moved with the dyes that those
/// told of. A set looks for the nearest colours and counts no doubt; it would leave what was learnt for a new dye that
/// brings less difference on paper and much more in the pot.
pub(super) struct Posing<'a> {
    way: &'a Way<'a>,
    /// Candidates of the way that may be used; all of them where nothing was swatched.
    places: Vec<usize>,
    dyes: Vec<Candidate<'a>>,
}

impl<'a> Posing<'a> {
    pub(super) fn of(way: &'a Way<'a>) -> Self {
        let asked = &way.asked;
        let places = match way.goes_by {
            Some(_) => asked.known(&way.choice().doses),
            None => (0..asked.dyes.len()).collect(),
        };
        let dyes = asked.candidates(&places);
        Self { way, places, dyes }
    }

    pub(super) fn question(&self) -> Question<'_> {
        Question { dyes: &self.dyes, ..self.way.asked.question() }
    }

    /// The recipe the piece has alone, by the places of this question.
    pub(super) fn alone(&self, question: &Question) -> Option<Choice> {
        let choice = self.way.choice();
        if self.places.len() == self.way.asked.dyes.len() {
            return Some(choice.clone());
        }
        let place = |&(at, dose): &(usize, OnFibre)| {
            Some((self.places.iter().position(|place| *place == at)?, dose))
        };
        let doses = choice.doses.iter().map(place).collect::<Option<_>>()?;
        Choice::try_of(question, doses).ok()
    }

    /// A recipe of this question, by the places of the piece's own.
    pub(super) fn back(&self, choice: &mut Choice) {
        for dose in &mut choice.doses {
            dose.0 = self.places[dose.0];
        }
    }
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
    good.then(|| {
        kept(request, piece, &one.with, way, (taught, lesson, said), (target, passes)).ok()
    })
    .flatten()
}

/// The piece of a way that a set moved goes by its swatch toward the set's recipe.
pub(super) fn toward(
    request: &Request,
    piece: &Piece,
    way: &mut Way,
    (choice, viewing): (&Choice, Viewing),
) {
    way.goes_by = None;
    let Some(taught) = request.taught else { return };
    let target = there(way, choice);
    let own = own(taught, &request.costume.name, piece, way, &target);
    let next = way.asked.in_stock(&choice.doses);
    let passes = viewing.limit().min(piece.viewing.limit());
    if let Ok((lesson, said)) = judged(taught, way, &own, (&target, passes), &next) {
        let aimed = Aimed { target, tolerance: passes, ..way.asked.aimed(taught, lesson) };
        way.goes_by = GoesBy::toward(&aimed, lesson, said, target).ok();
    }
}

/// The colour that a set brings a piece to.
fn there(way: &Way, choice: &Choice) -> Target {
    Target { bands: choice.prediction.bands, assumed: way.asked.target.assumed }
}
