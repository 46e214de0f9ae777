//! Dev-only room `scenes`: pictures made up, with their truth beside them: photographs of charts and cloths, and drawn
//! artwork. It never uses the room it is there to judge, `picture`.
//!
//! Everything comes from a seed; nothing here touches the disk.

mod artwork;
mod chance;
mod correction;
mod dyed;
mod frame;
mod photo;
mod printer;

pub use artwork::{Artwork, Drawn, FlatDrawn, Manner, NotEncoded, Shading};
pub use chance::Chance;
pub use dyed::dyed_pair;
pub use frame::{Camera, Cell, Development, Frame, Sheet};
pub use photo::{
    Eye, Glare, Laid, Lamp, Layout, Lit, Near, NoChart, Other, Photo, PhotoFault, Processing,
    Scene, Shadow, Shape, Stand, Texture, Thing, View, made_up, png_of, sensitivities,
};
pub use printer::{Printer, with_print};
