//! Many trials as figures: medians, shares, coverage by stratum, and what advice was worth.

use dyehouse::Stratum;
use serde_json::{Value, json};

use crate::strategy::Verdict;
use crate::trial::{ALARM_DUE, After, SWATCHES, Said, Trial};

/// A correction is worse from here on, and a proposal would have gained something, ΔE00 (the project's words).
const TELLING: f64 = 0.5;

/// How one strategy did after each number of readings, as rows of JSON.
pub(crate) fn rows(trials: &[Trial]) -> Vec<Value> {
    let counts = 0..=SWATCHES as usize;
    counts
        .map(|n| {
            let at: Vec<&After> = trials.iter().filter_map(|t| t.after.get(n)).collect();
            let mut off: Vec<f64> = at.iter().map(|a| a.off).collect();
            off.sort_by(f64::total_cmp);
            let within = |limit: f64| share(&off, |o| *o <= limit);
            let regions: Vec<bool> = at.iter().filter_map(|a| a.region.map(|r| r.0)).collect();
            json!({
                "n": n,
                "median": rounded(quantile(&off, 0.5)),
                "p90": rounded(quantile(&off, 0.9)),
                "within1": rounded(within(1.0)),
                "within2": rounded(within(2.0)),
                "coverage90": rounded(share(&regions, |held| *held)),
            })
        })
        .collect()
}

/// How often the 90 % region held the truth in each stratum after each number of readings.
pub(crate) fn strata(trials: &[Trial]) -> Vec<Value> {
    let mut rows = Vec::new();
    for n in 0..=SWATCHES as usize {
        for stratum in Stratum::ALL {
            let own = trials.iter().filter(|t| t.stratum == stratum);
            let held: Vec<bool> = own.filter_map(|t| t.after.get(n)?.region.map(|r| r.0)).collect();
            rows.push(json!({
                "n": n,
                "stratum": stratum.to_string(),
                "truths": held.len(),
                "coverage90": rounded(share(&held, |held| *held)),
            }));
        }
    }
    rows
}

/// Median size of the regions after each number of readings, Lab units.
pub(crate) fn sizes(trials: &[Trial]) -> Vec<Option<f64>> {
    let sizes = |n: usize| {
        let mut all: Vec<f64> =
            trials.iter().filter_map(|t| t.after.get(n)?.region.map(|r| r.1)).collect();
        all.sort_by(f64::total_cmp);
        quantile(&all, 0.5)
    };
    (0..=SWATCHES as usize).map(sizes).collect()
}

/// What the advice was worth, over every swatch of every trial.
pub(crate) struct Worth {
    pub(crate) improve_share: Option<f64>,
    pub(crate) improve_worse: Option<f64>,
    pub(crate) stop_share: Option<f64>,
    pub(crate) stop_right: Option<f64>,
    /// Of cases beyond tolerance + 1: the share in which it said to improve.
    pub(crate) improve_said: Option<f64>,
}

/// What the advice of these trials was worth at this tolerance.
pub(crate) fn worth(trials: &[Trial], tolerance: f64) -> Worth {
    let said = trials.iter().flat_map(|t| &t.after);
    let said: Vec<(f64, Said)> = said.filter_map(|a| Some((a.off, a.said?))).collect();
    let of = |verdict: Verdict| -> Vec<&(f64, Said)> {
        said.iter().filter(|s| s.1.verdict == verdict).collect()
    };
    let (improve, stop) = (of(Verdict::Improve), of(Verdict::Stop));
    let far: Vec<&(f64, Said)> = said.iter().filter(|s| s.1.dyed > tolerance + 1.0).collect();
    Worth {
        improve_share: share(&said, |s| s.1.verdict == Verdict::Improve),
        improve_worse: share(&improve, |(off, s)| *off > s.dyed + TELLING),
        stop_share: share(&said, |s| s.1.verdict == Verdict::Stop),
        stop_right: share(&stop, |(off, s)| *off <= tolerance || off - s.further < TELLING),
        improve_said: share(&far, |s| s.1.verdict == Verdict::Improve),
    }
}

/// Whether an alarm stood after the swatches it is due after.
pub(crate) fn alarmed(trial: &Trial) -> bool {
    let due = trial.after.get(ALARM_DUE as usize);
    due.and_then(|a| a.said).is_some_and(|s| s.alarm)
}

/// Share of faulty trials with an alarm, and of sound ones.
pub(crate) fn alarms(trials: &[Trial]) -> (Option<f64>, Option<f64>) {
    let (faulty, sound): (Vec<&Trial>, Vec<&Trial>) = trials.iter().partition(|t| t.faulty);
    (share(&faulty, |t| alarmed(t)), share(&sound, |t| alarmed(t)))
}

/// Share of trials whose region held the truth after two swatches, or that raised an alarm.
pub(crate) fn held_or_alarmed(trials: &[Trial]) -> Option<f64> {
    share(trials, |t| held(t) || alarmed(t))
}

/// Of the trials whose region missed the truth after two swatches: the share with an alarm.
pub(crate) fn alarmed_of_missed(trials: &[Trial]) -> Option<f64> {
    let missed: Vec<&Trial> = trials.iter().filter(|t| !held(t)).collect();
    share(&missed, |t| alarmed(t))
}

fn held(trial: &Trial) -> bool {
    trial.after.get(ALARM_DUE as usize).and_then(|a| a.region).is_some_and(|r| r.0)
}

/// The share of which something is true; none of nothing.
#[expect(clippy::cast_precision_loss, reason = "counts of some thousands")]
pub(crate) fn share<T>(all: &[T], is: impl Fn(&T) -> bool) -> Option<f64> {
    let count = all.iter().filter(|one| is(one)).count();
    (!all.is_empty()).then(|| count as f64 / all.len() as f64)
}

/// A quantile of sorted numbers, between neighbours where need be.
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a place among some thousands"
)]
fn quantile(sorted: &[f64], at: f64) -> Option<f64> {
    let place = at * sorted.len().checked_sub(1)? as f64;
    let (low, part) = (place.floor() as usize, place.fract());
    let above = sorted.get(low + 1).unwrap_or(&sorted[low]);
    Some(sorted[low] + part * (above - sorted[low]))
}

/// Four digits: more than the counts can show.
pub(crate) fn rounded(it: Option<f64>) -> Option<f64> {
    it.map(|x| (x * 1e4).round() / 1e4)
}
