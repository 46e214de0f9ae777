//! Room `recipe`: which dyes and how much.
//!
//! Every set of up to four dyes is solved by the engine (`engine`), looked at from all sides
//! (`choice`), scored with reasons (`score`), moved to its surest proportions (`poise`) and thinned to recipes that really differ (`propose`);
//! whether the target can be reached at all is asked apart (`reach`). Pieces that must match each other
//! are solved together (`matched`); from what swatches taught come the next shot (`shot`), its verdict
//! (`verdict`), the fewest swatches for a whole costume (`rota`) and the ladder of a new dye (`ladder`); the colours of a whole costume are brought to cloth together where they
//! cannot be reached (`together`), by the cheapest set of dyes (`cheapest`). Never here: pot sizes, steps,
//! the clock.

mod cap;
mod cheapest;
mod choice;
pub mod engine;
mod ladder;
mod matched;
mod poise;
mod propose;
mod question;
mod reach;
mod rota;
mod score;
mod setting;
mod shot;
mod together;
mod top_up;
mod verdict;

pub use cheapest::{
    Asked, Budget, Cheapest, LEEWAY, NotReckoned, Offered, Sold, Thrift, ToBuy, USUAL_NODES, Want,
    cheapest, with_fewer,
};
pub use choice::{Choice, UnderLight};
pub use ladder::{AskedLadder, LadderPlan, Rung, ladder, left_in_doubt};
pub use matched::{
    Between, Break, Doing, Fixed, Go, InSet, Largest, Matched, Member, Mend, SLACK, Terms, matched,
};
pub use propose::{Answer, MOST_CANDIDATES, MOST_CHOICES, propose};
pub use question::{Candidate, Question, Refusal, Target};
pub use reach::{Cause, Limit, REACHED, Reach, reach};
pub use rota::{Rota, Stands, Turn, Waiting, rota, stands_by};
pub use score::{Score, Term};
pub use shot::{Aimed, Shot, shots};
pub use together::{
    Brought, Compared, FURTHEST, NotTogether, Relation, Together, WARM_POLE, Wish, together,
};
pub use top_up::topped_up;
pub use verdict::{Say, Verdict, WORTH, before, verdict, weighed};
