//! Room `workroom`: one function per thing a maker can do, for whichever door asks.
//!
//! The only room that opens files: costume, shelf and reading files in; plans out, each written whole
//! beside its final place and then moved there, so that nothing half written is ever left. Never
//! here: HTML by hand, standard output, rules of the trade.

mod disk;
mod planned;
mod trouble;

pub use costume::{Fault, Faults};
pub use plan::Progress;
pub use plan::document::{Outcome, Plan};
pub use planned::{PlanWanted, Planned, plan_costume};
pub use trouble::Trouble;
