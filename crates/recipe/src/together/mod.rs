//! The colours of a costume brought to cloth together.
//!
//! Where targets are out of reach, each piece going to its own nearest colour may undo what the
//! character's colours are to each other: the hood that was darker than the coat, the sash that was
//! warmer, the trim that was louder. Here all of them are moved by one map (the lightness range
//! compressed, the chroma scaled, the hue kept) and then piece by piece, until as many relations hold
//! as can; pieces in reach move as little as possible. Never fewer relations are kept than alone, and
//! where alone keeps them all nothing moves.
//!
//! Compared relations count and when they are kept: `relation`. What a cloth comes to: `near`. How they
//! settle: `settle`. Left out: matched sets (one colour for several pieces), and other lights than the
//! reference.

mod near;
mod relation;
mod settle;

pub use relation::{Compared, Relation, WARM_POLE};
pub use settle::FURTHEST;

use colour::{Lab, Weights, ciede2000};
use rayon::prelude::*;
use units::OnFibre;

use crate::{Question, Refusal};
use near::Near;
use relation::relations;
use settle::{Settling, Standing, better};

/// One piece: its question (target and tolerance inside) and what it comes to alone.
#[derive(Debug, Clone, Copy)]
pub struct Wish<'a> {
    /// What is asked.
    pub question: &'a Question<'a>,
    /// The nearest colour its cloth can be brought to: [`crate::Reach::nearest`].
    pub alone: Lab,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Together {
    /// One for each wish, in their order.
    pub pieces: Vec<Brought>,
    /// Every relation that the targets show between neighbours.
    pub relations: Vec<Relation>,
}

/// One piece brought to cloth with the others.
#[derive(Debug, Clone, PartialEq)]
pub struct Brought {
    /// The colour to aim at now: the target, or what it was moved to.
    pub aim: Lab,
    /// The nearest colour to the aim that its cloth can be brought to.
    pub reached: Lab,
    /// ΔE00 between both.
    pub gap: f64,
    /// ΔE00 between the target and what is reached together.
    pub from_target: f64,
    /// The same alone.
    pub from_target_alone: f64,
    /// Whether it moved for the sake of the others.
    pub moved: bool,
    /// Whether what is reached lies within its own tolerance.
    pub within_tolerance: bool,
    /// Doses that give what is reached, when it moved (places in its question's dyes).
    pub doses: Vec<(usize, OnFibre)>,
}

/// A costume that cannot be brought together.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NotTogether {
    /// No piece.
    #[error("no piece to bring to cloth: give at least one")]
    NoPieces,
    /// Neighbours that are no two pieces.
    #[error(
        "pieces {a} and {b} are named as neighbours, of {count} pieces (counted from 0): name two different ones of them"
    )]
    NoNeighbours {
        /// The first.
        a: usize,
        /// The second.
        b: usize,
        /// How many pieces there are.
        count: usize,
    },
    /// A nearest colour that is none.
    #[error(
        "the nearest colour of piece {piece} (counted from 0) is {lab}: give the one its reach found"
    )]
    NoColour {
        /// Compared piece.
        piece: usize,
        /// As given.
        lab: Lab,
    },
    /// A question that cannot be answered.
    #[error(transparent)]
    Question(#[from] Refusal),
}

impl Together {
    /// How many relations are kept when each piece goes to its own nearest colour.
    #[must_use]
    pub fn kept_alone(&self) -> usize {
        self.relations.iter().filter(|r| r.kept_alone()).count()
    }

    /// How many are kept together; never fewer than alone.
    #[must_use]
    pub fn kept_together(&self) -> usize {
        self.relations.iter().filter(|r| r.kept_together()).count()
    }

    /// Those that are not kept even so.
    pub fn lost(&self) -> impl Iterator<Item = &Relation> {
        self.relations.iter().filter(|r| !r.kept_together())
    }
}

/// Brings the colours of a costume to cloth together.
///
/// `neighbours` are pairs of places among the wishes that are seen side by side; none: every two are.
/// `threads` as in [`crate::propose`]; the answer does not depend on it, nor on the order of wishes
/// or neighbours (but for pieces that are alike in target, nearest colour and tolerance).
///
/// # Errors
/// [`NotTogether`] for no pieces, neighbours that are none, a nearest colour that is none, or a
/// question the search refuses.
pub fn together(
    wishes: &[Wish],
    neighbours: Option<&[(usize, usize)]>,
    threads: usize,
) -> Result<Together, NotTogether> {
    check(wishes)?;
    let light = Weights::reference();
    let order = ordered(wishes);
    let neighbours = pairs(wishes.len(), neighbours, &order)?;
    let wishes: Vec<Wish> = order.iter().map(|i| wishes[*i]).collect();
    let targets: Vec<Lab> = wishes.iter().map(|w| light.lab(&w.question.target.bands)).collect();
    let alone: Vec<Lab> = wishes.iter().map(|w| w.alone).collect();
    let mut relations = relations(&targets, &alone, &neighbours);
    let work = || settled(&wishes, (&targets, &alone), &relations, threads != 1);
    let pool = (threads > 1)
        .then(|| rayon::ThreadPoolBuilder::new().num_threads(threads).build())
        .and_then(Result::ok);
    let standing = pool.map_or_else(work, |pool| pool.install(work))?;
    for relation in &mut relations {
        relation.together =
            relation.which.size(standing.labs[relation.first], standing.labs[relation.second]);
        relation.first = order[relation.first];
        relation.second = order[relation.second];
        if relation.which == Compared::Alike && relation.first > relation.second {
            std::mem::swap(&mut relation.first, &mut relation.second);
        }
    }
    relations.sort_by_key(|r| (r.first, r.second, r.which));
    let mut pieces: Vec<(usize, Brought)> = (0..wishes.len())
        .map(|i| (order[i], brought(&wishes[i], (targets[i], alone[i]), &standing, i)))
        .collect();
    pieces.sort_by_key(|p| p.0);
    Ok(Together { pieces: pieces.into_iter().map(|p| p.1).collect(), relations })
}

fn check(wishes: &[Wish]) -> Result<(), NotTogether> {
    if wishes.is_empty() {
        return Err(NotTogether::NoPieces);
    }
    for (piece, wish) in wishes.iter().enumerate() {
        let (lab, question) = (wish.alone, wish.question);
        if Lab::try_typed(lab.l, lab.a, lab.b).is_err() {
            return Err(NotTogether::NoColour { piece, lab });
        }
        let given = question.tolerance;
        if !(given > 0.0 && given <= 100.0) {
            let rule = "give a ΔE00 above 0 and at most 100, such as 2";
            return Err(Refusal::Number { what: "the tolerance", given, rule }.into());
        }
        if question.dyes.is_empty() {
            return Err(Refusal::NoDyes { class: question.on.class().to_string() }.into());
        }
    }
    Ok(())
}

/// The places of the wishes in an order that hangs on their colours and not on how they came.
fn ordered(wishes: &[Wish]) -> Vec<usize> {
    let light = Weights::reference();
    let key = |w: &Wish| {
        let (t, a) = (light.lab(&w.question.target.bands), w.alone);
        [t.l, t.a, t.b, a.l, a.a, a.b, w.question.tolerance]
    };
    let keys: Vec<[f64; 7]> = wishes.iter().map(key).collect();
    let mut order: Vec<usize> = (0..wishes.len()).collect();
    order.sort_by(|a, b| {
        let each = keys[*a].iter().zip(&keys[*b]).map(|(x, y)| x.total_cmp(y));
        each.fold(std::cmp::Ordering::Equal, std::cmp::Ordering::then).then(a.cmp(b))
    });
    order
}

/// Neighbours as places in the fixed order, each pair once.
fn pairs(
    count: usize,
    neighbours: Option<&[(usize, usize)]>,
    order: &[usize],
) -> Result<Vec<(usize, usize)>, NotTogether> {
    let mut rank = vec![0; count];
    for (at, place) in order.iter().enumerate() {
        rank[*place] = at;
    }
    let mut pairs = vec![];
    match neighbours {
        None => (0..count).for_each(|a| pairs.extend((a + 1..count).map(|b| (a, b)))),
        Some(given) => {
            for &(a, b) in given {
                if a == b || a >= count || b >= count {
                    return Err(NotTogether::NoNeighbours { a, b, count });
                }
                pairs.push((rank[a].min(rank[b]), rank[a].max(rank[b])));
            }
        }
    }
    pairs.sort_unstable();
    pairs.dedup();
    Ok(pairs)
}

/// Where the pieces come to stand.
fn settled(
    wishes: &[Wish],
    (targets, alone): (&[Lab], &[Lab]),
    relations: &[Relation],
    threaded: bool,
) -> Result<Standing, Refusal> {
    let stay = Standing::alone(alone);
    if relations.iter().all(Relation::kept_alone) {
        return Ok(stay);
    }
    let touched = |i: usize| relations.iter().any(|r| r.first == i || r.second == i);
    let near = |i: usize| -> Result<Option<Near>, Refusal> {
        let wish = &wishes[i];
        touched(i).then(|| Near::of(wish.question, targets[i], alone[i])).transpose()
    };
    let near: Vec<Option<Near>> = if threaded {
        (0..wishes.len()).into_par_iter().map(near).collect::<Result<_, _>>()?
    } else {
        (0..wishes.len()).map(near).collect::<Result<_, _>>()?
    };
    let settling = Settling { targets, alone, near: &near, relations, threaded };
    let mut best = (settling.worth(alone), stay);
    for aims in std::iter::once(alone.to_vec()).chain(maps(targets, alone)) {
        let standing = settling.drawn_back(settling.from(aims)?)?;
        let worth = settling.worth(&standing.labs);
        // Moving for nothing gained is no bringing together: losses alone decide against staying.
        if worth.0 < best.0.0
            || (worth.0 == best.0.0 && !best.1.moved.is_empty() && better(worth, best.0))
        {
            best = (worth, standing);
        }
    }
    Ok(best.1)
}

/// The costume's colours by a few common maps: the lightness range brought in at both ends to what the
/// neediest piece comes to, the chroma scaled as the neediest has to, the hue kept. All of it, the
/// lightness alone, and half of both.
fn maps(targets: &[Lab], alone: &[Lab]) -> Vec<Vec<Lab>> {
    let (mut lowest, mut highest) = (f64::INFINITY, f64::NEG_INFINITY);
    let (mut lift, mut drop, mut scale) = (0f64, 0f64, 1f64);
    for (target, alone) in targets.iter().zip(alone) {
        (lowest, highest) = (lowest.min(target.l), highest.max(target.l));
        lift = lift.max(alone.l - target.l);
        drop = drop.max(target.l - alone.l);
        if target.chroma() > Compared::Louder.step() {
            scale = scale.min(alone.chroma() / target.chroma());
        }
    }
    let range = (highest - lowest).max(1.0);
    let scale = scale.max(LEAST_SCALE);
    let map = |(lightness, chroma): (f64, f64)| -> Vec<Lab> {
        let (low, high) = (lowest + lightness * lift, highest - lightness * drop);
        let k = 1.0 - chroma * (1.0 - scale);
        let one = |t: &Lab| {
            let at = (t.l - lowest) / range;
            let l = low + at * (high.max(low) - low);
            Lab::new(l, k * t.a, k * t.b)
        };
        targets.iter().map(one).collect()
    };
    [(1.0, 1.0), (1.0, 0.0), (0.5, 0.5)].into_iter().map(map).collect()
}

/// No map takes more of the chroma than leaves this share: beyond it the colours are others.
const LEAST_SCALE: f64 = 0.4;

fn brought(wish: &Wish, (target, alone): (Lab, Lab), standing: &Standing, i: usize) -> Brought {
    let reached = standing.labs[i];
    let moved = standing.moved.get(&i);
    let aim = if moved.is_some() { reached } else { target };
    let from_target = ciede2000(target, reached);
    Brought {
        aim,
        reached,
        gap: ciede2000(aim, reached),
        from_target,
        from_target_alone: ciede2000(target, alone),
        moved: moved.is_some(),
        within_tolerance: from_target <= wish.question.tolerance,
        doses: moved.map_or_else(Vec::new, |r| r.doses.clone()),
    }
}
