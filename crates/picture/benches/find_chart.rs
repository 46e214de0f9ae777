//! A chart found in a photograph of 12 megapixels, beside what a plain look at every pixel takes: where brightness
//! changes little, joined into regions, one thread, nothing made of them.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use picture::{ChartKind, Picture};
use scenes::{Chance, Layout, made_up};

fn find_chart(c: &mut Criterion) {
    let mut chance = Chance::of(12);
    let chart = ChartKind::classic();
    let cloths = made_up(&mut chance).into_iter().collect();
    let mut layout = Layout::careful(chart.patches(), chart.across(), cloths);
    layout.side = [4000, 4000];
    let photo = layout.scene(&mut chance).photograph(&mut chance);
    let file = photo.jpeg().unwrap_or_default();
    let Ok(picture) = Picture::try_read(&file) else { return };
    let mut group = c.benchmark_group("a chart in 12 megapixels");
    group.sample_size(10);
    group.bench_function("this room", |b| b.iter(|| black_box(&picture).find_chart(chart)));
    group.bench_function("plain calm regions of all pixels", |b| {
        b.iter(|| regions(black_box(&photo.rgb), photo.width));
    });
    group.bench_function("reading the file", |b| b.iter(|| Picture::try_read(black_box(&file))));
    group.finish();
}

/// Number of regions in which neighbours differ by less than 10 of 255.
fn regions(rgb: &[u8], width: usize) -> usize {
    let grey: Vec<i16> =
        rgb.as_chunks::<3>().0.iter().map(|p| p.map(i16::from).iter().sum::<i16>() / 3).collect();
    let mut open: Vec<bool> = (0..grey.len())
        .map(|n| {
            let inside = n >= width && n + width < grey.len() && n % width != 0;
            inside
                && (grey[n - 1] - grey[n + 1]).abs() < 10
                && (grey[n - width] - grey[n + width]).abs() < 10
        })
        .collect();
    let (mut count, mut stack) = (0, Vec::new());
    for start in 0..open.len() {
        if !std::mem::take(&mut open[start]) {
            continue;
        }
        count += 1;
        stack.push(start);
        while let Some(at) = stack.pop() {
            // the first and last rows are never open, so that these stay inside
            for next in [at - 1, at + 1, at - width, at + width] {
                if std::mem::take(&mut open[next]) {
                    stack.push(next);
                }
            }
        }
    }
    count
}

criterion_group!(benches, find_chart);
criterion_main!(benches);
