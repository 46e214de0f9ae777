//! Each job by itself: every stage once, in order, long enough, within the hours, dried.

use crate::ask::Ask;
use crate::fault::Fault;
use crate::faults::{at, one_bath, within_hours};
use crate::job::{Attention, Heat, Job, JobKind, JobPlace, Stage};
use crate::timetable::{Entry, Timetable, Washed};

pub(super) fn check(ask: &Ask, table: &Timetable, found: &mut Vec<Fault>) {
    let mut of_job: Vec<Vec<&Entry>> = vec![Vec::new(); ask.jobs.len()];
    for entry in &table.entries {
        entry.jobs.iter().for_each(|&job| of_job[job].push(entry));
        if !one_bath(ask, &entry.jobs) {
            found.push(Fault::NotOneBath { job: entry.jobs[0] });
        }
    }
    for (index, job) in ask.jobs.iter().enumerate() {
        let entries = &of_job[index];
        let reported = table.unplaced.iter().filter(|it| it.job == index).count();
        match (entries.is_empty(), reported) {
            (true, 0) => found.push(Fault::Lost { job: index }),
            (true, 1) => {}
            (true, _) | (false, 1..) => found.push(Fault::PlacedAndNot { job: index }),
            (false, 0) => placed(ask, table, (index, job), entries, found),
        }
    }
}

fn placed(
    ask: &Ask,
    table: &Timetable,
    (index, job): (usize, &Job),
    entries: &[&Entry],
    found: &mut Vec<Fault>,
) {
    let mut in_order: Vec<&Entry> = Vec::new();
    for stage in 0..job.stages.len() {
        let mut those = entries.iter().filter(|entry| entry.stage == stage);
        match (those.next(), those.next()) {
            (Some(entry), None) => in_order.push(entry),
            _ => found.push(Fault::NotOnce { job: index, stage }),
        }
    }
    if in_order.len() != job.stages.len() || entries.len() != job.stages.len() {
        return;
    }
    for (stage, (it, entry)) in job.stages.iter().zip(&in_order).enumerate() {
        one_stage(ask, (index, job), (stage, it), entry, found);
        let Some(last) = stage.checked_sub(1).map(|last| in_order[last]) else { continue };
        let (ended, begins) = (at(ask, last.end), at(ask, entry.start));
        if begins < ended {
            found.push(Fault::OutOfOrder { job: index, stage });
        }
        // A pause without leave is only ever the written rinse of the sink that fills it.
        let rinsed = table.washes.iter().any(|wash| {
            matches!(wash.what, Washed::Sink(_))
                && at(ask, wash.start) == ended
                && at(ask, wash.end) == begins
        });
        if begins > ended && !it.may_wait && !rinsed {
            found.push(Fault::Interrupted { job: index, stage });
        }
    }
    let dries = job.drying.to_minutes().ceil();
    let done = in_order.last().map(|entry| at(ask, entry.end));
    let hung: Vec<_> = table.drying.iter().filter(|it| it.job == index).collect();
    let well = match hung.as_slice() {
        [] => dries == 0.0,
        [one] => Some(at(ask, one.start)) == done && at(ask, one.end) - at(ask, one.start) >= dries,
        _ => false,
    };
    if !well {
        found.push(Fault::NotDried { job: index });
    }
}

fn one_stage(
    ask: &Ask,
    (index, job): (usize, &Job),
    (number, stage): (usize, &Stage),
    entry: &Entry,
    found: &mut Vec<Fault>,
) {
    let full = stage.powder || matches!(stage.attention, Attention::All | Attention::Alone);
    let mut least = stage.minutes.to_minutes().ceil();
    let jars = matches!(job.place, JobPlace::Jar { .. });
    for _ in entry.jobs.iter().skip(1).filter(|_| full && jars) {
        least += stage.minutes.to_minutes().ceil();
    }
    let idle = !full
        && stage.attention == Attention::Away
        && stage.heat == Heat::None
        && stage.sink.is_empty();
    let most = stage.at_most.filter(|_| idle).map_or(least, |most| most.to_minutes().ceil());
    let lasts = at(ask, entry.end) - at(ask, entry.start);
    if lasts < least || lasts > most {
        found.push(Fault::WrongLength { job: index, stage: number });
    }
    if !idle && !within_hours(ask, entry.start, entry.end) {
        found.push(Fault::OutsideHours { job: index, stage: number });
    }
    let (light, dusk) = (ask.judgement.daylight_from, ask.judgement.daylight_until);
    let seen = entry.start.clock >= light
        && entry.start.clock.to_minutes() + lasts <= dusk.to_minutes().ceil();
    if job.kind == JobKind::Judge && !idle && !seen {
        found.push(Fault::NoDaylight { job: index });
    }
    let pot = match job.place {
        JobPlace::Pot(pot) | JobPlace::Jar { pot, .. } | JobPlace::Load { pot, .. }
            if stage.vessel =>
        {
            Some(pot)
        }
        _ => None,
    };
    let attention = match stage.attention {
        Attention::Alone => Attention::Alone,
        _ if full => Attention::All,
        other => other,
    };
    let burner = stage.heat == Heat::Burner;
    if (entry.pot, entry.attention, entry.burner) != (pot, attention, burner) {
        found.push(Fault::NotAsAsked { job: index, stage: number });
    }
    let sink = entry.sink.is_some_and(|sink| sink < ask.kitchen.sinks);
    if sink == stage.sink.is_empty() {
        found.push(Fault::NoSink { job: index, stage: number });
    }
}
