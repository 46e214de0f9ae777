//! Who comes after whom: what the jobs say, and that a piece waits for its judged swatches.

use std::collections::HashMap;

use crate::ask::Ask;
use crate::job::JobKind;
use crate::refusal::AskRefusal;

/// For each job the jobs that must be finished and dry before it.
pub(crate) fn before_of(ask: &Ask) -> Result<Vec<Vec<usize>>, AskRefusal> {
    let mut by_id = HashMap::new();
    let mut pieces: HashMap<&str, Vec<usize>> = HashMap::new();
    for (index, job) in ask.jobs.iter().enumerate() {
        if by_id.insert(job.id.as_str(), index).is_some() {
            return Err(AskRefusal::TwoOfOneName { id: job.id.clone() });
        }
        if matches!(job.kind, JobKind::Swatch | JobKind::Judge) {
            pieces.entry(&job.piece).or_default().push(index);
        }
    }
    ask.jobs
        .iter()
        .map(|job| {
            let named = job.after.iter().map(|after| {
                by_id.get(after.as_str()).copied().ok_or_else(|| AskRefusal::UnknownAfter {
                    id: job.id.clone(),
                    after: after.clone(),
                })
            });
            let mut before = named.collect::<Result<Vec<usize>, _>>()?;
            let trials = pieces.get(job.piece.as_str()).into_iter().flatten();
            before.extend(trials.filter(|&&trial| match job.kind {
                JobKind::Judge => ask.jobs[trial].kind == JobKind::Swatch,
                JobKind::Bulk | JobKind::Finish => true,
                JobKind::Test | JobKind::Scour | JobKind::Swatch => false,
            }));
            before.sort_unstable();
            before.dedup();
            Ok(before)
        })
        .collect()
}

/// Some jobs that wait for each other in a ring, in the order they wait; none when there is no ring.
pub(crate) fn ring(before: &[Vec<usize>]) -> Option<Vec<usize>> {
    #[derive(Clone, Copy, PartialEq)]
    enum Seen {
        Not,
        OnTheWay,
        Done,
    }
    let mut seen = vec![Seen::Not; before.len()];
    for root in 0..before.len() {
        // The way down: a job and how many of those before it have been looked at.
        let mut way: Vec<(usize, usize)> = vec![(root, 0)];
        if seen[root] != Seen::Not {
            continue;
        }
        seen[root] = Seen::OnTheWay;
        while let Some((at, next)) = way.last_mut() {
            let Some(&down) = before[*at].get(*next) else {
                seen[*at] = Seen::Done;
                way.pop();
                continue;
            };
            *next += 1;
            match seen[down] {
                Seen::Done => {}
                Seen::Not => {
                    seen[down] = Seen::OnTheWay;
                    way.push((down, 0));
                }
                Seen::OnTheWay => {
                    let from = way.iter().position(|&(job, _)| job == down).unwrap_or(0);
                    return Some(way[from..].iter().map(|&(job, _)| job).collect());
                }
            }
        }
    }
    None
}
