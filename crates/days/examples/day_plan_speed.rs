//! How long a day plan of a large invented costume takes, and what it is like.
//!
//! `cargo run --release -p days --example day_plan_speed -- [PIECES] [SEED]` plans the costume three
//! times over (no date; a date that is kept; half the time there would have to be, so that pieces
//! must be dropped), takes the median of five runs of each, and ends with one line of JSON.

use std::process::ExitCode;
use std::time::Instant;

use days::{Ask, Date, Item, Timetable, faults, timetable};
use serde_json::json;

#[path = "../tests/invented/mod.rs"]
mod invented;

fn costume(pieces: usize, seed: u64) -> Ask {
    let mut dice = invented::Dice(seed);
    let mut ask = invented::kitchen(Vec::new());
    ask.hours.weekdays = [false, false, true, false, true, true, true];
    ask.items = vec![Item { name: "dye".to_owned(), days: 5 }];
    for number in 0..pieces {
        let mut jobs = invented::piece(&mut dice, &format!("piece {number}"), 3, false);
        if number % 4 == 0 {
            jobs.iter_mut().for_each(|job| job.needs = vec!["dye".to_owned()]);
        }
        ask.jobs.extend(jobs);
    }
    ask
}

/// The plan and the median of five runs in seconds.
fn timed(ask: &Ask) -> Result<(Timetable, f64), days::AskRefusal> {
    let mut seconds = Vec::new();
    let mut table = timetable(ask)?;
    for _ in 0..5 {
        let start = Instant::now();
        table = timetable(ask)?;
        seconds.push(start.elapsed().as_secs_f64());
    }
    seconds.sort_by(f64::total_cmp);
    Ok((table, seconds[2]))
}

fn run(pieces: usize, seed: u64) -> Result<serde_json::Value, days::AskRefusal> {
    let mut ask = costume(pieces, seed);
    let (open, open_s) = timed(&ask)?;
    let finish = open.finish.map_or(ask.today, |finish| finish.day);
    let mut broken = faults(&ask, &open).len();
    ask.due = Some(finish.plus_days(10));
    let (kept, kept_s) = timed(&ask)?;
    broken += faults(&ask, &kept).len();
    let days = ask.today.days_until(finish);
    ask.due = Some(ask.today.plus_days(days / 2));
    let (missed, missed_s) = timed(&ask)?;
    broken += faults(&ask, &missed).len();
    let slack = match kept.date {
        Date::Kept { slack_days, .. } => Some(slack_days),
        _ => None,
    };
    let dropped = match &missed.date {
        Date::Missed { rescue } => Some(rescue.drop.len()),
        _ => None,
    };
    Ok(json!({
        "pieces": pieces,
        "jobs": ask.jobs.len(),
        "stages": ask.jobs.iter().map(|job| job.stages.len()).sum::<usize>(),
        "unplaced": open.unplaced.len(),
        "days": days,
        "washes": open.washes.len(),
        "open_s": open_s,
        "kept_s": kept_s,
        "kept_slack_days": slack,
        "missed_s": missed_s,
        "missed_dropped": dropped,
        "faults": broken,
    }))
}

#[expect(clippy::print_stdout, reason = "an example speaks")]
fn main() -> ExitCode {
    let mut words = std::env::args().skip(1);
    let mut number =
        |otherwise: u64| words.next().and_then(|word| word.parse().ok()).unwrap_or(otherwise);
    let (pieces, seed) = (number(100), number(1));
    match run(usize::try_from(pieces).unwrap_or(usize::MAX), seed) {
        Ok(line) => {
            println!("{line}");
            ExitCode::SUCCESS
        }
        Err(no) => {
            println!("{no}");
            ExitCode::FAILURE
        }
    }
}
