//! The ask read into units: names become indices, sense is checked, jars are put together.

use std::collections::HashMap;

use crate::ask::Ask;
use crate::clock::{DAY, whole};
use crate::job::{Attention, Family, Heat, Job, JobKind, JobPlace, Stage};
use crate::order::{before_of, ring};
use crate::refusal::AskRefusal;
use crate::unit::{Apart, Block, Families, Gap, Hands, Step, Unit, What};
use crate::windows::Within;

/// The units of an ask, in a fixed order, or why the ask makes no sense.
pub(crate) fn units(ask: &Ask) -> Result<Vec<Unit>, AskRefusal> {
    sound_frame(ask)?;
    for job in &ask.jobs {
        sound_job(ask, job)?;
    }
    let before = before_of(ask)?;
    if let Some(ids) = ring(&before) {
        return Err(AskRefusal::Ring {
            ids: ids.into_iter().map(|job| ask.jobs[job].id.clone()).collect(),
        });
    }
    let release = releases(ask)?;
    let groups = crate::jars::groups(ask, &before, &release)?;
    let mut of_job = vec![0; ask.jobs.len()];
    for (unit, members) in groups.iter().enumerate() {
        members.iter().for_each(|&job| of_job[job] = unit);
    }
    let mut units: Vec<Unit> = groups
        .into_iter()
        .map(|members| {
            let mut unit = unit(ask, members);
            unit.release = unit.members.iter().map(|&job| release[job]).max().unwrap_or(0);
            unit.before =
                unit.members.iter().flat_map(|&job| &before[job]).map(|&job| of_job[job]).collect();
            unit.before.sort_unstable();
            unit.before.dedup();
            unit
        })
        .collect();
    for later in 0..units.len() {
        for earlier in units[later].before.clone() {
            units[earlier].behind.push(later);
        }
    }
    Ok(units)
}

fn sound_frame(ask: &Ask) -> Result<(), AskRefusal> {
    let hours = &ask.hours;
    if ask.kitchen.hands == 0 {
        return Err(AskRefusal::NoHands);
    }
    if ask.judgement.heats_a_person == 0 {
        return Err(AskRefusal::NoHeats);
    }
    if hours.length.to_minutes() < 1.0 {
        return Err(AskRefusal::NoHours(hours.length));
    }
    if whole(hours.from) + whole(hours.length) > DAY {
        return Err(AskRefusal::PastMidnight(hours.from + hours.length));
    }
    if hours.weekdays == [false; 7] {
        return Err(AskRefusal::NoWeekday);
    }
    Ok(())
}

fn sound_job(ask: &Ask, job: &Job) -> Result<(), AskRefusal> {
    let id = || job.id.clone();
    if job.stages.is_empty() {
        return Err(AskRefusal::NoStages { id: id() });
    }
    if let JobPlace::Pot(pot) | JobPlace::Jar { pot, .. } | JobPlace::Load { pot, .. } = job.place {
        let Some(there) = ask.kitchen.pots.get(pot) else {
            return Err(AskRefusal::NoSuchPot { id: id(), pot, pots: ask.kitchen.pots.len() });
        };
        if matches!(job.place, JobPlace::Jar { .. }) && there.jars == 0 {
            return Err(AskRefusal::NoJars { id: id(), pot: there.name.clone() });
        }
    }
    let apart = Apart::new(&ask.never_together);
    for stage in &job.stages {
        let name = || stage.name.clone();
        if stage.heat != Heat::None && stage.attention == Attention::Away && !stage.powder {
            return Err(AskRefusal::HeatUnattended { id: id(), stage: name() });
        }
        if stage.vessel && job.place == JobPlace::Nowhere {
            return Err(AskRefusal::NoVessel { id: id(), stage: name() });
        }
        let sink = Families::of(&stage.sink);
        if let Some((one, other)) = apart.meets(sink, sink) {
            return Err(AskRefusal::MeetInOneStage { id: id(), stage: name(), one, other });
        }
        if let Some(at_most) = stage.at_most.filter(|&at_most| at_most < stage.minutes) {
            let minutes = stage.minutes;
            return Err(AskRefusal::AtMostBelow { id: id(), stage: name(), at_most, minutes });
        }
    }
    Ok(())
}

/// For each job the first minute of the day on which all it needs has come.
fn releases(ask: &Ask) -> Result<Vec<i32>, AskRefusal> {
    let days: HashMap<&str, u32> =
        ask.items.iter().map(|item| (item.name.as_str(), item.days)).collect();
    ask.jobs
        .iter()
        .map(|job| {
            job.needs.iter().try_fold(0, |latest: i32, item| {
                let days = days.get(item.as_str()).ok_or_else(|| AskRefusal::UnknownItem {
                    id: job.id.clone(),
                    item: item.clone(),
                })?;
                // A year or more is as good as never; the clock must not overflow.
                let days = i32::try_from(*days).unwrap_or(i32::MAX).min(100_000);
                Ok(latest.max(days * DAY))
            })
        })
        .collect()
}

/// Whether a stage lasts for each jar or for the whole bath: hands work on one jar at a time.
pub(crate) const fn for_each_jar(stage: &Stage) -> bool {
    matches!(stage.attention, Attention::All | Attention::Alone) || stage.powder
}

/// Whether a stage without pause after it may go on for longer.
pub(crate) fn stretch(stage: &Stage) -> i32 {
    let idle = stage.attention == Attention::Away && !stage.powder && stage.sink.is_empty();
    match stage.at_most {
        Some(most) if idle => whole(most) - whole(stage.minutes),
        _ => 0,
    }
}

/// The unit of some jobs (one, or jars of one bath) without its place among the others.
pub(crate) fn unit(ask: &Ask, members: Vec<usize>) -> Unit {
    let jobs: Vec<&Job> = members.iter().map(|&job| &ask.jobs[job]).collect();
    let first = jobs[0];
    let jars = matches!(first.place, JobPlace::Jar { .. });
    let pot = match first.place {
        JobPlace::Nowhere => None,
        JobPlace::Pot(pot) | JobPlace::Jar { pot, .. } | JobPlace::Load { pot, .. } => Some(pot),
    };
    let (blocks, gaps) = cut(ask, first, &jobs);
    let all = jobs.iter().flat_map(|job| &job.stages).map(|stage| Families::of(&stage.sink));
    Unit {
        blocks,
        gaps,
        pot,
        jars,
        darkness: first.darkness.to_fraction(),
        families: all.fold(Families::default(), Families::and),
        release: 0,
        before: Vec::new(),
        behind: Vec::new(),
        members,
    }
}

/// The stages cut into blocks where the work may stop or a hold may stretch.
fn cut(ask: &Ask, job: &Job, jobs: &[&Job]) -> (Vec<Block>, Vec<Gap>) {
    let apart = Apart::new(&ask.never_together);
    let (mut blocks, mut gaps) = (Vec::new(), Vec::new());
    let (mut steps, mut in_pot): (Vec<Step>, Vec<bool>) = (Vec::new(), Vec::new());
    let mut drained: Vec<Families> = Vec::new();
    for (index, stage) in job.stages.iter().enumerate() {
        let last = index.checked_sub(1).map(|last| &job.stages[last]);
        if let Some(last) = last.filter(|last| stage.may_wait || stretch(last) > 0) {
            blocks.push(Block::new(std::mem::take(&mut steps), &std::mem::take(&mut in_pot)));
            gaps.push(Gap {
                most: (!stage.may_wait).then(|| stretch(last)),
                // A hold that stretches stretches in its pot; over a rest the goods stay in it
                // only when the work goes on there.
                holds_pot: last.vessel && (stage.vessel || !stage.may_wait),
            });
            drained.clear();
        }
        if !stage.sink.is_empty() {
            let sink = Families::of(&stage.sink);
            if let Some((one, other)) = drained.iter().find_map(|&old| apart.meets(old, sink)) {
                steps.push(rinse(ask, one, other));
                in_pot.push(last.is_some_and(|last| last.vessel) && stage.vessel);
                drained.clear();
            }
            drained.push(sink);
        }
        // Hands work on one jar at a time; the goods of a load lie in one bath.
        let times = if matches!(job.place, JobPlace::Jar { .. }) { jobs.len() } else { 1 };
        steps.push(step(job, index, times));
        in_pot.push(stage.vessel);
    }
    let drying = jobs.iter().map(|job| whole(job.drying)).max().unwrap_or(0);
    if drying > 0 {
        steps.push(Step {
            what: What::Drying,
            length: drying,
            drying: jobs.len(),
            ..idle(What::Drying)
        });
        in_pot.push(false);
    }
    blocks.push(Block::new(steps, &in_pot));
    (blocks, gaps)
}

const fn idle(what: What) -> Step {
    Step {
        what,
        at: 0,
        length: 0,
        hands: Hands::None,
        burner: false,
        sink: None,
        within: Within::Anytime,
        drying: 0,
    }
}

fn rinse(ask: &Ask, one: Family, other: Family) -> Step {
    Step {
        length: whole(ask.judgement.sink_rinse),
        hands: Hands::Full { powder: false, eyes: false },
        sink: Some(Families::default()),
        within: Within::Hours,
        ..idle(What::Rinse(one, other))
    }
}

fn step(job: &Job, index: usize, jars: usize) -> Step {
    let stage = &job.stages[index];
    let times = if for_each_jar(stage) { i32::try_from(jars).unwrap_or(i32::MAX) } else { 1 };
    let hands = match stage.attention {
        _ if stage.powder && stage.attention != Attention::Alone => {
            Hands::Full { powder: true, eyes: true }
        }
        Attention::Alone => Hands::Alone,
        Attention::All => Hands::Full { powder: false, eyes: job.kind == JobKind::Judge },
        Attention::Near => {
            Hands::Near { changing: stage.changing, burner: stage.heat == Heat::Burner }
        }
        Attention::Away => Hands::None,
    };
    let sink = (!stage.sink.is_empty()).then(|| Families::of(&stage.sink));
    let idle_step = hands == Hands::None && stage.heat == Heat::None && sink.is_none();
    Step {
        length: whole(stage.minutes).saturating_mul(times),
        hands,
        burner: stage.heat == Heat::Burner,
        sink,
        within: match job.kind {
            _ if idle_step => Within::Anytime,
            JobKind::Judge => Within::Daylight,
            _ => Within::Hours,
        },
        ..idle(What::Stage(index))
    }
}
