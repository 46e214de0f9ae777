//! Scale, syringes, spoons, drops, stock solutions and packs: what is really dosed when an amount is wanted.
//!
//! [`dose`] turns a wanted mass into what the maker can do with this [`Kit`]: weigh it, measure
//! it from a stock solution, or neither, with the reason and what would help. It rounds once, to
//! what the scale or the syringe shows, so that a reader's calculator agrees with the sheet.
//!
//! Left out: colour, which dye it is, pots, spoons of powder for auxiliaries (trade facts: `lore`), and
//! hazards. Nothing here touches disk, clock or chance.

mod choice;
mod dose;
mod kit;
mod liquor;
mod measure;
mod pack;
mod refusal;
mod shown;
mod stock;

pub use choice::{Form, StockRules, relative_scatter};
pub use dose::{Dose, How, dose};
pub use kit::{Kit, Scale, Syringe};
pub use liquor::{
    aux_stock_volume, bath_volume, dye_stock_volume, liquor_ratio, owf_from_masses, water_to_add,
};
pub use measure::{Measure, Spoons};
pub use pack::{Pack, cost, price_shown};
pub use refusal::DosingRefusal;
pub use shown::Shown;
pub use stock::{CannotMake, Made, StockBatch, make_stock};
