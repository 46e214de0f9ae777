//! Room `costume`: the maker's nouns, and the files they are read from.
//!
//! A costume file is the request: pieces with goods, targets, lights; a kitchen; people; a shelf. A
//! text is read whole and all its faults come back at once, each with its place and a hint. Never
//! here: the disk (readings named in a file come through [`Files`]), the clock, what to do about it.

mod calendar;
mod card_code;
mod costume;
mod fault;
mod fixed;
mod goods;
mod kit;
mod known;
mod lining;
mod matches;
mod method;
mod noted;
mod noted_bath;
mod noted_dose;
mod noted_reading;
mod pack;
mod people;
mod piece;
mod reader;
mod reference;
mod shelf;
mod target;
mod weight;
mod wishes;

pub use calendar::Calendar;
pub use card_code::{CardCode, Mistyped, cards_in, swatch_code};
pub use costume::{Costume, pieces_of, read_costume};
pub use fault::{Fault, Faults};
pub use fixed::Fixed;
pub use goods::Goods;
pub use kit::{Kitchen, Vessel, VesselMaterial};
pub use known::{CostumeKnown, Known, Meant, code_meant};
pub use lining::Lining;
pub use matches::Match;
pub use method::Machine;
pub use noted::{
    Noted, PieceNamed, SwatchNoted, Whose, look_word, read_swatches, shelf_of_swatches,
};
pub use noted_bath::{BathNoted, PURPOSES};
pub use noted_dose::{AmountNoted, DoseNoted, DosedNoted};
pub use noted_reading::{BACKINGS, MEANS, NAPS, ReadingNoted};
pub use pack::{Contained, PackFacts, PackKind};
pub use people::People;
pub use piece::{GroundGiven, Piece, Swatch};
pub use reader::MOST_BYTES;
pub use reference::Reference;
pub use shelf::{Rung, Shelf, ShelfDye, ShelfOther, read_shelf};
pub use target::{AsGiven, Given};
pub use wishes::{ADVICE, BlendWish, Over, Worth};

/// The named samples of a reading file.
pub type Colours = Vec<(String, AsGiven)>;

/// Where readings named in a costume or shelf file come from; the door opens the disk.
pub trait Files {
    /// All samples of a reading file; in words why not.
    fn colours(&self, path: &str) -> Result<Colours, String>;
}
