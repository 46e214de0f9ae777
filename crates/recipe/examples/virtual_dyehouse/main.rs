//! The program against a virtual dyehouse with hidden dyes, beside its rivals. In simulation, all of it.
//!
//! ```text
//! cargo run --release --example virtual_dyehouse -- --world right --reading 1.0 --start estimates --targets 1000 --seed 1
//! cargo run --release --example virtual_dyehouse -- --case DIR
//! ```
//!
//! The form with a seed draws hidden dyes and targets, writes them as a case (`docs/cases.md`; `--keep DIR`
//! says where), and reads that back; the other form takes a case made by somebody else. Every strategy dyes
//! three swatches of each target, meeting the same luck; after 0, 1, 2 and 3 readings the recipe it stands by
//! is judged by its true noise-free ΔE00 (D65/10°), never the dyed piece. `--only NAME,NAME` runs ours and
//! these rivals alone. Jobs go round the eight strata: `--targets 8000 --only ours` judges the 90 % regions on 1,000
//! truths in each. `--coverage N` judges them on N further truths a stratum, beside the jobs.
//!
//! Rivals all start from one recipe: of the sets of up to three dyes that match the target in daylight as well as
//! any, as the dyes are known (published, or each taught by its own ladder), the one that is easiest to correct
//! (`model::first_match`). The Jacobian corrects the logarithms of the doses. Both choices make the rivals as strong
//! as the figures published for them; with the plainest match and linear doses they are far weaker
//! (`docs/cases.md`). Rivals too leave out a reading that says the cloth was not washed off. Where the world puts a
//! fault into a jar, it sits in the first recipe of each strategy.
//!
//! Advice is judged at every swatch: "improve" is worse when the recipe proposed is off by more than 0.5 above
//! the one dyed; "stop" is right when its recipe is within the tolerance, or the best proposal would have
//! gained less than 0.5. An alarm is due after two swatches; false alarms are counted where nothing is wrong,
//! and where every job has a fault, on the same jobs without it. The last line is JSON; a figure that was not
//! stated or cannot be counted is null.

#![expect(clippy::print_stdout, reason = "an example speaks to the person who runs it")]

mod believed;
mod black_box;
mod folder;
mod jacobian;
mod model;
#[allow(dead_code, reason = "one belief for many pieces is for shared_swatches")]
mod ours;
mod ratio;
mod session;
#[allow(dead_code, reason = "a strategy need not use all it is told")]
mod strategy;
mod tally;
mod trial;
mod wish;

use std::process::ExitCode;
use std::sync::Arc;

use colour::Light;
use dyehouse::{Case, Cloth, Instrument, Reader, Shelf, Stratum, World, estimates_from_toml};
use serde_json::{Map, Value, json};
use session::{Named, TOLERANCE};
use strategy::Fault;
use tally::{alarmed_of_missed, held_or_alarmed, rounded};
use trial::Trial;
use units::LiquorRatio;
use wish::{Drawn, Source};

const OURS: Named = ("ours", ours::open);
const RIVALS: [Named; 4] = [
    ("damped_jacobian", jacobian::damped),
    ("jacobian", jacobian::plain),
    ("ratio", ratio::open),
    ("black_box", black_box::open),
];

/// Liquor ratio of every drawn dyeing, L/kg.
const RATIO: f64 = 20.0;
/// The coverage jobs are other jobs than those judged: their seed is moved by this.
const APART: u64 = 1_000_003;

fn main() -> ExitCode {
    match judged() {
        Ok(()) => ExitCode::SUCCESS,
        Err(refused) => {
            eprintln!("{refused}");
            ExitCode::FAILURE
        }
    }
}

fn judged() -> Result<(), Fault> {
    let wish = wish::read(std::env::args().skip(1))?;
    let case = match &wish.from {
        Source::Folder(folder) => folder::read(folder)?,
        Source::Seed(drawn) => drawn_and_written(drawn)?,
    };
    println!("In simulation: {}; {} jobs.", case.about(), case.jobs().len());
    println!("World '{}': {}", case.world().name, case.world().changed);
    let strategies = chosen(wish.only.as_deref())?;
    let trials = session::run(&case, &strategies)?;
    let mut line = Map::new();
    for ((name, _), trials) in strategies.iter().zip(&trials) {
        let rows = tally::rows(trials);
        say_rows(name, &rows);
        line.insert((*name).to_owned(), Value::Array(rows));
    }
    for (name, _) in RIVALS {
        // Those that were not asked for keep their place in the last line.
        line.entry(name).or_insert_with(|| Value::Array(vec![]));
    }
    let ours = &trials[0];
    let (alarm, mut false_alarm) = tally::alarms(ours);
    let covered = match (&wish.from, wish.coverage) {
        (Source::Seed(drawn), Some(truths)) => more_truths(drawn, truths)?,
        _ => ours.clone(),
    };
    if let (Source::Seed(drawn), None) = (&wish.from, false_alarm) {
        // Every job has a fault: the same jobs without it.
        let twin = Drawn { world: "right".to_owned(), keep: None, ..drawn.clone() };
        let sound = session::run(&drawn_and_written(&twin)?, &[OURS])?;
        false_alarm = tally::alarms(&sound[0]).1;
    }
    let strata = tally::strata(&covered);
    say_strata(&strata, &covered);
    let worth = tally::worth(ours, TOLERANCE);
    let said = [
        ("improve_share", worth.improve_share),
        ("improve_worse", worth.improve_worse),
        ("stop_share", worth.stop_share),
        ("stop_right", worth.stop_right),
        ("alarm", alarm),
        ("false_alarm", false_alarm),
    ];
    println!(
        "region held the truth after two swatches, or an alarm: {}; alarm where it did not hold: {}",
        percent(held_or_alarmed(ours)),
        percent(alarmed_of_missed(ours))
    );
    println!(
        "'improve' said where the piece was beyond tolerance + 1: {}",
        percent(worth.improve_said)
    );
    for (what, share) in said {
        println!("{what}: {}", percent(share));
    }
    line.insert("strata".to_owned(), Value::Array(strata));
    for (what, share) in said {
        line.insert(what.to_owned(), json!(rounded(share)));
    }
    println!("{}", Value::Object(line));
    Ok(())
}

/// The strategies asked for; ours always, as the figures after the rows are of ours.
fn chosen(only: Option<&[String]>) -> Result<Vec<Named>, Fault> {
    let all: Vec<Named> = [OURS].into_iter().chain(RIVALS).collect();
    let Some(only) = only else { return Ok(all) };
    for name in only {
        if !all.iter().any(|(known, _)| known == name) {
            let names: Vec<&str> = all.iter().map(|(known, _)| *known).collect();
            let names = names.join(", ");
            return Err(
                format!("--only {name}: there is no such strategy; there are {names}").into()
            );
        }
    }
    Ok(all
        .into_iter()
        .filter(|(name, _)| *name == OURS.0 || only.iter().any(|o| o == name))
        .collect())
}

/// Draws a case, writes it, and reads it back: what is judged is what stands in the files.
fn drawn_and_written(drawn: &Drawn) -> Result<Case, Fault> {
    let world = World::named(&drawn.world)?;
    let reader = Reader::try_new(drawn.reading, Instrument::Colour, Light::D65)?;
    let ratio = LiquorRatio::try_litres_per_kilogram(RATIO)?;
    let case =
        Case::try_drawn(world, drawn.seed, shelf()?, ratio, reader, drawn.start, drawn.targets)?;
    let folder = drawn.keep.clone().unwrap_or_else(|| folder::usual(&drawn.name()));
    folder::write(&case, &folder)?;
    println!("written as a case: {}", folder.display());
    folder::read(&folder)
}

/// The reactive dyes of the starter shelf, on white cotton.
fn shelf() -> Result<Arc<Shelf>, Fault> {
    let text = include_str!("../../../dyeing/data/starter.toml");
    let dyes = estimates_from_toml(text, |class| class == "reactive-dct")?;
    let white = dyeing::Ground::assumed(&[("cotton", units::Share::WHOLE)], dyeing::Look::White)?;
    let cotton = Cloth {
        name: "cotton".to_owned(),
        undyed: colour::Bands::try_new(white.reflectance())?,
        gain: 1.0,
        substantivity_l_per_kg: 60.0,
        surface: 0.0,
    };
    Ok(Arc::new(Shelf::try_new(dyes, vec![cotton])?))
}

/// Ours alone, on so many truths a stratum.
fn more_truths(drawn: &Drawn, truths: usize) -> Result<Vec<Trial>, Fault> {
    let seed = drawn.seed.wrapping_add(APART);
    let targets = truths * Stratum::ALL.len();
    let more = Drawn { seed, targets, keep: None, ..drawn.clone() };
    let mut trials = session::run(&drawn_and_written(&more)?, &[OURS])?;
    Ok(trials.swap_remove(0))
}

fn say_rows(name: &str, rows: &[Value]) {
    for row in rows {
        let number = |key: &str| row[key].as_f64();
        println!(
            "{name:16} after {}: median {:5.2}, p90 {:5.2}, within 1: {}, within 2: {}, 90 % region held {}",
            row["n"],
            number("median").unwrap_or(f64::NAN),
            number("p90").unwrap_or(f64::NAN),
            percent(number("within1")),
            percent(number("within2")),
            percent(number("coverage90")),
        );
    }
}

fn say_strata(strata: &[Value], trials: &[Trial]) {
    for (n, size) in tally::sizes(trials).into_iter().enumerate() {
        let of = strata.iter().filter(|row| row["n"] == n);
        let shares: Vec<String> = of.map(|row| percent(row["coverage90"].as_f64())).collect();
        let size = size.map_or_else(|| "-".to_owned(), |s| format!("{s:.2}"));
        println!("90 % regions after {n}: {} (median size {size})", shares.join(" "));
    }
}

fn percent(share: Option<f64>) -> String {
    share.map_or_else(|| "-".to_owned(), |s| format!("{:.1} %", 100.0 * s))
}
