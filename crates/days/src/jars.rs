//! Which swatches in jars share one hot bath, and which goods of a load one bath.

use crate::ask::Ask;
use crate::clock::whole;
use crate::job::{Job, JobPlace, Stage};
use crate::read::unit;
use crate::refusal::AskRefusal;
use crate::unit::{Hands, Unit};

/// The jobs in groups that are placed as one: jars (or goods of one load) of one pot and key, of one arrival,
/// as many as the pot holds and a day has hours for, none of which waits for another. Everything else alone.
pub(crate) fn groups(
    ask: &Ask,
    before: &[Vec<usize>],
    release: &[i32],
) -> Result<Vec<Vec<usize>>, AskRefusal> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut first_of: Vec<(usize, &str, usize)> = Vec::new();
    // Rows of the contracted graph: which groups a group waits for.
    let mut of_job: Vec<Option<usize>> = vec![None; ask.jobs.len()];
    for (index, job) in ask.jobs.iter().enumerate() {
        let (pot, together, most) = match &job.place {
            JobPlace::Jar { pot, together } => (pot, together, ask.kitchen.pots[*pot].jars),
            JobPlace::Load { pot, together } => (pot, together, usize::MAX),
            JobPlace::Nowhere | JobPlace::Pot(_) => {
                of_job[index] = Some(groups.len());
                groups.push(vec![index]);
                continue;
            }
        };
        let mine: Vec<usize> = first_of
            .iter()
            .filter(|(other, key, _)| other == pot && key == together)
            .map(|&(_, _, group)| group)
            .collect();
        if let Some(&group) = mine.first() {
            let one = &ask.jobs[groups[group][0]];
            if !alike(one, job) {
                return Err(AskRefusal::UnlikeTogether {
                    one: one.id.clone(),
                    other: job.id.clone(),
                    together: together.clone(),
                });
            }
        }
        let room = mine.into_iter().find(|&group| {
            let there = &groups[group];
            there.len() < most
                && there.len() < ask.kitchen.drying.max(1)
                && release[there[0]] == release[index]
                && fits_a_day(ask, there, index)
                && !waits(before, &groups, &of_job, group, index)
        });
        let group = room.unwrap_or_else(|| {
            groups.push(Vec::new());
            first_of.push((*pot, together, groups.len() - 1));
            groups.len() - 1
        });
        of_job[index] = Some(group);
        groups[group].push(index);
    }
    Ok(groups)
}

fn alike(one: &Job, other: &Job) -> bool {
    let same = |a: &Stage, b: &Stage| {
        Stage { name: String::new(), ..a.clone() } == Stage { name: String::new(), ..b.clone() }
    };
    one.stages.len() == other.stages.len()
        && one.stages.iter().zip(&other.stages).all(|(a, b)| same(a, b))
}

/// Whether with one jar more the steps that follow each other still fit a day's hours.
fn fits_a_day(ask: &Ask, there: &[usize], more: usize) -> bool {
    let mut members = there.to_vec();
    members.push(more);
    longest_run(&unit(ask, members)) <= whole(ask.hours.length)
}

/// The longest time within the hours that must be done in one go.
pub(crate) fn longest_run(unit: &Unit) -> i32 {
    let mut longest = 0;
    for block in &unit.blocks {
        let mut run = 0;
        for step in &block.steps {
            let idle = step.within == crate::windows::Within::Anytime;
            debug_assert!(!idle || step.hands == Hands::None);
            run = if idle { 0 } else { run + step.length };
            longest = longest.max(run);
        }
    }
    longest
}

/// Whether putting a job into a group would make something wait for itself: the job waits, by
/// however many others, for one of the group, or one of the group for the job.
fn waits(
    before: &[Vec<usize>],
    groups: &[Vec<usize>],
    of_job: &[Option<usize>],
    group: usize,
    job: usize,
) -> bool {
    let joined = |at: usize| -> Vec<usize> {
        match of_job[at] {
            Some(of) if of == group => [groups[of].as_slice(), &[job]].concat(),
            Some(of) => groups[of].clone(),
            None if at == job => [groups[group].as_slice(), &[job]].concat(),
            None => vec![at],
        }
    };
    let mut todo: Vec<usize> = joined(job).iter().flat_map(|&at| before[at].clone()).collect();
    let mut seen = vec![false; before.len()];
    while let Some(at) = todo.pop() {
        if at == job || of_job[at] == Some(group) {
            return true;
        }
        if !std::mem::replace(&mut seen[at], true) {
            todo.extend(joined(at).iter().flat_map(|&other| before[other].iter().copied()));
        }
    }
    false
}
