//! All jobs together: hands, powder, burners, pots, sinks, drying places, and what must not meet.

use crate::ask::Ask;
use crate::fault::Fault;
use crate::faults::{at, meet, moment, within_hours};
use crate::job::{Attention, Family, JobKind, JobPlace};
use crate::timetable::{Entry, Timetable, Wash, Washed};

pub(super) fn check(ask: &Ask, table: &Timetable, found: &mut Vec<Fault>) {
    moments(ask, table, found);
    drying(ask, table, found);
    for pot in 0..ask.kitchen.pots.len() {
        one_pot(ask, table, pot, found);
    }
    for sink in 0..ask.kitchen.sinks {
        one_sink(ask, table, sink, found);
    }
    for wash in &table.washes {
        let least = match wash.what {
            Washed::Sink(_) => ask.judgement.sink_rinse,
            Washed::Pot(_) => ask.judgement.scrub,
        };
        let short = at(ask, wash.end) - at(ask, wash.start) < least.to_minutes().ceil();
        if short || !within_hours(ask, wash.start, wash.end) {
            found.push(Fault::WashOutsideHours(wash.start));
        }
    }
}

/// Hands, powder and burners at every moment something begins.
fn moments(ask: &Ask, table: &Timetable, found: &mut Vec<Fault>) {
    let spans: Vec<(f64, f64, &Entry)> =
        table.entries.iter().map(|it| (at(ask, it.start), at(ask, it.end), it)).collect();
    let washes: Vec<(f64, f64)> =
        table.washes.iter().map(|it| (at(ask, it.start), at(ask, it.end))).collect();
    let mut begins: Vec<f64> =
        spans.iter().map(|it| it.0).chain(washes.iter().map(|it| it.0)).collect();
    begins.sort_by(f64::total_cmp);
    begins.dedup();
    for now in begins {
        let mut burners = 0;
        let washing = washes.iter().filter(|it| it.0 <= now && now < it.1).count();
        let (mut full, mut changing, mut steady, mut powder) = (washing, 0_usize, 0_usize, 0_usize);
        // Full hands that need the eyes as well, and steady baths on a burner.
        let (mut eyes, mut fires) = (0_usize, 0_usize);
        let mut to_itself = 0_usize;
        for (_, _, entry) in spans.iter().filter(|it| it.0 <= now && now < it.1) {
            let job = &ask.jobs[entry.jobs[0]];
            let stage = &job.stages[entry.stage];
            burners += usize::from(entry.burner);
            powder += usize::from(stage.powder);
            match entry.attention {
                Attention::Alone => {
                    full += 1;
                    to_itself += 1;
                }
                Attention::All => {
                    full += 1;
                    eyes += usize::from(stage.powder || job.kind == JobKind::Judge);
                }
                Attention::Near if stage.changing => changing += 1,
                Attention::Near => {
                    steady += 1;
                    fires += usize::from(entry.burner);
                }
                Attention::Away => {}
            }
        }
        let (people, judgement) = (ask.kitchen.hands, &ask.judgement);
        let each = judgement.steady_beside.min(judgement.heats_a_person);
        // Whoever weighs powder or judges has no eye for a burner: those wait for a freer person.
        let alone = fires.saturating_sub(each * (full - eyes));
        let watched = changing + steady.saturating_sub(each * full).max(alone);
        if full > people || watched > (people - full) * judgement.heats_a_person {
            found.push(Fault::TooFewHands(moment(ask, now)));
        }
        if powder > 0 && (full > 1 || changing > 0) {
            found.push(Fault::PowderBeside(moment(ask, now)));
        }
        if to_itself > 0 && full + changing + steady > 1 {
            found.push(Fault::BesideAlone(moment(ask, now)));
        }
        if burners > ask.kitchen.burners {
            found.push(Fault::TooFewBurners(moment(ask, now)));
        }
    }
}

fn drying(ask: &Ask, table: &Timetable, found: &mut Vec<Fault>) {
    for one in &table.drying {
        let now = at(ask, one.start);
        let there =
            table.drying.iter().filter(|it| at(ask, it.start) <= now && now < at(ask, it.end));
        if there.count() > ask.kitchen.drying {
            found.push(Fault::TooFewDryingPlaces(one.start));
        }
    }
}

/// Goods of one job in a pot without leaving it.
struct Bath {
    from: f64,
    to: f64,
    job: usize,
    jars: bool,
}

fn one_pot(ask: &Ask, table: &Timetable, pot: usize, found: &mut Vec<Fault>) {
    let mut baths: Vec<Bath> = Vec::new();
    for (job, it) in ask.jobs.iter().enumerate() {
        let mut entries: Vec<&Entry> =
            table.entries.iter().filter(|entry| entry.jobs[0] == job).collect();
        entries.sort_by_key(|entry| entry.stage);
        let mut open: Option<usize> = None;
        for (index, entry) in entries.iter().enumerate() {
            // Where the work may stop, or a hold may stretch, the pot is kept only by goods that
            // stay in it.
            let held = index.checked_sub(1).is_some_and(|last| {
                let last = &it.stages[entries[last].stage];
                last.at_most.is_some_and(|most| most > last.minutes)
            });
            let may_wait = it.stages[entry.stage].may_wait || held;
            let stayed = index > 0 && entries[index - 1].pot == Some(pot) && entry.pot == Some(pot);
            if may_wait && !stayed {
                open = None;
            }
            if entry.pot != Some(pot) {
                continue;
            }
            match open {
                Some(bath) => baths[bath].to = at(ask, entry.end),
                None => {
                    open = Some(baths.len());
                    let (from, to) = (at(ask, entry.start), at(ask, entry.end));
                    let jars = matches!(it.place, JobPlace::Jar { .. });
                    baths.push(Bath { from, to, job, jars });
                }
            }
        }
    }
    baths.sort_by(|a, b| a.from.total_cmp(&b.from).then(a.to.total_cmp(&b.to)));
    let scrubs: Vec<(f64, f64)> = washes(ask, table, Washed::Pot(pot));
    for (index, bath) in baths.iter().enumerate() {
        let others = baths[..index].iter().map(|it| (it.from, it.to)).chain(scrubs.iter().copied());
        if overlaps(others, (bath.from, bath.to)) {
            found.push(Fault::PotTaken { pot, at: moment(ask, bath.from) });
        }
        let Some(before) = baths[..index].iter().rev().find(|it| !it.jars) else { continue };
        let (dirty, clean) = (&ask.jobs[before.job], &ask.jobs[bath.job]);
        let of = |job: &crate::Job| -> Vec<Family> {
            job.stages.iter().flat_map(|stage| stage.sink.clone()).collect()
        };
        let darker = dirty.darkness.to_fraction()
            > clean.darkness.to_fraction() + ask.judgement.scrub_above.to_fraction();
        let scrubbed = scrubs.iter().any(|it| it.0 >= before.to && it.1 <= bath.from);
        let minds = darker || meet(ask, &of(dirty), &of(clean));
        if !bath.jars && before.job != bath.job && minds && !scrubbed {
            found.push(Fault::PotNotScrubbed { pot, at: moment(ask, bath.from) });
        }
    }
}

fn washes(ask: &Ask, table: &Timetable, what: Washed) -> Vec<(f64, f64)> {
    let those = table.washes.iter().filter(|wash| wash.what == what);
    those.map(|wash: &Wash| (at(ask, wash.start), at(ask, wash.end))).collect()
}

fn overlaps(mut others: impl Iterator<Item = (f64, f64)>, (from, to): (f64, f64)) -> bool {
    others.any(|(start, end)| start < to && from < end)
}

fn one_sink(ask: &Ask, table: &Timetable, sink: usize, found: &mut Vec<Fault>) {
    let mut uses: Vec<&Entry> =
        table.entries.iter().filter(|entry| entry.sink == Some(sink)).collect();
    uses.sort_by(|a, b| at(ask, a.start).total_cmp(&at(ask, b.start)));
    let rinses = washes(ask, table, Washed::Sink(sink));
    for (index, entry) in uses.iter().enumerate() {
        let (from, to) = (at(ask, entry.start), at(ask, entry.end));
        let earlier = || uses[..index].iter();
        let others = earlier().map(|it| (at(ask, it.start), at(ask, it.end)));
        if overlaps(others.chain(rinses.iter().copied()), (from, to)) {
            found.push(Fault::SinkTaken { sink, at: entry.start });
        }
        let drains = |it: &Entry| -> &[Family] { &ask.jobs[it.jobs[0]].stages[it.stage].sink };
        let met = earlier().filter(|it| it.start.day == entry.start.day).any(|it| {
            let ended = at(ask, it.end);
            let rinsed = rinses.iter().any(|rinse| rinse.0 >= ended && rinse.1 <= from);
            !rinsed && meet(ask, drains(it), drains(entry))
        });
        if met {
            found.push(Fault::MeetInSink { sink, at: entry.start });
        }
    }
}
