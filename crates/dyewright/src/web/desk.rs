//! Desks: each costume's plan, made once for each state of its files, in the background, and kept.
//!
//! A page never waits for a plan longer than a blink: it shows the plan before the last change and how far the new
//! one is. What a plan was made of is told by length and time of its files, so that a change from outside is seen.

use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, SystemTime};

use units::Day;
use workroom::document::PiecePlan;
use workroom::{
    CorrectWanted, Corrected, CostumeFound, Plan, PlanWanted, Planned, Stamp, Trouble,
    correct_piece, plan_costume, said_change,
};

/// How long a page waits for a plan that is nearly made.
const A_BLINK: Duration = Duration::from_millis(60);

/// All desks.
#[derive(Default)]
pub(super) struct Desks {
    all: Mutex<BTreeMap<String, Arc<Desk>>>,
}

/// One costume's.
#[derive(Default)]
struct Desk {
    state: Mutex<State>,
    news: Condvar,
}

#[derive(Default)]
struct State {
    /// What the plan in hand, or the last one tried, is made of.
    of: Option<Files>,
    work: Option<Arc<Work>>,
    /// The last plan that was made.
    made: Option<Arc<Made>>,
    /// Plans before that one, the newest last: their cards may be printed, and their swatches dyed.
    earlier: Vec<Arc<Made>>,
    /// Plans by which a bath was begun, by its piece and place: a pot that stands on the fire is not dosed anew.
    held: BTreeMap<(String, usize), Arc<Made>>,
    /// Why there is none for these files.
    trouble: Option<Arc<Trouble>>,
    stopped: bool,
    /// What the last change of the files did to the plan.
    changed: Vec<String>,
}

/// A plan, and what is to be done with the pieces whose swatches were read.
pub(super) struct Made {
    /// The plan.
    pub(super) plan: Plan,
    /// What has to be said about the files read.
    pub(super) notes: Vec<String>,
    /// What to do next with a piece that was swatched, by its id.
    pub(super) corrections: BTreeMap<String, Corrected>,
    /// What to do next with a piece that was dyed whole, by its id.
    pub(super) dyed: BTreeMap<String, Corrected>,
}

impl Made {
    /// A plan with a verdict on every piece that has swatches of its own, and on every one that was dyed whole; one that
    /// cannot be judged has none.
    fn of(planned: Planned, wanted: &PlanWanted) -> Self {
        let judged = |piece: &PiecePlan, dyed: bool| {
            let asked = CorrectWanted {
                file: wanted.file.clone(),
                of: piece.id.clone(),
                swatch: None,
                dyed,
                shelf: None,
                book: wanted.book.clone(),
                today: wanted.today,
            };
            Some((piece.id.clone(), correct_piece(&asked).ok()?))
        };
        let swatched =
            |piece: &&PiecePlan| piece.special.rests_on.as_ref().is_some_and(|rests| rests.own > 0);
        let whole =
            |piece: &&PiecePlan| piece.special.recorded.as_ref().is_some_and(|one| one.whole);
        let pieces = &planned.plan.pieces;
        let corrections =
            pieces.iter().filter(swatched).filter_map(|piece| judged(piece, false)).collect();
        let dyed = pieces.iter().filter(whole).filter_map(|piece| judged(piece, true)).collect();
        Self { plan: planned.plan, notes: planned.notes, corrections, dyed }
    }
}

/// A plan being made.
struct Work {
    at: Mutex<At>,
    stop: AtomicBool,
}

/// How far a plan is.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct At {
    /// Pieces finished.
    pub(super) done: usize,
    /// Pieces in all; 0 before it is known.
    pub(super) of: usize,
    /// What is done now.
    pub(super) doing: String,
}

/// Files and day a plan is made of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Files {
    day: Day,
    each: Vec<(PathBuf, Option<(u64, SystemTime)>)>,
}

/// What a page sees.
pub(super) struct Look {
    /// The plan, the last one made.
    pub(super) made: Option<Arc<Made>>,
    /// How far the next one is, when one is being made.
    pub(super) busy: Option<At>,
    /// Why there is none for the files as they are.
    pub(super) trouble: Option<Arc<Trouble>>,
    /// True when the maker stopped it.
    pub(super) stopped: bool,
    /// What the last change did, in sentences.
    pub(super) changed: Vec<String>,
    /// Plans before it, the newest last.
    pub(super) earlier: Vec<Arc<Made>>,
}

/// Plans kept beside the last one: more than a day of dyeing makes.
const EARLIER: usize = 40;

impl Look {
    /// The plan, when there is one.
    pub(super) fn plan(&self) -> Option<&Plan> {
        self.made.as_ref().map(|made| &made.plan)
    }
}

impl Desks {
    /// Looks at a costume's desk; begins its plan when its files are not those of the last one.
    pub(super) fn look(
        &self,
        costume: &CostumeFound,
        book: Option<&Path>,
        today: Day,
        stamp: &Stamp,
    ) -> Look {
        let desk = Arc::clone(lock(&self.all).entry(costume.key.clone()).or_default());
        let mut state = lock(&desk.state);
        let files = Files::now(&costume.path, book, today);
        if state.of.as_ref() != Some(&files) {
            if let Some(work) = state.work.take() {
                work.stop.store(true, Ordering::Relaxed);
            }
            state.of = Some(files.clone());
            state.trouble = None;
            state.stopped = false;
            let work = Arc::new(Work { at: Mutex::default(), stop: AtomicBool::new(false) });
            state.work = Some(Arc::clone(&work));
            let wanted = PlanWanted {
                file: costume.path.clone(),
                shelf: None,
                book: book.map(Path::to_path_buf),
                out: None,
                today,
                hand_out: vec![],
                stamp: stamp.clone(),
                write: false,
            };
            let at = Arc::clone(&desk);
            std::thread::spawn(move || at.make(&wanted, &files, &work));
        }
        if state.work.is_some() {
            let waited = desk.news.wait_timeout_while(state, A_BLINK, |s| s.work.is_some());
            state = waited.unwrap_or_else(PoisonError::into_inner).0;
        }
        Look {
            made: state.made.clone(),
            busy: state.work.as_ref().map(|work| lock(&work.at).clone()),
            trouble: state.trouble.clone(),
            stopped: state.stopped,
            changed: state.changed.clone(),
            earlier: state.earlier.clone(),
        }
    }

    /// The plan by which a bath of a costume was begun, where that is kept.
    pub(super) fn held(&self, key: &str, bath: &(String, usize)) -> Option<Arc<Made>> {
        let desk = lock(&self.all).get(key).map(Arc::clone)?;
        lock(&desk.state).held.get(bath).cloned()
    }

    /// Keeps the plan by which a bath was begun; with none, lets go of it.
    pub(super) fn hold(&self, key: &str, bath: (String, usize), made: Option<Arc<Made>>) {
        let Some(desk) = lock(&self.all).get(key).map(Arc::clone) else { return };
        let mut state = lock(&desk.state);
        match made {
            Some(made) => {
                state.held.entry(bath).or_insert(made);
            }
            None => {
                state.held.remove(&bath);
            }
        }
    }

    /// The last plan made of a costume, where one was; none is begun for this.
    pub(super) fn made(&self, key: &str) -> Option<Arc<Made>> {
        let desk = lock(&self.all).get(key).map(Arc::clone)?;
        lock(&desk.state).made.clone()
    }

    /// Stops a costume's plan.
    pub(super) fn stop(&self, key: &str) {
        let desk = lock(&self.all).get(key).map(Arc::clone);
        if let Some(desk) = desk
            && let Some(work) = &lock(&desk.state).work
        {
            work.stop.store(true, Ordering::Relaxed);
        }
    }

    /// Makes the plan anew the next time it is looked at.
    pub(super) fn anew(&self, key: &str) {
        let desk = lock(&self.all).get(key).map(Arc::clone);
        if let Some(desk) = desk {
            lock(&desk.state).of = None;
        }
    }
}

impl Desk {
    fn make(&self, wanted: &PlanWanted, files: &Files, work: &Arc<Work>) {
        let made = plan_costume(wanted, &mut |progress| {
            let doing = format!("{}: {}", progress.piece, progress.doing);
            *lock(&work.at) = At { done: progress.done, of: progress.of, doing };
            if work.stop.load(Ordering::Relaxed) {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        });
        let made = made.map(|planned| Made::of(planned, wanted));
        let mut state = lock(&self.state);
        if state.of.as_ref() != Some(files) {
            return;
        }
        state.work = None;
        match made {
            Ok(made) => {
                let made = Arc::new(made);
                if let Some(before) = state.made.take() {
                    state.changed = said_change(&before.plan, &made.plan);
                    state.earlier.push(before);
                    let over = state.earlier.len().saturating_sub(EARLIER);
                    state.earlier.drain(..over);
                }
                state.made = Some(made);
            }
            Err(_) if work.stop.load(Ordering::Relaxed) => state.stopped = true,
            Err(trouble) => state.trouble = Some(Arc::new(trouble)),
        }
        self.news.notify_all();
    }
}

impl Files {
    /// The costume file, every other file of its folder that a plan may read, and the workbook.
    pub(super) fn now(costume: &Path, book: Option<&Path>, day: Day) -> Self {
        let beside = costume.with_file_name(workroom::WORKBOOK);
        let book = book.map_or(beside, Path::to_path_buf);
        let folder = costume.parent().filter(|p| !p.as_os_str().is_empty());
        let mut paths = vec![costume.to_path_buf(), book];
        if let Ok(entries) = std::fs::read_dir(folder.unwrap_or(Path::new("."))) {
            let others = entries.filter_map(Result::ok).map(|e| e.path());
            paths.extend(others.filter(|p| {
                p.extension().is_some_and(|e| e == "toml" || e == "csv" || e == "txt")
            }));
        }
        paths.sort();
        paths.dedup();
        let about = |path: PathBuf| {
            let seen = std::fs::metadata(&path).ok();
            let seen = seen.and_then(|m| m.modified().ok().map(|at| (m.len(), at)));
            (path, seen)
        };
        Self { day, each: paths.into_iter().map(about).collect() }
    }
}

/// What a thread that failed left is a state like any other: it is replaced as a whole.
pub(super) fn lock<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}
