//! Room `workbook`: everything a maker has recorded, in one SQLite file: costumes, pieces, targets,
//! the shelf and its lots, swatches and baths as really dosed, readings, verdicts, photographs.
//!
//! History is append-only. Every record is an entry of one journal (who, when, what); undoing is an
//! entry of its own; the tables refuse to change or lose a row. The file is its own archive's source:
//! [`Book::export`] writes one file, [`Book::import`] makes the same workbook of it elsewhere.
//!
//! It holds no rule of the trade: it does not know what a class can do, nor what a reading teaches.
//! It has no clock: who records gives the moment.

mod archive;
mod ball;
mod bath;
mod book;
mod check;
mod condition;
mod costume;
mod dose;
mod evidence;
mod file;
mod hand;
mod history;
mod id;
mod line;
mod migrate;
mod nearest;
mod nouns;
mod part;
mod photograph;
mod reading;
mod record;
mod refusal;
mod seal;
mod shade;
mod shelf;
mod sought;
mod stamp;
mod swatch;
mod undo;
mod verdict;
mod words;

pub use archive::Exported;
pub use bath::{Bath, InBath, Purpose};
pub use book::{Book, DyeWithLots, Writing};
pub use check::Checked;
pub use condition::{Backing, Condition, Nap, Told};
pub use costume::{Aim, Costume, Piece, Target};
pub use dose::{Amount, Dose, Dosed};
pub use evidence::{DyeDosed, Evidence};
pub use file::Beginning;
pub use hand::Hand;
pub use history::{Event, Happened, PieceRecord, WithReadings};
pub use id::{Entry, Id, Kind};
pub use nearest::{Near, Within};
pub use part::{part_in, sweep};
pub use photograph::{ContentHash, LARGEST_PHOTOGRAPH, Photograph};
pub use reading::{Means, Reading, Subject};
pub use record::Recorded;
pub use refusal::Refusal;
pub use shelf::{Lot, ShelfDye};
pub use sought::{CanBeSought, FoundPage, Sought};
pub use stamp::{Moment, Stamp};
pub use swatch::{Swatch, Undyed};
pub use verdict::{Call, Verdict};
