//! What a maker waits for after a reading: one update of all that is known, what speaks for a fault in the job's jars,
//! and the next recipe, with 200 swatches on file, one thread. Twelve dyes on two fibres, four swatches a piece, in
//! simulation.
//!
//! The house's goal is 20 ms for all together. Printed by this bench (docs/measured.md says when and
//! on what machine).

#![expect(clippy::unwrap_used, reason = "a bench that cannot begin must fail")]

#[path = "../tests/common/workshop.rs"]
mod workshop;

use std::hint::black_box;

use colour::Lab;
use criterion::{Criterion, criterion_group, criterion_main};
use dyeing::{Dyeing, Experience};
use recipe::{Aimed, shots, verdict};
use units::OnFibre;
use workshop::{House, house_of};

const SWATCHES: usize = 200;
const FIBRES: [&str; 2] = ["cotton", "viscose"];

/// Swatch of a mix of up to three dyes; four of a piece in turn, each a little otherwise.
fn swatch(number: usize, houses: &[House; 2]) -> Dyeing {
    let piece = number / 4;
    let house = &houses[piece % 2];
    let mut doses: Vec<(usize, OnFibre)> = vec![];
    for k in 0..3 {
        let dye = (piece * 5 + k * (1 + piece % 3)) % house.dyes.len();
        let pct = 0.1 * f64::from(u32::try_from(1 + (number * 7 + k * 11) % 23).unwrap());
        if doses.iter().all(|d| d.0 != dye) {
            doses.push((dye, OnFibre::try_percent(pct).unwrap()));
        }
    }
    house.dyed(piece as u64, &doses)
}

fn after_a_swatch(c: &mut Criterion) {
    let houses = FIBRES.map(|fibre| house_of(fibre, 0.6));
    let all: Vec<Dyeing> = (0..SWATCHES).map(|n| swatch(n, &houses)).collect();
    let last = all[SWATCHES - 1].clone();
    let house = &houses[(SWATCHES - 1) / 4 % 2];
    let job: Vec<Dyeing> = all.iter().filter(|d| d.job == last.job).cloned().collect();
    let mut before = house.known();
    before.learn(all[..SWATCHES - job.len()].to_vec()).unwrap();
    let mut known = before.clone();
    known.learn(job[..job.len() - 1].to_vec()).unwrap();
    let places: Vec<usize> = (0..house.dyes.len()).collect();
    let wanted = Lab::new(42.0, 12.0, -8.0);
    let held: Vec<(usize, OnFibre)> = last.bath.iter().map(|b| (b.dye, b.dose)).collect();
    let aimed = |known: &Experience, ask: &dyn Fn(&Aimed)| {
        ask(&house.aimed(known, last.job, &places, wanted));
    };
    let update = || {
        let mut next = known.clone();
        next.learn(vec![last.clone()]).unwrap();
        next
    };
    let doubt = || before.doubt(&job, &places).unwrap();
    let taught = update();
    c.bench_function("one update, 199 swatches on file", |b| b.iter(update));
    c.bench_function("doubt of a job of four, 196 on file before", |b| b.iter(doubt));
    c.bench_function("new proposal, 200 on file", |b| {
        b.iter(|| aimed(&taught, &|a| drop(black_box(shots(a, 1).unwrap()))));
    });
    c.bench_function("verdict and proposal, 200 on file", |b| {
        b.iter(|| aimed(&taught, &|a| drop(black_box(verdict(a, &held).unwrap()))));
    });
    c.bench_function("one update and new proposal", |b| {
        b.iter(|| aimed(&update(), &|a| drop(black_box(shots(a, 1).unwrap()))));
    });
    c.bench_function("one update, doubt and new proposal", |b| {
        b.iter(|| {
            black_box(doubt());
            aimed(&update(), &|a| drop(black_box(shots(a, 1).unwrap())));
        });
    });
}

criterion_group!(benches, after_a_swatch);
criterion_main!(benches);
