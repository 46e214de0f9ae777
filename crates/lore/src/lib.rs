//! Room `lore`: what the trade knows, as data with source and standing.
//!
//! Fibres and made-up materials with their limits, dye classes and procedures, the whole matrix of
//! which takes on which, blends, and the key that tells unknown fibres apart; bath programmes,
//! auxiliaries, measures, hazards, care. Never here: spectra, costumes, the clock, the disk.

mod auxiliary;
mod blend;
mod blend_way;
mod care;
mod class;
mod class_facts;
mod deepest;
mod fact;
mod failure;
mod fastness;
mod fault;
mod goods_form;
mod hard_colour;
mod hazard;
mod identify;
mod identify_file;
mod identify_next;
mod knowledge;
mod leftover;
mod limits;
mod material;
mod material_file;
mod material_numbers;
mod matrix;
mod matrix_file;
mod measure;
mod method;
mod mishap;
mod named;
mod near;
mod never_together;
mod offer;
mod offer_gates;
mod offer_half;
mod pot;
mod prepare;
mod procedure;
mod programme;
mod programme_build;
mod programme_depth;
mod programme_file;
mod scour;
mod sources;
mod surface;
mod texts;
mod waiting;

pub use auxiliary::{Agent, AgentGroup, Dose, Hardness, Per};
pub use blend::{BlendFinding, BlendNote, Makeup, MakeupRefusal, Portion, TwoBaths};
pub use blend_way::{BlendKind, BlendWay, BlendWays, WayFibre};
pub use care::{BleachCare, Care, Professional, Tumble, WashProcess};
pub use class::DyeClass;
pub use class_facts::{ClassFacts, Home, ProcedureFacts};
pub use fact::{Provenance, Standing};
pub use failure::Failure;
pub use fastness::{Fastness, Grade};
pub use fault::DataFault;
pub use goods_form::{FormNote, GoodsForm};
pub use hard_colour::{HardAdvice, HardColour};
pub use hazard::{
    Blocked, Caution, CautionAsk, CautionKind, Gear, Instruction, NeverAtHome, PeopleRule, Vessel,
};
pub use identify::{FibreOdds, IdTest, Kind, Observation, Odds, ToldTwice};
pub use identify_next::{Settled, TestAdvice};
pub use knowledge::Lore;
pub use leftover::{Leftover, Reuse};
pub use limits::{Bound, Limits};
pub use material::{
    Agitation, AlkaliLimit, AlkaliRule, Group, Material, MaterialNote, Part, Permission, Treatment,
};
pub use material_numbers::{Measured, Regain};
pub use matrix::{Finding, Reason, Verdict, WrongClass};
pub use measure::{Equivalence, Household, NeverBySpoon, Product, Spoons};
pub use method::{Instead, MachineNote, Method, MethodFacts, NoBurner};
pub use mishap::{AtThePot, Mishap, Strikes};
pub use named::UnknownName;
pub use never_together::{MeetingGroup, Together};
pub use offer::{ClassOffer, Offer, Offers, People, Refused, Stop};
pub use prepare::{ClothFinish, DropTest, SheetRule, Strip};
pub use procedure::Procedure;
pub use programme::{Addition, Caps, NoProgramme, Programme, ProgrammeAsk, Step};
pub use programme_depth::{Band, Depth};
pub use programme_file::{AlkaliUse, StepKind};
pub use scour::{ScourNeed, ScourReason};
pub use sources::Source;
pub use surface::{Surface, SurfaceNote};
pub use texts::Texts;
pub use waiting::{LateStep, Waiting};
