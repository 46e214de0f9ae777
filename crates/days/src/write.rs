//! The plan written out: entries, drying, washing, what has no place.

use crate::ask::Ask;
use crate::clock::{moment, whole};
use crate::job::Heat;
use crate::schedule::Schedule;
use crate::timetable::{Drying, Entry, Timetable, Unplaced, Wash, WashReason, Washed};
use crate::unit::{Unit, What};

/// The timetable of a plan; how it stands to the date is not in it yet.
pub(crate) fn write(ask: &Ask, units: &[Unit], plan: &Schedule) -> Timetable {
    let mut written = Timetable {
        entries: Vec::new(),
        drying: Vec::new(),
        washes: Vec::new(),
        unplaced: Vec::new(),
        finish: plan.finish().map(|at| moment(ask.today, at)),
        date: crate::Date::Open,
        slack: Vec::new(),
        orders: Vec::new(),
        leftovers: Vec::new(),
    };
    for (unit, placed) in units.iter().zip(&plan.placed) {
        let placed = match placed {
            Ok(placed) => placed,
            Err(why) => {
                let one = |&job: &usize| Unplaced { job, why: why.clone() };
                written.unplaced.extend(unit.members.iter().map(one));
                continue;
            }
        };
        for (index, (block, fit)) in unit.blocks.iter().zip(&placed.fits).enumerate() {
            for step in &block.steps {
                let (start, end) = (fit.start + step.at, fit.start + step.at + step.length);
                match step.what {
                    What::Stage(stage) => {
                        let last = step.at + step.length == block.length;
                        let held =
                            last && unit.gaps.get(index).is_some_and(|gap| gap.most.is_some());
                        let end = if held { placed.fits[index + 1].start } else { end };
                        let sink = step.sink.and(fit.sink);
                        written.entries.push(entry(ask, unit, stage, (start, end), sink));
                    }
                    What::Rinse(one, other) => written.washes.push(Wash {
                        what: Washed::Sink(fit.sink.unwrap_or(0)),
                        why: WashReason::NeverTogether(one, other),
                        start: moment(ask.today, start),
                        end: moment(ask.today, end),
                    }),
                    What::Drying => {
                        let jobs =
                            unit.members.iter().map(|&job| (job, whole(ask.jobs[job].drying)));
                        written.drying.extend(jobs.filter(|&(_, dries)| dries > 0).map(
                            |(job, dries)| Drying {
                                job,
                                start: moment(ask.today, start),
                                end: moment(ask.today, start + dries),
                            },
                        ));
                    }
                }
            }
            written.washes.extend(fit.washes.iter().map(|wash| Wash {
                what: wash.what,
                why: wash.why,
                start: moment(ask.today, wash.from),
                end: moment(ask.today, wash.to),
            }));
        }
    }
    let time = |moment: crate::Moment| (moment.day, whole(moment.clock));
    written.entries.sort_by_key(|entry| (time(entry.start), entry.jobs[0], entry.stage));
    written.drying.sort_by_key(|drying| (time(drying.start), drying.job));
    written.washes.sort_by_key(|wash| time(wash.start));
    written.unplaced.sort_by_key(|unplaced| unplaced.job);
    written
}

fn entry(
    ask: &Ask,
    unit: &Unit,
    index: usize,
    (start, end): (i32, i32),
    sink: Option<usize>,
) -> Entry {
    let stage = &ask.jobs[unit.members[0]].stages[index];
    Entry {
        jobs: unit.members.clone(),
        stage: index,
        start: moment(ask.today, start),
        end: moment(ask.today, end),
        pot: unit.pot.filter(|_| stage.vessel),
        sink,
        attention: match stage.attention {
            crate::Attention::Alone => crate::Attention::Alone,
            _ if stage.powder => crate::Attention::All,
            other => other,
        },
        burner: stage.heat == Heat::Burner,
    }
}
