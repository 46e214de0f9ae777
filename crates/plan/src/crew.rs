//! Many hands: several pieces (or sets) at once, each by one thread, told of as each is begun.
//!
//! What is answered does not depend on how many there are. A costume of a few pieces goes one piece at a
//! time, and the search inside uses all cores.

use std::sync::Mutex;
use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread;

use crate::Request;
use crate::request::Stopped;

/// From so many pieces on it is quicker to share out pieces than searches (judgement).
const MANY: usize = 4;

/// Who works, and the request as each of them sees it.
pub(crate) struct Crew<'a> {
    /// The request with the threads each piece may use.
    pub(crate) each: Request<'a>,
    hands: usize,
}

/// What a worker says: what it begins, or what came of it.
enum Word<U> {
    Begun(usize),
    Done(usize, U),
}

impl<'a> Crew<'a> {
    pub(crate) fn of(request: &Request<'a>, pieces: usize) -> Self {
        let many = request.threads != 1 && pieces >= MANY;
        let cores = || thread::available_parallelism().map_or(1, usize::from);
        let hands = match (many, request.threads) {
            (false, _) => 1,
            (true, 0) => cores(),
            (true, threads) => threads,
        };
        let threads = if many { 1 } else { request.threads };
        Self { each: Request { threads, ..*request }, hands }
    }

    /// Does the work for each, in order; `tell` hears the place of each as it is begun and may stop it:
    /// then what is in hand is finished and nothing more begun.
    pub(crate) fn work<'t, T: Sync, U: Send>(
        &self,
        each: &'t [T],
        of_one: impl Fn(&'t T) -> U + Sync,
        tell: impl FnMut(usize) -> Result<(), Stopped>,
    ) -> Result<Vec<U>, Stopped> {
        work(self.hands, each, of_one, tell)
    }
}

fn work<'t, T: Sync, U: Send>(
    hands: usize,
    each: &'t [T],
    of_one: impl Fn(&'t T) -> U + Sync,
    mut tell: impl FnMut(usize) -> Result<(), Stopped>,
) -> Result<Vec<U>, Stopped> {
    if hands == 1 {
        let one = |(place, one): (usize, &'t T)| tell(place).map(|()| of_one(one));
        return each.iter().enumerate().map(one).collect();
    }
    let mut done: Vec<Option<U>> = each.iter().map(|_| None).collect();
    let next = Mutex::new(0);
    // Whoever speaks waits until it is heard: so nothing is begun after the word to stop.
    let (say, heard) = sync_channel(0);
    thread::scope(|scope| {
        for _ in 0..hands.min(each.len()) {
            let (say, next, of_one) = (say.clone(), &next, &of_one);
            scope.spawn(move || {
                while let Some(place) = begin(next, each.len(), &say) {
                    if say.send(Word::Done(place, of_one(&each[place]))).is_err() {
                        break;
                    }
                }
            });
        }
        drop(say);
        for word in heard {
            match word {
                Word::Begun(place) => tell(place)?,
                Word::Done(place, came) => done[place] = Some(came),
            }
        }
        Ok(())
    })?;
    Ok(done.into_iter().flatten().collect())
}

/// Takes the next place and says so, in order; none when all are taken or nobody listens any more.
fn begin<U>(next: &Mutex<usize>, of: usize, say: &SyncSender<Word<U>>) -> Option<usize> {
    let mut next = next.lock().ok()?;
    let place = *next;
    (place < of && say.send(Word::Begun(place)).is_ok()).then(|| {
        *next += 1;
        place
    })
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};

    use super::*;

    #[test]
    fn each_is_done_once_and_in_its_place_however_many_hands_there_are() {
        let each: Vec<usize> = (0..50).collect();
        for hands in [1, 2, 7, 80] {
            let mut heard = vec![];
            let came = work(
                hands,
                &each,
                |one| one * one,
                |place| {
                    heard.push(place);
                    Ok(())
                },
            );
            assert_eq!(came, Ok(each.iter().map(|one| one * one).collect()), "{hands}");
            assert_eq!(heard, each, "{hands}");
        }
        assert_eq!(work(4, &[0_usize; 0], |one| *one, |_| Ok(())), Ok(vec![]));
    }

    #[test]
    fn once_stopped_nothing_more_is_begun() {
        for hands in [1, 4] {
            let begun = AtomicUsize::new(0);
            let each: Vec<usize> = (0..10_000).collect();
            let came = work(
                hands,
                &each,
                |_| begun.fetch_add(1, Ordering::SeqCst),
                |place| if place == 3 { Err(Stopped) } else { Ok(()) },
            );
            assert_eq!(came, Err(Stopped));
            assert!(begun.load(Ordering::SeqCst) < each.len(), "{hands}");
        }
    }
}
