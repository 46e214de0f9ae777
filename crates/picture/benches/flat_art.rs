//! The flats of a drawing of four megapixels, beside what a plain clustering of its pixels takes: 16 means of encoded
//! red, green and blue, ten rounds, one thread.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use picture::Picture;
use scenes::{Artwork, Chance, Manner, Shading};

fn flat_art(c: &mut Criterion) {
    let shading = Shading::Hard;
    let manner = Manner { width: 2309, height: 1732, flats: 20, shading, line: 7.0, clutter: true };
    let drawn = Artwork::drawn(&manner, &mut Chance::of(1));
    let file = drawn.jpeg(75, false).unwrap_or_default();
    let Ok(picture) = Picture::try_read(&file) else { return };
    let mut group = c.benchmark_group("flats of 4 megapixels");
    group.sample_size(10);
    group.bench_function("this room", |b| b.iter(|| black_box(&picture).try_flats(None)));
    group.bench_function("plain means of all pixels", |b| b.iter(|| means(black_box(&drawn.rgb))));
    group.finish();
}

/// Lloyd's rounds from 16 pixels evenly taken.
fn means(rgb: &[u8]) -> [[f32; 3]; 16] {
    let pixels = rgb.as_chunks::<3>().0;
    let mut means: [[f32; 3]; 16] =
        std::array::from_fn(|i| pixels[i * (pixels.len() / 16)].map(f32::from));
    for _ in 0..10 {
        let mut sums = [[0.0_f64; 4]; 16];
        for pixel in pixels {
            let at = pixel.map(f32::from);
            let mut best = (f32::MAX, 0);
            for (k, mean) in means.iter().enumerate() {
                let away: f32 = mean.iter().zip(at).map(|(m, v)| (m - v) * (m - v)).sum();
                if away < best.0 {
                    best = (away, k);
                }
            }
            for (s, v) in sums[best.1].iter_mut().zip([at[0], at[1], at[2], 1.0]) {
                *s += f64::from(v);
            }
        }
        for (mean, [r, g, b, n]) in means.iter_mut().zip(sums) {
            if n > 0.0 {
                #[expect(clippy::cast_possible_truncation, reason = "0 to 255")]
                let new = [r, g, b].map(|s| (s / n) as f32);
                *mean = new;
            }
        }
    }
    means
}

criterion_group!(benches, flat_art);
criterion_main!(benches);
