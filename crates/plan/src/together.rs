//! The colours of a costume brought to cloth together: asked where some are out of reach, told both
//! ways, and followed where the maker wants it so.

use colour::Lab;
use costume::{AsGiven, Given};
use recipe::{Brought, Compared, Together, Wish, together};

use crate::Request;
use crate::document::{RelationSeen, TogetherPiece, TogetherSeen};
use crate::piece::{Decided, Found, Opened, decide};
use crate::seen::{of_lab, resolve, sentence};

/// Asks where some piece is out of reach; where the costume wants it, decides the moved pieces anew.
pub(crate) fn bring<'a>(
    request: &'a Request<'a>,
    opened: &'a [Opened<'a>],
    decided: &mut [Decided<'a>],
) -> Option<TogetherSeen> {
    let at: Vec<usize> =
        (0..decided.len()).filter(|&i| decided[i].found().is_some_and(Found::moves)).collect();
    let far = |i: &usize| {
        let one = &decided[*i];
        one.found().is_some_and(|f| !one.piece.viewing.passes(f.way.answer.reach.gap))
    };
    if at.len() < 2 || !at.iter().any(far) {
        return None;
    }
    let found: Vec<_> = at.iter().filter_map(|&i| decided[i].found()).collect();
    let questions: Vec<_> = found.iter().map(|f| f.way.asked.question()).collect();
    let wishes: Vec<Wish> = questions
        .iter()
        .zip(&found)
        .map(|(question, f)| Wish { question, alone: f.way.answer.reach.nearest })
        .collect();
    let answer = together(&wishes, None, request.threads).ok()?;
    let alone: Vec<Lab> = wishes.iter().map(|w| w.alone).collect();
    let used = request.costume.together;
    let seen = told(decided, &at, &answer, &alone, used);
    if used {
        for (&i, brought) in at.iter().zip(&answer.pieces) {
            if brought.moved {
                follow(request, &opened[i], &mut decided[i], brought);
            }
        }
    }
    Some(seen)
}

/// Decides a piece anew for the colour it was moved to; what cannot be resolved keeps its own.
fn follow<'a>(
    request: &'a Request<'a>,
    opened: &'a Opened<'a>,
    decided: &mut Decided<'a>,
    brought: &Brought,
) {
    let given = Given {
        as_given: AsGiven::Colour(brought.reached),
        written: "brought to cloth together with the others".to_owned(),
    };
    let Ok(aim) = resolve(&given, &opened.lights) else { return };
    let anew = decide(request, opened, Some(aim));
    if anew.found().is_some() {
        *decided = anew;
    }
}

fn told(
    decided: &[Decided],
    at: &[usize],
    answer: &Together,
    alone: &[Lab],
    used: bool,
) -> TogetherSeen {
    let pieces = at.iter().zip(&answer.pieces).zip(alone).filter_map(|((&i, brought), &alone)| {
        Some(TogetherPiece {
            id: decided[i].piece.id.clone(),
            name: decided[i].piece.name.clone(),
            target: decided[i].found()?.wanted.seen.clone(),
            alone: of_lab(alone, "the nearest it can be alone"),
            together: of_lab(brought.reached, "brought to cloth together"),
        })
    });
    let id =
        |place: usize| at.get(place).map_or_else(String::new, |&i| decided[i].piece.id.clone());
    let relations = answer.relations.iter().map(|r| RelationSeen {
        more: id(r.first),
        less: id(r.second),
        what: match r.which {
            Compared::Darker => "darker",
            Compared::Warmer => "warmer",
            Compared::Louder => "louder",
            Compared::Alike => "alike",
        },
        alone: r.kept_alone(),
        together: r.kept_together(),
    });
    let (kept_alone, kept_together) = (answer.kept_alone(), answer.kept_together());
    let of = answer.relations.len();
    let moved = answer.pieces.iter().filter(|p| p.moved).count();
    let verdict = if kept_together > kept_alone {
        let how = if used {
            "the recipes follow it"
        } else {
            "write colours = \"together\" under [costume] to have the recipes follow it"
        };
        format!(
            "of {of} relations between the colours (who is darker, warmer, louder than whom, who alike) \
             {kept_alone} are kept when each piece goes to its own nearest colour, and {kept_together} \
             when {moved} of them are moved together; {how}"
        )
    } else {
        format!(
            "some colours are out of reach, and still {kept_alone} of {of} relations between the colours \
             are kept when each piece goes to its own nearest colour: moving them together would keep \
             no more"
        )
    };
    TogetherSeen {
        used: used && moved > 0,
        pieces: pieces.collect(),
        relations: relations.collect(),
        kept_alone,
        kept_together,
        verdict: sentence(&verdict),
    }
}
