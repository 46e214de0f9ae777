//! Room `dyeing`: how dyed cloth looks, and how sure that is.
//!
//! Dyes at four levels of knowledge (`dye`), the starter shelf (`starter`), undyed cloth (`ground`)
//! made ready for a class (`substrate`), prediction with both spreads (`predict`, `spread`), what a
//! colour at a known dose teaches (`teach`), what a pack claims of itself (`claim`), and the depth law
//! (`depth`); and the hard cases: a sheer over its backing (`sheer`), brightened cloth (`brightener`),
//! what counts as black (`black`), a blend fibre by fibre (`blend_look`). It works in spectra, never
//! in RGB mixing. Never here: pots, SQL, HTTP, the clock.

mod absorption;
mod belief;
mod black;
mod blend_look;
mod brightener;
mod claim;
pub mod depth;
mod dye;
mod ground;
mod learning;
mod predict;
mod refusal;
mod rung;
mod sheer;
mod sight;
mod spread;
mod starter;
mod substrate;
mod teach;
mod uptake;

pub use absorption::{Absorption, Band};
pub use belief::{Belief, ESTIMATE, Spreads};
pub use black::{BLACKEST_CAST, BLACKEST_LIGHTNESS, Black, Blackness};
pub use blend_look::{BlendBath, BlendLook, FibreLook, Heather};
pub use brightener::{Brightener, Shift};
pub use claim::{CLAIM, Claim, claimed};
pub use dye::{Dye, Knowledge, Written};
pub use ground::{Ground, Look};
pub use learning::{
    CROWDED, Doubt, Dyeing, Experience, FIBRES_ALIKE, Foretold, Glimpse, InBath, LOT, Setting,
    Stocked, Surprise, Suspect, TOGETHER, Thought, asked_about,
};
pub use predict::{Dosed, HOME, Prediction, Scatter, absorbed, expected, predict, spreads_under};
pub use refusal::Refusal;
pub use rung::{Depth, depth_read, depths};
pub use sheer::{Over, SheerRefusal, Through, Wanted};
pub use spread::Spread;
pub use starter::{Starter, starter, starter_dye};
pub use substrate::Substrate;
pub use teach::{Lesson, Seen, taught};
pub use uptake::{REFERENCE_RATIO, exhaustion};
