//! Room `recipe`: which dyes and how much.
//!
//! Every set of up to four dyes is solved by the engine (`engine`), looked at from all sides
//! (`choice`), scored with reasons (`score`), moved to its surest proportions (`poise`) and thinned to recipes that really differ (`propose`);
//! whether the target can be reached at all is asked apart (`reach`). Never here: pot sizes, steps,
//! the clock.

mod cap;
mod choice;
pub mod engine;
mod poise;
mod propose;
mod question;
mod reach;
mod score;
mod setting;

pub use choice::{Choice, UnderLight};
pub use propose::{Answer, MOST_CANDIDATES, MOST_CHOICES, propose};
pub use question::{Candidate, Question, Refusal, Target};
pub use reach::{Cause, Limit, REACHED, Reach, reach};
pub use score::{Score, Term};
