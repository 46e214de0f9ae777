//! Room `lore`: what the trade knows, as data with source and standing.
//!
//! Fibres and made-up materials with their limits, dye classes and procedures, the whole matrix of
//! which takes on which, blends, and the key that tells unknown fibres apart; bath programmes,
//! auxiliaries, measures, hazards, care. Never here: spectra, costumes, the clock, the disk.

mod blend;
mod class;
mod class_facts;
mod fact;
mod fault;
mod identify;
mod identify_file;
mod identify_next;
mod knowledge;
mod limits;
mod material;
mod material_file;
mod material_numbers;
mod matrix;
mod matrix_file;
mod named;
mod near;
mod offer;
mod offer_gates;
mod procedure;
mod sources;
mod texts;

pub use blend::{BlendFinding, BlendNote, Makeup, MakeupRefusal, Portion, TwoBaths};
pub use class::DyeClass;
pub use class_facts::{ClassFacts, Home, ProcedureFacts};
pub use fact::{Provenance, Standing};
pub use fault::DataFault;
pub use identify::{FibreOdds, IdTest, Kind, Observation, Odds, ToldTwice};
pub use identify_next::{Settled, TestAdvice};
pub use knowledge::Lore;
pub use limits::{Bound, Limits};
pub use material::{
    Agitation, AlkaliLimit, AlkaliRule, Group, Material, MaterialNote, Part, Permission, Treatment,
};
pub use material_numbers::{Measured, Regain};
pub use matrix::{Finding, Reason, Verdict, WrongClass};
pub use named::UnknownName;
pub use offer::{ClassOffer, Offer, Offers, People, Refused, Stop};
pub use procedure::Procedure;
pub use sources::Source;
pub use texts::Texts;
