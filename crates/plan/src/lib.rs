//! Room `plan`: a whole costume decided.
//!
//! Piece by piece: the target and the undyed cloth become spectra (`seen`), the trade's offers are
//! tried best first on this shelf (`way`), and everything is written down (`written`, `sheets`,
//! `advice`); then what only the whole knows (`shopping`, `attention`). The finished plan is a
//! [`document`], the shape of the JSON. Never here: printing, the disk, the clock, randomness.

mod advice;
mod asked;
mod attention;
mod blend;
mod build_up;
mod correct;
mod crew;
mod day_plan;
pub mod document;
mod goes_by;
mod in_question;
mod making;
mod on_record;
mod piece;
mod request;
mod rests;
mod scours;
mod seen;
mod sets;
mod sharing;
mod sheets;
mod shopping;
mod special;
mod stock_left;
mod swatches;
mod swatches_said;
mod taught;
mod thrift;
mod together;
mod way;
mod written;

pub use correct::{NoVerdict, correct};
pub use on_record::{Dyed, OnRecord};
pub use request::{Progress, Request, Stopped, plan};
pub use swatches::{LadderWanted, NoSwatchPlan, swatch_plan};
pub use taught::{Doubted, Lesson, NEW_JOB, NotTaught, PassedOver, Taught, ToLearn, fibre_of};
