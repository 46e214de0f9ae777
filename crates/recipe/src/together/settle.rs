//! Colours moved until the relations hold and every one of them can be dyed.
//!
//! Two demands take turns: the relations (each that is short of its step moves both its pieces half of
//! what is missing, in lightness, chroma or hue alone) and the cloths (each piece goes to the nearest
//! colour it can be brought to). A piece that cannot follow springs back, and its neighbour goes the
//! rest. Then every moved piece is drawn back towards its target as far as nothing is lost by it.

use std::collections::BTreeMap;

use colour::{Lab, Lch, ciede2000};
use rayon::prelude::*;

use super::near::{Near, Reached};
use super::relation::{Compared, Relation, WARM_POLE};
use crate::Refusal;

/// How much further from its target than alone a piece may go for the sake of relations, ΔE00. Beyond it
/// the colour is another one, and a lost relation is the smaller loss (judgement).
pub const FURTHEST: f64 = 10.0;

/// Rounds in which relations and cloths take turns: what is missing at least halves in each.
const ROUNDS: usize = 6;
/// Times all relations are gone through in one round.
const SWEEPS: usize = 24;
/// Asked beyond the step, so that a colour reached to within rounding still keeps it.
const MARGIN: f64 = 0.1;
/// A move below this (ΔE00) is none.
const STILL: f64 = 0.05;
/// Weight of a step that is blurred (L*, C*ab, arc, ΔE00 squared) against a colour moved (ΔE00 squared).
const BLUR: f64 = 0.5;

/// The pieces and what is asked of them; all in one fixed order.
pub(super) struct Settling<'a> {
    pub(super) targets: &'a [Lab],
    pub(super) alone: &'a [Lab],
    pub(super) near: &'a [Option<Near<'a>>],
    pub(super) relations: &'a [Relation],
    pub(super) threaded: bool,
}

/// Where the pieces stand.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Standing {
    pub(super) labs: Vec<Lab>,
    /// What was found for the pieces that are not where they are alone.
    pub(super) moved: BTreeMap<usize, Reached>,
}

impl Standing {
    pub(super) fn alone(alone: &[Lab]) -> Self {
        Self { labs: alone.to_vec(), moved: BTreeMap::new() }
    }
}

impl Settling<'_> {
    /// Relations lost, and what the rest costs; the smaller the better, losses first.
    pub(super) fn worth(&self, labs: &[Lab]) -> (usize, f64) {
        let (lost, mut cost) = self.of_relations(self.relations.iter(), labs);
        for (target, lab) in self.targets.iter().zip(labs) {
            cost += ciede2000(*target, *lab).powi(2);
        }
        (lost, cost)
    }

    fn of_relations<'r>(
        &self,
        relations: impl Iterator<Item = &'r Relation>,
        labs: &[Lab],
    ) -> (usize, f64) {
        let (mut lost, mut cost) = (0, 0.0);
        for relation in relations {
            let size = relation.which.size(labs[relation.first], labs[relation.second]);
            lost += usize::from(!relation.which.kept(size));
            cost += BLUR * relation.which.missing(size).powi(2);
        }
        (lost, cost)
    }

    /// The share of the worth that hangs on where one piece stands.
    fn worth_of(&self, piece: usize, labs: &[Lab]) -> (usize, f64) {
        let its = self.relations.iter().filter(|r| r.first == piece || r.second == piece);
        let (lost, cost) = self.of_relations(its, labs);
        (lost, cost + ciede2000(self.targets[piece], labs[piece]).powi(2))
    }

    /// The best standing met on the way from these aims.
    pub(super) fn from(&self, aims: Vec<Lab>) -> Result<Standing, Refusal> {
        let mut now = self.reached(&Standing::alone(self.alone), &aims)?;
        let mut best = (self.worth(&now.labs), now.clone());
        for _ in 0..ROUNDS {
            let aims = self.related(&now.labs);
            let next = self.reached(&now, &aims)?;
            let worth = self.worth(&next.labs);
            if better(worth, best.0) {
                best = (worth, next.clone());
            }
            let still = next.labs.iter().zip(&now.labs).all(|(a, b)| ciede2000(*a, *b) < STILL);
            now = next;
            if still {
                break;
            }
        }
        Ok(best.1)
    }

    /// Colours near these between which every relation has its step, whether or not they can be dyed.
    fn related(&self, labs: &[Lab]) -> Vec<Lab> {
        let mut aims = labs.to_vec();
        for _ in 0..SWEEPS {
            let mut moved = false;
            for relation in self.relations {
                let (a, b) = (aims[relation.first], aims[relation.second]);
                let missing = relation.which.missing(relation.which.size(a, b));
                if missing > MARGIN / 2.0 {
                    let (a, b) = apart(relation.which, missing + MARGIN, a, b);
                    (aims[relation.first], aims[relation.second]) = (a, b);
                    moved = true;
                }
            }
            if !moved {
                break;
            }
        }
        aims
    }

    /// What the cloths make of aims; a piece whose aim did not change stays as it is.
    fn reached(&self, now: &Standing, aims: &[Lab]) -> Result<Standing, Refusal> {
        let asked = |i: usize| -> Result<Option<(usize, Reached)>, Refusal> {
            if ciede2000(aims[i], now.labs[i]) < STILL {
                return Ok(None);
            }
            Ok(self.one(i, aims[i])?.map(|reached| (i, reached)))
        };
        let found: Vec<Option<(usize, Reached)>> = if self.threaded {
            (0..aims.len()).into_par_iter().map(asked).collect::<Result<_, _>>()?
        } else {
            (0..aims.len()).map(asked).collect::<Result<_, _>>()?
        };
        let mut next = now.clone();
        for (i, reached) in found.into_iter().flatten() {
            next.labs[i] = reached.lab;
            next.moved.insert(i, reached);
        }
        Ok(next)
    }

    /// The nearest colour a piece comes to, held within [`FURTHEST`]; none when it cannot move.
    fn one(&self, i: usize, aim: Lab) -> Result<Option<Reached>, Refusal> {
        let Some(near) = &self.near[i] else { return Ok(None) };
        let (target, alone) = (self.targets[i], self.alone[i]);
        let most = ciede2000(target, alone) + FURTHEST;
        let mut aim = aim;
        for _ in 0..TRIES {
            let reached = near.nearest(aim)?;
            let far = ciede2000(target, reached.lab);
            if far <= most {
                return Ok(Some(reached));
            }
            aim = between(alone, aim, 0.9 * most / far);
        }
        Ok(None)
    }

    /// Every moved piece drawn back towards where it is alone as far as nothing is lost and it costs less.
    pub(super) fn drawn_back(&self, mut standing: Standing) -> Result<Standing, Refusal> {
        for step in [0.0, 0.5, 0.8] {
            let mut moved: Vec<usize> = standing.moved.keys().copied().collect();
            let far = |i: &usize| ciede2000(self.alone[*i], standing.labs[*i]);
            moved.sort_by(|a, b| far(b).total_cmp(&far(a)).then(a.cmp(b)));
            for i in moved {
                let before = self.worth_of(i, &standing.labs);
                let (was, stood) = (standing.labs[i], standing.moved.get(&i).cloned());
                let found = if step == 0.0 {
                    None
                } else {
                    let Some(found) = self.one(i, between(self.alone[i], was, step))? else {
                        continue;
                    };
                    Some(found)
                };
                standing.labs[i] = found.as_ref().map_or(self.alone[i], |r| r.lab);
                if better(self.worth_of(i, &standing.labs), before) {
                    match found {
                        Some(found) => standing.moved.insert(i, found),
                        None => standing.moved.remove(&i),
                    };
                } else {
                    standing.labs[i] = was;
                    debug_assert_eq!(standing.moved.get(&i), stood.as_ref());
                }
            }
        }
        Ok(standing)
    }
}

/// Times an aim beyond [`FURTHEST`] is drawn in before the piece is left where it is.
const TRIES: usize = 3;

pub(super) fn better(a: (usize, f64), b: (usize, f64)) -> bool {
    a.0 < b.0 || (a.0 == b.0 && a.1 < b.1 - 1e-9)
}

pub(super) fn between(from: Lab, to: Lab, share: f64) -> Lab {
    let part = |a: f64, b: f64| a + share * (b - a);
    Lab::new(part(from.l, to.l), part(from.a, to.a), part(from.b, to.b))
}

/// Two colours moved apart (or, of [`Compared::Alike`], together) by so much, each half of it.
fn apart(which: Compared, by: f64, a: Lab, b: Lab) -> (Lab, Lab) {
    let half = by / 2.0;
    match which {
        Compared::Darker => {
            // What one cannot give at the end of the scale the other gives.
            let down = half.min(a.l).max(by - (100.0 - b.l).max(0.0));
            (Lab { l: (a.l - down).max(0.0), ..a }, Lab { l: b.l + by - down, ..b })
        }
        Compared::Louder => {
            let (a, b) = (a.to_lch(), b.to_lch());
            let down = half.min(b.c);
            (Lch { c: a.c + by - down, ..a }.to_lab(), Lch { c: b.c - down, ..b }.to_lab())
        }
        Compared::Warmer => {
            let (a, b) = (a.to_lch(), b.to_lch());
            let mean = (a.c * b.c).sqrt().max(1.0);
            let turn = (half / mean).to_degrees().min(MOST_TURN);
            (turned(a, -turn).to_lab(), turned(b, turn).to_lab())
        }
        Compared::Alike => {
            let share = (half / ciede2000(a, b).max(half)).min(0.5);
            (between(a, b, share), between(b, a, share))
        }
    }
}

/// No hue is turned by more than this at a time, degrees.
const MOST_TURN: f64 = 15.0;

/// A hue turned away from the warm pole by so many degrees (towards it when negative), never past it
/// or past its opposite.
fn turned(lch: Lch, away: f64) -> Lch {
    let side = (lch.h - WARM_POLE + 540.0) % 360.0 - 180.0;
    let turned = (side.abs() + away).clamp(0.0, 180.0) * if side < 0.0 { -1.0 } else { 1.0 };
    Lch { h: (WARM_POLE + turned + 360.0) % 360.0, ..lch }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moved_apart_they_have_what_was_missing() {
        let pairs = [
            (Lab::new(40.0, 20.0, 10.0), Lab::new(41.0, 18.0, -20.0)),
            (Lab::new(1.0, 3.0, 4.0), Lab::new(0.5, 5.0, -6.0)),
            (Lab::new(99.0, -9.0, 14.0), Lab::new(99.5, -8.0, 16.0)),
        ];
        for (a, b) in pairs {
            for which in [Compared::Darker, Compared::Louder, Compared::Warmer] {
                let before = which.size(a, b);
                let (x, y) = apart(which, 4.0, a, b);
                let gained = which.size(x, y) - before;
                // A hue turned is stopped at the poles and at MOST_TURN.
                let least = if which == Compared::Warmer { 0.5 } else { 3.999 };
                assert!(gained >= least && gained < 4.001, "{which:?} {a} {b}: {gained}");
                assert!(x.l >= 0.0 && y.l <= 100.0);
            }
            let (x, y) = apart(Compared::Alike, 1.0, a, b);
            assert!(ciede2000(x, y) < ciede2000(a, b));
        }
    }
}
