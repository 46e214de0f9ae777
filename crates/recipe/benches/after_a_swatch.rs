//! What a maker waits for after a reading: one update of all that is known and the next recipe, with 200
//! swatches on file, one thread. Twelve dyes on two fibres, four swatches a piece, in simulation.
//!
//! The house's goal is 20 ms for both together. Printed by this bench (docs/measured.md says when and
//! on what machine).

#![expect(clippy::unwrap_used, reason = "a bench that cannot begin must fail")]

use std::hint::black_box;

use colour::{ClothPrior, Lab, Light, Weights};
use criterion::{Criterion, criterion_group, criterion_main};
use dyeing::{
    Dosed, Dye, Dyeing, Experience, Glimpse, Ground, InBath, Look, Scatter, Seen, Setting, Stocked,
    Substrate, absorbed, starter,
};
use lore::DyeClass;
use recipe::{Aimed, Target, shots, verdict};
use units::{LiquorRatio, OnFibre, Share};

const SCATTER: Scatter = Scatter { common: 0.03, each: 0.03 };
const DYES: usize = 12;
const SWATCHES: usize = 200;
const FIBRES: [&str; 2] = ["cotton", "viscose"];

fn cloth(fibre: &str) -> Substrate {
    let ground = Ground::assumed(&[(fibre, Share::WHOLE)], Look::White).unwrap();
    let ratio = LiquorRatio::try_litres_per_kilogram(20.0).unwrap();
    Substrate::try_new(&ground, DyeClass::ReactiveDct, ratio).unwrap()
}

/// Swatch of a mix of three dyes; four of a piece in turn, each a little otherwise.
fn swatch(number: usize, truth: &[Dye], on: &[Substrate; 2]) -> Dyeing {
    let piece = number / 4;
    let fibre = piece % 2;
    let bath: Vec<InBath> = (0..3)
        .map(|k| {
            let dye = (piece * 5 + k * (1 + piece % 3)) % DYES;
            let pct = 0.1 * f64::from(u32::try_from(1 + (number * 7 + k * 11) % 23).unwrap());
            InBath { dye, dose: OnFibre::try_percent(pct).unwrap(), scatter: 0.015 }
        })
        .fold(vec![], |mut bath: Vec<InBath>, one| {
            if bath.iter().all(|b| b.dye != one.dye) {
                bath.push(one);
            }
            bath
        });
    let dosed: Vec<Dosed> =
        bath.iter().map(|b| Dosed { dye: &truth[b.dye], dose: b.dose, scatter: 0.0 }).collect();
    let lab = Weights::reference().lab_of(&on[fibre].dyed(&absorbed(&on[fibre], &dosed)));
    Dyeing {
        on: on[fibre].clone(),
        fibre: FIBRES[fibre].to_owned(),
        job: piece as u64,
        bath,
        scatter: SCATTER,
        glimpse: Glimpse { seen: Seen::Colour(lab), bias: 0.7, spread: 0.7 },
    }
}

fn after_a_swatch(c: &mut Criterion) {
    let on = FIBRES.map(cloth);
    let of_class = starter().iter().filter(|s| s.dye.class == DyeClass::ReactiveDct);
    let dyes: Vec<Dye> = of_class.map(|s| s.dye.clone()).cycle().take(DYES).collect();
    let drawn = |(i, dye): (usize, &Dye)| {
        let way = |k: usize| if (i + 2 * k).is_multiple_of(3) { 0.7 } else { -0.5 };
        dye.drawn(&(0..dye.doubts()).map(way).collect::<Vec<_>>())
    };
    let truth: Vec<Dye> = dyes.iter().enumerate().map(drawn).collect();
    let stock = dyes.iter().map(|d| Stocked { dye: d.clone(), lot_of: None }).collect();
    let mut known = Experience::try_new(stock).unwrap();
    let all: Vec<Dyeing> = (0..SWATCHES).map(|n| swatch(n, &truth, &on)).collect();
    let last = all[SWATCHES - 1].clone();
    known.learn(all[..SWATCHES - 1].to_vec()).unwrap();
    let places: Vec<usize> = (0..DYES).collect();
    let bands = ClothPrior::shipped().likely(Lab::new(42.0, 12.0, -8.0)).unwrap().bands;
    let held: Vec<(usize, OnFibre)> = last.bath.iter().map(|b| (b.dye, b.dose)).collect();
    let aimed = |known: &Experience, ask: &dyn Fn(&Aimed)| {
        let fibre = FIBRES[(SWATCHES - 1) / 4 % 2];
        let setting =
            Setting { on: &on[(SWATCHES - 1) / 4 % 2], fibre, job: ((SWATCHES - 1) / 4) as u64 };
        ask(&Aimed {
            experience: known,
            setting,
            dyes: &places,
            target: Target { bands, assumed: true },
            lights: &[Light::D65],
            most_dyes: 3,
            most_total: None,
            dosing: 0.015,
            scatter: SCATTER,
            tolerance: 2.0,
        });
    };
    let update = || {
        let mut next = known.clone();
        next.learn(vec![last.clone()]).unwrap();
        next
    };
    let taught = update();
    c.bench_function("one update, 199 swatches on file", |b| b.iter(update));
    c.bench_function("new proposal, 200 on file", |b| {
        b.iter(|| aimed(&taught, &|a| drop(black_box(shots(a, 1).unwrap()))));
    });
    c.bench_function("verdict and proposal, 200 on file", |b| {
        b.iter(|| aimed(&taught, &|a| drop(black_box(verdict(a, &held).unwrap()))));
    });
    c.bench_function("one update and new proposal", |b| {
        b.iter(|| aimed(&update(), &|a| drop(black_box(shots(a, 1).unwrap()))));
    });
}

criterion_group!(benches, after_a_swatch);
criterion_main!(benches);
