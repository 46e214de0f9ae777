//! Whether a bad photograph is refused: `photo_faults -- --seed S`, or pictures of somebody else: `--case DIR`
//! (docs/cases.md).
//!
//! Scenes are careful photographs with one or two cloths (`scenes::Layout::careful`); of the first of them every fault is
//! laid on, each in a strength drawn evenly from nothing to very much. The error of a cloth is ΔE00 (D65/10°) between what
//! is read and what the cloth reflects; it is worked out for refused photographs too, wherever the chart can be found or
//! taken at its true corners. A scene is *spoilt* when the fault adds more than 3 to the error of a cloth, and *caught* when
//! the photograph or every such cloth was refused. Of what no reading can be had at all nothing is known; it counts as
//! refused, not as spoilt, and is told apart (`unread`). A shadow whose edge lies between chart and cloth is reported apart as
//! glare on the cloth alone is, and counts as caught where the maker is asked about it, too.
//!
//! `--only FAULT` lays on one fault (what is drawn by chance is another then).
//!
//! `--away P` lays cloths up to P pitches of the chart from it (0.7 as it stands).
//!
//! `--by root` (as it stands) reads with a root-polynomial of six terms in the light that the patches themselves show to
//! be even; `--by estimator` with the room's estimator, which takes its time.

#![expect(clippy::print_stdout, reason = "an example speaks to the person who runs it")]

mod case;
#[path = "../trial/folder.rs"]
mod folder;
#[path = "../trial/optional.rs"]
mod optional;
#[path = "../trial/pictures.rs"]
mod pictures;
#[path = "../trial/root_polynomial.rs"]
mod root_polynomial;
#[path = "../trial/tables.rs"]
mod tables;

use std::{collections::BTreeMap, env, fs, process::ExitCode};

use colour::{Bands, ClothPrior, Lab, Weights, ciede2000};
use picture::{Asked, Chain, ChartKind, ClothPlace, PhotoRefusal, Picture, Taken};
use root_polynomial::RootPolynomial;
use scenes::{Chance, Layout, PhotoFault, Scene, made_up};

/// What is asked for.
struct Wanted {
    seed: u64,
    scenes: usize,
    good: usize,
    estimator: bool,
    case: Option<String>,
    tell: Option<String>,
    /// Most gap between chart and cloth, in pitches.
    away: Option<f64>,
    /// One fault; none: all.
    only: Option<PhotoFault>,
}

fn main() -> ExitCode {
    let given: Vec<String> = env::args().skip(1).collect();
    let done = wanted(&given).and_then(|wanted| match &wanted.case {
        Some(folder) => case::run(folder, wanted.estimator),
        None => run(&wanted),
    });
    match done {
        Ok(json) => {
            println!("{json}");
            ExitCode::SUCCESS
        }
        Err(refusal) => {
            eprintln!("photo_faults: {refusal}");
            ExitCode::from(2)
        }
    }
}

fn wanted(given: &[String]) -> Result<Wanted, String> {
    let mut wanted = Wanted {
        seed: 1,
        scenes: 300,
        good: 1000,
        estimator: false,
        case: None,
        tell: None,
        away: None,
        only: None,
    };
    let mut words = given.iter();
    while let Some(word) = words.next() {
        let value = words.next().ok_or_else(|| format!("{word} wants something after it"))?;
        let number = || value.parse::<usize>().map_err(|_| format!("{word} wants a whole number"));
        match word.as_str() {
            "--seed" => wanted.seed = value.parse().map_err(|_| "--seed wants a whole number")?,
            "--scenes" => wanted.scenes = number()?,
            "--good" => wanted.good = number()?,
            "--away" => {
                let away = value.parse().ok().filter(|v| (0.2..=20.0).contains(v));
                wanted.away = Some(away.ok_or("--away wants a number from 0.2 to 20")?);
            }
            "--only" => {
                let only = PhotoFault::ALL.into_iter().find(|f| f.name() == value);
                wanted.only = Some(only.ok_or(format!("--only is a fault, not {value:?}"))?);
            }
            "--case" => wanted.case = Some(value.clone()),
            "--tell" => wanted.tell = Some(value.clone()),
            "--by" => {
                wanted.estimator = match value.as_str() {
                    "root" => false,
                    "estimator" => true,
                    other => return Err(format!("--by is root or estimator, not {other:?}")),
                }
            }
            other => return Err(format!("{other:?} is not understood")),
        }
    }
    Ok(wanted)
}

/// What came of one photograph.
#[derive(Clone)]
struct Outcome {
    /// The photograph as a whole refused.
    refused: Option<String>,
    /// Cloth by cloth: its error where one can be told, and why it was refused by itself.
    cloths: Vec<(Option<f64>, Option<String>)>,
    /// Whether a cloth was asked about, as an edge of light may lie before it.
    asked: Vec<bool>,
    signs: String,
}

impl Outcome {
    fn is_refused(&self) -> bool {
        self.refused.is_some() || self.cloths.iter().any(|c| c.1.is_some())
    }

    fn why(&self) -> &str {
        let cloth = || self.cloths.iter().find_map(|c| c.1.as_deref());
        self.refused.as_deref().or_else(cloth).unwrap_or("")
    }
}

/// A photograph without a fault and, of the first of them, with each.
type Set = (Outcome, Vec<(PhotoFault, f64, Outcome)>);

fn run(wanted: &Wanted) -> Result<String, String> {
    let count = wanted.good.max(wanted.scenes);
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    let parts = std::thread::scope(|scope| {
        let jobs: Vec<_> = (0..workers)
            .map(|worker| {
                scope.spawn(move || {
                    (worker..count)
                        .step_by(workers)
                        .map(|n| set(wanted, n).map(|s| (n, s)))
                        .collect::<Result<Vec<_>, _>>()
                })
            })
            .collect();
        jobs.into_iter()
            .map(|job| job.join().unwrap_or_else(|_| Err("a scene panicked".to_owned())))
            .collect::<Result<Vec<_>, String>>()
    })?;
    let mut sets: Vec<(usize, Set)> = parts.into_iter().flatten().collect();
    sets.sort_by_key(|(n, _)| *n);
    if let Some(file) = &wanted.tell {
        fs::write(file, told(&sets)).map_err(|e| format!("{file}: {e}"))?;
    }
    Ok(summary(wanted, &sets))
}

fn set(wanted: &Wanted, n: usize) -> Result<Set, String> {
    let mut chance = Chance::of(wanted.seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ n as u64);
    chance.bits();
    let chart = ChartKind::classic();
    let cloths: Vec<Bands> =
        (0..1 + chance.below(2)).filter_map(|_| made_up(&mut chance)).collect();
    let mut layout = Layout::careful(chart.patches(), chart.across(), cloths);
    layout.side = [760, 960];
    if let Some(away) = wanted.away {
        layout.away = [0.2, away];
    }
    let scene = layout.scene(&mut chance);
    let sound = taken(&scene, wanted.estimator, &mut chance)?;
    let mut faulty = vec![];
    if n < wanted.scenes {
        for fault in PhotoFault::ALL.into_iter().filter(|f| wanted.only.is_none_or(|o| o == *f)) {
            let strength = chance.even();
            let scene = fault.upon(&scene, strength, &mut chance);
            faulty.push((fault, strength, taken(&scene, wanted.estimator, &mut chance)?));
        }
    }
    Ok((sound, faulty))
}

/// Takes a scene's photograph and reads it.
fn taken(scene: &Scene, estimator: bool, chance: &mut Chance) -> Result<Outcome, String> {
    let jpeg = scene.photograph(chance).jpeg().map_err(|e| e.to_string())?;
    let picture = Picture::try_read(&jpeg).map_err(|e| e.to_string())?;
    let regions: Vec<ClothPlace> = (0..scene.laid.cloths.len())
        .filter_map(|n| scene.cloth_corners(n, 0.85).map(ClothPlace::Corners))
        .collect();
    let truths: Vec<Lab> = (0..regions.len())
        .filter_map(|n| scene.cloth(n))
        .map(|b| Weights::reference().lab(b))
        .collect();
    Ok(outcome(&picture, &regions, &truths, scene.chart_corners(), estimator))
}

fn outcome(
    picture: &Picture,
    regions: &[ClothPlace],
    truths: &[Lab],
    corners: Option<[[f64; 2]; 4]>,
    estimator: bool,
) -> Outcome {
    let asked = Asked { chart: ChartKind::classic(), corners: None, cloths: regions, paper: None };
    let taken = picture.take_unjudged(&asked);
    let judged = taken.clone().and_then(|t| t.judged(&asked, picture));
    let unjudged = taken.or_else(|_| picture.take_unjudged(&Asked { corners, ..asked }));
    let mut errors = vec![None; regions.len()];
    let mut refused = judged.as_ref().err().map(PhotoRefusal::to_string);
    if let Ok(unjudged) = &unjudged {
        match labs(unjudged, picture, &asked, estimator) {
            Ok(labs) => {
                for (error, (lab, truth)) in errors.iter_mut().zip(labs.iter().zip(truths)) {
                    *error = lab.map(|lab| ciede2000(*truth, lab));
                }
            }
            Err(why) => refused = refused.or(Some(why)),
        }
    }
    let asked = (0..regions.len())
        .map(|n| {
            let cloth = judged.as_ref().ok().and_then(|t| t.cloths.get(n)?.as_ref().ok());
            cloth.is_some_and(|c| c.edge_between.is_some())
        })
        .collect();
    let signs = unjudged.map_or_else(|_| String::new(), |t| signs(&t, picture));
    let own = |n: usize| {
        judged
            .as_ref()
            .ok()
            .and_then(|t| t.cloths.get(n)?.as_ref().err().map(PhotoRefusal::to_string))
    };
    let cloths = errors.into_iter().enumerate().map(|(n, e)| (e, own(n))).collect();
    Outcome { refused, cloths, asked, signs }
}

/// What is read of each cloth, whatever the signs say.
fn labs(
    taken: &Taken,
    picture: &Picture,
    asked: &Asked<'_>,
    estimator: bool,
) -> Result<Vec<Option<Lab>>, String> {
    if estimator {
        let read = taken
            .colours(asked, Chain::Developed, ClothPrior::shipped())
            .map_err(|e| e.to_string())?;
        return Ok(read.into_iter().map(|cloth| cloth.ok().map(|c| c.lab)).collect());
    }
    let known: Vec<(Bands, [f64; 3])> = taken
        .patches
        .iter()
        .zip(asked.chart.patches())
        .filter(|(s, _)| s.clipped < 0.05)
        .map(|(s, bands)| (*bands, taken.even(s, picture)))
        .collect();
    let root = RootPolynomial::fit(&known);
    Ok(taken
        .cloths
        .iter()
        .map(|c| c.as_ref().ok().map(|c| root.lab(taken.even(&c.sample, picture))))
        .collect())
}

fn signs(taken: &Taken, picture: &Picture) -> String {
    let s = &taken.signs;
    let mut line = format!(
        "{},{:.4},{},{:.4},{:.4},{:.4},{:.4},{:.4}",
        s.clipped,
        s.rough,
        s.strange.len(),
        s.strangest,
        s.added,
        s.lean,
        s.crept,
        taken.chart.likeness
    );
    for slope in s.slope.iter().flatten() {
        line += &format!(",{slope:.4}");
    }
    for n in 0..2 {
        match taken.cloths.get(n) {
            Some(Ok(c)) => {
                let [light, tint] = taken.falls_to(c, picture);
                let [light_off, tint_off] = taken.falls_off(c, picture);
                line += &format!(
                    ",{:.4},{:.4},{:.4},{:.4},{:.4},{:.4},{light:.4},{tint:.4},{light_off:.4},{tint_off:.4}",
                    c.sample.clipped,
                    c.sample.crushed,
                    c.uneven,
                    c.discoloured,
                    c.slope,
                    c.blotched
                );
            }
            _ => line += ",,,,,,,,,,",
        }
    }
    line
}

fn told(sets: &[(usize, Set)]) -> String {
    let mut text = String::from(
        "scene,fault,strength,e1,e2,c1,c2,clipped,rough,strange,strangest,added,lean,crept,likeness,rx,ry,gx,gy,bx,by,\
         k1,d1,u1,t1,s1,b1,l1,h1,lo1,ho1,k2,d2,u2,t2,s2,b2,l2,h2,lo2,ho2,why\n",
    );
    for (n, (sound, faulty)) in sets {
        let none = (None, 0.0, sound);
        let all = std::iter::once(none).chain(faulty.iter().map(|(f, s, o)| (Some(f), *s, o)));
        for (fault, strength, outcome) in all {
            let cell = |k: usize| {
                let cloth = outcome.cloths.get(k);
                let error = cloth.and_then(|c| c.0).map_or(String::new(), |e| format!("{e:.3}"));
                let refused = cloth.map_or("", |c| if c.1.is_some() { "1" } else { "0" });
                (error, refused)
            };
            let (a, b) = (cell(0), cell(1));
            let signs =
                if outcome.signs.is_empty() { ",".repeat(33) } else { outcome.signs.clone() };
            let name = fault.map_or("none", |f| f.name());
            let why: String = outcome.why().chars().filter(|c| *c != ',').take(60).collect();
            text += &format!(
                "{n},{name},{strength:.3},{},{},{},{},{signs},{why}\n",
                a.0, b.0, a.1, b.1
            );
        }
    }
    text
}

#[derive(Default)]
struct Count {
    all: usize,
    refused: usize,
    unread: usize,
    spoilt: usize,
    caught: usize,
    missed: Vec<usize>,
}

/// Adds more than this to be spoilt.
const SPOILT: f64 = 3.0;

fn summary(wanted: &Wanted, sets: &[(usize, Set)]) -> String {
    let good: Vec<&Outcome> = sets.iter().take(wanted.good).map(|(_, s)| &s.0).collect();
    let refused: Vec<&&Outcome> = good.iter().filter(|o| o.is_refused()).collect();
    let mut whys: BTreeMap<String, usize> = BTreeMap::new();
    for outcome in &refused {
        *whys.entry(outcome.why().chars().take(70).collect()).or_default() += 1;
    }
    for (why, count) in whys {
        println!("good scenes refused, {count}: {why}");
    }
    let asked = good.iter().filter(|o| o.asked.contains(&true)).count();
    println!("good scenes asked whether a shadow lies between: {asked}");
    let mut errors: Vec<f64> =
        good.iter().flat_map(|o| o.cloths.iter().filter_map(|c| c.0)).collect();
    errors.sort_by(f64::total_cmp);
    println!(
        "error of good scenes: median {:.2}, nine of ten below {:.2}",
        rank(&errors, 0.5),
        rank(&errors, 0.9)
    );
    let mut counts: BTreeMap<PhotoFault, Count> = BTreeMap::new();
    for (n, (sound, faulty)) in sets {
        for (fault, _, outcome) in faulty {
            let count = counts.entry(*fault).or_default();
            count.all += 1;
            count.refused += usize::from(outcome.is_refused());
            let asks = *fault == PhotoFault::ShadowBetween;
            let added: Vec<(f64, bool)> = sound
                .cloths
                .iter()
                .zip(outcome.cloths.iter().zip(&outcome.asked))
                .filter_map(|(before, (after, asked))| {
                    let seen = outcome.refused.is_some() || after.1.is_some() || asks && *asked;
                    Some((after.0? - before.0?, seen))
                })
                .collect();
            count.unread += usize::from(added.is_empty());
            if added.iter().any(|a| a.0 > SPOILT) {
                count.spoilt += 1;
                if added.iter().filter(|a| a.0 > SPOILT).all(|a| a.1) {
                    count.caught += 1;
                } else {
                    count.missed.push(*n);
                }
            }
        }
    }
    let mut json = String::new();
    let (mut spoilt, mut caught) = (0, 0);
    for (fault, count) in &counts {
        println!(
            "{}: {} scenes, {} refused, {} unread; spoilt {}, caught {}{}",
            fault.name(),
            count.all,
            count.refused,
            count.unread,
            count.spoilt,
            count.caught,
            if count.missed.is_empty() {
                String::new()
            } else {
                format!("; missed in {:?}", count.missed)
            }
        );
        json += &format!(
            "\"{}\":{{\"n\":{},\"unread\":{},\"spoilt\":{},\"caught\":{:.4}}},",
            fault.name(),
            count.all,
            count.unread,
            count.spoilt,
            share(count.caught, count.spoilt)
        );
        if !matches!(fault, PhotoFault::GlareCloth | PhotoFault::ShadowBetween) {
            spoilt += count.spoilt;
            caught += count.caught;
        }
    }
    format!(
        "{{{json}\"good_asked\":{asked},\"spoilt\":{spoilt},\"caught\":{:.4},\"good_n\":{},\"good_refused\":{:.4},\"good_median_de00\":{:.2}}}",
        share(caught, spoilt),
        good.len(),
        share(refused.len(), good.len()),
        rank(&errors, 0.5)
    )
}

fn rank(sorted: &[f64], share: f64) -> f64 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rank")]
    let at = (share * number(sorted.len().saturating_sub(1))) as usize;
    sorted.get(at).copied().unwrap_or(f64::NAN)
}

/// Of nothing, all.
fn share(part: usize, all: usize) -> f64 {
    if all == 0 { 1.0 } else { number(part) / number(all) }
}

#[expect(clippy::cast_precision_loss, reason = "counts of scenes")]
const fn number(n: usize) -> f64 {
    n as f64
}
