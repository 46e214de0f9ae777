//! How many of a costume's relations are kept when its colours are brought to cloth together, against
//! each piece alone, and how long that takes.
//!
//! `cargo run --release --example brought_together -- [COSTUMES] [SEED]`. Costumes, cloths and shelves
//! are invented, the starter dyes are estimates: a count in simulation. The last line is JSON; times
//! are milliseconds a piece on one thread, without the reach verdicts that come in.

#![expect(clippy::print_stdout, reason = "an example speaks to the person who runs it")]
#![expect(clippy::unwrap_used, reason = "a refusal here must end the run")]

#[path = "../../tests/common/mod.rs"]
mod common;
mod costumes;
#[path = "../reach/dice.rs"]
mod dice;

use std::time::Instant;

use recipe::together;

fn main() {
    let arg = |at: usize, or: u64| std::env::args().nth(at).map_or(or, |a| a.parse().unwrap());
    let (count, seed) = (arg(1, 100), arg(2, 1));
    let cloths = costumes::cloths();
    let mut dice = dice::Dice::new(seed);
    let (mut relations, mut alone, mut kept, mut broken, mut mended, mut worse) =
        (0, 0, 0, 0, 0, 0);
    let (mut times, mut further, mut moved) = (vec![], vec![], 0);
    for _ in 0..count {
        let size = 3 + dice.pick(8);
        let pieces = costumes::costume(&mut dice, size, cloths.len());
        costumes::wished(&cloths, &pieces, |wishes| {
            let begun = Instant::now();
            let found = together(wishes, None, 1).unwrap();
            #[expect(clippy::cast_precision_loss, reason = "a handful of pieces")]
            let each = begun.elapsed().as_secs_f64() * 1000.0 / wishes.len() as f64;
            relations += found.relations.len();
            let (before, after) = (found.kept_alone(), found.kept_together());
            alone += before;
            kept += after;
            if before < found.relations.len() {
                times.push(each);
                broken += 1;
                mended += usize::from(after > before);
            }
            worse += usize::from(after < before);
            for piece in found.pieces.iter().filter(|p| p.moved) {
                moved += 1;
                further.push(piece.from_target - piece.from_target_alone);
            }
        });
    }
    times.sort_by(f64::total_cmp);
    further.sort_by(f64::total_cmp);
    let at = |all: &[f64], share: usize| all.get(all.len() * share / 100).copied().unwrap_or(0.0);
    println!(
        "{{\"costumes\":{count},\"relations\":{relations},\"kept_alone\":{alone},\
         \"kept_together\":{kept},\"with_losses\":{broken},\"bettered\":{mended},\"worse\":{worse},\
         \"moved\":{moved},\"further_median\":{:.2},\"further_p90\":{:.2},\
         \"ms_a_piece_median\":{:.2},\"ms_a_piece_p95\":{:.2}}}",
        at(&further, 50),
        at(&further, 90),
        at(&times, 50),
        at(&times, 95)
    );
}
