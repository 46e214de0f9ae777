//! Many hands: several pieces (or sets) at once, each by one thread, told of between rounds.
//!
//! What is answered does not depend on how many there are. A costume of a few pieces goes one piece at a
//! time, and the search inside uses all cores.

use rayon::prelude::*;

use crate::Request;
use crate::request::Stopped;

/// From so many pieces on it is quicker to share out pieces than searches (judgement).
const MANY: usize = 4;
/// Pieces in hand between two words about progress: enough to keep every core busy.
const A_ROUND: usize = 8;

/// Who works, and the request as each of them sees it.
pub(crate) struct Crew<'a> {
    /// The request with the threads each piece may use.
    pub(crate) each: Request<'a>,
    many: bool,
}

impl<'a> Crew<'a> {
    pub(crate) const fn of(request: &Request<'a>, pieces: usize) -> Self {
        let many = request.threads != 1 && pieces >= MANY;
        let threads = if many { 1 } else { request.threads };
        Self { each: Request { threads, ..*request }, many }
    }

    /// Does the work for each, in order; `tell` hears the place of the next and may stop it.
    pub(crate) fn work<'t, T: Sync, U: Send>(
        &self,
        each: &'t [T],
        work: impl Fn(&'t T) -> U + Sync,
        mut tell: impl FnMut(usize) -> Result<(), Stopped>,
    ) -> Result<Vec<U>, Stopped> {
        let round = if self.many { A_ROUND } else { 1 };
        let mut done = Vec::with_capacity(each.len());
        for some in each.chunks(round) {
            tell(done.len())?;
            if self.many {
                let made: Vec<U> = some.par_iter().map(&work).collect();
                done.extend(made);
            } else {
                done.extend(some.iter().map(&work));
            }
        }
        Ok(done)
    }
}
