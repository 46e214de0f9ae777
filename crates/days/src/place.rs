//! A whole unit in the book: its blocks one after the other, with what may lie between.

use crate::book::{Book, Tag, Taken};
use crate::fit::{Fit, PlacedWash, Wanted, pot_use};
use crate::unit::Unit;

/// Where a unit stands.
#[derive(Debug, Clone)]
pub(crate) struct Placed {
    pub(crate) fits: Vec<Fit>,
}

impl Placed {
    pub(crate) fn start(&self) -> i32 {
        self.fits.first().map_or(0, |fit| fit.start)
    }

    pub(crate) fn end(&self) -> i32 {
        self.fits.last().map_or(0, |fit| fit.end)
    }
}

impl Placed {
    /// The same place with time running backwards from `pivot`, when so many days' hours begin
    /// before it.
    pub(crate) fn mirrored(&self, pivot: i32, days: usize) -> Self {
        let day = |day: usize| days.saturating_sub(day + 1);
        let turn = |fit: &Fit| Fit {
            start: pivot - fit.end,
            end: pivot - fit.start,
            days: fit.days.iter().rev().map(|it| it.map(day)).collect(),
            sink: fit.sink,
            washes: fit
                .washes
                .iter()
                .map(|wash| PlacedWash {
                    from: pivot - wash.to,
                    to: pivot - wash.from,
                    day: day(wash.day),
                    ..*wash
                })
                .collect(),
        };
        Self { fits: self.fits.iter().rev().map(turn).collect() }
    }
}

impl Book {
    /// Writes a unit down where it is known to stand, without its washing.
    pub(crate) fn write_placed(&mut self, index: usize, unit: &Unit, placed: &Placed) {
        for (at, (block, fit)) in unit.blocks.iter().zip(&placed.fits).enumerate() {
            let dry = Fit { washes: Vec::new(), ..fit.clone() };
            self.write(Wanted { unit, block, tag: (index, at) }, &dry);
            if let Some(last) = at.checked_sub(1) {
                self.hold_pot(unit, (index, at), placed.fits[last].end, fit.start);
            }
        }
    }

    /// Writes the washing of a placed unit down for good.
    pub(crate) fn keep_washes(&mut self, placed: &Placed) {
        for wash in placed.fits.iter().flat_map(|fit| &fit.washes) {
            self.write_wash((usize::MAX, 0), wash);
        }
    }

    /// The pot is held between block `tag.1` and the one before it, when goods stay in it.
    fn hold_pot(&mut self, unit: &Unit, tag: Tag, from: i32, to: i32) {
        if let Some(pot) = unit.pot
            && unit.gaps[tag.1 - 1].holds_pot
            && to > from
        {
            self.write_pot(pot, Taken { from, to, tag, by: pot_use(unit) });
        }
    }

    /// Writes a unit down at its earliest place not before `from`; none, and nothing written, when
    /// there is no such place.
    ///
    /// Block by block, each at its earliest. When the hold between two of them would become too
    /// long, or the pot is taken meanwhile, the earlier one moves on just as far as that asks for:
    /// a later start never lets the next block begin earlier, so nothing is missed by that.
    pub(crate) fn place(&mut self, index: usize, unit: &Unit, from: i32) -> Option<Placed> {
        let mut fits: Vec<Fit> = Vec::new();
        let mut not_before = vec![from; unit.blocks.len()];
        while let Some(block) = unit.blocks.get(fits.len()) {
            let at = fits.len();
            let wanted = Wanted { unit, block, tag: (index, at) };
            let earliest = fits.last().map_or(from, |fit| fit.end).max(not_before[at]);
            let Some(fit) = self.fit(wanted, earliest) else {
                while let Some(last) = fits.pop() {
                    self.strike_block(index, unit, fits.len(), &last);
                }
                return None;
            };
            if let Some(last) = fits.last() {
                let gap = unit.gaps[at - 1];
                let over = gap.most.map_or(0, |most| fit.start - last.end - most);
                let taken = match unit.pot {
                    Some(pot) if gap.holds_pot && fit.start > last.end => {
                        self.pot_free(pot, last.end, fit.start).err()
                    }
                    _ => None,
                };
                let earlier = if over > 0 {
                    Some(last.start + over)
                } else {
                    taken.map(|free_at| last.start + (free_at - last.end).max(1))
                };
                if let Some(earlier) = earlier
                    && let Some(last) = fits.pop()
                {
                    self.strike_block(index, unit, at - 1, &last);
                    not_before[at - 1] = earlier;
                    not_before[at] = from;
                    continue;
                }
            }
            self.write(wanted, &fit);
            if let Some(last) = fits.last() {
                self.hold_pot(unit, (index, at), last.end, fit.start);
            }
            fits.push(fit);
        }
        Some(Placed { fits })
    }

    /// Takes a placed unit out again.
    pub(crate) fn forget(&mut self, index: usize, unit: &Unit, placed: &Placed) {
        for (block, fit) in placed.fits.iter().enumerate() {
            self.strike_block(index, unit, block, fit);
        }
    }

    fn strike_block(&mut self, index: usize, unit: &Unit, block: usize, fit: &Fit) {
        let washed = fit.washes.iter().map(|wash| wash.day);
        let mut days: Vec<usize> = fit.days.iter().flatten().copied().chain(washed).collect();
        days.sort_unstable();
        days.dedup();
        self.strike((index, block), unit, &days);
    }
}
