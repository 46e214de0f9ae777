//! Bytes of any kind: a picture or a refusal, never a panic. What is read has every pixel it promises.
#![no_main]

use libfuzzer_sys::fuzz_target;
use picture::Picture;

fuzz_target!(|bytes: &[u8]| {
    let Ok(picture) = Picture::try_read(bytes) else { return };
    let (w, h) = (picture.width(), picture.height());
    for (x, y) in [(0, 0), (w - 1, 0), (0, h - 1), (w - 1, h - 1), (w / 2, h / 2)] {
        assert!(picture.encoded(x, y).iter().all(|v| (0.0..=1.0).contains(v)));
        assert!(picture.linear(x, y).iter().all(|v| v.is_finite()));
    }
});
