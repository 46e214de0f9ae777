//! The kitchen's book: what is taken when, by hands, burners, sinks, pots and drying places.

use crate::ask::Ask;
use crate::clock::whole;
use crate::unit::{Apart, Families, Hands, Unit};
use crate::windows::{Window, Within};

/// Whose entry it is: unit and block.
pub(crate) type Tag = (usize, usize);

/// The limits of the kitchen, in the planner's numbers.
#[derive(Debug, Clone)]
pub(crate) struct Limits {
    pub(crate) burners: usize,
    pub(crate) people: usize,
    pub(crate) heats: usize,
    pub(crate) beside: usize,
    pub(crate) sinks: usize,
    pub(crate) drying: usize,
    pub(crate) pots: usize,
    pub(crate) sink_rinse: i32,
    pub(crate) scrub: i32,
    pub(crate) scrub_above: f64,
    pub(crate) apart: Apart,
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct Taken<T> {
    pub(crate) from: i32,
    pub(crate) to: i32,
    pub(crate) tag: Tag,
    pub(crate) by: T,
}

impl<T> Taken<T> {
    pub(crate) const fn overlaps(&self, from: i32, to: i32) -> bool {
        self.from < to && from < self.to
    }
}

/// What a sink is used for.
#[derive(Debug, Clone, Copy)]
pub(crate) enum SinkUse {
    Drains(Families),
    Rinsed,
}

/// What a pot is used for.
#[derive(Debug, Clone, Copy)]
pub(crate) enum PotUse {
    Bath {
        darkness: f64,
        families: Families,
    },
    /// Clean water with jars in it.
    Jars,
    Scrubbed,
}

/// All that is taken.
#[derive(Debug, Clone)]
pub(crate) struct Book {
    pub(crate) limits: Limits,
    pub(crate) windows: Vec<Window>,
    /// Time runs backwards: what comes first is really later.
    pub(crate) backwards: bool,
    pub(crate) hands: Vec<Vec<Taken<Hands>>>,
    pub(crate) burners: Vec<Vec<Taken<()>>>,
    /// By window, then by sink.
    pub(crate) sinks: Vec<Vec<Vec<Taken<SinkUse>>>>,
    /// By pot, in order of time.
    pub(crate) pots: Vec<Vec<Taken<PotUse>>>,
    /// In order of time; by how many places.
    pub(crate) drying: Vec<Taken<usize>>,
    pub(crate) longest_drying: i32,
}

impl Limits {
    pub(crate) fn of(ask: &Ask) -> Self {
        let (kitchen, judgement) = (&ask.kitchen, &ask.judgement);
        Self {
            burners: kitchen.burners,
            people: kitchen.hands,
            heats: judgement.heats_a_person,
            beside: judgement.steady_beside.min(judgement.heats_a_person),
            sinks: kitchen.sinks,
            drying: kitchen.drying,
            pots: kitchen.pots.len(),
            sink_rinse: whole(judgement.sink_rinse),
            scrub: whole(judgement.scrub),
            scrub_above: judgement.scrub_above.to_fraction(),
            apart: Apart::new(&ask.never_together),
        }
    }
}

impl Book {
    pub(crate) fn new(limits: Limits, windows: Vec<Window>, backwards: bool) -> Self {
        let days = windows.len();
        Self {
            hands: vec![Vec::new(); days],
            burners: vec![Vec::new(); days],
            sinks: vec![vec![Vec::new(); limits.sinks]; days],
            pots: vec![Vec::new(); limits.pots],
            drying: Vec::new(),
            longest_drying: 0,
            limits,
            windows,
            backwards,
        }
    }

    /// The minute the grid of starts goes through.
    pub(crate) fn anchor(&self) -> i32 {
        self.windows.first().map_or(0, |window| window.start)
    }

    /// The first window that is not over at `at`, with its hours.
    pub(crate) fn window(&self, within: Within, at: i32) -> Option<(usize, i32, i32)> {
        let first = self.windows.partition_point(|window| window.end <= at);
        (first..self.windows.len()).find_map(|index| {
            let (from, to) = self.windows[index].span(within);
            (to > at && to > from).then_some((index, from, to))
        })
    }

    /// Whether people can do this from `from` to `to` on the day of that window, beside what is
    /// written and what is `beside`; if not, the first minute at which that may change.
    pub(crate) fn people_free(
        &self,
        window: usize,
        (from, to): (i32, i32),
        wants: Hands,
        beside: &[(i32, i32, Hands)],
    ) -> Result<(), i32> {
        let written = &self.hands[window];
        let others = || {
            let written = written.iter().map(|taken| (taken.from, taken.to, taken.by));
            written
                .chain(beside.iter().copied())
                .filter(|&(start, end, _)| start < to && from < end)
        };
        let begins = others().map(|(start, _, _)| start).filter(|&start| start > from);
        for at in std::iter::once(from).chain(begins) {
            let there = || others().filter(move |&(start, end, _)| start <= at && at < end);
            if !self.can_do(wants, there().map(|(_, _, hands)| hands)) {
                return Err(there().map(|(_, end, _)| end).min().unwrap_or(to));
            }
        }
        Ok(())
    }

    /// Whether people can do all this at one moment.
    fn can_do(&self, wants: Hands, others: impl Iterator<Item = Hands>) -> bool {
        let (mut full, mut changing, mut powder, mut eyes) = (0, 0, 0, 0);
        let (mut on_burner, mut off_burner) = (0, 0);
        let mut alone = false;
        for hands in std::iter::once(wants).chain(others) {
            match hands {
                Hands::None => {}
                Hands::Alone => {
                    full += 1;
                    alone = true;
                }
                Hands::Near { changing: true, .. } => changing += 1,
                Hands::Near { burner: true, .. } => on_burner += 1,
                Hands::Near { .. } => off_burner += 1,
                Hands::Full { powder: raised, eyes: looks } => {
                    full += 1;
                    powder += usize::from(raised);
                    eyes += usize::from(looks);
                }
            }
        }
        if alone && full + changing + on_burner + off_burner > 1 {
            return false;
        }
        let Some(left) = self.limits.people.checked_sub(full) else { return false };
        // Whoever weighs powder or judges looks after no burner beside it; whoever rinses does.
        let rinses = (full - eyes) * self.limits.beside;
        let burners = on_burner - rinses.min(on_burner);
        let beside = rinses - rinses.min(on_burner) + eyes * self.limits.beside;
        let spare = burners + off_burner - beside.min(off_burner);
        changing + spare <= left * self.limits.heats
            && (powder == 0 || (full == 1 && changing == 0))
    }

    /// Whether a burner is free; if not, when one may be.
    pub(crate) fn burner_free(&self, window: usize, from: i32, to: i32) -> Result<(), i32> {
        let there = &self.burners[window];
        count_free(there.iter().map(|t| (t.from, t.to, 1)), from, to, 1, self.limits.burners)
    }

    /// Whether drying places are free; if not, when they may be.
    pub(crate) fn drying_free(&self, from: i32, to: i32, places: usize) -> Result<(), i32> {
        let first = self.drying.partition_point(|t| t.from + self.longest_drying <= from);
        let there = self.drying[first..].iter().take_while(|t| t.from < to);
        count_free(there.map(|t| (t.from, t.to, t.by)), from, to, places, self.limits.drying)
    }

    /// Whether a pot is free; if not, when what is in it goes.
    pub(crate) fn pot_free(&self, pot: usize, from: i32, to: i32) -> Result<(), i32> {
        let there = &self.pots[pot];
        let last = there.partition_point(|taken| taken.from < to);
        match there[..last].iter().rev().find(|taken| taken.overlaps(from, to)) {
            Some(taken) => Err(taken.to),
            None => Ok(()),
        }
    }

    pub(crate) fn write_pot(&mut self, pot: usize, taken: Taken<PotUse>) {
        let there = &mut self.pots[pot];
        let at = there.partition_point(|other| other.from <= taken.from);
        there.insert(at, taken);
    }

    pub(crate) fn write_drying(&mut self, taken: Taken<usize>) {
        self.longest_drying = self.longest_drying.max(taken.to - taken.from);
        let at = self.drying.partition_point(|other| other.from <= taken.from);
        self.drying.insert(at, taken);
    }

    /// Takes out all that one block has written on these days.
    pub(crate) fn strike(&mut self, tag: Tag, unit: &Unit, days: &[usize]) {
        for &day in days {
            self.hands[day].retain(|taken| taken.tag != tag);
            self.burners[day].retain(|taken| taken.tag != tag);
            self.sinks[day].iter_mut().for_each(|sink| sink.retain(|taken| taken.tag != tag));
        }
        if let Some(pot) = unit.pot {
            self.pots[pot].retain(|taken| taken.tag != tag);
        }
        self.drying.retain(|taken| taken.tag != tag);
    }
}

/// Whether `wanted` of `most` places are free from `from` to `to`; if not, the first minute at
/// which that may change.
fn count_free(
    taken: impl Iterator<Item = (i32, i32, usize)> + Clone,
    from: i32,
    to: i32,
    wanted: usize,
    most: usize,
) -> Result<(), i32> {
    let others = taken.filter(|&(start, end, _)| start < to && from < end);
    let begins = others.clone().map(|(start, _, _)| start).filter(|&start| start > from);
    for at in std::iter::once(from).chain(begins) {
        let there = others.clone().filter(|&(start, end, _)| start <= at && at < end);
        if there.clone().map(|(_, _, places)| places).sum::<usize>() + wanted > most {
            return Err(there.map(|(_, end, _)| end).min().unwrap_or(to));
        }
    }
    Ok(())
}
