//! The flats of several pictures of one character, paired; where they disagree is shown, not averaged away.

use colour::ciede2000;

use super::Flats;

/// A flat of the first picture with its like in another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Place in the first picture's list.
    pub first: usize,
    /// Place in the other's.
    pub other: usize,
    /// ΔE00 between them.
    pub apart: f64,
}

/// Two pictures, paired.
#[derive(Debug, Clone, PartialEq)]
pub struct Paired {
    /// Pairs, by the first picture's order.
    pub pairs: Vec<Pair>,
    /// Flats of the first without a like.
    pub only_first: Vec<usize>,
    /// Flats of the other without a like.
    pub only_other: Vec<usize>,
}

/// ΔE00 beyond which two flats are no pair: two colourings of one character differ by less, two of its colours mostly
/// by more (judgement).
const FURTHEST: f64 = 14.0;

/// Pairs the flats of two pictures, nearest first, each once; grounds are left out.
#[must_use]
pub fn paired(first: &Flats, other: &Flats) -> Paired {
    let of = |flats: &Flats| -> Vec<usize> {
        (0..flats.all.len()).filter(|i| !flats.all[*i].is_ground).collect()
    };
    let (mut only_first, mut only_other) = (of(first), of(other));
    let mut all: Vec<Pair> = vec![];
    for a in &only_first {
        for b in &only_other {
            let apart = ciede2000(first.all[*a].lab, other.all[*b].lab);
            if apart <= FURTHEST {
                all.push(Pair { first: *a, other: *b, apart });
            }
        }
    }
    all.sort_by(|a, b| {
        a.apart.total_cmp(&b.apart).then((a.first, a.other).cmp(&(b.first, b.other)))
    });
    let mut pairs: Vec<Pair> = vec![];
    for pair in all {
        if only_first.contains(&pair.first) && only_other.contains(&pair.other) {
            only_first.retain(|i| *i != pair.first);
            only_other.retain(|i| *i != pair.other);
            pairs.push(pair);
        }
    }
    pairs.sort_by_key(|p| p.first);
    Paired { pairs, only_first, only_other }
}
