//! The bath sheet: recipe × dry weight → doses, auxiliaries, timed steps with amounts, cautions first.
//!
//! [`sheet`] takes an [`Order`] (which way of dyeing, which dyes at which depth, how much cloth, what
//! the kitchen has, who is near) and gives a [`Sheet`] one could take to the pot, or a typed
//! [`Refusal`]. Every amount is rounded once, to what the scale, the syringe or the jug shows, so that
//! a reader's calculator agrees with the sheet.
//!
//! Left out: colour, spectra, how dye behaves on cloth, which recipe to take, prices of auxiliaries,
//! the lights to judge under, and whether the swatch was dyed (`plan`). Facts of the trade come from
//! `lore`, arithmetic of measuring from `dosing`. Nothing here touches disk, clock or chance.

mod auxiliary;
mod brought;
mod caution;
mod dye;
mod goods;
mod heating;
mod kitchen;
mod machine;
mod made_up;
mod no_burner;
mod notes;
mod order;
mod portion;
mod refusal;
mod scour;
mod share;
mod sheet;
mod step;
mod swatch;
mod vessel;
mod ways_out;
mod weights;
mod write;

pub use machine::MACHINE;
pub use notes::VINEGAR_EATEN;
pub use order::{
    Brought, Comes, DyeWanted, Kind, Kitchen, Lining, Machine, Near, Order, VesselAtHand,
};
pub use refusal::{NotNear, Refusal};
pub use scour::{Scour, may_scour_together, scour};
pub use share::{NotShared, Sharing, may_share, shared_sheet};
pub use sheet::{
    Add, Auxiliary, Caution, Dye, Measured, Piece, Sheet, Step, Stock, Vessel, Weighed, WhatWeighs,
};
pub use swatch::{SwatchFrom, swatch_weight};
pub use ways_out::{LEAST_RATIO, WayOut};
pub use write::sheet;
