//! Bytes of any kind, looked at for a chart, and read at corners that the bytes choose: a chart or a refusal, never a panic.
#![no_main]

use libfuzzer_sys::fuzz_target;
use picture::{Asked, ChartKind, Picture, ClothPlace};

fuzz_target!(|bytes: &[u8]| {
    let Ok(picture) = Picture::try_read(bytes) else { return };
    // Large pictures are as slow to look at as they are unlikely to teach anything.
    if picture.width() * picture.height() > 1 << 18 {
        return;
    }
    let chart = ChartKind::classic();
    let _ = picture.find_chart(chart);
    let tail: Vec<f64> = bytes.iter().rev().take(16).map(|b| f64::from(*b) * 2.0 - 64.0).collect();
    if tail.len() == 16 {
        let four = |k: usize| [[tail[k], tail[k + 1]], [tail[k + 2], tail[k + 3]], [tail[k + 4], tail[k + 5]], [tail[k + 6], tail[k + 7]]];
        let cloths = [ClothPlace::Corners(four(8))];
        let asked = Asked { chart, corners: Some(four(0)), cloths: &cloths, paper: None };
        let _ = picture.take_unjudged(&asked);
    }
});
