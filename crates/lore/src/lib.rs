//! Room `lore`: what the trade knows, as data with source and standing.
//!
//! Fibres and made-up materials with their limits, dye classes and procedures, the whole matrix of
//! which takes on which, blends, and the key that tells unknown fibres apart; bath programmes,
//! auxiliaries, measures, hazards, care. Never here: spectra, costumes, the clock, the disk.

mod class;
mod fact;
mod fault;
mod knowledge;
mod named;
mod near;
mod procedure;
mod texts;

pub use class::DyeClass;
pub use fact::{Provenance, Standing};
pub use fault::DataFault;
pub use knowledge::Lore;
pub use named::UnknownName;
pub use procedure::Procedure;
pub use texts::Texts;
