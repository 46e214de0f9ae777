//! How long a costume of a hundred pieces takes on the starter shelf, in sets of four that must match:
//! `cargo run --release --example hundred_pieces -- [--pieces 100] [--seed 1] [--threads 0]`.
//!
//! The costume is invented, its colours drawn by seed. The last line is JSON: wall seconds of the plan
//! alone, from the read costume to the finished document.

#![expect(clippy::print_stdout, reason = "an example prints its answer")]

use std::error::Error;
use std::fmt::Write as _;
use std::ops::ControlFlow;
use std::time::Instant;

use costume::Shelf;
use lore::Lore;
use plan::document::Outcome;
use plan::{Request, plan};
use units::Day;

#[path = "../tests/common/mod.rs"]
mod common;

const CLOTHS: [&str; 10] = [
    "\"cotton\"",
    "\"linen\"",
    "\"viscose\"",
    "\"wool\"",
    "\"silk\"",
    "\"polyester\"",
    "{ nylon = 85, elastane = 15 }",
    "\"felted wool\"",
    "{ viscose = 55, linen = 45 }",
    "\"mercerised-cotton\"",
];

const HEAD: &str = "[costume]\nname = \"A hundred pieces\"\nday = 2028-12-31\n[kitchen]\nscale_g = 0.01\n\
    syringes_ml = [1, 10, 60]\nburners = 2\n\
    [[kitchen.vessel]]\nname = \"big pot\"\nlitres = 40\nof = \"stainless\"\n\
    [[kitchen.vessel]]\nname = \"pot\"\nlitres = 12\nof = \"stainless\"\n\
    [[kitchen.vessel]]\nname = \"small pot\"\nlitres = 8\nof = \"enamel\"\n\
    [[kitchen.vessel]]\nname = \"tub\"\nlitres = 30\nof = \"plastic\"\n";

fn main() -> Result<(), Box<dyn Error>> {
    let (pieces, seed, threads) =
        (asked("--pieces", 100)?, asked("--seed", 1)?, asked("--threads", 0)?);
    let text = invented(pieces, seed);
    let costume = common::costume(&text)?;
    let shelf = Shelf::of_starters();
    let today = Day::try_ymd(2027, 1, 11)?;
    let request = Request {
        lore: Lore::shipped(),
        costume: &costume,
        shelf: &shelf,
        today,
        taught: None,
        threads,
    };
    let begun = Instant::now();
    let plan = plan(&request, &mut |step| {
        eprintln!("{}/{} {}: {}", step.done, step.of, step.piece, step.doing);
        ControlFlow::Continue(())
    })?;
    let wall = begun.elapsed().as_secs_f64();
    let with_bath = plan.pieces.iter().filter(|p| p.outcome != Outcome::NoBath).count();
    let hold = plan.sets.iter().filter(|s| s.holds).count();
    println!(
        "{{\"pieces\":{pieces},\"with_bath\":{with_bath},\"dyes\":{},\"sets\":{},\"sets_that_hold\":{hold},\
         \"wall_s\":{wall:.2}}}",
        shelf.dyes.len(),
        plan.sets.len()
    );
    Ok(())
}

fn asked(name: &str, usual: usize) -> Result<usize, Box<dyn Error>> {
    let words: Vec<String> = std::env::args().collect();
    match words.iter().position(|w| w == name) {
        Some(at) => Ok(words.get(at + 1).ok_or(format!("{name} wants a number"))?.parse()?),
        None => Ok(usual),
    }
}

/// A costume of so many pieces, four at a time of one colour.
fn invented(pieces: usize, seed: usize) -> String {
    let mut state = seed as u64 ^ 0x9e37_79b9_7f4a_7c15;
    // A 64-bit linear congruential generator (Knuth's multiplier), its upper bits taken.
    let mut draw = |from: f64, to: f64| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let unit = f64::from((state >> 40) as u32) / f64::from(1u32 << 24);
        from + (to - from) * unit
    };
    let mut text = HEAD.to_owned();
    let mut lab = [0.0; 3];
    for i in 0..pieces {
        if i % 4 == 0 {
            lab = [draw(25.0, 80.0), draw(-25.0, 35.0), draw(-30.0, 40.0)];
        }
        let mut which = draw(0.0, 10.0);
        let cloth = CLOTHS
            .into_iter()
            .find(|_| {
                which -= 1.0;
                which < 0.0
            })
            .unwrap_or(CLOTHS[0]);
        let grams = draw(40.0, 600.0).round();
        let [l, a, b] = lab.map(|v| (v * 10.0_f64).round() / 10.0);
        let _ = write!(
            text,
            "[[piece]]\nid = \"p{i}\"\ncloth = {cloth}\nweight_g = {grams}\ntarget = {{ lab = [{l:.1}, {a:.1}, \
             {b:.1}] }}\nlights = [\"daylight\", \"hall lamps\", \"home bulb\", \"flash\"]\n"
        );
    }
    for set in 0..pieces / 4 {
        let ids: Vec<String> = (0..4).map(|i| format!("\"p{}\"", 4 * set + i)).collect();
        let _ = write!(text, "[[match]]\nname = \"set {set}\"\npieces = [{}]\n", ids.join(", "));
    }
    text
}
