//! Spectrum → Lab on the model grid, and one CIEDE2000, one thread.

use std::hint::black_box;

use colour::{BANDS, Bands, Lab, Weights, ciede2000, ciede2000_residuals};
use criterion::{Criterion, criterion_group, criterion_main};

fn lab_and_difference(c: &mut Criterion) {
    let weights = Weights::reference();
    let factors: [f64; BANDS] = std::array::from_fn(|i| 0.04 + 0.02 * i as f64);
    let red = Bands::try_new(factors).unwrap_or(Bands::WHITE);
    let (one, two) = (Lab::new(52.0, -8.0, 14.5), Lab::new(51.0, -6.5, 15.0));
    c.bench_function("31 bands to Lab", |b| b.iter(|| weights.lab(black_box(&red))));
    c.bench_function("CIEDE2000", |b| b.iter(|| ciede2000(black_box(one), black_box(two))));
    c.bench_function("CIEDE2000 residuals", |b| {
        b.iter(|| ciede2000_residuals(black_box(one), black_box(two)))
    });
}

criterion_group!(benches, lab_and_difference);
criterion_main!(benches);
