//! Long work: one piece of it at a time, away from the threads that answer. A page shows how far it is, loads again
//! when it is done, and can stop it or be left.
//!
//! Work is known by what it is of: the same question asked again finds the answer, a reload never begins it anew. What
//! cannot be broken off in the middle is let run out and its answer thrown away.

use std::any::Any;
use std::ops::ControlFlow;
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, UNIX_EPOCH};

use axum::extract::{Form, Path as At, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use workroom::{Progress, Trouble};

use super::routes::In;

/// How long a page waits for work that is nearly done.
const A_BLINK: Duration = Duration::from_millis(60);
/// Answers kept.
const MOST_KEPT: usize = 40;
/// Work that may wait or run at once.
const MOST_WAITING: usize = 8;

/// All work.
#[derive(Default)]
pub(super) struct Works {
    all: Mutex<Vec<Arc<Work>>>,
    /// A large picture in memory is a large picture: one at a time.
    turn: Arc<Mutex<()>>,
    next: AtomicU64,
}

struct Work {
    id: u64,
    of: String,
    at: Mutex<Doing>,
    news: Condvar,
    stop: AtomicBool,
}

#[derive(Default)]
struct Doing {
    done: usize,
    of: usize,
    doing: String,
    answer: Option<Result<Arc<dyn Any + Send + Sync>, Arc<Trouble>>>,
}

/// Work as a page sees it.
pub(super) enum Seen<T> {
    /// Its answer.
    Made(Arc<T>),
    /// Why there is none.
    Refused(Arc<Trouble>),
    /// It is being done: its number.
    Busy(u64),
    /// The maker stopped it: its number.
    Stopped(u64),
}

impl Works {
    /// Looks for the answer of some work, and begins it where nobody has.
    pub(super) fn look<T: Send + Sync + 'static>(
        &self,
        of: &str,
        doing: &str,
        make: impl FnOnce(&mut dyn FnMut(Progress<'_>) -> ControlFlow<()>) -> Result<T, Trouble>
        + Send
        + 'static,
    ) -> Seen<T> {
        let mut all = lock(&self.all);
        let found = all.iter().find(|work| work.of == of).map(Arc::clone);
        let work = match found {
            Some(work) => work,
            None => {
                if all.iter().filter(|work| lock(&work.at).answer.is_none()).count() >= MOST_WAITING
                {
                    return Seen::Refused(Arc::new(Trouble::Refused {
                        says: "there is much being done already".to_owned(),
                        hint: "wait until some of it is done, then load this page again".to_owned(),
                    }));
                }
                let done = |work: &Arc<Work>| lock(&work.at).answer.is_some();
                while all.len() >= MOST_KEPT {
                    let Some(oldest) = all.iter().position(done) else { break };
                    all.remove(oldest);
                }
                let work = Arc::new(Work {
                    id: self.next.fetch_add(1, Ordering::Relaxed),
                    of: of.to_owned(),
                    at: Mutex::new(Doing { doing: doing.to_owned(), ..Doing::default() }),
                    news: Condvar::new(),
                    stop: AtomicBool::new(false),
                });
                all.push(Arc::clone(&work));
                begin(Arc::clone(&work), Arc::clone(&self.turn), make);
                work
            }
        };
        drop(all);
        work.seen()
    }

    fn numbered(&self, id: u64) -> Option<Arc<Work>> {
        lock(&self.all).iter().find(|work| work.id == id).map(Arc::clone)
    }

    fn forget(&self, id: u64) {
        lock(&self.all).retain(|work| work.id != id);
    }
}

fn begin<T: Send + Sync + 'static>(
    work: Arc<Work>,
    turn: Arc<Mutex<()>>,
    make: impl FnOnce(&mut dyn FnMut(Progress<'_>) -> ControlFlow<()>) -> Result<T, Trouble>
    + Send
    + 'static,
) {
    std::thread::spawn(move || {
        let _turn = lock(&turn);
        let stopped = || work.stop.load(Ordering::Relaxed);
        let tell = &mut |progress: Progress<'_>| {
            let mut at = lock(&work.at);
            (at.done, at.of) = (progress.done, progress.of);
            if stopped() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        };
        let made = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
            if stopped() { Err(broken()) } else { make(tell) }
        }));
        let made = made.unwrap_or_else(|_| Err(broken()));
        let made = made.map(|it| Arc::new(it) as Arc<dyn Any + Send + Sync>).map_err(Arc::new);
        lock(&work.at).answer = Some(made);
        work.news.notify_all();
    });
}

fn broken() -> Trouble {
    Trouble::Broken {
        doing: "working on this",
        path: "the workroom".into(),
        why: "the program has a fault here".to_owned(),
    }
}

impl Work {
    fn seen<T: Send + Sync + 'static>(&self) -> Seen<T> {
        if self.stop.load(Ordering::Relaxed) {
            return Seen::Stopped(self.id);
        }
        let at = lock(&self.at);
        let waited = self.news.wait_timeout_while(at, A_BLINK, |at| at.answer.is_none());
        let at = waited.unwrap_or_else(PoisonError::into_inner).0;
        match &at.answer {
            None => Seen::Busy(self.id),
            Some(Err(why)) => Seen::Refused(Arc::clone(why)),
            Some(Ok(made)) => Arc::clone(made)
                .downcast::<T>()
                .map_or_else(|_| Seen::Refused(Arc::new(broken())), Seen::Made),
        }
    }
}

/// A file as it is now, to be told from what it was: its length and time.
pub(super) fn as_it_is(path: &Path) -> String {
    let about = std::fs::metadata(path).ok();
    let at = about.as_ref().and_then(|m| m.modified().ok());
    let at = at.and_then(|at| at.duration_since(UNIX_EPOCH).ok()).map_or(0, |d| d.as_nanos());
    format!("{} {} {at}", path.display(), about.map_or(0, |m| m.len()))
}

/// Work that is going on, as a part of a page; `here` is the page it belongs to.
pub(super) fn busy(id: u64, doing: &str, here: &str) -> Markup {
    html! {
        div.busy data-progress={ "/works/" (id) } {
            p { label for={ "work-" (id) } { (doing) } ": " span data-doing { "this takes a moment" } }
            progress id={ "work-" (id) } {}
            form method="post" action={ "/works/" (id) "/stop" } {
                input type="hidden" name="back" value=(here);
                button.second type="submit" { "Stop" }
            }
            noscript { p { "Load this page again to see how far it is." } }
        }
    }
}

/// Work that the maker stopped.
pub(super) fn stopped(id: u64, here: &str) -> Markup {
    html! {
        div.busy {
            p { "This was stopped." }
            form method="post" action={ "/works/" (id) "/anew" } {
                input type="hidden" name="back" value=(here);
                button.second type="submit" { "Begin it anew" }
            }
        }
    }
}

/// `/works/{id}`.
pub(super) async fn progress(State(room): In, At(id): At<u64>) -> Response {
    let answer = match room.works.numbered(id) {
        None => serde_json::json!({ "busy": false }),
        Some(work) => {
            let at = lock(&work.at);
            let busy = at.answer.is_none() && !work.stop.load(Ordering::Relaxed);
            serde_json::json!({ "busy": busy, "done": at.done, "of": at.of, "doing": at.doing })
        }
    };
    axum::Json(answer).into_response()
}

/// Where a form of a page goes back to.
#[derive(serde::Deserialize)]
pub(super) struct Back {
    #[serde(default)]
    back: String,
}

impl Back {
    /// A place of this workroom, never of another.
    fn place(&self) -> &str {
        let own = self.back.starts_with('/')
            && !self.back.starts_with("//")
            && !self.back.contains(['\\', '\r', '\n']);
        if own { &self.back } else { "/" }
    }
}

/// `POST /works/{id}/stop`.
pub(super) async fn stop(State(room): In, At(id): At<u64>, Form(back): Form<Back>) -> Response {
    if let Some(work) = room.works.numbered(id) {
        work.stop.store(true, Ordering::Relaxed);
        work.news.notify_all();
    }
    Redirect::to(back.place()).into_response()
}

/// `POST /works/{id}/anew`.
pub(super) async fn anew(State(room): In, At(id): At<u64>, Form(back): Form<Back>) -> Response {
    room.works.forget(id);
    Redirect::to(back.place()).into_response()
}

/// What a thread that failed left is a state like any other: it is replaced as a whole.
fn lock<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Looks until it is done: how long that takes is nobody's promise.
    fn settled(works: &Works, of: &str, make: fn() -> Result<u32, Trouble>) -> Seen<u32> {
        loop {
            let seen = works.look(of, "working", move |_| make());
            if !matches!(seen, Seen::Busy(_)) {
                return seen;
            }
        }
    }

    #[test]
    fn work_is_done_once_can_be_stopped_and_a_fault_in_it_is_told() {
        let works = Works::default();
        assert!(matches!(settled(&works, "three", || Ok(3)), Seen::Made(it) if *it == 3));
        let again = settled(&works, "three", || panic!("done anew"));
        assert!(matches!(again, Seen::Made(it) if *it == 3));
        let (go, wait) = std::sync::mpsc::channel::<()>();
        let long = works.look("long", "waiting", move |_| {
            let _ = wait.recv();
            Ok(1_u32)
        });
        let Seen::Busy(id) = long else { panic!("not busy") };
        if let Some(work) = works.numbered(id) {
            work.stop.store(true, Ordering::Relaxed);
        }
        let stopped = settled(&works, "long", || Ok(1));
        assert!(matches!(stopped, Seen::Stopped(other) if other == id));
        drop(go);
        works.forget(id);
        assert!(matches!(settled(&works, "long", || Ok(2)), Seen::Made(it) if *it == 2));
        let fault = settled(&works, "fault", || panic!("as meant by the test"));
        assert!(matches!(fault, Seen::Refused(_)));
    }

    #[test]
    fn a_form_leads_back_into_the_workroom_only() {
        for (given, to) in [
            ("/c/a", "/c/a"),
            ("//evil.example", "/"),
            ("http://evil.example", "/"),
            ("/\\evil", "/"),
            ("", "/"),
        ] {
            assert_eq!(Back { back: given.to_owned() }.place(), to, "{given}");
        }
    }
}
