//! All units in the book, one after the other by what matters most, then pushed late and early again.
//!
//! The first pass is list scheduling: of all units whose forerunners stand, the one that matters
//! most takes its earliest place, in holes too. Then the plan is pushed to the right (time runs
//! backwards, who ends last goes first) and to the left again (who starts first goes first); that
//! mends most of what the list got wrong, and is kept when it ends earlier. Li and Willis, "An
//! iterative scheduling technique for resource-constrained project scheduling", European Journal
//! of Operational Research 56 (1992), describe the method (from memory).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::ask::Ask;
use crate::book::{Book, Limits};
use crate::clock::{DAY, minutes};
use crate::job::JobKind;
use crate::place::Placed;
use crate::timetable::WhyUnplaced;
use crate::unit::{Apart, Unit, forerunners_first};
use crate::windows::{Window, Within, mirrored, windows};

/// How often a plan is pushed late and early again.
const PUSHES: usize = 2;
/// Later than a date by more than one part in so many of the whole time: not worth a push.
const FAR: i32 = 6;

/// Units on the clock, or why not.
#[derive(Debug, Clone)]
pub(crate) struct Schedule {
    pub(crate) placed: Vec<Result<Placed, WhyUnplaced>>,
}

impl Schedule {
    /// When the last placed unit is done.
    pub(crate) fn finish(&self) -> Option<i32> {
        self.placed.iter().flatten().map(Placed::end).max()
    }

    /// Whether every unit is done by then.
    pub(crate) fn done_by(&self, deadline: i32) -> bool {
        self.placed.iter().all(|placed| placed.as_ref().is_ok_and(|p| p.end() <= deadline))
    }

    /// The placed units, who ends last first.
    fn last_first(&self) -> Vec<usize> {
        let end = |unit: usize| self.placed[unit].as_ref().ok().map(Placed::end);
        let mut order: Vec<usize> =
            (0..self.placed.len()).filter(|&unit| end(unit).is_some()).collect();
        order.sort_by_key(|&unit| Reverse((end(unit), unit)));
        order
    }

    fn missing(&self) -> usize {
        self.placed.iter().filter(|placed| placed.is_err()).count()
    }
}

/// The planner for one ask.
pub(crate) struct Planner<'a> {
    ask: &'a Ask,
    pub(crate) units: &'a [Unit],
    limits: Limits,
    windows: Vec<Window>,
}

impl<'a> Planner<'a> {
    pub(crate) fn new(ask: &'a Ask, units: &'a [Unit]) -> Self {
        Self { ask, units, limits: Limits::of(ask), windows: windows(ask) }
    }

    /// The best plan found; `enough` ends the search as soon as everything is done by then.
    pub(crate) fn plan(&self, enough: Option<i32>) -> Schedule {
        let hopeless = self.hopeless();
        let mut best = self.forwards(&hopeless, &self.ranks());
        for _ in 0..PUSHES {
            let Some(finish) = best.finish() else { break };
            // A push saves a tenth of the time or so; it never mends a plan that is far too long.
            let far = |deadline: i32| finish - deadline > finish / FAR;
            if enough.is_some_and(|deadline| best.done_by(deadline) || far(deadline)) {
                break;
            }
            let Some(late) = self.late(&best, finish) else { break };
            let again = self.forwards(&hopeless, &late);
            let quality = |plan: &Schedule| (plan.missing(), plan.finish());
            if quality(&again) >= quality(&best) {
                break;
            }
            best = again;
        }
        best
    }

    /// A plan in which some units stand where they are told to, and the others in the order of what matters.
    pub(crate) fn around(&self, standing: Vec<Option<Placed>>) -> Schedule {
        self.forwards_around(&self.hopeless(), &self.ranks(), standing)
    }

    /// The latest start of each placed unit when all are done by `deadline`: planned anew from the
    /// end, or when that finds no room, each pushed as late as the others let it. Units without a
    /// place get the deadline; none when the plan itself is not done by then.
    pub(crate) fn late(&self, plan: &Schedule, deadline: i32) -> Option<Vec<i32>> {
        if plan.finish()? > deadline {
            return None;
        }
        let units: Vec<Unit> = self.units.iter().map(Unit::mirrored).collect();
        self.late_anew(plan, &units, deadline).or_else(|| Some(self.pushed(plan, &units, deadline)))
    }

    fn backwards(&self, deadline: i32) -> Book {
        Book::new(self.limits.clone(), mirrored(&self.windows, deadline), true)
    }

    fn late_anew(&self, plan: &Schedule, units: &[Unit], deadline: i32) -> Option<Vec<i32>> {
        let mut book = self.backwards(deadline);
        let mut done = vec![0; units.len()];
        for unit in plan.last_first() {
            let behind = units[unit].before.iter().map(|&other| done[other]).max().unwrap_or(0);
            let there = book.place(unit, &units[unit], behind)?;
            done[unit] = there.end();
            if deadline - done[unit] < self.units[unit].release {
                return None;
            }
        }
        Some(done.into_iter().map(|end| deadline - end).collect())
    }

    /// Each unit taken out of the standing plan and put back as late as may be, who ends last
    /// first. Its old place is still free then, so this always ends in a plan. Washing stays where
    /// it was, needed or not: others may rely on it.
    fn pushed(&self, plan: &Schedule, units: &[Unit], deadline: i32) -> Vec<i32> {
        let mut book = self.backwards(deadline);
        let days = book.windows.len();
        let mut stands: Vec<Option<Placed>> = plan
            .placed
            .iter()
            .map(|placed| placed.as_ref().ok().map(|placed| placed.mirrored(deadline, days)))
            .collect();
        for (unit, placed) in stands.iter_mut().enumerate() {
            if let Some(placed) = placed {
                book.write_placed(unit, &units[unit], placed);
                book.keep_washes(placed);
            }
        }
        let end = |placed: &Option<Placed>| placed.as_ref().map_or(0, Placed::end);
        for unit in plan.last_first() {
            let Some(old) = stands[unit].take() else { continue };
            let before = units[unit].before.iter().map(|&other| end(&stands[other]));
            let behind = before.max().unwrap_or(0);
            book.forget(unit, &units[unit], &old);
            stands[unit] = match book.place(unit, &units[unit], behind) {
                Some(new) if new.end() <= old.end() => Some(new),
                other => {
                    if let Some(new) = other {
                        book.forget(unit, &units[unit], &new);
                    }
                    book.write_placed(unit, &units[unit], &old);
                    Some(old)
                }
            };
        }
        stands.iter().map(|placed| deadline - end(placed)).collect()
    }

    /// Places the units in the order of their ranks, smallest first, as forerunners allow.
    fn forwards(&self, hopeless: &[Option<WhyUnplaced>], ranks: &[i32]) -> Schedule {
        self.forwards_around(hopeless, ranks, vec![None; self.units.len()])
    }

    /// The same around units that stand already.
    fn forwards_around(
        &self,
        hopeless: &[Option<WhyUnplaced>],
        ranks: &[i32],
        standing: Vec<Option<Placed>>,
    ) -> Schedule {
        let mut book = Book::new(self.limits.clone(), self.windows.clone(), false);
        for (index, there) in standing.iter().enumerate() {
            if let Some(there) = there {
                book.write_placed(index, &self.units[index], there);
                book.keep_washes(there);
            }
        }
        let mut placed: Vec<Option<Result<Placed, WhyUnplaced>>> =
            standing.into_iter().map(|there| there.map(Ok)).collect();
        let stands: Vec<bool> = placed.iter().map(Option::is_some).collect();
        let open = |unit: &Unit| unit.before.iter().filter(|&&other| !stands[other]).count();
        let mut waiting: Vec<usize> = self.units.iter().map(open).collect();
        let ready = (0..self.units.len()).filter(|&unit| waiting[unit] == 0 && !stands[unit]);
        let mut ready: BinaryHeap<Reverse<(i32, usize)>> =
            ready.map(|unit| Reverse((ranks[unit], unit))).collect();
        while let Some(Reverse((_, index))) = ready.pop() {
            let unit = &self.units[index];
            let mut from = Ok(unit.release);
            for &earlier in &unit.before {
                from = match (&placed[earlier], from) {
                    (Some(Ok(there)), Ok(from)) => Ok(from.max(there.end())),
                    (_, Err(why)) => Err(why),
                    _ => Err(WhyUnplaced::WaitsFor { job: self.units[earlier].members[0] }),
                };
            }
            let from = hopeless[index].clone().map_or(from, Err);
            placed[index] = Some(
                from.and_then(|from| book.place(index, unit, from).ok_or(WhyUnplaced::NoRoom)),
            );
            for &later in &unit.behind {
                if stands[later] {
                    continue;
                }
                waiting[later] -= 1;
                if waiting[later] == 0 {
                    ready.push(Reverse((ranks[later], later)));
                }
            }
        }
        let none = || Err(WhyUnplaced::NoRoom);
        Schedule { placed: placed.into_iter().map(|there| there.unwrap_or_else(none)).collect() }
    }

    /// Units that would have no place in an empty kitchen, with the reason.
    fn hopeless(&self) -> Vec<Option<WhyUnplaced>> {
        let mut empty = Book::new(self.limits.clone(), self.windows.clone(), false);
        self.units.iter().map(|unit| self.never_fits(&mut empty, unit)).collect()
    }

    fn never_fits(&self, empty: &mut Book, unit: &Unit) -> Option<WhyUnplaced> {
        let steps = || unit.blocks.iter().flat_map(|block| &block.steps);
        if self.limits.burners == 0 && steps().any(|step| step.burner) {
            return Some(WhyUnplaced::NoBurner);
        }
        if self.limits.sinks == 0 && steps().any(|step| step.sink.is_some()) {
            return Some(WhyUnplaced::NoSink);
        }
        if steps().any(|step| step.drying > self.limits.drying) {
            return Some(WhyUnplaced::NoDryingPlace);
        }
        let daylight = steps().any(|step| step.within == Within::Daylight);
        let within = if daylight { Within::Daylight } else { Within::Hours };
        let day = self.windows.first().map_or((0, 0), |window| window.span(within));
        let needs = crate::jars::longest_run(unit);
        if needs > day.1 - day.0 {
            return Some(WhyUnplaced::LongerThanADay {
                needs: minutes(needs),
                day: minutes(day.1 - day.0),
            });
        }
        // Nothing changes from one year to the next: what fits no day of the first does not fit.
        match empty.place(0, unit, unit.release) {
            None => Some(WhyUnplaced::NoFittingDays),
            Some(there) => {
                empty.forget(0, unit, &there);
                None
            }
        }
    }

    /// The order in which units are placed, as ranks: what tells the colour first, then worth, then
    /// like chemistry together, then who has the longest way to go, then pale before dark.
    fn ranks(&self) -> Vec<i32> {
        let units = self.units;
        let jobs = &self.ask.jobs;
        let apart = Apart::new(&self.ask.never_together);
        let mut tail = vec![0; units.len()];
        let mut worth: Vec<_> = units
            .iter()
            .map(|unit| unit.members.iter().map(|&job| jobs[job].worth).max())
            .collect();
        let mut tells: Vec<bool> = units
            .iter()
            .map(|unit| {
                let kinds = unit.members.iter().map(|&job| jobs[job].kind);
                kinds
                    .into_iter()
                    .any(|kind| matches!(kind, JobKind::Test | JobKind::Swatch | JobKind::Judge))
            })
            .collect();
        for &unit in forerunners_first(units).iter().rev() {
            for &later in &units[unit].behind {
                tail[unit] = tail[unit].max(tail[later]);
                worth[unit] = worth[unit].max(worth[later]);
                tells[unit] |= tells[later];
            }
            tail[unit] += units[unit].length();
        }
        let mut order: Vec<usize> = (0..units.len()).collect();
        order.sort_by(|&a, &b| {
            let key = |unit: usize| {
                (
                    !tells[unit],
                    Reverse(worth[unit]),
                    apart.dangerous(units[unit].families).order(),
                    Reverse(tail[unit] / DAY),
                )
            };
            key(a)
                .cmp(&key(b))
                .then(units[a].darkness.total_cmp(&units[b].darkness))
                .then(tail[b].cmp(&tail[a]))
                .then(a.cmp(&b))
        });
        let mut ranks = vec![0; units.len()];
        for (rank, unit) in (0..).zip(order) {
            ranks[unit] = rank;
        }
        ranks
    }
}
