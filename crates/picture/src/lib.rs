//! Room `picture`: pixels to readings. A picture file is read with its profile and its orientation, and asked for
//! colours.
//!
//! Bytes come in, nothing is opened here; dyes are never known. What a cloth's spectrum most likely is comes as an
//! argument. Left out: raw camera files (a raw developer's work), and HEIC, which is refused with what to do.

mod chart;
mod encoding;
mod faults;
mod file;
mod find;
mod flats;
mod jpeg;
mod pixels;
mod png;
mod refusal;
mod sample;
mod small;
mod spot;
mod tiff;

pub use chart::{
    Calibration, Chain, ChartText, ChartTextRefusal, ClothDifference, ClothSeen, HomeCard, Kin,
    LampKind, Patch, Seen, Shapes, TextPatch, Told, WeakKind, WeakLight, WhiteSpread,
};
pub use encoding::{Encoding, Profile};
pub use faults::{PhotoRefusal, Signs, Unsure};
pub use file::{LARGEST_FILE, MOST_PIXELS};
pub use find::{ChartKind, FoundChart, Map};
pub use flats::{Flat, Flats, Open, Pair, Paired, Region, Shade, ShadeKind, paired};
pub use pixels::Picture;
pub use refusal::Refusal;
pub use sample::{
    ASK_DRY, Asked, CardFault, CardReading, ClothPlace, ClothSample, KnownPlace, LaidReading,
    PhotoReading, Sample, Taken,
};
pub use spot::Spot;
