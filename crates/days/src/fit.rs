//! The earliest place of one block in the book, with the washing that must go before or after it.

use crate::book::{Book, PotUse, SinkUse, Tag, Taken};
use crate::clock::on_grid;
use crate::timetable::{WashReason, Washed};
use crate::unit::{Block, Families, Hands, Unit, What};
use crate::windows::Within;

/// Where a block can stand.
#[derive(Debug, Clone)]
pub(crate) struct Fit {
    pub(crate) start: i32,
    pub(crate) end: i32,
    /// For each step the day of its hours; none for what needs no hours.
    pub(crate) days: Vec<Option<usize>>,
    pub(crate) sink: Option<usize>,
    pub(crate) washes: Vec<PlacedWash>,
}

/// A rinse or a scrub with its time.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PlacedWash {
    pub(crate) what: Washed,
    pub(crate) why: WashReason,
    pub(crate) from: i32,
    pub(crate) to: i32,
    pub(crate) day: usize,
}

/// No later minute helps.
const NEVER: i32 = i32::MAX;
const FULL: Hands = Hands::Full { powder: false, eyes: false };

/// One block of one unit, to be fitted.
#[derive(Clone, Copy)]
pub(crate) struct Wanted<'a> {
    pub(crate) unit: &'a Unit,
    pub(crate) block: &'a Block,
    pub(crate) tag: Tag,
}

impl Book {
    /// The earliest place not before `from`; none when there is none as far as the plan looks.
    pub(crate) fn fit(&self, wanted: Wanted<'_>, from: i32) -> Option<Fit> {
        // After the last hours there are nobody can wash anything any more.
        let last = self.windows.last()?.end;
        let mut at = on_grid(from, self.anchor());
        while at <= last {
            match self.fit_at(wanted, at) {
                Ok(fit) => return Some(fit),
                Err(NEVER) => return None,
                Err(next) => at = on_grid(next.max(at + 1), self.anchor()),
            }
        }
        None
    }

    /// Whether a block can begin at `at`; if not, a minute before which it cannot.
    fn fit_at(&self, wanted: Wanted<'_>, at: i32) -> Result<Fit, i32> {
        let days = self.days(wanted.block, at)?;
        for (step, day) in wanted.block.steps.iter().zip(&days) {
            let (from, to) = (at + step.at, at + step.at + step.length);
            let back = |free_at: i32| free_at.saturating_sub(step.at);
            if let Some(day) = *day {
                if step.hands != Hands::None {
                    self.people_free(day, (from, to), step.hands, &[]).map_err(back)?;
                }
                if step.burner {
                    self.burner_free(day, from, to).map_err(back)?;
                }
            }
            if step.drying > 0 {
                self.drying_free(from, to, step.drying).map_err(back)?;
            }
        }
        if let (Some(pot), Some((from, to))) = (wanted.unit.pot, wanted.block.in_pot) {
            self.pot_free(pot, at + from, at + to).map_err(|free_at| free_at - from)?;
        }
        let own: Vec<(i32, i32, Hands)> = wanted
            .block
            .steps
            .iter()
            .filter(|step| step.hands != Hands::None)
            .map(|step| (at + step.at, at + step.at + step.length, step.hands))
            .collect();
        let mut fit =
            Fit { start: at, end: at + wanted.block.length, days, sink: None, washes: Vec::new() };
        self.scrubs(wanted, &mut fit, &own).ok_or(at + 1)?;
        self.choose_sink(wanted, &mut fit, &own)?;
        Ok(fit)
    }

    fn days(&self, block: &Block, at: i32) -> Result<Vec<Option<usize>>, i32> {
        let day = |step: &crate::unit::Step| {
            if step.within == Within::Anytime {
                return Ok(None);
            }
            let (from, to) = (at + step.at, at + step.at + step.length);
            let (day, opens, closes) = self.window(step.within, from).ok_or(NEVER)?;
            if from < opens {
                return Err(opens - step.at);
            }
            if to > closes {
                let (_, opens, _) = self.window(step.within, closes).ok_or(NEVER)?;
                return Err(opens - step.at);
            }
            Ok(Some(day))
        };
        block.steps.iter().map(day).collect()
    }

    /// The sink that asks for the fewest rinses.
    fn choose_sink(
        &self,
        wanted: Wanted<'_>,
        fit: &mut Fit,
        own: &[(i32, i32, Hands)],
    ) -> Result<(), i32> {
        if wanted.block.steps.iter().all(|step| step.sink.is_none()) {
            return Ok(());
        }
        let mut best: Option<(usize, Vec<PlacedWash>)> = None;
        let mut next = NEVER;
        for sink in 0..self.limits.sinks {
            match self.rinses(wanted, fit, own, sink) {
                Ok(rinses) => {
                    if best.as_ref().is_none_or(|(_, fewest)| rinses.len() < fewest.len()) {
                        best = Some((sink, rinses));
                    }
                }
                Err(free_at) => next = next.min(free_at),
            }
        }
        let (sink, rinses) = best.ok_or(next)?;
        fit.sink = Some(sink);
        fit.washes.extend(rinses);
        Ok(())
    }

    /// The rinses one sink would need.
    fn rinses(
        &self,
        wanted: Wanted<'_>,
        fit: &Fit,
        own: &[(i32, i32, Hands)],
        sink: usize,
    ) -> Result<Vec<PlacedWash>, i32> {
        let mine: Vec<(usize, i32, i32, SinkUse)> = sink_uses(wanted.block, fit).collect();
        for &(day, from, to, _) in &mine {
            let taken = self.sinks[day][sink].iter().find(|taken| taken.overlaps(from, to));
            if let Some(taken) = taken {
                return Err(fit.start + taken.to - from);
            }
        }
        let mut washes: Vec<PlacedWash> = Vec::new();
        let mut days: Vec<usize> = mine.iter().map(|&(day, ..)| day).collect();
        days.dedup();
        for day in days {
            let written = self.sinks[day][sink].iter().map(|t| (t.from, t.to, t.by));
            let here = mine.iter().filter(|&&(on, ..)| on == day);
            let mut line: Vec<(i32, i32, SinkUse)> =
                written.chain(here.map(|&(_, from, to, by)| (from, to, by))).collect();
            line.sort_by_key(|&(from, to, _)| (from, to));
            while let Some((before, after, reason)) = self.first_meeting(&line) {
                let (length, busy) = (self.limits.sink_rinse, people_of(own, fit, &washes));
                let free = |from: i32, to: i32| {
                    line.iter().all(|&(start, end, _)| end <= from || to <= start)
                        && self.people_free(day, (from, to), FULL, &busy).is_ok()
                };
                let (from, to) =
                    self.spot(day, (before, after), length, fit, free).ok_or(fit.start + 1)?;
                let what = Washed::Sink(sink);
                washes.push(PlacedWash { what, why: reason, from, to, day });
                let at = line.partition_point(|&(start, _, _)| start < to);
                line.insert(at, (from, to, SinkUse::Rinsed));
            }
        }
        Ok(washes)
    }

    /// The first time on a sink's day that something meets what it must not: from the end of the
    /// one to the beginning of the other.
    fn first_meeting(&self, line: &[(i32, i32, SinkUse)]) -> Option<(i32, i32, WashReason)> {
        line.iter().enumerate().find_map(|(index, &(from, _, by))| {
            let SinkUse::Drains(families) = by else { return None };
            let dirty = line[..index].iter().rev().map_while(|&(_, to, by)| match by {
                SinkUse::Drains(families) => Some((to, families)),
                SinkUse::Rinsed => None,
            });
            dirty
                .into_iter()
                .find_map(|(to, earlier)| Some((to, from, self.never_together(earlier, families)?)))
        })
    }

    fn never_together(&self, earlier: Families, later: Families) -> Option<WashReason> {
        let (one, other) = self.limits.apart.meets(earlier, later)?;
        let (one, other) = if self.backwards { (other, one) } else { (one, other) };
        Some(WashReason::NeverTogether(one, other))
    }

    /// Adds the scrubbing of the pot before and after the block; none when there is no time for it.
    fn scrubs(&self, wanted: Wanted<'_>, fit: &mut Fit, own: &[(i32, i32, Hands)]) -> Option<()> {
        let (Some(pot), Some((first, last)), false) =
            (wanted.unit.pot, wanted.block.in_pot, wanted.unit.jars)
        else {
            return Some(());
        };
        let (from, to) = (fit.start + first, fit.start + last);
        let line = &self.pots[pot];
        let middle = line.partition_point(|taken| taken.from < from);
        // A scrubbed pot is clean, and jars neither dirty it nor mind.
        let bath = |taken: &Taken<PotUse>| match taken.by {
            PotUse::Jars => None,
            PotUse::Scrubbed => Some(None),
            PotUse::Bath { darkness, families } => Some(
                (taken.tag.0 != wanted.tag.0).then_some((taken.from, taken.to, darkness, families)),
            ),
        };
        let earlier = line[..middle].iter().rev().find_map(bath).flatten();
        let later = line[middle..].iter().find_map(bath).flatten();
        let (darkness, families) = (wanted.unit.darkness, wanted.unit.families);
        let needs = [
            earlier.and_then(|(_, end, dark, fam)| {
                Some((end, from, self.unclean((dark, fam), (darkness, families))?))
            }),
            later.and_then(|(start, _, dark, fam)| {
                Some((to, start, self.unclean((darkness, families), (dark, fam))?))
            }),
        ];
        for (before, after, why) in needs.into_iter().flatten() {
            let busy = people_of(own, fit, &[]);
            let day_of = |at: i32| self.window(Within::Hours, at).map(|(day, ..)| day);
            let days = [day_of(before), day_of(after - self.limits.scrub)];
            let found = days.into_iter().flatten().find_map(|day| {
                let free = |start: i32, end: i32| {
                    self.pot_free(pot, start, end).is_ok()
                        && self.people_free(day, (start, end), FULL, &busy).is_ok()
                };
                let spot = self.spot(day, (before, after), self.limits.scrub, fit, free);
                spot.map(|(start, end)| (day, start, end))
            });
            let (day, start, end) = found?;
            let what = Washed::Pot(pot);
            fit.washes.push(PlacedWash { what, why, from: start, to: end, day });
        }
        Some(())
    }

    /// Why a pot must be scrubbed between two baths, given in the book's order of time.
    fn unclean(&self, first: (f64, Families), second: (f64, Families)) -> Option<WashReason> {
        let reason = self.never_together(first.1, second.1);
        let (dark, pale) = if self.backwards { (second.0, first.0) } else { (first.0, second.0) };
        reason.or((dark > pale + self.limits.scrub_above).then_some(WashReason::DarkToPale))
    }

    /// A free spot of that length between two moments on a day: as near to the block as may be,
    /// or straight after what made it dirty, or before what minds.
    fn spot(
        &self,
        day: usize,
        (before, after): (i32, i32),
        length: i32,
        fit: &Fit,
        free: impl Fn(i32, i32) -> bool,
    ) -> Option<(i32, i32)> {
        let window = self.windows[day];
        let begins = [
            after - length,
            before,
            fit.start - length,
            fit.end,
            window.start,
            window.end - length,
        ];
        begins.into_iter().map(|from| (from, from + length)).find(|&(from, to)| {
            before <= from
                && to <= after
                && window.start <= from
                && to <= window.end
                && free(from, to)
        })
    }

    /// Writes a block down where it fits.
    pub(crate) fn write(&mut self, wanted: Wanted<'_>, fit: &Fit) {
        let tag = wanted.tag;
        for (step, day) in wanted.block.steps.iter().zip(&fit.days) {
            let (from, to) = (fit.start + step.at, fit.start + step.at + step.length);
            if let Some(day) = *day {
                if step.hands != Hands::None {
                    self.hands[day].push(Taken { from, to, tag, by: step.hands });
                }
                if step.burner {
                    self.burners[day].push(Taken { from, to, tag, by: () });
                }
            }
            if step.drying > 0 {
                self.write_drying(Taken { from, to, tag, by: step.drying });
            }
        }
        if let Some(sink) = fit.sink {
            for (day, from, to, by) in sink_uses(wanted.block, fit) {
                self.sinks[day][sink].push(Taken { from, to, tag, by });
            }
        }
        if let (Some(pot), Some((from, to))) = (wanted.unit.pot, wanted.block.in_pot) {
            let by = pot_use(wanted.unit);
            self.write_pot(pot, Taken { from: fit.start + from, to: fit.start + to, tag, by });
        }
        for wash in &fit.washes {
            self.write_wash(tag, wash);
        }
    }

    pub(crate) fn write_wash(&mut self, tag: Tag, wash: &PlacedWash) {
        let (from, to) = (wash.from, wash.to);
        self.hands[wash.day].push(Taken { from, to, tag, by: FULL });
        match wash.what {
            Washed::Sink(sink) => {
                self.sinks[wash.day][sink].push(Taken { from, to, tag, by: SinkUse::Rinsed });
            }
            Washed::Pot(pot) => {
                self.write_pot(pot, Taken { from, to, tag, by: PotUse::Scrubbed });
            }
        }
    }
}

/// What a unit's goods are in a pot.
pub(crate) const fn pot_use(unit: &Unit) -> PotUse {
    if unit.jars {
        PotUse::Jars
    } else {
        PotUse::Bath { darkness: unit.darkness, families: unit.families }
    }
}

fn sink_uses(block: &Block, fit: &Fit) -> impl Iterator<Item = (usize, i32, i32, SinkUse)> {
    block.steps.iter().zip(&fit.days).filter_map(move |(step, day)| {
        let by = match step.what {
            What::Rinse(..) => SinkUse::Rinsed,
            What::Stage(_) | What::Drying => SinkUse::Drains(step.sink?),
        };
        let from = fit.start + step.at;
        Some(((*day)?, from, from + step.length, by))
    })
}

/// The people a block keeps busy: its own steps, the washing already found, and `more` of it.
fn people_of(own: &[(i32, i32, Hands)], fit: &Fit, more: &[PlacedWash]) -> Vec<(i32, i32, Hands)> {
    let washes = fit.washes.iter().chain(more).map(|wash| (wash.from, wash.to, FULL));
    own.iter().copied().chain(washes).collect()
}
