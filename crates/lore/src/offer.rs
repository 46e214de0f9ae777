//! What may be offered for a piece: the procedures that dye it, best first, and why not the others.
//!
//! Harm and ruin are hard stops here; quality only ranks. Gates, in order: the home kit, ruin of
//! any fibre or part, alkali, whether it dyes enough of the cloth, heat, whether there is a
//! programme for it, and whether somebody near must not meet that bath. A fibre that is not
//! known is offered a bath only when that bath ruins no fibre that counts and dyes nearly all the
//! odds; otherwise there is no bath, and the plan is the tests to make.

use units::{Celsius, Share};

use crate::offer_gates::Gates;
use crate::{
    AgentGroup, DyeClass, Home, Limits, Lore, Makeup, Part, PeopleRule, Procedure, Reason,
    TestAdvice, TwoBaths, Verdict,
};

/// A bath is hot above this, °C: the row about children in `hazards.toml` (from memory).
const HOT_BATH_C: f64 = 40.0;
/// Sugars that reduce an indigo vat: no rule about people speaks of them.
const MILD_REDUCERS: [&str; 1] = ["fructose"];

/// Who is near the pots, as far as it decides what may be offered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct People {
    /// Somebody with asthma.
    pub asthma: bool,
    /// Somebody who is pregnant.
    pub pregnancy: bool,
    /// Children.
    pub children: bool,
}

/// What is offered and what is not.
#[derive(Debug, Clone, PartialEq)]
pub struct Offers {
    /// Procedures that may be used, best first; empty means no bath.
    pub offered: Vec<Offer>,
    /// The others, with the reason.
    pub refused: Vec<Refused>,
    /// The limits every bath of this piece must keep.
    pub limits: Option<Limits>,
    /// Ways to colour every fibre of a blend in two baths, when no one bath does.
    pub two_baths: Vec<TwoBaths>,
    /// For an unknown fibre: the tests to make, in order.
    pub tests: Vec<TestAdvice>,
    /// What must be said before dyeing: parts that stay undyed, notes on the fibres, blend risks.
    pub notes: Vec<String>,
}

/// One procedure that may be used.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// The procedure.
    pub procedure: Procedure,
    /// The dye classes it takes, each with what it does here, best first.
    pub classes: Vec<ClassOffer>,
    /// The verdict with the best class.
    pub verdict: Verdict,
    /// The code of the reason why no better.
    pub reason: Option<Reason>,
    /// One sentence.
    pub why: String,
    /// The share of the cloth it colours.
    pub takes: Share,
    /// The coolest bath that still works.
    pub works_from: Celsius,
    /// Whether it is for a home kit outright or with care.
    pub home: Home,
    /// The condition of the home kit.
    pub home_why: String,
    /// True when the people near the pots allow its dye only as a liquid.
    pub liquid_only: bool,
}

/// One dye class in an offer.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassOffer {
    /// The class.
    pub class: DyeClass,
    /// What it does here.
    pub verdict: Verdict,
    /// One sentence.
    pub why: String,
}

/// One procedure that is not offered.
#[derive(Debug, Clone, PartialEq)]
pub struct Refused {
    /// The procedure.
    pub procedure: Procedure,
    /// The verdict, where the matrix is what refuses it.
    pub verdict: Verdict,
    /// The code of the reason.
    pub reason: Option<Reason>,
    /// What kind of stop it is.
    pub stop: Stop,
    /// Why not, in a sentence.
    pub why_not: String,
}

/// The kinds of stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Stop {
    /// Not for a home kit.
    NotAtHome,
    /// It ruins a fibre or a part.
    Ruins,
    /// Too much alkali for something in the bath.
    Alkali,
    /// It works only hotter than something in the bath bears.
    Heat,
    /// It does not dye, or not enough of the cloth.
    DoesNotDye,
    /// The fibre is not known well enough.
    NotSure,
    /// No home programme is written for it, or none that keeps every limit of the piece.
    NoBath,
    /// Somebody near the pots must not meet the bath itself: it is hot, or holds a reducer.
    People,
}

impl Stop {
    /// True when the stop is about quality, so that the maker may overrule it; every other stop
    /// keeps people or cloth from harm, or has no bath to offer.
    #[must_use]
    pub const fn may_be_overruled(self) -> bool {
        matches!(self, Self::DoesNotDye)
    }
}

impl People {
    /// Whether somebody of this kind (the id of a rule about people) is near.
    fn has(self, id: &str) -> bool {
        (self.asthma && id == "asthma")
            || (self.pregnancy && id == "pregnancy")
            || (self.children && id == "children")
    }
}

impl PeopleRule {
    /// Whether this rule keeps powder of a dye of this class from the person.
    #[must_use]
    pub fn forbids_powder(&self, class: DyeClass) -> bool {
        self.forbids("powder") || (class.is_reactive() && self.forbids("reactive-powder"))
    }

    /// Whether it keeps the person from a bath that gets this hot.
    #[must_use]
    pub fn forbids_heat(&self, hottest: Celsius) -> bool {
        self.forbids("hot-bath") && hottest.to_degrees() > HOT_BATH_C
    }

    /// Whether it keeps the person from this agent as a reducer.
    #[must_use]
    pub fn forbids_reducer(&self, agent: &str, group: AgentGroup) -> bool {
        group == AgentGroup::Reducer && !MILD_REDUCERS.contains(&agent) && self.forbids("reducer")
    }

    fn forbids(&self, word: &str) -> bool {
        self.forbids.iter().any(|it| it == word)
    }
}

impl Lore {
    /// What may be offered for a piece of this makeup with these parts, near these people.
    #[must_use]
    pub fn offer(&self, makeup: &Makeup, parts: &[&Part], people: People) -> Offers {
        let gates = Gates::of(self, makeup, parts);
        let mut offered = Vec::new();
        let mut refused = Vec::new();
        for procedure in Procedure::ALL {
            match gates.pass(*procedure, people) {
                Ok(offer) => offered.push(offer),
                Err(stop) => refused.push(*stop),
            }
        }
        offered.sort_by_key(|offer| {
            (std::cmp::Reverse(offer.verdict), self.preference(makeup, offer.procedure))
        });
        let portions = match makeup {
            Makeup::Known(portions) => portions.as_slice(),
            Makeup::Unknown(_) => &[],
        };
        let one_bath_does = offered
            .iter()
            .any(|offer| offer.takes.to_fraction() >= 0.9 && offer.verdict >= Verdict::Good);
        let two_baths = if one_bath_does { Vec::new() } else { gates.two_baths(portions) };
        let tests = match makeup {
            Makeup::Known(_) => Vec::new(),
            Makeup::Unknown(odds) => self.next_tests(odds),
        };
        let notes = gates.notes(portions);
        Offers { offered, refused, limits: gates.limits, two_baths, tests, notes }
    }

    /// The rules about the people near the pots.
    pub(crate) fn rules_for(&self, people: People) -> impl Iterator<Item = &PeopleRule> {
        self.people_rules().iter().filter(move |rule| people.has(&rule.id))
    }

    /// The place of a procedure in the order of the largest fibre; last when it is not in it.
    fn preference(&self, makeup: &Makeup, procedure: Procedure) -> usize {
        let largest = match makeup {
            Makeup::Known(portions) => portions.first().map(|portion| portion.material.as_str()),
            Makeup::Unknown(odds) => {
                odds.each().first().and_then(|fibre| fibre.materials.first()).map(String::as_str)
            }
        };
        largest
            .and_then(|id| self.material(id).ok())
            .and_then(|m| m.best_first.iter().position(|best| *best == procedure))
            .unwrap_or(usize::MAX)
    }
}
