//! Matched sets: pieces of different fibre and class, and pieces that are as they are, brought as near
//! each other as they can be.
//!
//! The pieces are solved together for the smallest largest ΔE00 between any two of them over the lights
//! asked for. Each stays within its own tolerance of its own target, in daylight and under its own lights,
//! wherever it meets it alone; where it does not, it comes to no more than [`SLACK`] further away. Of
//! answers that are alike by the [`Terms`] the plainest recipes are taken. When the set does not hold, the
//! piece that breaks it is named, and what would mend it.
//!
//! Left out: which pieces must match, and what a match is worth in words.

mod breaker;
mod combine;
mod joint;
mod piece;
mod pool;
mod settle;
mod solve;
mod terms;

use colour::{BANDS, Bands, Light};

use self::joint::{Joint, State};
pub use self::piece::SLACK;
use self::piece::{Eyes, Ready};
use self::pool::Wanted;
use self::solve::{Crew, FULL};
pub use self::terms::Terms;
use crate::{Choice, Limit, Question, Refusal};

/// A piece that is dyed.
#[derive(Debug, Clone, Copy)]
pub struct Member<'a> {
    /// Its own question: cloth, dyes, target, lights, tolerance.
    pub question: &'a Question<'a>,
    /// The recipe it would get alone; none when it would be left undyed.
    pub alone: Option<&'a Choice>,
}

/// A piece that is as it is: read, never dyed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fixed {
    /// Its reflectance: read, or the most likely one for a colour.
    pub bands: Bands,
}

/// A piece of a set, by its place in what was asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum InSet {
    /// One that is dyed.
    Member(usize),
    /// One that is as it is.
    Fixed(usize),
}

/// What is being done just now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doing {
    /// The recipes near the set's colours are looked for.
    Gathering,
    /// They are put together, and their amounts moved.
    Joining,
    /// The set does not hold: the piece that breaks it is looked for.
    AskingWhy,
}

/// What whoever is told answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Go {
    /// Go on.
    On,
    /// Stop: the answer is [`Refusal::Stopped`].
    Stop,
}

/// Two pieces under one light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Between {
    /// The one.
    pub one: InSet,
    /// The other.
    pub other: InSet,
    /// The light.
    pub light: Light,
    /// ΔE00 between them with each dyed as it would be alone.
    pub before: f64,
    /// ΔE00 between them as dyed together.
    pub after: f64,
}

/// The pair and light that are furthest apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Largest {
    /// The one piece.
    pub one: InSet,
    /// The other.
    pub other: InSet,
    /// The light.
    pub light: Light,
    /// ΔE00.
    pub difference: f64,
}

/// Why a set does not hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Break {
    /// The piece without which the rest come nearest each other. Of two pieces, neither of which can be
    /// left out, the one that the other can come to more nearly than it can come to the other.
    pub which: InSet,
    /// Largest ΔE00 between the others without it; 0 when only one is left.
    pub largest_without: f64,
    /// What would mend it, what leaves least first.
    pub mends: Vec<Mend>,
}

/// Something that would mend a set, with what it comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mend {
    /// Lift what keeps the piece from the others' colour in daylight; the gap that would be left.
    Lift(Limit),
    /// Dye it with another class: its dyes meet the others in daylight and part from them under a lamp,
    /// or have not this hue or depth.
    AnotherClass,
    /// Let the piece leave its own target and come to the others.
    GiveWay {
        /// Largest ΔE00 between any two pieces then.
        largest: f64,
        /// ΔE00 from its own target then, in the worst of its lights.
        off_target: f64,
    },
    /// Leave the piece as it is alone and bring all others to it, away from their own targets.
    Anchor {
        /// Largest ΔE00 between any two pieces then.
        largest: f64,
        /// Largest ΔE00 of another piece from its own target then, in the worst of its lights.
        off_target: f64,
    },
    /// Leave the piece out of the set.
    LeaveOut {
        /// Largest ΔE00 between the others.
        largest: f64,
    },
}

/// A set as solved.
#[derive(Debug, Clone, PartialEq)]
pub struct Matched {
    /// The recipe of each dyed piece, in the order asked.
    pub pieces: Vec<Choice>,
    /// The colour the set has in common: the mean of the fixed pieces where there are any, else of all.
    pub common: Bands,
    /// Every two pieces under every light, before and after.
    pub pairs: Vec<Between>,
    /// The largest difference with each piece as it would be alone; none for a single piece.
    pub before: Option<Largest>,
    /// The largest difference as dyed together.
    pub after: Option<Largest>,
    /// Whether no two pieces differ by more than what may pass.
    pub holds: bool,
    /// Whether every piece keeps the recipe it has alone.
    pub as_alone: bool,
    /// Why not, when it does not hold.
    pub breaks: Option<Break>,
}

/// Solves a set together.
///
/// `terms`: the lights the pieces are compared under, what may pass between two of them, and what is near
/// enough. `threads`: 1 stays on the caller's thread, 0 uses all cores; the answer does not depend on it,
/// nor on the order of the pieces. `tell` hears what is done and may stop it.
///
/// # Errors
/// [`Refusal::NoPieces`] without a dyed piece, [`Refusal::Number`] for terms that are none,
/// [`Refusal::Stopped`] when asked to stop, and what the questions themselves are refused for.
pub fn matched(
    members: &[Member],
    fixed: &[Fixed],
    terms: &Terms,
    threads: usize,
    tell: &mut dyn FnMut(Doing) -> Go,
) -> Result<Matched, Refusal> {
    check(members, terms)?;
    let questions: Vec<&Question> = members.iter().map(|m| m.question).collect();
    let eyes = Eyes::new(terms.lights, &questions);
    let crew = Crew::new(threads);
    let mut go = |doing| if tell(doing) == Go::Stop { Err(Refusal::Stopped) } else { Ok(()) };

    go(Doing::Gathering)?;
    let ready = crew.each(members, |m| {
        let mut ready = Ready::new(m.question, m.alone, &eyes)?;
        pool::shorten(&mut ready, &eyes)?;
        Ok(ready)
    });
    let ready: Vec<Ready> = ready.into_iter().collect::<Result<_, Refusal>>()?;
    let set = Set::new(&eyes, &ready, fixed);
    let joint = set.joint();
    let alone = solve::alone(&joint);
    let nothing_to_do = members.len() + fixed.len() < 2 || alone.largest <= terms.keep;
    let best = if nothing_to_do {
        alone.clone()
    } else {
        let starts = solve::starts(&joint, &crew, &FULL)?;
        go(Doing::Joining)?;
        let end = solve::solved(&joint, &crew, starts, &FULL)?;
        settle::plainest(&joint, end, terms)?
    };

    let pieces = set.choices(members, &best)?;
    let pairs = set.pairs(&joint, &alone, &best);
    let after = largest(&pairs, |p| p.after);
    let holds = after.is_none_or(|l| l.difference <= terms.passes);
    let breaks = if holds {
        None
    } else {
        go(Doing::AskingWhy)?;
        Some(breaker::breaks(&set, &joint, &best, &crew)?)
    };
    let before = largest(&pairs, |p| p.before);
    let as_alone = best.recipes.iter().zip(&alone.recipes).all(|(a, b)| a.same(b));
    let common = set.common(&joint, &best)?;
    Ok(Matched { pieces, common, pairs, before, after, holds, as_alone, breaks })
}

fn check(members: &[Member], terms: &Terms) -> Result<(), Refusal> {
    if members.is_empty() {
        return Err(Refusal::NoPieces);
    }
    terms.check()?;
    for member in members {
        crate::propose::check(member.question)?;
    }
    Ok(())
}

fn largest(pairs: &[Between], of: impl Fn(&Between) -> f64) -> Option<Largest> {
    let furthest = pairs.iter().reduce(|a, b| if of(b) > of(a) { b } else { a })?;
    let Between { one, other, light, .. } = *furthest;
    Some(Largest { one, other, light, difference: of(furthest) })
}

/// The pieces in an order of their own, so that the order they were named in decides nothing.
struct Set<'s, 'q> {
    eyes: &'s Eyes,
    ready: Vec<&'s Ready<'q>>,
    fixed: Vec<Wanted>,
    /// The places asked for of the above, in turn.
    members: Vec<usize>,
    read: Vec<usize>,
}

impl<'s, 'q> Set<'s, 'q> {
    fn new(eyes: &'s Eyes, ready: &'s [Ready<'q>], fixed: &[Fixed]) -> Self {
        let looks: Vec<[f64; BANDS]> = ready.iter().map(|r| r.bands(&r.alone)).collect();
        let members = order(&looks);
        let reads: Vec<[f64; BANDS]> = fixed.iter().map(|f| *f.bands.values()).collect();
        let read = order(&reads);
        Self {
            eyes,
            ready: members.iter().map(|m| &ready[*m]).collect(),
            fixed: read.iter().map(|f| Wanted::of(reads[*f], eyes)).collect(),
            members,
            read,
        }
    }

    fn joint(&self) -> Joint<'s, 'q> {
        Joint { eyes: self.eyes, members: self.ready.clone(), fixed: self.fixed.clone() }
    }

    /// The piece at a place of the set's own order, the dyed ones first.
    fn which(&self, place: usize) -> InSet {
        match place.checked_sub(self.members.len()) {
            None => InSet::Member(self.members[place]),
            Some(fixed) => InSet::Fixed(self.read[fixed]),
        }
    }

    fn choices(&self, members: &[Member], state: &State) -> Result<Vec<Choice>, Refusal> {
        let mut choices: Vec<(usize, Choice)> = vec![];
        for ((ready, recipe), asked) in self.ready.iter().zip(&state.recipes).zip(&self.members) {
            let choice = match members[*asked].alone {
                Some(alone) if recipe.same(&ready.alone) => alone.clone(),
                _ => ready.proposed(recipe)?,
            };
            choices.push((*asked, choice));
        }
        choices.sort_by_key(|c| c.0);
        Ok(choices.into_iter().map(|c| c.1).collect())
    }

    fn pairs(&self, joint: &Joint, alone: &State, best: &State) -> Vec<Between> {
        let (before, after) =
            (solve::looks(joint, &alone.recipes), solve::looks(joint, &best.recipes));
        let mut pairs = vec![];
        for a in 0..before.len() {
            for b in a + 1..before.len() {
                let mut ends = [(self.which(a), a), (self.which(b), b)];
                ends.sort_unstable();
                let [(one, a), (other, b)] = ends;
                for at in 0..self.eyes.pairs {
                    let off = |looks: &[Wanted]| {
                        crate::engine::difference(looks[a].labs[at], looks[b].labs[at])
                    };
                    let (before, after) = (off(&before), off(&after));
                    pairs.push(Between { one, other, light: self.eyes.lights[at], before, after });
                }
            }
        }
        pairs.sort_by_key(|p| (p.one, p.other));
        pairs
    }

    fn common(&self, joint: &Joint, best: &State) -> Result<Bands, Refusal> {
        let looks = solve::looks(joint, &best.recipes);
        let from = if self.fixed.is_empty() { 0 } else { self.members.len() };
        let of: Vec<&Wanted> = looks[from..].iter().collect();
        let bands = Wanted::middle(&of).map_or([0.0; BANDS], |m| m.bands);
        Ok(Bands::try_new(bands)?)
    }
}

fn order(looks: &[[f64; BANDS]]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..looks.len()).collect();
    order.sort_by(|a, b| {
        let bands = looks[*a].iter().zip(&looks[*b]).map(|(a, b)| a.total_cmp(b));
        bands.fold(std::cmp::Ordering::Equal, std::cmp::Ordering::then)
    });
    order
}
