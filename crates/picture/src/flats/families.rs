//! Tones gathered into flats: a base and its shades, by who touches whom and what may be whose shade.

use std::collections::BTreeSet;

use colour::ciede2000;

use super::panels::Panels;
use super::settled::Settled;
use super::shading::may_be;
use super::tones::Tone;

/// A base with its shades.
#[derive(Debug, Clone)]
pub(crate) struct Family {
    /// Its tone.
    pub(crate) base: usize,
    /// Parts of the base.
    pub(crate) parts: Vec<usize>,
    /// Its shades.
    pub(crate) shades: Vec<Shaded>,
    /// Whether tones run into each other.
    pub(crate) is_soft: bool,
    /// What is open.
    pub(crate) doubts: Vec<Doubt>,
}

/// A shade's tone and parts.
#[derive(Debug, Clone)]
pub(crate) struct Shaded {
    pub(crate) tone: usize,
    pub(crate) parts: Vec<usize>,
}

/// Two readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Doubt {
    /// A flat, or a shade of the flat of that base.
    ShadeOf(usize),
    /// This tone may be the base.
    BaseMayBe(usize),
}

/// ΔE00 within which tones that meet without an edge are one run.
pub(crate) const RUN: f64 = 5.0;
/// Share of the picture below which nothing is a flat, whatever its tone.
const LEAST: f64 = 1e-4;

impl Family {
    pub(crate) fn area(&self, panels: &Panels) -> usize {
        panels.area(&self.parts) + self.shades.iter().map(|s| panels.area(&s.parts)).sum::<usize>()
    }
}

/// Gathers them.
pub(crate) fn of(tones: &[Tone], panels: &Panels) -> Vec<Family> {
    let met = Met::of(panels, tones.len());
    let groups = groups(tones, panels, &met);
    let least = least(panels);
    let mut families = Settled::of(&groups, tones, panels, &met).families();
    families.retain(|f| f.area(panels) >= least);
    families
}

fn least(panels: &Panels) -> usize {
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a share of a count"
    )]
    let share = (panels.pixels as f64 * LEAST) as usize;
    share.max(panels.smallest)
}

/// Meetings of each part with every tone, and in all.
pub(crate) struct Met {
    /// By part: neighbour's part, direct, soft, lined.
    pub(crate) of: Vec<Vec<(usize, u32, u32, u32)>>,
    areas: Vec<usize>,
    /// By tone and tone: the share of the first one's meetings that are with the second without an edge.
    soft: Vec<Vec<f64>>,
    /// By part: which run it is of.
    run: Vec<usize>,
}

impl Met {
    fn of(panels: &Panels, tones: usize) -> Self {
        let mut of = vec![vec![]; panels.parts.len()];
        let mut pairs: Vec<_> = panels.touches.iter().collect();
        pairs.sort_by_key(|(pair, _)| **pair);
        for ((a, b), touch) in pairs {
            let (a, b) = (*a as usize - 1, *b as usize - 1);
            of[a].push((b, touch.direct, touch.soft, touch.lined));
            of[b].push((a, touch.direct, touch.soft, touch.lined));
        }
        let areas = (0..tones).map(|t| panels.area(&panels.of_tone[t])).collect();
        let soft = (0..tones)
            .map(|tone| {
                let (mut with, mut all) = (vec![0_u32; tones], 0);
                for part in &panels.of_tone[tone] {
                    for (other, direct, soft, lined) in &of[*part] {
                        all += direct + lined;
                        with[panels.parts[*other].tone] += soft;
                    }
                }
                with.into_iter().map(|s| f64::from(s) / f64::from(all.max(1))).collect()
            })
            .collect();
        let run = runs(&of);
        Self { of, areas, soft, run }
    }

    /// Whether most of a tone hangs together with another over borders without an edge, and that one is the larger
    /// there.
    fn runs_with(&self, panels: &Panels, tone: usize, other: usize) -> bool {
        let runs = |tone: usize| -> BTreeSet<usize> {
            panels.of_tone[tone].iter().map(|p| self.run[*p]).collect()
        };
        let both: BTreeSet<usize> = runs(tone).intersection(&runs(other)).copied().collect();
        let within = |tone: usize| -> usize {
            let parts = panels.of_tone[tone].iter().filter(|p| both.contains(&self.run[**p]));
            parts.map(|p| panels.parts[*p].area).sum()
        };
        let own = within(tone);
        2 * own >= self.areas[tone] && within(other) >= own
    }
}

/// Parts that hang together over borders without an edge have the same number.
fn runs(of: &[Vec<(usize, u32, u32, u32)>]) -> Vec<usize> {
    let mut run = vec![usize::MAX; of.len()];
    for from in 0..of.len() {
        if run[from] != usize::MAX {
            continue;
        }
        let mut todo = vec![from];
        run[from] = from;
        while let Some(part) = todo.pop() {
            for (other, _, soft, _) in &of[part] {
                if *soft > 0 && run[*other] == usize::MAX {
                    run[*other] = from;
                    todo.push(*other);
                }
            }
        }
    }
    run
}

/// Tones that run into each other, gathered: the base of each run and all its tones.
fn groups(tones: &[Tone], panels: &Panels, met: &Met) -> Vec<Group> {
    let mut order: Vec<usize> = (0..tones.len()).filter(|t| met.areas[*t] > 0).collect();
    order.sort_by_key(|t| (met.areas[*t], *t));
    let mut groups: Vec<Group> = order.into_iter().map(|t| (t, vec![t])).collect();
    let near: Vec<Vec<bool>> =
        tones.iter().map(|a| tones.iter().map(|b| alike(a, b)).collect()).collect();
    // What runs together first, so that a run is judged as one: its ends are far from each other, but each step is near
    // to the next.
    join(&mut groups, |small, large| {
        let ((a, members), (b, others)) = (small, large);
        let runs = |m: &usize| -> f64 {
            others.iter().filter(|o| near[*m][**o]).map(|o| met.soft[*m][*o]).sum()
        };
        let soft = members.iter().map(runs).fold(0.0, f64::max);
        // Another flat may have the colour of this one's shadow: then most of it runs into something else.
        let fits = may_be(&tones[*b], &tones[*a]) || near[*a][*b];
        (soft >= SOFT && fits && met.runs_with(panels, *a, *b)).then_some(soft)
    });
    groups
}

/// Share of a tone's meetings that are soft from which it is part of a run.
const SOFT: f64 = 0.2;

pub(crate) fn alike(a: &Tone, b: &Tone) -> bool {
    ciede2000(a.lab, b.lab) <= RUN
}

/// The base of a run and all its tones.
pub(crate) type Group = (usize, Vec<usize>);

/// Joins the smaller of two groups to the larger, where that is best, until nothing more joins. Groups stand by the area
/// of their base, smallest first.
fn join(groups: &mut Vec<Group>, fits: impl Fn(&Group, &Group) -> Option<f64>) {
    let mut at = 0;
    let mut joined = false;
    while at < groups.len() {
        let best = (at + 1..groups.len())
            .filter_map(|to| Some((to, fits(&groups[at], &groups[to])?)))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((to, _)) = best {
            let (_, members) = groups.remove(at);
            groups[to - 1].1.extend(members);
            joined = true;
        } else {
            at += 1;
        }
        if at >= groups.len() && joined {
            (at, joined) = (0, false);
        }
    }
}
