//! Which tones are flats and which are shades of them, decided panel by panel.
//!
//! A panel is what hangs together without a line and may be one colour in more or less light. In each its largest tone
//! is the base. A tone that is the base of enough panels is a flat; in the others the same tone may be the shade of
//! another flat, for one drawing's shadow is often another's cloth.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use colour::ciede2000;

use super::families::{Doubt, Family, Group, Met, Shaded, alike};
use super::panels::Panels;
use super::shading::{is_modest, may_be};
use super::tones::Tone;

/// Fewest meetings that make a touch.
const MEETINGS: u32 = 3;
/// Share of the meetings of one of two parts from which they touch.
const SIDE: f64 = 0.15;
/// Share of a tone's area that is base from which it is a flat.
const MOSTLY: f64 = 0.5;
/// Lesser share of its area, and share of the picture, from which it is a flat as well, and asked about.
const ALONE: [f64; 2] = [0.2, 2e-3];
/// Area of another tone, as a share of the base's, from which it may be the base instead: darker; lighter; in a run.
const RIVAL: [f64; 3] = [0.8, 0.5, 0.7];
/// ΔE00 up to which something on the ground is a blot or a shade of it.
const BLOT: f64 = 14.0;
/// Area of a gleam, in tenths of its base's, at most.
const GLEAM: usize = 3;
/// Share of its direct meetings that a shade has within its panels; below it is asked about.
const OWN: f64 = 0.45;

/// What was decided.
pub(crate) struct Settled<'a> {
    groups: &'a [Group],
    tones: &'a [Tone],
    panels: &'a Panels,
    /// Group of each tone.
    of_tone: Vec<usize>,
    /// Panel of each part.
    panel: Vec<usize>,
    /// Parts that each part touches within its panel.
    beside: Vec<Vec<usize>>,
    /// Parts of each panel, by group.
    inside: Vec<BTreeMap<usize, Vec<usize>>>,
    is_flat: Vec<bool>,
    doubts: Vec<Vec<Doubt>>,
    /// By group: the flat that it shades most.
    mostly_of: Vec<Option<usize>>,
}

impl<'a> Settled<'a> {
    pub(crate) fn of(
        groups: &'a [Group],
        tones: &'a [Tone],
        panels: &'a Panels,
        met: &Met,
    ) -> Self {
        let mut of_tone = vec![usize::MAX; tones.len()];
        for (g, (_, members)) in groups.iter().enumerate() {
            members.iter().for_each(|t| of_tone[*t] = g);
        }
        let mut this = Self {
            groups,
            tones,
            panels,
            of_tone,
            panel: vec![],
            beside: vec![vec![]; met.of.len()],
            inside: vec![],
            is_flat: vec![false; groups.len()],
            doubts: vec![vec![]; groups.len()],
            mostly_of: vec![None; groups.len()],
        };
        this.gather(met);
        this.decide(met);
        this
    }

    fn area(&self, parts: &[usize]) -> usize {
        self.panels.area(parts)
    }

    fn fits(&self, base: usize, shade: usize) -> bool {
        may_be(&self.tones[self.groups[base].0], &self.tones[self.groups[shade].0])
    }

    /// Finds the panels.
    fn gather(&mut self, met: &Met) {
        let all = |p: usize| met.of[p].iter().map(|(_, d, _, l)| d + l).sum::<u32>();
        for (part, touching) in met.of.iter().enumerate() {
            let group = self.group_of(part);
            for (other, direct, soft, _) in touching {
                let g = self.group_of(*other);
                let touch = *direct >= MEETINGS
                    && f64::from(*direct) >= SIDE * f64::from(all(part).min(all(*other)));
                let fits = g == group || self.fits(group, g) || self.fits(g, group);
                if fits && (touch || (g == group && *soft > 0)) {
                    self.beside[part].push(*other);
                }
            }
        }
        self.panel = vec![usize::MAX; met.of.len()];
        for from in 0..met.of.len() {
            if self.panel[from] != usize::MAX {
                continue;
            }
            let mut own: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
            let mut todo = vec![from];
            self.panel[from] = self.inside.len();
            while let Some(part) = todo.pop() {
                own.entry(self.group_of(part)).or_default().push(part);
                for other in &self.beside[part] {
                    if self.panel[*other] == usize::MAX {
                        self.panel[*other] = self.inside.len();
                        todo.push(*other);
                    }
                }
            }
            self.inside.push(own);
        }
    }

    fn group_of(&self, part: usize) -> usize {
        self.of_tone[self.panels.parts[part].tone]
    }

    /// Every part of a panel with the group that is its base there; bases may be those of `only`.
    ///
    /// From a base its shades are reached darker and darker, or lighter and lighter: what lies beyond another's shadow
    /// is that other's.
    fn under(
        &self,
        own: &BTreeMap<usize, Vec<usize>>,
        only: Option<&[bool]>,
    ) -> Vec<(usize, usize)> {
        let mut order: Vec<usize> = own.keys().copied().collect();
        order.sort_by_key(|g| std::cmp::Reverse(self.area(&own[g])));
        let mut of: BTreeMap<usize, usize> = BTreeMap::new();
        for base in order.iter().copied().filter(|g| only.is_none_or(|flats| flats[*g])) {
            // A gleam of nearly white is small; a white panel beside a black one is no gleam.
            let large = GLEAM * self.area(&own[&base]);
            // Nor is what stands on the ground a shade of it, if it is not near to it.
            let ground = self.panels.is_ground(&own[&base]);
            let is_panel = |g: usize| {
                let of = |g: usize| &self.tones[self.groups[g].0];
                !is_modest(of(base), of(g)) && 10 * self.area(&own[&g]) > large
                    || ground && ciede2000(of(base).lab, of(g).lab) > BLOT
            };
            let mine = own[&base].iter().copied().filter(|p| !of.contains_key(p));
            let mut todo: Vec<(usize, Ordering)> = mine.map(|p| (p, Ordering::Equal)).collect();
            of.extend(todo.iter().map(|(p, _)| (*p, base)));
            while let Some((part, way)) = todo.pop() {
                for other in &self.beside[part] {
                    let Some(way) = self.further(base, part, *other, way) else { continue };
                    let group = self.group_of(*other);
                    if !of.contains_key(other) && (group == base || !is_panel(group)) {
                        of.insert(*other, base);
                        todo.push((*other, way));
                    }
                }
            }
        }
        for (g, parts) in own {
            for part in parts {
                of.entry(*part).or_insert_with(|| self.mostly_of[*g].unwrap_or(*g));
            }
        }
        of.into_iter().collect()
    }

    /// Which way the light goes from one part to the next as shades of a base; none where the next is no shade of it.
    fn further(&self, base: usize, part: usize, next: usize, way: Ordering) -> Option<Ordering> {
        let group = self.group_of(next);
        if group == base || group == self.group_of(part) {
            return Some(way);
        }
        let light = |p: usize| self.tones[self.panels.parts[p].tone].lab.l;
        let goes = light(next).total_cmp(&light(part));
        (self.fits(base, group) && (way == Ordering::Equal || way == goes)).then_some(goes)
    }

    fn decide(&mut self, met: &Met) {
        let count = self.groups.len();
        let mut base = vec![0; count];
        let mut shade: Vec<BTreeMap<usize, usize>> = vec![BTreeMap::new(); count];
        for own in &self.inside {
            for (part, of) in self.under(own, None) {
                let (g, area) = (self.group_of(part), self.panels.parts[part].area);
                if g == of {
                    base[g] += area;
                } else {
                    *shade[g].entry(of).or_default() += area;
                }
            }
        }
        for g in 0..count {
            let all = base[g] + shade[g].values().sum::<usize>();
            #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
            let (own, all, pixels) = (base[g] as f64, all as f64, self.panels.pixels as f64);
            let mostly = own >= MOSTLY * all;
            let alone = own >= ALONE[0] * all && own >= ALONE[1] * pixels;
            self.mostly_of[g] = shade[g].iter().max_by_key(|(_, area)| **area).map(|(of, _)| *of);
            self.is_flat[g] = all > 0.0 && (mostly || alone);
            if let Some(of) = self.mostly_of[g].filter(|_| !mostly && alone) {
                self.doubts[g].push(Doubt::ShadeOf(self.groups[of].0));
            }
        }
        for g in (0..count).filter(|g| !self.is_flat[*g]).collect::<Vec<_>>() {
            let Some(of) = self.mostly_of[g] else { continue };
            if self.groups[g].1.len() == 1 && self.is_apart(self.groups[g].0, met) {
                self.doubts[g].push(Doubt::ShadeOf(self.groups[of].0));
            }
        }
    }

    /// Whether a shade borders directly on others more than on its own panel: then it may be a flat of its own in a
    /// drawing without lines.
    fn is_apart(&self, tone: usize, met: &Met) -> bool {
        let (mut with, mut all) = (0, 0);
        for part in &self.panels.of_tone[tone] {
            for (other, direct, ..) in &met.of[*part] {
                all += direct;
                with += if self.panel[*other] == self.panel[*part] { *direct } else { 0 };
            }
        }
        f64::from(with) < OWN * f64::from(all)
    }

    pub(crate) fn families(mut self) -> Vec<Family> {
        for g in 0..self.groups.len() {
            self.is_flat[g] |= !self.doubts[g].is_empty();
        }
        // A shade of what is a shade itself belongs to that one's flat.
        for g in 0..self.groups.len() {
            let mut of = self.mostly_of[g];
            for _ in 0..4 {
                of = of.and_then(|o| if self.is_flat[o] { Some(o) } else { self.mostly_of[o] });
            }
            self.mostly_of[g] = of.filter(|o| self.is_flat[*o] && *o != g);
        }
        let mut parts: Vec<BTreeMap<usize, Vec<usize>>> = vec![BTreeMap::new(); self.groups.len()];
        for own in &self.inside {
            for (part, of) in self.under(own, Some(&self.is_flat)) {
                let g = self.group_of(part);
                // Asked about: then all of it stands as a flat.
                let of = if self.is_flat[g] && !self.doubts[g].is_empty() { g } else { of };
                parts[of].entry(self.panels.parts[part].tone).or_default().push(part);
            }
        }
        let mut families = vec![];
        for (g, mut own) in parts.into_iter().enumerate() {
            let base = self.groups[g].0;
            let Some(mine) = own.remove(&base) else { continue };
            families.push(self.family(g, mine, own));
        }
        families
    }

    fn family(&self, g: usize, parts: Vec<usize>, shades: BTreeMap<usize, Vec<usize>>) -> Family {
        let base = self.groups[g].0;
        let own = self.area(&parts).max(1);
        let mut doubts = self.doubts[g].clone();
        let mut running = 0;
        for (tone, of) in &shades {
            let area = self.area(of);
            let soft = self.of_tone[*tone] == g;
            running += if soft { area } else { 0 };
            let limit = match () {
                () if soft => RIVAL[2],
                () if self.tones[*tone].lab.l < self.tones[base].lab.l => RIVAL[0],
                () => RIVAL[1],
            };
            #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
            let rival = area as f64 / own as f64;
            // What is a flat elsewhere is known by that; but where each of two is the other's shade somewhere, one cloth
            // in light and in shadow is as likely as two, and that is asked.
            let other = self.of_tone[*tone];
            let known = self.is_flat[other] && !soft;
            let mutual = known && self.mostly_of[g] == Some(other);
            let doubt = Doubt::ShadeOf(self.groups[other].0);
            if rival >= limit && mutual && !doubts.contains(&doubt) {
                doubts.push(doubt);
            }
            if rival >= limit && !known && !alike(&self.tones[*tone], &self.tones[base]) {
                doubts.push(Doubt::BaseMayBe(*tone));
            }
        }
        let shades: Vec<Shaded> =
            shades.into_iter().map(|(tone, parts)| Shaded { tone, parts }).collect();
        let area = own + shades.iter().map(|s| self.area(&s.parts)).sum::<usize>();
        let is_soft = running * 8 >= area && shades.len() > 1;
        Family { base, parts, shades, is_soft, doubts }
    }
}
