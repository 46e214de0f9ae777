//! What swatches taught, as a plan rests on it: the dyes of the shelf as believed on each fibre, what is
//! known of them together, which swatch taught what, and which taught nothing and why.
//!
//! Jobs are learnt one after the other in the order they were recorded (of very many, several at a time), so that
//! each reading is held against what was believed before it: that is where one that cannot be believed shows. Such a
//! one is kept and teaches nothing until a second reading confirms it. Fibres that the trade dyes
//! alike (`lore`'s row of the matrix: cotton and mercerised cotton, wool and felted wool) count as one; what
//! they differ by in take-up stands in the substrate. Left out: where the swatches come from, and how a record
//! becomes a [`dyeing::Dyeing`] (whoever keeps the records does that).

use std::collections::BTreeMap;
use std::sync::Arc;

use colour::Lab;
use costume::{Costume, Shelf};
use dyeing::{Dye, Dyeing, Experience, Refusal, Stocked, Surprise, asked_about};
use lore::{DyeClass, Lore, Procedure};
use units::{Day, LiquorRatio, OnFibre};

use crate::asked::fibres;
use crate::on_record::OnRecord;

/// A swatch that may teach, as recorded and as the dyeing room takes it.
#[derive(Debug, Clone)]
pub struct ToLearn {
    /// What is known of it beside the dyeing.
    pub head: Lesson,
    /// The dyeing; its dyes are places of the shelf, and after them of the further lots.
    pub dyeing: Dyeing,
}

/// A swatch that taught.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// The code on its card, or its entry in the workbook.
    pub code: String,
    /// The costume and the piece it was dyed for.
    pub piece: Option<(String, String)>,
    /// True for the maker's own work; a friend's and an old note's teach with wide spreads.
    pub own: bool,
    /// True for another cloth like the piece's own.
    pub look_alike: bool,
    /// The fibre it counts for ([`fibre_of`]).
    pub fibre: String,
    /// The cloth it was of, by its material.
    pub material: String,
    /// What that looked like before, D65/10°; none where nobody said.
    pub undyed: Option<Lab>,
    /// The day it was dyed or, where that was not noted, recorded.
    pub day: Day,
    /// The class it was dyed by.
    pub class: DyeClass,
    /// The way of dyeing, where it was told.
    pub procedure: Option<Procedure>,
    /// Liquor to goods, where it was told.
    pub ratio: Option<LiquorRatio>,
    /// Places in the stock with the dose of each, as really dosed.
    pub doses: Vec<(usize, OnFibre)>,
    /// The job of its reading.
    pub job: u64,
    /// What was read, D65/10°.
    pub read: Lab,
    /// Whether two readings of it or more agree.
    pub confirmed: bool,
    /// How far it lay from what was believed before it; none until it was learnt.
    pub surprise: Option<Surprise>,
}

impl Lesson {
    /// Whether it lies so far from what was believed before it that whoever dyed it is asked.
    #[must_use]
    pub fn is_beyond_belief(&self) -> bool {
        self.surprise.is_some_and(|surprise| surprise.asks())
    }

    /// Whether it is the maker's own, of this piece.
    #[must_use]
    pub fn is_own_of(&self, costume: &str, piece: &str) -> bool {
        self.own && self.piece.as_ref().is_some_and(|(c, p)| c == costume && p == piece)
    }

    /// Whether it is kept and teaches nothing: beyond belief, and not confirmed by a second reading.
    #[must_use]
    pub fn is_held_out(&self) -> bool {
        self.is_beyond_belief() && !self.confirmed
    }
}

/// Why a swatch taught nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum NotTaught {
    /// Not read yet.
    Unread,
    /// Read wet, warm or before it was washed off, and not again.
    Unfinished,
    /// Dyed over another colour.
    Over,
    /// Of several fibres, of which not all took the dye.
    SeveralFibres,
    /// Of a fibre the program does not know.
    UnknownFibre,
    /// Dyed with what is not on the shelf.
    NotOnShelf,
    /// The dye is of another class on the shelf than it was dyed by.
    OtherClass,
    /// Dyes of classes that do not go into one bath.
    UnlikeClasses,
    /// Nothing of the class goes onto that fibre.
    TakesNone,
    /// How much dye was in it cannot be reckoned.
    UnknownDose,
    /// More dye than anything is foretold of.
    TooDeep,
    /// No colour that cloth can have, or under a light from which daylight cannot be reckoned.
    NoColour,
    /// The sums could not be solved with it.
    NoSums,
}

impl NotTaught {
    /// The reason in words, after "because".
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Unread => "it was not read yet",
            Self::Unfinished => "it was read wet, warm or not washed off: read it again, finished",
            Self::Over => "it was dyed over another colour",
            Self::SeveralFibres => {
                "it is of several fibres and not all of them take this dye: one colour cannot tell what each took"
            }
            Self::UnknownFibre => "its fibre is not known",
            Self::NotOnShelf => "a dye in it is not on the shelf",
            Self::OtherClass => "a dye in it is of another class on the shelf",
            Self::UnlikeClasses => "its dyes are of classes that do not go into one bath",
            Self::TakesNone => "its fibre does not take that class of dye",
            Self::UnknownDose => "how much dye was in it cannot be reckoned",
            Self::TooDeep => "it has more dye than the program foretells anything of",
            Self::NoColour => "its reading is no daylight colour that cloth can have",
            Self::NoSums => "the sums could not be solved with it",
        }
    }
}

/// Swatches that taught nothing, for one reason.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PassedOver {
    /// The reason.
    pub why: NotTaught,
    /// Their codes.
    pub codes: Vec<String>,
}

/// A reading to ask the maker about.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubted {
    /// Codes of the swatches: one, or all of a job that are beyond belief only together.
    pub codes: Vec<String>,
    /// ΔE00 from what was foretold, of the furthest of them.
    pub off: f64,
    /// Whether it teaches nothing until a second reading confirms it.
    pub held_out: bool,
}

/// What was learnt.
#[derive(Debug, Clone)]
pub struct Taught {
    experience: Arc<Experience>,
    lessons: Vec<Lesson>,
    /// Swatches beyond belief that no second reading confirms: kept, and nothing is learnt from them.
    held_out: Vec<Lesson>,
    /// Every swatch that was read, by job: what was believed before it, code and dyeing.
    jobs: BTreeMap<u64, OneJob>,
    passed_over: Vec<PassedOver>,
    /// What is on record as dyed.
    pub(crate) on_record: Vec<OnRecord>,
    /// The same, each made ready for one fibre of a costume.
    on: BTreeMap<String, Arc<Experience>>,
    /// The dyes of the stock as believed, by fibre and job.
    believed: BTreeMap<(String, u64), Vec<Dye>>,
}

/// The swatches of one job as read, and what was believed before any of them.
#[derive(Debug, Clone)]
pub(crate) struct OneJob {
    pub(crate) before: Arc<Experience>,
    pub(crate) read: Vec<(String, Dyeing)>,
}

/// A job of which no swatch was read.
pub const NEW_JOB: u64 = u64::MAX;

impl Taught {
    /// Learns: `lots` are the places on the shelf of the dyes that the further places of the stock are other
    /// lots of. A swatch that cannot be learnt from is passed over and counted with `passed_over`.
    ///
    /// # Errors
    /// A lot of a dye that is not on the shelf.
    pub fn try_of(
        shelf: &Shelf,
        lots: &[usize],
        to_learn: Vec<ToLearn>,
        passed_over: Vec<(NotTaught, String)>,
    ) -> Result<Self, Refusal> {
        let own = shelf.dyes.iter().map(|one| Stocked { dye: one.dye.clone(), lot_of: None });
        let mut stock: Vec<Stocked> = own.collect();
        for &of in lots {
            let Some(one) = shelf.dyes.get(of) else {
                return Err(Refusal::NotInStock { place: of, stock: shelf.dyes.len() });
            };
            stock.push(Stocked { dye: one.dye.clone(), lot_of: Some(of) });
        }
        let mut experience = Experience::try_new(stock)?;
        let mut all_lessons: Vec<Lesson> = vec![];
        let mut of_jobs: BTreeMap<u64, OneJob> = BTreeMap::new();
        let mut passed: BTreeMap<NotTaught, Vec<String>> = BTreeMap::new();
        for (why, code) in passed_over {
            passed.entry(why).or_default().push(code);
        }
        for jobs in in_batches(by_job(to_learn)) {
            let all: Vec<ToLearn> = jobs.iter().flatten().cloned().collect();
            let before = Arc::new(experience.clone());
            for one in &all {
                let job = || OneJob { before: Arc::clone(&before), read: vec![] };
                let job = of_jobs.entry(one.head.job).or_insert_with(job);
                job.read.push((one.head.code.clone(), one.dyeing.clone()));
            }
            match learnt(&mut experience, all) {
                Some(learnt) => all_lessons.extend(learnt),
                // What one of them spoils is not lost with the others.
                None => {
                    for job in jobs {
                        let codes = job.iter().map(|one| one.head.code.clone()).collect::<Vec<_>>();
                        match learnt(&mut experience, job) {
                            Some(learnt) => all_lessons.extend(learnt),
                            None => passed.entry(NotTaught::NoSums).or_default().extend(codes),
                        }
                    }
                }
            }
        }
        let passed_over =
            passed.into_iter().map(|(why, codes)| PassedOver { why, codes }).collect();
        let (on, believed) = (BTreeMap::new(), BTreeMap::new());
        let (held_out, lessons) = all_lessons.into_iter().partition(Lesson::is_held_out);
        let experience = Arc::new(experience);
        let jobs = of_jobs;
        let on_record = vec![];
        Ok(Self { experience, lessons, held_out, jobs, passed_over, on_record, on, believed })
    }

    /// The same with the dyes made ready for every fibre and every piece of a costume.
    #[must_use]
    pub fn ready_for(&self, lore: &Lore, costume: &Costume) -> Self {
        let mut ready = self.clone();
        let mut wanted: Vec<(String, u64)> = vec![];
        for piece in &costume.pieces {
            let job = self.job_of(&costume.name, &piece.id);
            for (material, _) in fibres(lore, &piece.goods.makeup) {
                wanted.push((fibre_of(lore, &material), job));
            }
        }
        wanted.sort_unstable();
        wanted.dedup();
        // Each fibre apart: all of them at once would be sums of a thousand numbers.
        let mut fibres: BTreeMap<String, Arc<Experience>> = BTreeMap::new();
        for (fibre, job) in wanted {
            let there = fibres.entry(fibre.clone()).or_insert_with(|| {
                let mut there = Experience::clone(&self.experience);
                // What cannot be made ready there is known as the shelf has it.
                let known = there.also_on(&fibre).is_ok();
                if known { Arc::new(there) } else { Arc::clone(&self.experience) }
            });
            let dyes = there.dyes(&fibre, job);
            ready.believed.insert((fibre, job), dyes);
        }
        ready.on = fibres;
        ready
    }

    /// Everything that is known of the stock.
    #[must_use]
    pub fn experience(&self) -> &Experience {
        &self.experience
    }

    /// The same where something of this fibre is thought of, with what other fibres taught of its dyes where the
    /// costume has it ([`Self::ready_for`]).
    #[must_use]
    pub fn experience_on(&self, fibre: &str) -> &Experience {
        self.on.get(fibre).unwrap_or(&self.experience)
    }

    /// The swatches that taught, job by job.
    #[must_use]
    pub fn lessons(&self) -> &[Lesson] {
        &self.lessons
    }

    /// Swatches beyond belief, which teach nothing until a second reading confirms them.
    #[must_use]
    pub fn held_out(&self) -> &[Lesson] {
        &self.held_out
    }

    /// A job as it was read.
    pub(crate) fn job(&self, job: u64) -> Option<&OneJob> {
        self.jobs.get(&job)
    }

    /// The swatches that did not, reason by reason.
    #[must_use]
    pub fn passed_over(&self) -> &[PassedOver] {
        &self.passed_over
    }

    /// The swatches that taught, of a piece, in the order they were learnt.
    pub fn of_piece<'s>(
        &'s self,
        costume: &'s str,
        piece: &'s str,
    ) -> impl DoubleEndedIterator<Item = &'s Lesson> {
        let named =
            move |l: &&Lesson| l.piece.as_ref().is_some_and(|(c, p)| c == costume && p == piece);
        self.lessons.iter().filter(named)
    }

    /// The swatch with this code that taught, or would if it were confirmed.
    #[must_use]
    pub fn lesson(&self, code: &str) -> Option<&Lesson> {
        self.lessons.iter().chain(&self.held_out).find(|lesson| lesson.code == code)
    }

    /// The last of the maker's own swatches of a piece that teach nothing until they are confirmed.
    #[must_use]
    pub fn held_out_of(&self, costume: &str, piece: &str) -> Option<&Lesson> {
        self.held_out.iter().rfind(|lesson| lesson.is_own_of(costume, piece))
    }

    /// Of those of a piece the maker's own.
    #[must_use]
    pub fn own_of(&self, costume: &str, piece: &str) -> Vec<&Lesson> {
        self.lessons.iter().filter(|lesson| lesson.is_own_of(costume, piece)).collect()
    }

    /// The job a piece goes on in: that of its last own swatch, else one that is new.
    #[must_use]
    pub fn job_of(&self, costume: &str, piece: &str) -> u64 {
        self.of_piece(costume, piece).rfind(|l| l.own).map_or(NEW_JOB, |l| l.job)
    }

    /// The dyes of the stock as believed on a fibre in a job, the shelf's first; none where that was not made
    /// ready ([`Self::ready_for`]).
    #[must_use]
    pub fn believed(&self, fibre: &str, job: u64) -> Option<&[Dye]> {
        self.believed.get(&(fibre.to_owned(), job)).map(Vec::as_slice)
    }

    /// Readings that cannot well be believed: each swatch beyond belief, and jobs that are so only together.
    #[must_use]
    pub fn doubted(&self) -> Vec<Doubted> {
        let off = |l: &Lesson| l.surprise.map_or(0.0, |s| s.off);
        let alone = |l: &Lesson| Doubted {
            codes: vec![l.code.clone()],
            off: off(l),
            held_out: l.is_held_out(),
        };
        let mut doubted: Vec<Doubted> = self.held_out.iter().map(alone).collect();
        let mut at = 0;
        while let Some(first) = self.lessons.get(at) {
            let job: Vec<&Lesson> =
                self.lessons[at..].iter().take_while(|l| l.job == first.job).collect();
            at += job.len();
            let single: Vec<&&Lesson> = job.iter().filter(|l| l.is_beyond_belief()).collect();
            doubted.extend(single.iter().map(|l| alone(l)));
            let all: Vec<Surprise> = job.iter().filter_map(|l| l.surprise).collect();
            if single.is_empty() && job.len() > 1 && asked_about(&all) {
                let codes = job.iter().map(|l| l.code.clone()).collect();
                let furthest = job.iter().map(|l| off(l)).fold(0.0, f64::max);
                doubted.push(Doubted { codes, off: furthest, held_out: false });
            }
        }
        doubted
    }
}

/// The fibre that a material's swatches count for: what the trade dyes alike is one.
#[must_use]
pub fn fibre_of(lore: &Lore, material: &str) -> String {
    lore.material(material).map_or_else(|_| material.to_owned(), |m| m.dyes_as.clone())
}

/// In so many steps at most everything is learnt: of years of jobs several at a time, held against what was
/// believed before them (judgement: each step costs as much as a whole learning).
const STEPS: usize = 8;

/// Jobs in steps.
fn in_batches(jobs: Vec<Vec<ToLearn>>) -> Vec<Vec<Vec<ToLearn>>> {
    let each = jobs.len().div_ceil(STEPS).max(1);
    jobs.chunks(each).map(<[_]>::to_vec).collect()
}

/// Learns these at once, without those that are beyond belief and not confirmed; none, and nothing learnt, where the
/// sums cannot be solved with them.
fn learnt(experience: &mut Experience, all: Vec<ToLearn>) -> Option<Vec<Lesson>> {
    let before = experience.clone();
    let (heads, dyeings): (Vec<Lesson>, Vec<Dyeing>) =
        all.into_iter().map(|one| (one.head, one.dyeing)).unzip();
    let surprises = experience.learn(dyeings.clone()).ok()?;
    let told = heads.into_iter().zip(surprises);
    let lessons: Vec<Lesson> = told.map(|(head, s)| Lesson { surprise: Some(s), ..head }).collect();
    if lessons.iter().any(Lesson::is_held_out) {
        *experience = before;
        let believed = lessons.iter().zip(dyeings).filter(|(l, _)| !l.is_held_out());
        let dyeings: Vec<Dyeing> = believed.map(|(_, dyeing)| dyeing).collect();
        if !dyeings.is_empty() {
            experience.learn(dyeings).ok()?;
        }
    }
    Some(lessons)
}

/// Those of one job together, jobs in the order in which they began.
fn by_job(all: Vec<ToLearn>) -> Vec<Vec<ToLearn>> {
    let mut jobs: Vec<(u64, Vec<ToLearn>)> = vec![];
    for one in all {
        let job = one.head.job;
        match jobs.iter_mut().find(|(known, _)| *known == job) {
            Some((_, of_job)) => of_job.push(one),
            None => jobs.push((job, vec![one])),
        }
    }
    jobs.into_iter().map(|(_, of_job)| of_job).collect()
}
