//! Room `dyehouse`, for tests and examples only: a virtual dyehouse whose dyes are hidden.
//!
//! It is told what is published of a shelf of dyes (`Shelf`), draws dyes that really are a little
//! different (`House`), and then does what a dyehouse does: dyes what it is told to, with scatter, and
//! has the cloth read, with scatter. A program that learns from swatches is judged against the
//! noise-free colour, which only the house knows. Worlds in which something is not as the program
//! supposes stand in `data/worlds.toml`; hidden dyes made by somebody else come as a `Case`.
//!
//! It has a truth model of its own and never uses `dyeing`, `recipe` or `picture`, so that the program
//! is not judged by itself. All its figures are in simulation. Never here: the disk, the clock, any
//! randomness but from the seed it is given.

mod case;
mod deviates;
mod dice;
mod faults;
mod house;
mod job;
mod ladder;
mod law;
mod metric;
mod reader;
mod refusal;
mod rows;
mod shelf;
mod target;
mod truth;
mod world;

pub use case::{Case, CaseJob, FILES, Start, Step};
pub use deviates::{Deviates, Drawn, What};
pub use faults::Fault;
pub use house::{House, Part, Recipe};
pub use job::{Dyed, Job};
pub use ladder::LadderStep;
pub use reader::{Finish, Instrument, Reader, Reading};
pub use refusal::Refusal;
pub use rows::estimates_from_toml;
pub use shelf::{Band, Bolt, Cloth, Estimate, Jar, Shelf};
pub use target::{Depth, Stratum, Target};
pub use truth::{Shape, TrueDye, Truth};
pub use world::{Fluorescent, Lot, Mislabelled, Mixing, Salt, Scatter, Spreads, Unsoaped, World};
